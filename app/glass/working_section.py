"""How a glass works: at which temperatures, for how long, long or short."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.glass.words import interval_words
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.glass.glass import Estimate, Glass, GlassProperties
from core.units import UnitChoice
from core.working.wall_cooling import Wall
from core.working.working_properties import (
    LONG,
    REFERENCE_GLASS,
    WORKING_TEMPERATURES,
    Length,
    WorkingProperties,
    working_properties_of,
)

_LENGTH_WORDS = {
    Length.LONG: "a long glass: there is more time to work it",
    Length.MIDDLING: "neither long nor short",
    Length.SHORT: "a short glass: it sets sooner",
}


@dataclass(frozen=True)
class WorkingRow:
    """One line: its words, how it is shown, what is known, and what it means."""

    name: str
    quantity: Quantity
    estimate: Estimate | None
    tip: str


def working_rows(working: WorkingProperties) -> list[WorkingRow]:
    """Gathering, blowing and setting temperature, working range and setting time."""
    rows = [
        WorkingRow(
            point.name.capitalize(),
            Quantity.TEMPERATURE,
            getattr(working, point.key),
            f"10^{number_text(point.log_viscosity, 1, trim=True)} Pa s ({point.standard}). "
            f"{point.meaning}",
        )
        for point in WORKING_TEMPERATURES
    ]
    rows.append(
        WorkingRow(
            "Working range",
            Quantity.INTERVAL,
            working.working_range,
            "Working point less softening point",
        )
    )
    return rows


class WorkingSection(QWidget):
    """Table of working temperatures, a wall to choose, and its setting time in a sentence."""

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._glass: Glass | None = None
        self._properties: GlassProperties | None = None
        self.table = DataTable(self._columns(), name="Working temperatures")
        self.wall = QuantityEdit(
            Quantity.LENGTH, units=units, minimum=0.3e-3, maximum=50e-3, value=0.003
        )
        self.wall_field = Field("&Wall", self.wall, help_text="Open on both faces, in a room")
        self.wall_field.setMaximumWidth(240)
        self.sentence = Label(wrap=True)
        self.definition = Label(role="small", wrap=True)
        self.wall.value_changed.connect(lambda _: self._fill())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.table)
        column.addWidget(self.wall_field)
        column.addWidget(self.sentence)
        column.addWidget(self.definition)

    def show_glass(self, glass: Glass, properties: GlassProperties) -> None:
        """Reckon and show how a glass works."""
        self._glass, self._properties = glass, properties
        self._fill()

    def set_units(self, units: UnitChoice) -> None:
        """Show the same numbers in other units."""
        self._units = units
        self.wall_field.editor.set_units(units)
        self.table.set_columns(self._columns())
        self._fill()

    def _columns(self) -> list[Column]:
        def number(row: WorkingRow, value: float, *, unit: bool) -> str:
            return format_quantity(row.quantity, value, self._units, decimals=0, with_unit=unit)

        def shown(row: WorkingRow) -> str:
            return NOTHING if row.estimate is None else number(row, row.estimate.value, unit=True)

        def within(row: WorkingRow) -> str:
            return interval_words(row.estimate, lambda value: number(row, value, unit=False))

        return [
            Column("Working", lambda r: r.name, stretch=True, tip=lambda r: r.tip),
            Column("Value", shown, numeric=True, tip=lambda r: r.tip),
            Column("9 in 10 within", within, numeric=True, tip=lambda r: r.tip),
        ]

    def _fill(self) -> None:
        thickness = self.wall.value_si
        if self._glass is None or self._properties is None or thickness is None:
            self.sentence.setText("")
            return
        working = working_properties_of(self._glass, self._properties, Wall(thickness=thickness))
        self.table.set_rows(working_rows(working))
        self.sentence.setText(_sentence(working))
        self.definition.setText(
            "Long and short: the time the same wall takes from the working to the softening "
            f"point, against {REFERENCE_GLASS}; {round(100 * (LONG - 1))} % more is long."
        )
        self.definition.setVisible(working.relative_time is not None)


def _sentence(working: WorkingProperties) -> str:
    """The setting time and what kind of glass that makes it."""
    parts = []
    if working.setting_time is not None and working.relative_time is not None:
        parts.append(
            f"This wall stays workable for about {_seconds(working.setting_time)}, "
            f"{number_text(working.relative_time.value, 2)} times as long as {REFERENCE_GLASS}"
        )
    if working.length is not None:
        doubt = " or ".join(length.value for length in working.other_lengths)
        told = _LENGTH_WORDS[working.length] + (f" (it may turn out {doubt})" if doubt else "")
        parts.append(f"{told}.")
    return (
        "; ".join(parts) + (" " if parts and working.warnings else "") + " ".join(working.warnings)
    )


def _seconds(time: Estimate) -> str:
    if time.low is None or time.high is None:
        return f"{time.value:.0f} s"
    return f"{time.value:.0f} s ({time.low:.0f}–{time.high:.0f})"
