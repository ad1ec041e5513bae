"""What a page shows while it has nothing to show: what to do next, with a button."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label

_SIZE = 56
_WIDEST, _NARROWEST = 440, 120
"""Pixels the sentence may take: longer lines are hard to read."""


class EmptyState(QWidget):
    """A drawing, a heading, a sentence and (if there is something to do) a button.

    Signals
    -------
    acted()
        The button was pressed.
    """

    acted = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self,
        heading: str,
        text: str,
        *,
        action: str = "",
        icon: str = "tonight",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._name = icon
        self._icon = Label()
        self._icon.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.heading = Label(heading, role="heading")
        self.heading.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.text = Label(text, role="muted", wrap=True)
        self.text.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self.text.setMaximumWidth(_WIDEST)
        self.text.setMinimumWidth(_NARROWEST)
        self.button = QPushButton(action)
        set_role(self.button, "primary")
        self.button.setVisible(bool(action))
        self.button.clicked.connect(self.acted)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 24, 24, 24)
        column.setSpacing(10)
        column.addStretch(2)
        column.addWidget(self._icon)
        column.addWidget(self.heading)
        # In a row, not by alignment: an aligned label is never given its second line.
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.text, 1000)  # as wide as it may be
        row.addStretch(1)
        column.addLayout(row)
        column.addSpacing(6)
        column.addWidget(self.button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)
        self._built = True
        self._tint()

    def set_words(self, heading: str, text: str, action: str = "") -> None:
        """Say something else."""
        self.heading.setText(heading)
        self.text.setText(text)
        self.button.setText(action)
        self.button.setVisible(bool(action))

    def _tint(self) -> None:
        theme = theme_of(self)
        self._icon.setPixmap(icon_pixmap(self._name, theme.accent, _SIZE, self.devicePixelRatioF()))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
