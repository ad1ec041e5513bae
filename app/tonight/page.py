"""The page “Tonight” as the window shows it."""

from __future__ import annotations

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.studio import Studio
from app.widgets.empty_state import EmptyState


class TonightPage(QWidget):
    """The page “Tonight”."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        self.empty = EmptyState("Tonight", "Nothing here yet.", icon="tonight")
        column.addWidget(self.empty)
