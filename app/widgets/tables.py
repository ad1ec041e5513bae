"""Tables of rows that are frozen dataclasses: columns described once, copied as text."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QPersistentModelIndex,
    QSortFilterProxyModel,
    Qt,
    Signal,
)
from PySide6.QtGui import (
    QAction,
    QFontMetrics,
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QResizeEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QSizePolicy,
    QTableView,
    QWidget,
)

from app.widgets.label import tip_text

SORT_ROLE = int(Qt.ItemDataRole.UserRole) + 1
ROW_ROLE = int(Qt.ItemDataRole.UserRole) + 2

_MEASURED = 60
"""Rows that are looked at for the width of a column: all of a long log would take a while."""

_Index = QModelIndex | QPersistentModelIndex


@dataclass(frozen=True)
class Column:
    """One column of a table.

    Attributes
    ----------
    title : str
        With its unit, e.g. ``"Target °C"``.
    text : callable
        Row to the text shown.
    value : callable, optional
        Row to the raw value, for sorting; the text when left out.
    numeric : bool
        Right-aligned.
    stretch : bool
        Takes the spare width; its text is cut with dots and shown whole as a tool tip.
    tip : callable, optional
        Row to tool tip.
    icon : callable, optional
        Row to a QIcon or None.
    spoken : callable, optional
        Row to what a screen reader says, where the text alone is not enough.
    gives_way : int
        Left out where the table is too narrow: 1 goes first, 2 next; 0 always stays.
    """

    title: str
    text: Callable[[Any], str]
    value: Callable[[Any], Any] | None = None
    numeric: bool = False
    stretch: bool = False
    tip: Callable[[Any], str] | None = None
    icon: Callable[[Any], Any] | None = None
    spoken: Callable[[Any], str] | None = None
    gives_way: int = 0


class RowsModel(QAbstractTableModel):
    """Read-only model over a sequence of rows."""

    def __init__(self, columns: Sequence[Column], rows: Iterable[Any] = ()) -> None:
        super().__init__()
        self._columns = tuple(columns)
        self._rows = tuple(rows)

    @property
    def rows(self) -> tuple[Any, ...]:
        """The rows in the order given."""
        return self._rows

    @property
    def columns(self) -> tuple[Column, ...]:
        """The columns."""
        return self._columns

    def set_rows(self, rows: Iterable[Any]) -> None:
        """Replace all rows."""
        self.beginResetModel()
        self._rows = tuple(rows)
        self.endResetModel()

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Replace the columns, e.g. after a change of units."""
        self.beginResetModel()
        self._columns = tuple(columns)
        self.endResetModel()

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 -- Qt's signature
        """Count the rows; none below a cell."""
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Count the columns; none below a cell."""
        return 0 if parent.isValid() else len(self._columns)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text, raw value, alignment, tool tip, icon and spoken text of a cell."""
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row, column = self._rows[index.row()], self._columns[index.column()]
        role = int(role)
        if role == Qt.ItemDataRole.DisplayRole:
            return column.text(row)
        if role in {int(Qt.ItemDataRole.EditRole), SORT_ROLE}:
            return column.value(row) if column.value else column.text(row)
        if role == ROW_ROLE:
            return row
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if column.numeric else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        if role == Qt.ItemDataRole.ToolTipRole:
            tip = column.tip(row) if column.tip else column.text(row) if column.stretch else None
            return None if tip is None else tip_text(tip)
        if role == Qt.ItemDataRole.DecorationRole:
            return column.icon(row) if column.icon else None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return column.spoken(row) if column.spoken else column.text(row)
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Column titles, aligned like their cells."""
        if orientation is not Qt.Orientation.Horizontal or section >= len(self._columns):
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._columns[section].title
        if role == Qt.ItemDataRole.TextAlignmentRole:
            right = self._columns[section].numeric
            side = Qt.AlignmentFlag.AlignRight if right else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        return None


class _Sorted(QSortFilterProxyModel):
    """Sorts raw values, empty ones last whatever the direction."""

    def lessThan(self, left: _Index, right: _Index) -> bool:
        one = self.sourceModel().data(left, SORT_ROLE)
        other = self.sourceModel().data(right, SORT_ROLE)
        if one is None or other is None:
            upward = self.sortOrder() is Qt.SortOrder.AscendingOrder
            return (other is None and one is not None) is upward and one is not other
        return bool(one < other)


class DataTable(QTableView):
    """A table that selects whole rows, opens them with Return and copies them as text.

    Signals
    -------
    row_selected(object)
        The row, or ``None`` when none is selected.
    row_opened(object)
        Double click or Return.
    """

    row_selected = Signal(object)
    row_opened = Signal(object)

    def __init__(
        self,
        columns: Sequence[Column],
        rows: Iterable[Any] = (),
        *,
        name: str,
        sortable: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.rows_model = RowsModel(columns, rows)
        self._proxy = _Sorted(self)
        self._proxy.setSourceModel(self.rows_model)
        self._proxy.setSortRole(SORT_ROLE)
        self.setAccessibleName(name)
        self.setModel(self._proxy)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setWordWrap(False)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(
            max(30, round(QFontMetrics(self.font()).height() * 1.9))
        )
        self.horizontalHeader().setHighlightSections(False)
        self.horizontalHeader().setResizeContentsPrecision(_MEASURED)
        if sortable:
            self.setSortingEnabled(True)
            self.sortByColumn(-1, Qt.SortOrder.AscendingOrder)
        self._copy = QAction("Copy as text", self)
        self._copy.setShortcut(QKeySequence.StandardKey.Copy)
        self._copy.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self._copy.triggered.connect(self.copy)
        self.addAction(self._copy)
        self.setContextMenuPolicy(Qt.ContextMenuPolicy.ActionsContextMenu)
        self.doubleClicked.connect(lambda index: self.row_opened.emit(index.data(ROW_ROLE)))
        self.selectionModel().selectionChanged.connect(
            lambda *_: self.row_selected.emit(self.selected_row())
        )
        self._fit_columns()

    def set_rows(self, rows: Iterable[Any]) -> None:
        """Replace the rows, keeping an equal row selected."""
        before = self.selected_row()
        self.rows_model.set_rows(rows)
        self._fit_columns()
        if before is not None:
            self.select(before)

    def set_columns(self, columns: Sequence[Column]) -> None:
        """Replace the columns, e.g. after a change of units, keeping the row selected."""
        chosen = self.selectionModel().selectedRows()
        place = self._proxy.mapToSource(chosen[0]).row() if chosen else -1
        self.rows_model.set_columns(columns)
        self._fit_columns()
        if place >= 0:
            self.selectRow(self._proxy.mapFromSource(self.rows_model.index(place, 0)).row())

    def selected_row(self) -> Any:
        """The selected row, or ``None``."""
        chosen = self.selectionModel().selectedRows()
        return chosen[0].data(ROW_ROLE) if chosen else None

    def select(self, row: Any) -> bool:
        """Select an equal row; False when there is none."""
        for position, candidate in enumerate(self.rows_model.rows):
            if candidate == row:
                index = self._proxy.mapFromSource(self.rows_model.index(position, 0))
                self.selectRow(index.row())
                return True
        return False

    def fit_rows(self) -> None:
        """Be as high as the rows: the panel around the table scrolls, not the table in it."""
        rows = self.model().rowCount()
        head = self.horizontalHeader().sizeHint().height()
        self.setFixedHeight(head + rows * self.verticalHeader().defaultSectionSize() + 4)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def as_text(self) -> str:
        """The selected rows (all when none is selected) with titles, separated by tabs."""
        chosen = sorted(index.row() for index in self.selectionModel().selectedRows())
        numbers = chosen or range(self._proxy.rowCount())
        lines = ["\t".join(column.title for column in self.rows_model.columns)]
        lines.extend(
            "\t".join(
                str(self._proxy.index(row, column).data()).replace("\t", " ").replace("\n", " ")
                for column in range(self._proxy.columnCount())
            )
            for row in numbers
        )
        return "\n".join(lines) + "\n"

    def copy(self) -> None:
        """Copy :meth:`as_text` to the clipboard."""
        QGuiApplication.clipboard().setText(self.as_text())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Open the selected row on Return."""
        row = self.selected_row()
        if event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter} and row is not None:
            self.row_opened.emit(row)
            event.accept()
            return
        super().keyPressEvent(event)

    def _fit_columns(self) -> None:
        header = self.horizontalHeader()
        for number, column in enumerate(self.rows_model.columns):
            header.setSectionResizeMode(
                number,
                QHeaderView.ResizeMode.Stretch
                if column.stretch
                else QHeaderView.ResizeMode.ResizeToContents,
            )
        self._fit_room()

    def _fit_room(self) -> None:
        """Leave out what there is no room for; the last column takes what is over."""
        columns, header = self.rows_model.columns, self.horizontalHeader()
        bar = self.verticalScrollBar().sizeHint().width()
        room = self.width() - 2 * self.frameWidth() - bar
        # Of a column that is left out the header's own hint is 0: its title is measured instead.
        needed = [
            max(self.sizeHintForColumn(n), header.sectionSizeFromContents(n).width())
            for n in range(len(columns))
        ]
        leaving = sorted((c.gives_way, n) for n, c in enumerate(columns) if c.gives_way)
        left_out = set()
        for _, number in leaving:
            if sum(needed) <= room:
                break
            needed[number] = 0
            left_out.add(number)
        for number in range(len(columns)):
            if self.isColumnHidden(number) != (number in left_out):
                self.setColumnHidden(number, number in left_out)
        stretches = any(
            column.stretch and not self.isColumnHidden(n) for n, column in enumerate(columns)
        )
        fills = not stretches and sum(needed) <= room + bar
        if header.stretchLastSection() != fills:
            header.setStretchLastSection(fills)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show as many columns as there is room for."""
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self._fit_room()
