"""Pages on screen before they are saved or printed."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QRectF, QSize, QSizeF, QStandardPaths, Qt
from PySide6.QtGui import (
    QColor,
    QGuiApplication,
    QImage,
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

from app.card.paper import PaperDocument, card_page_size, page_layout, paint_pages, save_pdf
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Banner, Weight
from core.errors import LehrkeeperError

_FOLDER_KEY = "card/folder"
_FORBIDDEN = set('<>:"/\\|?*')
_LONGEST_NAME = 82
_EDGE = 16
"""Pixels around and between the pages."""


class PaperSheets(QWidget):
    """The pages one below the other, drawn again at every size so that they stay sharp."""

    def __init__(self, preview: PaperPreview, document: PaperDocument, size: QPageSize) -> None:
        super().__init__()
        self._preview = preview
        self._document = document
        self._page = size
        self._pictures: list[QPixmap] = []
        self._whole = False
        self.setAccessibleName(document.kind.capitalize())

    def set_whole(self, whole: bool) -> None:  # noqa: FBT001 -- fits a toggled signal
        """Show a whole page at once, or as wide as the window."""
        self._whole = whole
        self.fit()

    def fit(self) -> None:
        """Take the size that the room allows."""
        room = self._preview.scroll.maximumViewportSize()
        points = self._page.size(QPageSize.Unit.Point)
        bar = self._preview.scroll.verticalScrollBar().sizeHint().width()
        width = float(max(320, room.width() - bar - 2 * _EDGE))
        if self._whole:
            width = min(width, (room.height() - 2 * _EDGE) * points.width() / points.height())
        width = max(240.0, min(width, 1400.0))
        # Images count whole dots per inch; the page is as wide as a whole number of them gives.
        ratio = self.devicePixelRatioF()
        dots = max(24, int(width * ratio / (points.width() / 72.0)))
        pixels = QSizeF(points) * (dots / 72.0)
        if not self._pictures or self._pictures[0].size() != pixels.toSize():
            self._pictures = [
                self._draw(number, dots, pixels.toSize(), ratio)
                for number in range(self._document.pages)
            ]
        shown = (pixels / ratio).toSize()
        pages = len(self._pictures)
        self.setFixedSize(shown.width() + 2 * _EDGE, pages * shown.height() + (pages + 1) * _EDGE)
        self.update()

    def _draw(self, number: int, dots: int, pixels: QSize, ratio: float) -> QPixmap:
        image = QImage(pixels, QImage.Format.Format_RGB32)
        image.setDotsPerMeterX(round(dots / 0.0254))
        image.setDotsPerMeterY(round(dots / 0.0254))
        image.fill(QColor("white"))
        painter = QPainter(image)
        self._document.paint(painter, QRectF(image.rect()), number)
        painter.end()
        picture = QPixmap.fromImage(image)
        picture.setDevicePixelRatio(ratio)
        return picture

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002 -- Qt's signature
        """Draw the papers with their edges."""
        painter = QPainter(self)
        top = float(_EDGE)
        for picture in self._pictures:
            size = picture.deviceIndependentSize()
            sheet = QRectF((self.width() - size.width()) / 2, top, size.width(), size.height())
            painter.drawPixmap(sheet.topLeft(), picture)
            painter.setPen(QColor(theme_of(self).edge_strong))
            painter.drawRect(sheet.adjusted(-0.5, -0.5, 0.5, 0.5))
            top += size.height() + _EDGE
        painter.end()

    def event(self, event: QEvent) -> bool:
        """Stay sharp on a screen of another scale."""
        handled = super().event(event)
        if event.type() is QEvent.Type.DevicePixelRatioChange:
            self.fit()
        return handled


class PaperPreview(QDialog):
    """A document with buttons to save it as PDF and to print it."""

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self, document: PaperDocument, studio: Studio, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.document = document
        self._studio = studio
        self._page = card_page_size()
        self.setWindowTitle(document.title)
        self.banner = Banner()
        self.scroll = QScrollArea()
        self.scroll.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.sheet = PaperSheets(self, document, self._page)
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
        self._built = True
        self._tint()
        screen = (parent.screen() if parent else None) or QGuiApplication.primaryScreen()
        self.resize(QSize(900, 940).boundedTo(screen.availableGeometry().size() * 0.94))

    def _on_whole(self, whole: bool) -> None:  # noqa: FBT001 -- a signal's argument
        self.whole.setText("Page width" if whole else "Whole page")
        self.sheet.set_whole(whole)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fit the page to the window."""
        super().resizeEvent(event)
        self.sheet.fit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()

    def _tint(self) -> None:
        theme = theme_of(self)
        self.save.setIcon(themed_icon("save", theme))
        self.print.setIcon(themed_icon("print", theme, theme.accent_ink))

    # -- saving and printing ----------------------------------------------------------------

    def suggested_path(self) -> Path:
        """Where the document would go: the folder used last."""
        documents = QStandardPaths.writableLocation(
            QStandardPaths.StandardLocation.DocumentsLocation
        )
        folder = Path(self._studio.settings.text(_FOLDER_KEY) or documents)
        if not folder.is_dir():
            folder = Path(documents)
        name = "".join(" " if c in _FORBIDDEN else c for c in self.document.file_name)
        return folder / f"{' '.join(name.split())[:_LONGEST_NAME].strip()}.pdf"

    def _save(self) -> None:
        name, _ = QFileDialog.getSaveFileName(
            self, f"Save the {self.document.kind}", str(self.suggested_path()), "PDF (*.pdf)"
        )
        if not name:
            return
        path = Path(name)
        if path.suffix.lower() != ".pdf":
            path = path.with_name(f"{path.name}.pdf")
        try:
            save_pdf(path, self.document, self._page)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._studio.settings.set_text(_FOLDER_KEY, str(path.parent))
        self.banner.tell(Weight.GOOD, f"Saved as {path}.")

    def _print(self) -> None:
        printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        printer.setDocName(self.windowTitle())
        printer.setPageLayout(page_layout(self._page))
        printer.setFullPage(True)
        chooser = QPrintDialog(printer, self)
        if chooser.exec() == QDialog.DialogCode.Accepted:
            self.print_on(printer)

    def print_on(self, printer: QPrinter) -> None:
        """Draw the document on a printer; what goes wrong is told in the window."""
        painter = QPainter()
        if not painter.begin(printer):
            self.banner.tell(
                Weight.PROBLEM,
                f"“{printer.printerName()}” cannot be printed on. Check that it is switched on, "
                f"or save the {self.document.kind} as PDF.",
            )
            return
        layout = printer.pageLayout()
        rect = QRectF(layout.fullRectPixels(printer.resolution()))
        whole = paint_pages(painter, printer, rect, self.document)
        kind = self.document.kind
        if painter.end() and whole:
            self.banner.tell(Weight.GOOD, f"The {kind} is on its way to the printer.")
        else:
            self.banner.tell(Weight.PROBLEM, f"The {kind} could not be printed. Save it as PDF.")
