"""Words in a page, always shown as they are: a name such as ``<b>x`` is a name, not markup."""

from __future__ import annotations

from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QWidget

from app.theme import set_role


class Label(QLabel):
    """A label of plain text.

    Parameters
    ----------
    text : str
    role : str
        Its part in the style sheet, see :func:`app.theme.set_role`.
    wrap : bool
        Break lines where there is no room.
    """

    def __init__(
        self,
        text: str = "",
        *,
        role: str = "",
        wrap: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setText(text)
        self.setWordWrap(wrap)
        if role:
            set_role(self, role)


def tip_text(text: str) -> str:
    """Text for a tool tip, which has no format of its own to choose."""
    return f"<qt>{escape(text)}</qt>" if "<" in text else text


def tab_text(text: str) -> str:
    """Text for a tab or a button, in which ``&`` would underline the next letter."""
    return text.replace("&", "&&")
