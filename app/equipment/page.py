"""The page “Equipment” as the window shows it."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.widgets.empty_state import EmptyState


class EquipmentPage(QWidget):
    """The page “Equipment”."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.empty = EmptyState("Equipment", "Nothing here yet.", icon="equipment")
        column.addWidget(self.empty)
