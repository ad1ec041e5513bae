"""The page “Pots and furnace” as the window shows it."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.widgets.empty_state import EmptyState


class FurnacePage(QWidget):
    """The page “Pots and furnace”."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.empty = EmptyState("Pots and furnace", "Nothing here yet.", icon="furnace")
        column.addWidget(self.empty)
