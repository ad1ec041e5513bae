"""Entry of measured points from a supplier's sheet, and of the studio's own trials."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.glass.trials_list import TrialsList
from app.glass.words import short_name
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import MeasuredPoints
from core.glass.measured_points import STANDARD_ERROR
from core.units import UnitChoice

_OTHER = (
    ("expansion", "Expansion", Quantity.EXPANSION, "mean, 20–300 °C"),
    ("density", "Density", Quantity.DENSITY, ""),
    ("youngs_modulus", "Young's modulus", Quantity.MODULUS, ""),
)


class MeasuredForm(QWidget):
    """The temperatures, expansion, density and stiffness of a sheet, and trials; all may be empty.

    Signals
    -------
    changed()
        A person changed a value.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self.form = Form(columns=2)
        self._told = ""
        for point in FIXED_POINTS:
            edit = QuantityEdit(Quantity.TEMPERATURE, units=units, optional=True)
            field = self.form.add(point.key, short_name(point), edit)
            field.label.setToolTip(f"{point.standard}. {point.meaning}")
        for name, label, quantity, told in _OTHER:
            edit = QuantityEdit(quantity, units=units, optional=True)
            self.form.add(name, label, edit, help_text=told)
        self.spread = QuantityEdit(
            Quantity.INTERVAL, units=units, optional=True, minimum=0.1, maximum=100.0
        )
        self.form.add("points_error", "Known to ±", self.spread)
        self.source = QLineEdit()
        self.form.add("measured_source", "From which sheet", self.source, span=2)
        self.trials = TrialsList(units)
        self._given = MeasuredPoints()
        self._set_units_help()
        for name in self.names:
            self.edit(name).edited.connect(self.changed)
        self.spread.edited.connect(self._on_spread)
        self.source.textEdited.connect(self.changed)
        self.trials.changed.connect(self.changed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        column.addWidget(Label("Own trials", role="label"))
        column.addWidget(self.trials)

    @property
    def names(self) -> tuple[str, ...]:
        """The numbers' names in :class:`core.glass.glass.MeasuredPoints`."""
        return (*(point.key for point in FIXED_POINTS), *(name for name, *_ in _OTHER))

    def edit(self, name: str) -> QuantityEdit:
        """The number box of that name."""
        editor = self.form.field(name).editor
        assert isinstance(editor, QuantityEdit)  # noqa: S101 -- made above
        return editor

    def show_points(self, points: MeasuredPoints) -> None:
        """Show values, without a signal."""
        self.clear_told()
        for name in self.names:
            self.edit(name).set_value_si(getattr(points, name))
        self._given = points
        errors = {getattr(points, _error(p.key)) for p in FIXED_POINTS} - {None}
        self.spread.set_value_si(errors.pop() if len(errors) == 1 else None)
        self.source.setText(points.source)
        self.trials.show_trials(points.viscosities)

    def points(self) -> MeasuredPoints:
        """The values entered.

        Raises
        ------
        UnitError
            If a number is wrong in itself; it is also shown beside its box.
        """
        values = {name: self.edit(name).optional_value() for name in self.names}
        return replace(
            self._given,
            **values,
            source=self.source.text().strip(),
            viscosities=self.trials.trials,
        )

    def readable_points(self) -> MeasuredPoints | None:
        """The values entered, or ``None`` (without saying so) while one is half typed."""
        if not (self.spread.is_valid() and all(self.edit(n).is_valid() for n in self.names)):
            return None
        return self.points()

    def tell(self, error: LehrkeeperError) -> bool:
        """Show a core error beside the value it names; False when it names none of these."""
        if error.field not in self.names:
            return False
        self.clear_told()
        self._told = error.field
        self.form.field(error.field).set_error(str(error))
        return True

    def clear_told(self) -> None:
        """Forget the core's error: another value may have mended it."""
        if self._told:
            field = self.form.field(self._told)
            field.set_error(self.edit(self._told).error)
            self._told = ""

    def set_read_only(self, *, read_only: bool) -> None:
        """Only show the values."""
        for name in self.names:
            self.edit(name).setReadOnly(read_only)
        self.spread.setReadOnly(read_only)
        self.source.setReadOnly(read_only)
        self.trials.set_read_only(read_only=read_only)

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self._units = units
        self.form.set_units(units)
        self.trials.set_units(units)
        self._set_units_help()

    def _on_spread(self) -> None:
        """One error for every temperature of the sheet; empty takes the usual ones again."""
        if self.spread.is_valid():
            given = self.spread.optional_value()
            self._given = replace(self._given, **{_error(p.key): given for p in FIXED_POINTS})
        self.changed.emit()

    def _set_units_help(self) -> None:
        usual = {STANDARD_ERROR[point.key] for point in FIXED_POINTS}
        low, high = (
            format_quantity(Quantity.INTERVAL, error, self._units, decimals=0, with_unit=False)
            for error in (min(usual), max(usual))
        )
        field = self.form.field("points_error")
        field.set_help(f"Temperatures; empty: {low} to {high}")


def _error(name: str) -> str:
    """Name of the error of a measured value in the core's dataclass."""
    return f"{name}_error"
