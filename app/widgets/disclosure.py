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
        self.button.setCheckable(True)
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
        self.button.toggled.connect(self._show)
        self._show(opened=False)

    def open(self) -> None:
        """Unfold the body."""
        self.button.setChecked(True)

    def set_summary(self, words: str) -> None:
        """Say in a few words what the body holds, while it is folded."""
        self.summary.setText(words)
        self.button.setAccessibleDescription(words)
        self._show(opened=self.button.isChecked())

    def _show(self, opened: bool) -> None:  # noqa: FBT001 -- a signal's argument
        arrow = Qt.ArrowType.DownArrow if opened else Qt.ArrowType.RightArrow
        self.button.setArrowType(arrow)
        self.body.setVisible(opened)
        self.summary.setVisible(not opened and bool(self.summary.text()))
