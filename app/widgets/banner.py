"""A strip in the page that tells something, instead of a pop-up."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QToolButton, QWidget

from app.theme import icon_pixmap, set_role, theme_of, themed_icon
from app.widgets.label import Label
from core.errors import LehrkeeperError


class Weight(StrEnum):
    """How much a message matters; also the name of its icon and colours."""

    INFORMATION = "information"
    GOOD = "good"
    CAUTION = "caution"
    PROBLEM = "problem"


_SPOKEN = {
    Weight.INFORMATION: "Note",
    Weight.GOOD: "Done",
    Weight.CAUTION: "Caution",
    Weight.PROBLEM: "Problem",
}


class Banner(QFrame):
    """Icon, text, an action if there is one, and a way to put it away. Hidden when empty.

    Signals
    -------
    acted()
        The action button was pressed.
    dismissed()
        The message was put away by hand.
    """

    acted = Signal()
    dismissed = Signal()

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, *, closable: bool = True, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._weight = Weight.INFORMATION
        self._icon = Label()
        self._text = Label(wrap=True)
        self._text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self._action = QPushButton()
        set_role(self._action, "quiet")
        self._close = QToolButton()
        self._close.setAutoRaise(True)
        self._close.setToolTip("Put this message away")
        self._close.setAccessibleName("Put this message away")
        self._closable = closable
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 8, 8, 8)
        row.setSpacing(10)
        row.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self._text, 1)
        row.addWidget(self._action)
        row.addWidget(self._close, 0, Qt.AlignmentFlag.AlignVCenter)
        self._act: Callable[[], object] | None = None
        self._action.clicked.connect(self.acted)
        self.acted.connect(self._on_acted)
        self._close.clicked.connect(self._put_away)
        self._built = True
        self.hide()

    @property
    def text(self) -> str:
        """The message shown, empty when there is none."""
        return self._text.text()

    @property
    def weight(self) -> Weight:
        """How much the message shown matters."""
        return self._weight

    def tell(
        self,
        weight: Weight,
        text: str,
        *,
        action: str = "",
        act: Callable[[], object] | None = None,
    ) -> None:
        """Show a message, with a button when ``action`` gives its words.

        Pressing it puts the message away and calls ``act``.
        """
        self._weight, self._act = weight, act
        self._text.setText(text)
        self._action.setText(action)
        self._action.setVisible(bool(action))
        self._close.setVisible(self._closable)
        self.setAccessibleName(_SPOKEN[weight])
        self.setAccessibleDescription(text)
        set_role(self, weight.value)
        self._tint()
        self.show()

    def tell_error(self, error: LehrkeeperError) -> None:
        """Show a core error: what is wrong, where, and what to do."""
        self.tell(Weight.PROBLEM, str(error))

    def ask_discard(self, name: str, act: Callable[[], object]) -> None:
        """Ask before what was typed and not saved is lost; ``name`` is empty for something new."""
        self.tell(
            Weight.CAUTION,
            f"“{name}” has changes that are not saved."
            if name
            else "What you typed here is not saved.",
            action="Discard them" if name else "Discard it",
            act=act,
        )

    def clear(self) -> None:
        """Put the message away."""
        self._act = None
        self._text.clear()
        self.hide()

    def _on_acted(self) -> None:
        act = self._act
        if act is not None:
            self.clear()
            act()

    def _put_away(self) -> None:
        self.clear()
        self.dismissed.emit()

    def _tint(self) -> None:
        theme = theme_of(self)
        colour = getattr(theme, self._weight.value)
        self._icon.setPixmap(icon_pixmap(self._weight.value, colour, 22, self.devicePixelRatioF()))
        self._close.setIcon(themed_icon("close", theme))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
