"""One line, always in its place, that tells what was last written down and takes it back."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QSizePolicy, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.banner import Weight
from app.widgets.label import Label
from core.errors import LehrkeeperError


class ToldLine(QWidget):
    """Icon, sentence, and a button that takes the last entry back (or puts it there again).

    It keeps its height while empty, so that the page does not jump under a hurried hand.
    """

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, idle: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._idle = idle
        self._weight: Weight | None = None
        self._act: Callable[[], None] | None = None
        self._icon = Label()
        self._text = Label(idle, wrap=True)
        self._text.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.button = QPushButton()
        set_role(self.button, "quiet")
        self.button.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        kept = self.button.sizePolicy()
        kept.setRetainSizeWhenHidden(True)
        self.button.setSizePolicy(kept)
        self.button.clicked.connect(self._on_button)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._icon)
        row.addWidget(self._text, 1)
        row.addWidget(self.button)
        self._built = True
        self.clear()

    @property
    def text(self) -> str:
        """The sentence shown."""
        return self._text.text()

    @property
    def weight(self) -> Weight | None:
        """How much it matters; ``None`` while nothing happened."""
        return self._weight

    def tell(
        self,
        weight: Weight,
        text: str,
        *,
        action: str = "",
        act: Callable[[], None] | None = None,
    ) -> None:
        """Say what happened; ``act`` is called when the button with the words is pressed."""
        self._weight, self._act = weight, act
        self._text.setText(text)
        self.setAccessibleName(text)
        self.button.setText(action)
        self.button.setVisible(act is not None)
        self._tint()

    def tell_error(self, error: LehrkeeperError) -> None:
        """Say what went wrong."""
        self.tell(Weight.PROBLEM, str(error))

    def clear(self) -> None:
        """Say again what to do here."""
        self._weight = self._act = None
        self._text.setText(self._idle)
        self.setAccessibleName(self._idle)
        self.button.hide()
        self._tint()

    def _on_button(self) -> None:
        act, self._act = self._act, None
        self.button.hide()
        if act is not None:
            act()

    def _tint(self) -> None:
        theme = theme_of(self)
        self._icon.setVisible(self._weight is not None)
        roles = {Weight.GOOD: "good", Weight.PROBLEM: "late", Weight.CAUTION: "note"}
        set_role(self._text, roles.get(self._weight, "muted") if self._weight else "muted")
        if self._weight is not None:
            colour = getattr(theme, self._weight.value)
            size = max(16, self.fontMetrics().height())
            ratio = self.devicePixelRatioF()
            self._icon.setPixmap(icon_pixmap(self._weight.value, colour, size, ratio))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
