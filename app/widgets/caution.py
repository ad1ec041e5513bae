"""The plain safety caution at the foot of pages that people act on."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label

ADVICE = (
    "Advice only: this program never controls the lehr. It does not know cold corners, cords or "
    "a drifting thermocouple. Check the glass in polarised light before you trust it."
)


class CautionStrip(QFrame):
    """One or more sentences of caution, always in sight; cannot be put away."""

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, text: str = ADVICE, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._icon = Label()
        self._text = Label(text, wrap=True)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 7, 12, 7)
        row.setSpacing(10)
        row.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(self._text, 1)
        self.setAccessibleName("Caution")
        self.setAccessibleDescription(text)
        set_role(self, "caution_strip")
        self._built = True
        self._tint()

    def set_text(self, text: str) -> None:
        """Replace the caution."""
        self._text.setText(text)
        self.setAccessibleDescription(text)

    def _tint(self) -> None:
        theme = theme_of(self)
        self._icon.setPixmap(icon_pixmap("caution", theme.caution, 20, self.devicePixelRatioF()))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
