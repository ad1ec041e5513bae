"""How a lehr cools by itself: checked against the clock, and measured from one cooling."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.theme import set_role
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity, scale_of
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.equipment.cooling import CoolingPoint, natural_cooling
from core.equipment.lehr import Lehr, cooling_time_constant
from core.errors import EquipmentError
from core.units import TemperatureUnit, UnitChoice, format_duration, kelvin_from

_STEPS = {
    TemperatureUnit.CELSIUS: (500.0, 400.0, 300.0, 200.0, 100.0, 45.0),
    TemperatureUnit.FAHRENHEIT: (950.0, 750.0, 550.0, 400.0, 200.0, 110.0),
}
"""Round temperatures from about annealing down to hand-warm."""


class CoolingCard(QFrame):
    """Table of the natural cooling, and below it the way to measure the time constant.

    Signals
    -------
    measured(float)
        A time constant [s] a person wants to use.
    """

    measured = Signal(float)

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._units = units
        self._ambient: float | None = None
        self._lehr: Lehr | None = None
        self._result: float | None = None
        heading = Label("Power off, door shut", role="heading")
        self.sentence = Label(role="muted", wrap=True)
        self.table = DataTable(self._columns(), name="How the lehr cools by itself")
        self.table.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.table.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.table.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        rule = QFrame()
        set_role(rule, "rule")
        measure = Label("Measure it", role="heading")
        how = Label(
            "Switch off when nothing is in it, and read it twice, hours apart.",
            role="muted",
            wrap=True,
        )
        self.form = Form(columns=2)
        self.start = QuantityEdit(Quantity.TEMPERATURE, units=units, optional=True)
        self.end = QuantityEdit(Quantity.TEMPERATURE, units=units, optional=True)
        self.duration = QuantityEdit(Quantity.DURATION, units=units, optional=True)
        self.duration.setPlaceholderText("3:20")
        self.form.add("start", "It &fell from", self.start)
        self.form.add("end", "&to", self.end)
        self.form.add("duration", "in ho&urs and minutes", self.duration, span=2)
        self.result = Label(wrap=True)
        self.use = QPushButton("Use it")
        self.use.setEnabled(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        for widget in (heading, self.sentence, self.table, rule, measure, how, self.form):
            column.addWidget(widget)
        last = QGridLayout()
        last.addWidget(self.result, 0, 0)
        last.addWidget(self.use, 0, 1, Qt.AlignmentFlag.AlignTop)
        last.setColumnStretch(0, 1)
        column.addLayout(last)
        column.addStretch(1)
        for box in (self.start, self.end, self.duration):
            box.value_changed.connect(lambda _: self._measure())
        self.use.clicked.connect(self._on_use)
        self._fill()
        self._measure()

    def show_lehr(self, lehr: Lehr | None, ambient: float | None) -> None:
        """Show how this lehr cools (``None`` while it is not known), in a room at ``ambient``."""
        self._lehr, self._ambient = lehr, ambient
        self._fill()
        self._measure()

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self._units = units
        self.form.set_units(units)
        self.table.set_columns(self._columns())
        self._fill()
        self._measure()

    def forget(self) -> None:
        """Empty the measurement."""
        for box in (self.start, self.end, self.duration):
            box.set_value_si(None)
        self._measure()

    def _fill(self) -> None:
        unit = self._units.temperature
        steps = [kelvin_from(step, unit) for step in _STEPS[unit]]
        points = natural_cooling(self._lehr, steps) if self._lehr is not None else ()
        self.table.set_rows(points)
        self.table.setVisible(bool(points))
        rows = self.table.verticalHeader().defaultSectionSize() * len(points)
        header = self.table.horizontalHeader().sizeHint().height()
        self.table.setFixedHeight(rows + header + 4)
        if not points:
            self.sentence.setText(
                "Give the time constant and the room's temperature, and this says how fast the "
                "lehr cools: no program makes it cool faster."
            )
            return
        last = points[-1]
        self.sentence.setText(
            f"From {self._degrees(points[0].temperature)} it is at "
            f"{self._degrees(last.temperature)} after "
            f"{format_duration(last.elapsed)}\u00a0h. No program makes it cool faster."
        )

    def _degrees(self, kelvin: float) -> str:
        return format_quantity(Quantity.TEMPERATURE, kelvin, self._units)

    def _columns(self) -> list[Column]:
        units = self._units

        def shown(quantity: Quantity, value: float) -> str:
            return format_quantity(quantity, value, units, decimals=0, with_unit=False)

        def fastest(point: CoolingPoint) -> str:
            return shown(Quantity.RATE, point.fastest)

        return [
            Column(
                f"At {units.temperature.symbol}",
                lambda point: shown(Quantity.TEMPERATURE, point.temperature),
                numeric=True,
            ),
            Column(scale_of(Quantity.RATE, units).symbol, fastest, numeric=True),
            Column("After h:mm", lambda point: shown(Quantity.DURATION, point.elapsed),
                   numeric=True, stretch=True),
        ]  # fmt: skip

    def _measure(self) -> None:
        """Compute the time constant from what was typed, as soon as all of it is there."""
        self._result = None
        self.use.setEnabled(False)
        start, end, duration = (box.value_si for box in (self.start, self.end, self.duration))
        set_role(self.result, "muted")
        if start is None or end is None or duration is None:
            self.result.setText("Its time constant will stand here.")
            return
        if self._ambient is None:
            self.result.setText("Give the room's temperature first.")
            return
        try:
            self._result = cooling_time_constant(start, end, duration, self._ambient)
        except EquipmentError as error:
            self.result.setText("")
            field = self.form.fields.get(error.field or "")
            if field is not None:
                field.set_error(str(error))
            else:
                self.result.setText(str(error))
            return
        self.form.clear_errors()
        set_role(self.result, "good")
        hours = format_quantity(Quantity.HOURS, self._result, self._units, decimals=2)
        self.result.setText(f"Time constant {hours}")
        self.use.setEnabled(True)

    def _on_use(self) -> None:
        if self._result is not None:
            self.measured.emit(self._result)
