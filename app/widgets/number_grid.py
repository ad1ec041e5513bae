"""Numbers that stand for names, typed into a table; what is not typed has its usual value."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from app.theme import theme_of
from app.widgets.label import tip_text
from app.widgets.quantity import NOTHING
from core.errors import LehrkeeperError

_Index = QModelIndex | QPersistentModelIndex
_WIDEST_NUMBER = "00 000.00"


@dataclass(frozen=True)
class NumberColumn:
    """One column of numbers.

    Attributes
    ----------
    title : str
        With its unit.
    read : callable
        Typed text to the number; raises LehrkeeperError.
    shown : callable
        The number as it is shown and typed.
    usual : callable, optional
        Name to the number that counts where nothing is typed; ``None``: none.
    """

    title: str
    read: Callable[[str], float]
    shown: Callable[[float], str]
    usual: Callable[[str], float | None] = lambda _: None


class NumberRows(QAbstractTableModel):
    """A name and its numbers in each row.

    Signals
    -------
    typed()
        A person changed a number.
    """

    typed = Signal()

    def __init__(
        self, heading: str, columns: Sequence[NumberColumn], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._heading = heading
        self._columns = tuple(columns)
        self._names: tuple[str, ...] = ()
        self._values: list[dict[str, float]] = [{} for _ in columns]
        self._wrong: dict[tuple[str, int], tuple[str, str]] = {}

    # -- values -----------------------------------------------------------------------------

    @property
    def names(self) -> tuple[str, ...]:
        """Name of each row."""
        return self._names

    def set_names(self, names: Sequence[str]) -> None:
        """Replace the rows; what was typed for a name is kept, also while it has no row."""
        if tuple(names) != self._names:
            self.beginResetModel()
            self._names = tuple(names)
            self.endResetModel()

    def set_columns(self, columns: Sequence[NumberColumn]) -> None:
        """Replace the columns by as many others, as after a change of units."""
        self.beginResetModel()
        self._columns = tuple(columns)
        self.endResetModel()

    def set_values(self, column: int, values: Mapping[str, float]) -> None:
        """Replace what stands in a column, without a signal."""
        self.beginResetModel()
        self._values[column] = dict(values)
        self._wrong = {key: told for key, told in self._wrong.items() if key[1] != column}
        self.endResetModel()

    def typed_values(self, column: int) -> dict[str, float]:
        """What was typed into a column, by name, of the names that have a row."""
        return {n: v for n, v in self._values[column].items() if n in self._names}

    def values(self, column: int) -> dict[str, float]:
        """What counts in a column, typed or usual, by name."""
        usual = {name: self._columns[column].usual(name) for name in self._names}
        known = {name: value for name, value in usual.items() if value is not None}
        return known | self.typed_values(column)

    @property
    def problem(self) -> str:
        """What is wrong with the first number that cannot be read; empty if all can."""
        for (name, _), (_, message) in self._wrong.items():
            if name in self._names:
                return f"{name}: {message}"
        return ""

    def forget(self) -> None:
        """Leave the usual numbers only, as a person's doing."""
        self.beginResetModel()
        self._values = [{} for _ in self._columns]
        self._wrong.clear()
        self.endResetModel()
        self.typed.emit()

    # -- what Qt asks -----------------------------------------------------------------------

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 -- Qt's signature
        """Count the names."""
        return 0 if parent.isValid() else len(self._names)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Count the name and its numbers."""
        return 0 if parent.isValid() else 1 + len(self._columns)

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """Numbers can be typed into."""
        flags = super().flags(index)
        if index.isValid() and index.column() > 0:
            flags |= Qt.ItemFlag.ItemIsEditable
        return flags

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Column titles, aligned like their cells."""
        if orientation is not Qt.Orientation.Horizontal or not 0 <= section <= len(self._columns):
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return self._heading if section == 0 else self._columns[section - 1].title
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(section)
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text, alignment, what is wrong, and whether a number is typed or usual."""
        if not index.isValid() or index.row() >= len(self._names):
            return None
        name, column = self._names[index.row()], index.column() - 1
        role = int(role)
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(index.column())
        if column < 0:
            return name if role in {Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.EditRole} else None
        wrong = self._wrong.get((name, column))
        own = self._values[column].get(name)
        if role == Qt.ItemDataRole.DisplayRole:
            return self._text(name, column) or NOTHING
        if role == Qt.ItemDataRole.EditRole:
            return self._text(name, column)
        if role == Qt.ItemDataRole.ForegroundRole:
            theme = theme_of()
            if wrong is not None:
                return QColor(theme.problem)
            return None if own is not None else QColor(theme.muted)
        if role == Qt.ItemDataRole.ToolTipRole:
            return tip_text(wrong[1]) if wrong is not None else None
        if role == Qt.ItemDataRole.AccessibleTextRole:
            text = self._text(name, column) or "none"
            return f"{text}, {wrong[1]}" if wrong else text if own is not None else f"{text}, usual"
        return None

    def setData(self, index: _Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Take a typed number; nothing typed stands for the usual one."""
        if role != Qt.ItemDataRole.EditRole or not index.isValid() or index.column() == 0:
            return False
        name, column = self._names[index.row()], index.column() - 1
        text = str(value or "").strip()
        if text == self._text(name, column):
            return False
        self._wrong.pop((name, column), None)
        self._values[column].pop(name, None)
        if text and text != NOTHING:
            try:
                self._values[column][name] = self._columns[column].read(text)
            except LehrkeeperError as error:
                self._wrong[name, column] = (text, str(error))
        self.dataChanged.emit(index, index)
        self.typed.emit()
        return True

    def _text(self, name: str, column: int) -> str:
        wrong = self._wrong.get((name, column))
        if wrong is not None:
            return wrong[0]
        value = self._values[column].get(name, self._columns[column].usual(name))
        return "" if value is None else self._columns[column].shown(value)


