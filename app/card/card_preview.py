"""The lehr card on screen before it is saved or printed."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QEvent, QMarginsF, QRectF, QSize, QSizeF, QStandardPaths, Qt
from PySide6.QtGui import (
    QColor,
    QGuiApplication,
    QImage,
    QPageLayout,
    QPageSize,
    QPainter,
    QPaintEvent,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.card.card_page import paint_card
from app.card.lehr_card import card_page_size, save_card_pdf
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Banner, Weight
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings

_FOLDER_KEY = "card/folder"
_FORBIDDEN = set('<>:"/\\|?*')


class CardSheet(QWidget):
    """The page as wide as there is room, drawn again at every size so that it stays sharp."""

    def __init__(self, preview: CardPreview, page_size: QPageSize) -> None:
        super().__init__()
        self._preview = preview
        self._page = page_size
        self._picture = QPixmap()
        self._whole = False
        self.setAccessibleName("Lehr card")

    def set_whole(self, whole: bool) -> None:  # noqa: FBT001 -- fits a toggled signal
        """Show the whole page, or as wide as the window."""
        self._whole = whole
        self.fit()

    def fit(self) -> None:
        """Take the size that the room allows."""
        room = self._preview.scroll.maximumViewportSize()
        points = self._page.size(QPageSize.Unit.Point)
        bar = self._preview.scroll.verticalScrollBar().sizeHint().width()
        width = float(max(320, room.width() - bar - 32))
        if self._whole:
            width = min(width, (room.height() - 32) * points.width() / points.height())
        width = max(240.0, min(width, 1400.0))
        # Images count whole dots per inch; the page is as wide as a whole number of them gives.
        ratio = self.devicePixelRatioF()
        dots = max(24, int(width * ratio / (points.width() / 72.0)))
        pixels = QSizeF(points) * (dots / 72.0)
        if self._picture.isNull() or self._picture.size() != pixels.toSize():
            self._picture = self._draw(dots, pixels.toSize(), ratio)
        self.setFixedSize((pixels / ratio).toSize() + QSize(32, 32))
        self.update()

    def _draw(self, dots: int, pixels: QSize, ratio: float) -> QPixmap:
        image = QImage(pixels, QImage.Format.Format_RGB32)
        image.setDotsPerMeterX(round(dots / 0.0254))
        image.setDotsPerMeterY(round(dots / 0.0254))
        image.fill(QColor("white"))
        painter = QPainter(image)
        self._preview.paint_page(painter, QRectF(image.rect()))
        painter.end()
        picture = QPixmap.fromImage(image)
        picture.setDevicePixelRatio(ratio)
        return picture

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002 -- Qt's signature
        """Draw the paper with an edge."""
        painter = QPainter(self)
        size = self._picture.deviceIndependentSize()
        sheet = QRectF((self.width() - size.width()) / 2, 16, size.width(), size.height())
        painter.drawPixmap(sheet.topLeft(), self._picture)
        painter.setPen(QColor(theme_of(self).edge_strong))
        painter.drawRect(sheet.adjusted(-0.5, -0.5, 0.5, 0.5))
        painter.end()

    def event(self, event: QEvent) -> bool:
        """Stay sharp on a screen of another scale."""
        handled = super().event(event)
        if event.type() is QEvent.Type.DevicePixelRatioChange:
            self.fit()
        return handled


class CardPreview(QDialog):
    """The card with buttons to save it as PDF and to print it."""

    def __init__(
        self,
        plan: Plan,
        load: Load,
        readings: Readings | None,
        studio: Studio,
        *,
        made_at: datetime,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._plan = plan
        self._load = load
        self._readings = readings
        self._studio = studio
        self._made_at = made_at
        self._page = card_page_size()
        self.setWindowTitle(f"Lehr card: {plan.load_name}")
        self.banner = Banner()
        self.scroll = QScrollArea()
        self.scroll.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.sheet = CardSheet(self, self._page)
        self.scroll.setWidget(self.sheet)
        self.whole = QPushButton("Whole page")
        self.whole.setCheckable(True)
        self.whole.toggled.connect(self._on_whole)
        self.save = QPushButton("Save as PDF…")
        self.print = QPushButton("Print…")
        set_role(self.print, "primary")
        self.close_button = QPushButton("Close")
        self.save.clicked.connect(self._save)
        self.print.clicked.connect(self._print)
        self.close_button.clicked.connect(self.reject)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.whole)
        row.addStretch(1)
        row.addWidget(self.close_button)
        row.addWidget(self.save)
        row.addWidget(self.print)
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 14, 16, 14)
        column.setSpacing(12)
        column.addWidget(self.banner)
        column.addWidget(self.scroll, 1)
        column.addLayout(row)
        self.print.setDefault(True)
        self._tint()
        screen = (parent.screen() if parent else None) or QGuiApplication.primaryScreen()
        self.resize(QSize(900, 940).boundedTo(screen.availableGeometry().size() * 0.94))

    def _on_whole(self, whole: bool) -> None:  # noqa: FBT001 -- a signal's argument
        self.whole.setText("Page width" if whole else "Whole page")
        self.sheet.set_whole(whole)

    def paint_page(self, painter: QPainter, sheet: QRectF) -> None:
        """Draw the card into a whole sheet of paper."""
        paint_card(
            painter,
            sheet,
            self._plan,
            self._load,
            self._readings,
            units=self._studio.units,
            zone=self._studio.zone,
            made_at=self._made_at,
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit the page to the window."""
        super().resizeEvent(event)
        self.sheet.fit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange and hasattr(self, "print"):
            self._tint()

    def _tint(self) -> None:
        theme = theme_of(self)
        self.save.setIcon(themed_icon("save", theme))
        self.print.setIcon(themed_icon("print", theme, theme.accent_ink))

    # -- saving and printing ----------------------------------------------------------------

    def suggested_path(self) -> Path:
        """Where the card would go: the folder used last, named for the load and its day."""
        documents = QStandardPaths.writableLocation(
            QStandardPaths.StandardLocation.DocumentsLocation
        )
        folder = Path(self._studio.settings.text(_FOLDER_KEY) or documents)
        if not folder.is_dir():
            folder = Path(documents)
        day = self._plan.start.astimezone(self._studio.zone)
        name = "".join(" " if c in _FORBIDDEN else c for c in self._plan.load_name)
        return folder / f"Lehr card {day:%Y-%m-%d} {' '.join(name.split())[:60].strip()}.pdf"

    def _save(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self, "Save the lehr card", str(self.suggested_path()), "PDF (*.pdf)"
        )
        if not name:
            return
        path = Path(name)
        if path.suffix.lower() != ".pdf":
            path = path.with_name(f"{path.name}.pdf")
        try:
            save_card_pdf(
                path,
                self._plan,
                self._load,
                self._readings,
                units=self._studio.units,
                zone=self._studio.zone,
                page_size=self._page,
                made_at=self._made_at,
            )
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._studio.settings.set_text(_FOLDER_KEY, str(path.parent))
        self.banner.tell(Weight.GOOD, f"Saved as {path}.")

    def _print(self) -> None:
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(self.windowTitle())
        printer.setPageLayout(
            QPageLayout(self._page, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0))
        )
        printer.setFullPage(True)
        chooser = QPrintDialog(printer, self)
        if chooser.exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Draw the card on a printer; what goes wrong is told in the window."""
        painter = QPainter()
        if not painter.begin(printer):
            self.banner.tell(
                Weight.PROBLEM,
                f"“{printer.printerName()}” cannot be printed on. Check that it is switched on, "
                "or save the card as PDF.",
            )
            return
        layout = printer.pageLayout()
        self.paint_page(painter, QRectF(layout.fullRectPixels(printer.resolution())))
        if painter.end():
            self.banner.tell(Weight.GOOD, "The card is on its way to the printer.")
        else:
            self.banner.tell(Weight.PROBLEM, "The card could not be printed. Save it as PDF.")
