"""Fields in two columns, or in one where there is no room for two."""

from __future__ import annotations

from PySide6.QtCore import QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QLayout, QPushButton, QWidget

from app.widgets.field import Field

_NARROW = 330
"""Pixels of width below which fields stand below each other."""


class FormGrid(QWidget):
    """Fields, wide ones alone in their row, with a row of buttons below."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._placed: list[tuple[Field, bool]] = []
        self._buttons: QLayout | None = None
        self._columns = 0
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 12, 6, 0)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(0)

    def add(self, field: Field, *, wide: bool = False) -> None:
        """Put a field after the others."""
        self._placed.append((field, wide))

    def finish(self, *buttons: QPushButton) -> None:
        """Put buttons below, and lay everything out."""
        row = QGridLayout()
        row.setSpacing(8)
        for place, button in enumerate(buttons):
            row.addWidget(button, place // 3, place % 3)
        row.setColumnStretch(3, 1)
        self._buttons = row
        self._arrange(2)

    def _arrange(self, columns: int) -> None:
        if columns == self._columns or self._buttons is None:
            return
        self._columns = columns
        while self._grid.count():
            self._grid.takeAt(0)
        row = column = 0
        for field, wide in self._placed:
            if wide and column:
                row, column = row + 1, 0
            self._grid.addWidget(field, row, column, 1, columns if wide else 1)
            column += columns if wide else 1
            if column >= columns:
                row, column = row + 1, 0
        row += 1 if column else 0
        self._grid.addLayout(self._buttons, row, 0, 1, columns)
        for number in range(2):
            self._grid.setColumnStretch(number, 1 if number < columns else 0)
        for number in range(row + 2):
            self._grid.setRowStretch(number, 0)
        self._grid.setRowStretch(row + 1, 1)

    def minimumSizeHint(self) -> QSize:
        """Never wider than the narrowest panel: fields go below each other."""
        return QSize(220, super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take as many columns as there is room for."""
        super().resizeEvent(event)
        self._arrange(1 if self.width() < _NARROW else 2)
