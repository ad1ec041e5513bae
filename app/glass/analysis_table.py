"""The analysis as a table of oxides that can be typed into."""

from __future__ import annotations

import re
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QPersistentModelIndex, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QGuiApplication, QKeyEvent, QKeySequence
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QWidget

from app.theme import theme_of
from app.widgets.quantity import decimal_mark, number_text
from core.composition.amounts import NUMBER
from core.composition.composition import Basis, Composition
from core.composition.names import find_component
from core.errors import CompositionError

_Index = QModelIndex | QPersistentModelIndex
OXIDE, GIVEN, ERROR, OTHER = range(4)
_NAME_AND_AMOUNT = re.compile(r"(?P<name>\D.*?)\s+(?P<amount>[<≤~]?\s*[\d.,].*)")


class AnalysisRows(QAbstractTableModel):
    """Oxide, amount as given, its standard error if known, and the amount in the other basis.

    The last row takes another oxide.

    Signals
    -------
    typed()
        A person changed a cell.
    """

    typed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._rows: list[tuple[str, str, str]] = []
        self._other: dict[str, float] = {}
        self._basis = Basis.WEIGHT
        self._editable = True
        self._wrong = ""

    @property
    def rows(self) -> tuple[tuple[str, str, str], ...]:
        """Oxide, amount and error of each row, as typed."""
        return tuple(self._rows)

    def show_composition(self, composition: Composition | None) -> None:
        """Show an analysis as it was given (nothing for ``None``)."""
        self.beginResetModel()
        self._wrong = ""
        if composition is None:
            self._rows, self._other = [], {}
        else:
            self._basis = composition.basis
            self._rows = given_rows(composition)
            self._other = other_percent(composition)
        self.endResetModel()

    def keep_rows(self, composition: Composition | None, wrong: str = "") -> None:
        """Leave the rows as typed; show what was made of them and which oxide is wrong."""
        if composition is not None:
            self._basis = composition.basis
        self._other = other_percent(composition) if composition is not None else {}
        self._wrong = wrong.strip().casefold()
        if self._rows:
            self.dataChanged.emit(self.index(0, OXIDE), self.index(len(self._rows) - 1, OTHER))

    def set_basis(self, basis: Basis) -> None:
        """Name the columns."""
        self._basis = basis
        self.headerDataChanged.emit(Qt.Orientation.Horizontal, GIVEN, OTHER)

    def set_editable(self, *, editable: bool) -> None:
        """Whether cells can be typed into; then there is an empty row at the end."""
        if editable != self._editable:
            self.beginResetModel()
            self._editable = editable
            self.endResetModel()

    def remove(self, row: int) -> None:
        """Leave an oxide out."""
        if self._editable and 0 <= row < len(self._rows):
            self.beginRemoveRows(QModelIndex(), row, row)
            del self._rows[row]
            self.endRemoveRows()
            self.typed.emit()

    # -- what Qt asks -----------------------------------------------------------------------

    def rowCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008 -- Qt's signature
        """Count the oxides and the empty row after them."""
        return 0 if parent.isValid() else len(self._rows) + (1 if self._editable else 0)

    def columnCount(self, parent: _Index = QModelIndex()) -> int:  # noqa: B008
        """Count the columns."""
        return 0 if parent.isValid() else 4

    def flags(self, index: _Index) -> Qt.ItemFlag:
        """Say which cells can be typed into."""
        flags = super().flags(index)
        if not index.isValid() or not self._editable or index.column() == OTHER:
            return flags
        if index.row() == len(self._rows) and index.column() != OXIDE:
            return flags
        return flags | Qt.ItemFlag.ItemIsEditable

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        """Column titles with their basis."""
        if orientation is not Qt.Orientation.Horizontal or not 0 <= section < 4:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            other = Basis.MOLE if self._basis is Basis.WEIGHT else Basis.WEIGHT
            return ("Oxide", self._basis.value, "±", other.value)[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(section)
        if role == Qt.ItemDataRole.ToolTipRole:
            told = "Standard error of the amount, if it is known; leave it blank if not"
            return ("", "As given", told, "Of 100, for comparison")[section]
        return None

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        """Text of a cell; the oxide that is wrong stands in the colour of problems."""
        if not index.isValid() or index.row() >= self.rowCount():
            return None
        role, column = int(role), index.column()
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return _side(column)
        if index.row() == len(self._rows):
            return self._empty_row(role, column)
        oxide = self._rows[index.row()][OXIDE]
        wrong = bool(self._wrong) and oxide.strip().casefold() == self._wrong
        if role in {int(Qt.ItemDataRole.DisplayRole), int(Qt.ItemDataRole.EditRole)}:
            if column == OTHER:
                value = self._other.get(_oxide(oxide))
                return "" if value is None else number_text(value, 2)
            return self._rows[index.row()][column]
        if role == Qt.ItemDataRole.ForegroundRole and wrong:
            return QColor(theme_of().problem)
        if role == Qt.ItemDataRole.AccessibleTextRole:
            shown = str(self.data(index))
            return f"{shown}, wrong" if wrong else shown
        return None

    def _empty_row(self, role: int, column: int) -> Any:
        if column != OXIDE:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return "add an oxide"
        if role == Qt.ItemDataRole.EditRole:
            return ""
        if role == Qt.ItemDataRole.ForegroundRole:
            return QColor(theme_of().muted)
        return None

    def setData(self, index: _Index, value: Any, role: int = Qt.ItemDataRole.EditRole) -> bool:
        """Take what was typed; an oxide typed into the empty row begins a new one."""
        if role != Qt.ItemDataRole.EditRole or not self.flags(index) & Qt.ItemFlag.ItemIsEditable:
            return False
        text = " ".join(str(value).split())
        row, column = index.row(), index.column()
        if row == len(self._rows):
            if not text:
                return False
            # “CaO 8.5” typed into one cell is both.
            both = _NAME_AND_AMOUNT.fullmatch(text)
            oxide, amount = (both["name"], both["amount"]) if both else (text, "")
            self.beginInsertRows(QModelIndex(), row, row)
            self._rows.append((_spelt(oxide), _local(amount), ""))
            self.endInsertRows()
        else:
            if column == OXIDE and not text:
                self.remove(row)
                return True
            changed = list(self._rows[row])
            changed[column] = _spelt(text) if column == OXIDE else _local(text)
            if column == GIVEN and not re.fullmatch(NUMBER, text):
                # A limit, a range or the like brings its own error.
                changed[ERROR] = ""
            if tuple(changed) == self._rows[row]:
                return False
            self._rows[row] = (changed[OXIDE], changed[GIVEN], changed[ERROR])
            self.dataChanged.emit(self.index(row, OXIDE), self.index(row, OTHER))
        self.typed.emit()
        return True


def _side(column: int) -> Qt.AlignmentFlag:
    side = Qt.AlignmentFlag.AlignLeft if column == OXIDE else Qt.AlignmentFlag.AlignRight
    return side | Qt.AlignmentFlag.AlignVCenter


def _oxide(name: str) -> str:
    """The oxide a row's name counts as; empty if it is none."""
    try:
        found = find_component(name)
    except CompositionError:
        return ""
    return "" if found is None else found.oxide


def _spelt(name: str) -> str:
    """A name in its usual spelling; a trade name stays as it was typed."""
    try:
        found = find_component(name)
    except CompositionError:
        return name
    return name if found is None else found.written


def _local(amount: str) -> str:
    """One decimal mark throughout, whichever was typed."""
    return re.sub(NUMBER, lambda found: _local_number(found[0]), amount)


def _local_number(number: str) -> str:
    plain = number.replace(",", ".")
    return plain.replace(".", decimal_mark()) if plain.count(".") <= 1 else number


def given_rows(composition: Composition) -> list[tuple[str, str, str]]:
    """Oxide, amount and standard error as they were given, with the local decimal mark."""
    amounts, errors = composition.as_entered, composition.errors_as_entered
    return [
        (oxide, amount_text(amounts.get(oxide, 0.0)), error_text(errors.get(oxide)))
        for oxide in [*amounts, *(o for o in errors if o not in amounts)]
    ]


def error_text(error: float | None) -> str:
    """A standard error as it stands in the table, empty if there is none."""
    return "" if error is None else f"{error:.3g}".replace(".", decimal_mark())


def amount_text(amount: float) -> str:
    """An amount as it stands in the table, with the local decimal mark."""
    return f"{amount:.6g}".replace(".", decimal_mark())


def other_percent(composition: Composition) -> dict[str, float]:
    """Percent of 100 in the basis that was not given."""
    if composition.basis is Basis.WEIGHT:
        return composition.mole_percent
    return dict(composition.weight_percent)


class AnalysisTable(QTableView):
    """The table's view: Delete leaves an oxide out, an analysis is pasted as a whole.

    Signals
    -------
    pasted(str)
        Text from the clipboard.
    """

    pasted = Signal(str)

    def __init__(self, rows: AnalysisRows, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setModel(rows)
        self._rows = rows
        self.setAccessibleName("Oxides")
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
        self.verticalHeader().hide()
        self.horizontalHeader().setHighlightSections(False)
        header = self.horizontalHeader()
        header.setSectionResizeMode(OXIDE, QHeaderView.ResizeMode.Stretch)
        for column, sample in ((GIVEN, "00.0000"), (ERROR, "0.0000"), (OTHER, "000.00")):
            room = QFontMetrics(self.font()).horizontalAdvance(sample) + 22
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Fixed)
            self.setColumnWidth(column, room)
        row = max(28, round(QFontMetrics(self.font()).height() * 1.75))
        self.verticalHeader().setDefaultSectionSize(row)
        for signal in (rows.modelReset, rows.rowsInserted, rows.rowsRemoved):
            signal.connect(self._fit_height)
        self._fit_height()

    def _fit_height(self) -> None:
        """As high as its rows: the page scrolls, not the table in it."""
        rows = max(self._rows.rowCount(), 1)
        head = self.horizontalHeader().sizeHint().height()
        self.setFixedHeight(head + rows * self.verticalHeader().defaultSectionSize() + 4)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Paste an analysis, or leave the chosen oxide out."""
        if event.matches(QKeySequence.StandardKey.Paste):
            self.pasted.emit(QGuiApplication.clipboard().text())
        elif event.key() in {Qt.Key.Key_Delete, Qt.Key.Key_Backspace}:
            self._rows.remove(self.currentIndex().row())
        else:
            super().keyPressEvent(event)
            return
        event.accept()