class NumberGrid(QTableView):
    """The table; Delete puts the usual number back.

    Signals
    -------
    error_changed(str)
        What is wrong with a number, empty when nothing is; a Field shows it.
    edited()
        A person changed a number.
    """

    error_changed = Signal(str)
    edited = Signal()

    def __init__(self, rows: NumberRows, *, name: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.name = name
        self.rows = rows
        self.error = ""
        rows.setParent(self)
        self.setModel(rows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.SelectedClicked
            | QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.EditKeyPressed
        )
        self.setShowGrid(False)
        self.setAlternatingRowColors(True)
        self.setTabKeyNavigation(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setHighlightSections(False)
        header.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        metrics = QFontMetrics(self.font())
        for column in range(1, rows.columnCount()):
            title = str(rows.headerData(column, Qt.Orientation.Horizontal))
            room = max(metrics.horizontalAdvance(t) for t in (_WIDEST_NUMBER, f"{title}0"))
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
            self.setColumnWidth(column, room + 24)
        self.verticalHeader().setDefaultSectionSize(max(28, round(metrics.height() * 1.75)))
        rows.modelReset.connect(self._fit_height)
        rows.modelReset.connect(self._tell)
        rows.typed.connect(self._tell)
        rows.typed.connect(self.edited)
        self._fit_height()

    def is_valid(self) -> bool:
        """True when every number can be read."""
        return not self.rows.problem

    def _tell(self) -> None:
        if self.rows.problem != self.error:
            self.error = self.rows.problem
            self.error_changed.emit(self.error)

    def _fit_height(self) -> None:
        """As high as its rows: the page scrolls, not the table in it."""
        head = self.horizontalHeader().sizeHint().height()
        rows = self.rows.rowCount() * self.verticalHeader().defaultSectionSize()
        self.setFixedHeight(head + rows + 4)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Put the usual number back."""
        if event.key() in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace}:
            self.rows.setData(self.currentIndex(), "")
            event.accept()
            return
        super().keyPressEvent(event)


def _side(section: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignLeft if section == 0 else Qt.AlignmentFlag.AlignRight
    return side | Qt.AlignmentFlag.AlignVCenter
