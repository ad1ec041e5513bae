"""Several glasses on one viscosity plot and in one table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from PySide6.QtCore import QSignalBlocker, Qt
from PySide6.QtWidgets import (
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.glass.viscosity_plot import SYMBOLS, ViscosityPlot
from app.theme import set_role
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity, format_quantity
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.properties import properties_of
from core.glass.viscosity_lines import ViscosityLine, viscosity_lines
from core.units import UnitChoice

MOST = len(SYMBOLS)
"""How many glasses can be told apart on one plot."""
_LIST_HEIGHT = 150
_NAME = int(Qt.ItemDataRole.UserRole)


@dataclass(frozen=True, eq=False)
class _Compared:
    """A glass with what is reckoned of it, or why nothing can be."""

    name: str
    properties: GlassProperties | None
    line: ViscosityLine | None
    problem: str


@dataclass(frozen=True)
class _Row:
    """One property, a cell a glass."""

    name: str
    cells: tuple[str, ...]


_PROPERTIES = (
    ("Strain", "strain_point", Quantity.TEMPERATURE),
    ("Annealing", "annealing_point", Quantity.TEMPERATURE),
    ("Softening", "softening_point", Quantity.TEMPERATURE),
    ("Working", "working_point", Quantity.TEMPERATURE),
    ("Melting", "melting_point", Quantity.TEMPERATURE),
    ("Expansion", "expansion", Quantity.EXPANSION),
    ("Density", "density", Quantity.DENSITY),
)


class CompareView(QScrollArea):
    """The glass in the form beside up to four others, ticked in a list."""

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._own: Glass | None = None
        self._others: dict[str, Glass] = {}
        self._known: dict[str, _Compared] = {}
        self.find = QLineEdit()
        self.find.setPlaceholderText("Find a glass")
        self.find.setClearButtonEnabled(True)
        self.names = QListWidget()
        set_role(self.names, "ticks")
        self.names.setFixedHeight(_LIST_HEIGHT)
        self.told = Label(role="small", wrap=True)
        self.plot = ViscosityPlot(units)
        self.table = DataTable([], name="Glasses side by side")
        self.problems = Label(role="note", wrap=True)
        self.find.textChanged.connect(self._filter)
        self.names.itemChanged.connect(self._on_ticked)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 8, 10, 4)
        column.setSpacing(8)
        column.addWidget(Field("Compare &with", self.find))
        column.addWidget(self.names)
        column.addWidget(self.told)
        column.addWidget(self.plot)
        column.addWidget(self.table)
        column.addWidget(self.problems)
        column.addStretch(1)
        self.names.setAccessibleName("Glasses to compare with")
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)

    @property
    def ticked(self) -> tuple[str, ...]:
        """Names of the glasses chosen to compare with, in the order of the list."""
        items = (self.names.item(row) for row in range(self.names.count()))
        return tuple(
            str(item.data(_NAME)) for item in items if item.checkState() is Qt.CheckState.Checked
        )

    def show_choices(self, glasses: Mapping[str, Glass]) -> None:
        """Offer these glasses, keeping the ticks of those that are still there."""
        if dict(glasses) == self._others:
            return
        ticked = set(self.ticked)
        self._others = dict(glasses)
        self._known.clear()
        blocked = QSignalBlocker(self.names)
        self.names.clear()
        for name in self._others:
            item = QListWidgetItem(name)
            item.setData(_NAME, name)
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsUserCheckable)
            item.setCheckState(Qt.CheckState.Checked if name in ticked else Qt.CheckState.Unchecked)
            self.names.addItem(item)
        blocked.unblock()
        self._filter(self.find.text())
        self._fill()

    def show_glass(self, glass: Glass | None) -> None:
        """Compare with this glass, as it stands in the form."""
        self._own = glass
        self._filter(self.find.text())
        self._fill()

    def set_units(self, units: UnitChoice) -> None:
        """Show the same numbers in other units."""
        self._units = units
        self.plot.set_units(units)
        self._fill()

    def _filter(self, text: str) -> None:
        wanted = text.strip().casefold()
        for row in range(self.names.count()):
            item = self.names.item(row)
            ticked = item.checkState() is Qt.CheckState.Checked
            itself = self._own is not None and item.text() == self._own.name
            item.setHidden(not ticked and (itself or wanted not in item.text().casefold()))

    def _on_ticked(self, item: QListWidgetItem) -> None:
        if len(self.ticked) > MOST - 1:
            blocked = QSignalBlocker(self.names)
            item.setCheckState(Qt.CheckState.Unchecked)
            blocked.unblock()
        self._fill()

    def _fill(self) -> None:
        if not self.isVisible():  # reckoned when somebody looks
            return
        compared = [self._reckon(self._others[name]) for name in self.ticked]
        if self._own is not None:
            compared.insert(0, _reckoned(self._own, self._own.name))
        shown = [one for one in compared if one.properties is not None]
        self.plot.show_glasses(
            [replace(one.line, name=one.name) for one in shown if one.line is not None]
        )
        self.table.set_rows(())
        self.table.set_columns(_columns(shown))
        self.table.set_rows(_rows(shown, self._units))
        self.table.fit_rows()
        self.problems.setText("\n".join(one.problem for one in compared if one.problem))
        self.problems.setVisible(bool(self.problems.text()))
        full = len(self.ticked) >= MOST - 1
        self.told.setText(
            f"{MOST} glasses are as many as one plot can tell apart; untick one to see another."
            if full
            else f"Tick up to {MOST - 1}; the glass in the form is always there."
        )

    def _reckon(self, glass: Glass) -> _Compared:
        if glass.name not in self._known:
            self._known[glass.name] = _reckoned(glass, glass.name)
        return self._known[glass.name]

    def showEvent(self, event: object) -> None:
        """Reckon what changed while out of sight."""
        super().showEvent(event)  # type: ignore[arg-type]
        self._fill()


def _reckoned(glass: Glass, name: str) -> _Compared:
    try:
        lines = viscosity_lines(glass)
        line = next((line for line in lines if line.used), None)
        return _Compared(name, properties_of(glass), line, "")
    except LehrkeeperError as error:
        return _Compared(name, None, None, str(error))


def _columns(shown: list[_Compared]) -> list[Column]:
    def column(number: int, one: _Compared) -> Column:
        return Column(one.name, lambda r: r.cells[number], numeric=True, stretch=True)

    return [
        Column("", lambda r: r.name),
        *(column(number, one) for number, one in enumerate(shown)),
    ]


def _rows(shown: list[_Compared], units: UnitChoice) -> list[_Row]:
    rows = []
    for name, key, quantity in _PROPERTIES:
        cells = tuple(_cell(getattr(one.properties, key), quantity, units) for one in shown)
        rows.append(_Row(name, cells))
    return rows


def _cell(estimate: Estimate | None, quantity: Quantity, units: UnitChoice) -> str:
    if estimate is None:
        return NOTHING
    text = format_quantity(quantity, estimate.value, units)
    if estimate.plus_minus is None:
        return text
    half = Quantity.INTERVAL if quantity is Quantity.TEMPERATURE else quantity
    decimals = 0 if quantity is Quantity.TEMPERATURE else None
    spread = format_quantity(half, estimate.plus_minus, units, decimals=decimals, with_unit=False)
    return f"{text} ± {spread}"
