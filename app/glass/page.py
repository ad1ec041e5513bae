"""The page “Glass” as the window shows it."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.widgets.empty_state import EmptyState


class GlassPage(QWidget):
    """The page “Glass”."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.empty = EmptyState("Glass", "Nothing here yet.", icon="glass")
        column.addWidget(self.empty)
