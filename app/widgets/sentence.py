"""A sentence with a sign before it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QHBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.banner import Weight
from app.widgets.label import Label

_SIZE = 18


class Sentence(QWidget):
    """Words that wrap, with the sign of their weight; hidden signs while there are none."""

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, weight: Weight, text: str = "", *, role: str = "") -> None:
        super().__init__()
        self._weight = weight
        self._icon = Label()
        self.words = Label(wrap=True)
        self.words.setMinimumWidth(60)  # else the longest sentence would set the page's width
        if role:
            set_role(self.words, role)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self.words, 1)
        self._built = True
        self.set_text(text)
        self._tint()

    @property
    def text(self) -> str:
        """The words."""
        return self.words.text()

    def set_text(self, text: str) -> None:
        """Say something else."""
        self.words.setText(text)
        self._icon.setVisible(bool(text))

    def _tint(self) -> None:
        colour = getattr(theme_of(self), self._weight.value)
        self._icon.setPixmap(
            icon_pixmap(self._weight.value, colour, _SIZE, self.devicePixelRatioF())
        )

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
