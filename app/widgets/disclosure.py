"""A part of a form that stays folded away until it is wanted."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QSizePolicy, QToolButton, QVBoxLayout, QWidget

from app.widgets.label import Label


class Disclosure(QWidget):
    """A title that opens and folds the body below it; folded, it says what the body holds."""

    def __init__(self, title: str, body: QWidget, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.body = body
        self.button = QToolButton()
        self.button.setText(title)
        self.button.setAutoRaise(True)
        self.button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.button.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        font = self.button.font()
        font.setBold(True)
        self.button.setFont(font)
        self.summary = Label(role="small", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.button)
        column.addWidget(self.summary)
        column.addWidget(body)
        self._opened = False
        self.button.clicked.connect(lambda: self._show(opened=not self._opened))
        self._show(opened=False)

    @property
    def opened(self) -> bool:
        """True while the body is unfolded."""
        return self._opened

    def open(self) -> None:
        """Unfold the body."""
        self._show(opened=True)

    def fold(self) -> None:
        """Fold the body away."""
        self._show(opened=False)

    def set_summary(self, words: str) -> None:
        """Say in a few words what the body holds, while it is folded."""
        self.summary.setText(words)
        self.button.setAccessibleDescription(words)
        self._show(opened=self._opened)

    def _show(self, *, opened: bool) -> None:
        self._opened = opened
        arrow = Qt.ArrowType.DownArrow if opened else Qt.ArrowType.RightArrow
        self.button.setArrowType(arrow)
        self.body.setVisible(opened)
        self.summary.setVisible(not opened and bool(self.summary.text()))
