"""How far a new thermocouple may be off, to judge an offset by."""

from __future__ import annotations

from PySide6.QtWidgets import QWidget

from app.studio import Studio
from app.widgets.choice_box import ChoiceBox
from app.widgets.quantity import Quantity, format_quantity
from core.equipment.thermocouple import ThermocoupleType, tolerance
from core.units import ZERO_CELSIUS

_KEY = "equipment/wire"
_ANNEALING = ZERO_CELSIUS + 520.0
"""About where soda-lime glass is soaked [K]."""


class WireChoice(ChoiceBox):
    """Type and class of the wire; kept as a preference, since no plan depends on it."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        choices = [
            (f"Type {kind}, class {number}", f"{kind.value}{number}")
            for kind in ThermocoupleType
            for number in (1, 2)
        ]
        super().__init__(choices, parent)
        self._studio = studio
        self.set_value(studio.settings.text(_KEY, "K2"))
        self.chosen.connect(lambda value: studio.settings.set_text(_KEY, str(value)))

    def words(self) -> str:
        """The tolerance of new wire at annealing heat."""
        text = str(self.value)
        off = tolerance(ThermocoupleType(text[0]), _ANNEALING, tolerance_class=int(text[1]))
        units = self._studio.units
        return (
            f"New, it may be off by {format_quantity(Quantity.INTERVAL, off, units)} at "
            f"{format_quantity(Quantity.TEMPERATURE, _ANNEALING, units)}; old, by more"
        )
