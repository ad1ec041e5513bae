"""Parts of a page that belong together, on a ground of their own."""

from __future__ import annotations

from PySide6.QtWidgets import QFrame, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.label import Label


def card(heading: str | None, *parts: QWidget) -> QFrame:
    """A frame with a heading (none for ``None``) and parts one below the other."""
    frame = QFrame()
    set_role(frame, "card")
    column = QVBoxLayout(frame)
    column.setContentsMargins(14, 12, 14, 12)
    column.setSpacing(8)
    if heading:
        column.addWidget(Label(heading, role="heading"))
    for part in parts:
        column.addWidget(part)
    return frame
