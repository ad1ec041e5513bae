"""Sections one above the other of which one is open; the others show their summary."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QFontMetrics, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label, tip_text

COMPACT = "QTableView::item { padding: 2px 4px; } QHeaderView::section { padding: 3px 7px; }"
"""For tables that share their column with other things."""


class _Header(QFrame):
    """Title that opens the section, and beside it the summary, cut with dots where it must be."""

    pressed = Signal()
    _built = False

    def __init__(self, title: str) -> None:
        super().__init__()
        self.button = QToolButton()
        self.button.setText(title)
        self.button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.button.setArrowType(Qt.ArrowType.RightArrow)
        self.button.setAutoRaise(True)
        font = self.button.font()
        font.setBold(True)
        self.button.setFont(font)
        self.button.clicked.connect(self.pressed)
        self._icon = Label()
        self._icon.hide()
        self.summary = Label(role="muted")
        self.summary.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.summary.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._words = ""
        self._wrong = False
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 4, 2)
        row.setSpacing(8)
        row.addWidget(self.button)
        row.addWidget(self.summary, 1)
        row.addWidget(self._icon)
        self._built = True

    def show_summary(self, words: str, *, wrong: bool) -> None:
        self._words, self._wrong = words, wrong
        self.summary.setToolTip(tip_text(words))
        self.button.setAccessibleDescription(words)
        self._icon.setVisible(wrong)
        self._tint()
        self._elide()

    def _elide(self) -> None:
        room = max(0, self.summary.width() - 2)
        metrics = QFontMetrics(self.summary.font())
        self.summary.setText(
            metrics.elidedText(self._words, Qt.TextElideMode.ElideRight, room) if room else ""
        )

    def _tint(self) -> None:
        theme = theme_of(self)
        self._icon.setPixmap(icon_pixmap("problem", theme.problem, 18, self.devicePixelRatioF()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._elide()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        self.pressed.emit()

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


class Folds(QWidget):
    """Sections of which exactly one is open.

    Signals
    -------
    opened(str)
        Key of the section now open.
    """

    opened = Signal(str)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._headers: dict[str, _Header] = {}
        self._bodies: dict[str, QWidget] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(4)
        self._open = ""

    def add(self, key: str, title: str, body: QWidget, *, scrolls: bool = True) -> None:
        """Add a section; the first is open. ``scrolls``: put the body into a scroll area."""
        header = _Header(title)
        header.button.setAccessibleName(title)
        header.pressed.connect(lambda: self.open(key))
        if self._headers:
            rule = QFrame()
            set_role(rule, "rule")
            self._column.addWidget(rule)
        if scrolls:
            body = scrolling(body)
        self._headers[key], self._bodies[key] = header, body
        self._column.addWidget(header)
        self._column.addWidget(body, 1)
        body.hide()
        if not self._open:
            self.open(key)

    @property
    def open_key(self) -> str:
        """Key of the open section."""
        return self._open

    def open(self, key: str) -> None:
        """Open a section and fold the one that was open."""
        if key == self._open:
            return
        self._open = key
        for name, header in self._headers.items():
            is_open = name == key
            arrow = Qt.ArrowType.DownArrow if is_open else Qt.ArrowType.RightArrow
            header.button.setArrowType(arrow)
            self._bodies[name].setVisible(is_open)
        self.opened.emit(key)

    def header_button(self, key: str) -> QToolButton:
        """The button that opens a section."""
        return self._headers[key].button

    def set_summary(self, key: str, words: str, *, wrong: bool = False) -> None:
        """Show in a few words what a section holds, and whether something in it is wrong."""
        self._headers[key].show_summary(words, wrong=wrong)


class FormArea(QScrollArea):
    """As high as the form inside it where there is room, scrolling where there is not."""

    def __init__(self, form: QWidget) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Maximum)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        form.setObjectName("page")
        self.setWidget(form)

    def sizeHint(self) -> QSize:
        """The form's own, as high as its words need at this width."""
        form = self.widget()
        if form is None:
            return super().sizeHint()
        hint = form.sizeHint()
        layout = form.layout()
        if layout is not None and layout.hasHeightForWidth():
            hint.setHeight(max(hint.height(), layout.totalHeightForWidth(self.viewport().width())))
        return hint

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Words wrap otherwise now."""
        super().resizeEvent(event)
        if event.oldSize().width() != event.size().width():
            self.updateGeometry()

    def event(self, event: QEvent) -> bool:
        """Ask for other room when the form inside shows or hides boxes."""
        if event.type() is QEvent.Type.LayoutRequest:
            self.updateGeometry()
        return super().event(event)


def scrolling(body: QWidget) -> QScrollArea:
    """The body in a frameless scroll area that scrolls up and down only."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QFrame.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    body.setObjectName("page")
    area.setWidget(body)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    return area
