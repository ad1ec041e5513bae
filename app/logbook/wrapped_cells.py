"""Tables whose last column holds sentences."""

from __future__ import annotations

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtWidgets import QHeaderView, QStyledItemDelegate, QStyleOptionViewItem, QTableView

_SIDES, _ABOVE = 22, 10
"""Room the style sheet takes beside and above the words of a cell."""
_FEW = 300
"""Rows up to which each is made as high as its words."""


class WrappedCells(QStyledItemDelegate):
    """Makes room for all lines of a cell's words."""

    def __init__(self, table: QTableView, column: int) -> None:
        super().__init__(table)
        self._table = table
        table.setWordWrap(True)
        table.setItemDelegateForColumn(column, self)

    def sizeHint(
        self, option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex
    ) -> QSize:
        """Size of the words at the column's width."""
        width = max(40, self._table.columnWidth(index.column()) - _SIDES)
        words = option.fontMetrics.boundingRect(
            QRect(0, 0, width, 10_000), int(Qt.TextFlag.TextWordWrap), str(index.data())
        )
        usual = self._table.verticalHeader().defaultSectionSize()
        return QSize(words.width() + _SIDES, max(usual, words.height() + _ABOVE))

    def fit(self) -> None:
        """Fit the rows after new ones were set; very many keep the usual height."""
        header = self._table.verticalHeader()
        few = self._table.model().rowCount() <= _FEW
        mode = QHeaderView.ResizeMode
        header.setSectionResizeMode(mode.ResizeToContents if few else mode.Interactive)
