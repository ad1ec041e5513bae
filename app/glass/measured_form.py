"""Entry of measured points from a supplier's sheet."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.glass.words import short_name
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import MeasuredPoints
from core.units import UnitChoice

_OTHER = (
    ("expansion", "Expansion", Quantity.EXPANSION, "mean, 20–300 °C"),
    ("density", "Density", Quantity.DENSITY, ""),
    ("youngs_modulus", "Young's modulus", Quantity.MODULUS, ""),
)


class MeasuredForm(QWidget):
    """The five temperatures, expansion, density and stiffness of a sheet; all may stay empty.

    Signals
    -------
    changed()
        A person changed a value.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.form = Form(columns=2)
        self._told = ""
        for point in FIXED_POINTS:
            edit = QuantityEdit(Quantity.TEMPERATURE, units=units, optional=True)
            field = self.form.add(point.key, short_name(point), edit)
            field.label.setToolTip(f"{point.standard}. {point.meaning}")
        for name, label, quantity, told in _OTHER:
            edit = QuantityEdit(quantity, units=units, optional=True)
            self.form.add(name, label, edit, help_text=told)
        self.source = QLineEdit()
        self.form.add("measured_source", "From which sheet or trial", self.source, span=2)
        for name in self.names:
            self.edit(name).edited.connect(self.changed)
        self.source.textEdited.connect(self.changed)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)

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
        self.source.setText(points.source)

    def points(self) -> MeasuredPoints:
        """The values entered.

        Raises
        ------
        UnitError
            If a number is wrong in itself; it is also shown beside its box.
        """
        values = {name: self.edit(name).optional_value() for name in self.names}
        return MeasuredPoints(**values, source=self.source.text().strip())

    def readable_points(self) -> MeasuredPoints | None:
        """The values entered, or ``None`` (without saying so) while one is half typed."""
        if not all(self.edit(name).is_valid() for name in self.names):
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
        self.source.setReadOnly(read_only)

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self.form.set_units(units)
