"""Hand-warm temperature and stress limits, each with the reason for its usual value."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.field import Form
from app.widgets.quantity import Quantity, format_quantity
from app.widgets.quantity_edit import QuantityEdit
from core.load.load import Load, StressLimits
from core.units import ZERO_CELSIUS, UnitChoice

_USUAL = StressLimits()
_USUAL_HAND_WARM = Load.hand_warm
_USUAL_ABOVE = Load.soak_above_annealing

_STRESSES = {
    "permanent_tension": (
        "Tension left in the core",
        (
            "Usual 0.4 MPa: about 10 nm/cm, the fine anneal of ISO 10110-2. With a safety factor "
            "of 2 the formula allows 0.2 MPa, as handbook annealing tables imply."
        ),
    ),
    "permanent_wall_base": (
        "Stress left between wall and base",
        "Usual 2.1 MPa: one temper number of ASTM C148, for full restraint.",
    ),
    "temporary_tension": (
        "Tension in the skin while cooling",
        "Usual 7 MPa: halved it is what the handbook table for ordinary ware implies.",
    ),
    "temporary_wall_base": (
        "Wall against base while cooling",
        "Usual 19 MPa: design stress of annealed float glass, for full restraint.",
    ),
}


class LimitsPanel(QWidget):
    """The numbers the curve rests on.

    Signals
    -------
    edited()
        Something was changed by hand.
    """

    edited = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._showing = False
        self.form = Form(columns=1)
        self.hand_warm = QuantityEdit(
            Quantity.TEMPERATURE,
            units=units,
            minimum=ZERO_CELSIUS + 15.0,
            maximum=ZERO_CELSIUS + 80.0,
        )
        self.above = QuantityEdit(Quantity.INTERVAL, units=units, minimum=0.0, maximum=40.0)
        self.factor = QuantityEdit(Quantity.PLAIN, units=units, minimum=1.0, maximum=20.0)
        self.form.add(
            "hand_warm",
            "&Hand-warm at",
            self.hand_warm,
            help_text="Temperature of the glass itself, in the middle of the thickest part",
        )
        self.form.add(
            "soak_above_annealing",
            "Soak above the &annealing point by",
            self.above,
            help_text=self._usual_above(units),
        )
        self.form.add(
            "safety_factor",
            "Safety &factor",
            self.factor,
            help_text="Usual 2: covers the relaxation of the glass (about two thirds more) and the "
            "scatter of its constants. Every limit below is divided by it.",
        )
        self.stresses: dict[str, QuantityEdit] = {}
        for name, (label, reason) in _STRESSES.items():
            box = QuantityEdit(Quantity.STRESS, units=units, minimum=0.01e6, maximum=100e6)
            self.stresses[name] = box
            self.form.add(name, label, box, help_text=reason)
        self.usual = QPushButton("Back to the usual values")
        set_role(self.usual, "quiet")
        self.usual.clicked.connect(self._use_usual)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 6, 0)
        column.setSpacing(4)
        column.addWidget(self.form)
        column.addWidget(self.usual)
        column.addStretch(1)
        for box in self._boxes():
            box.edited.connect(self._on_edited)
        self._show(_USUAL, _USUAL_HAND_WARM, _USUAL_ABOVE)

    def set_units(self, units: UnitChoice) -> None:
        """Show temperatures in other units."""
        self._units = units
        self.form.set_units(units)
        self.form.field("soak_above_annealing").set_help(self._usual_above(units))

    def _usual_above(self, units: UnitChoice) -> str:
        usual = format_quantity(Quantity.INTERVAL, _USUAL_ABOVE, units, decimals=0)
        return f"Usual {usual}: handbook practice"

    def show_load(self, load: Load) -> None:
        """Show a load's limits."""
        self._show(load.limits, load.hand_warm, load.soak_above_annealing)

    def limits(self) -> StressLimits:
        """The stress limits entered; raises like :meth:`hand_warm_temperature`."""
        return StressLimits(
            **{name: box.require() for name, box in self.stresses.items()},
            safety_factor=self.factor.require(),
        )

    def hand_warm_temperature(self) -> float:
        """Hand-warm temperature [K].

        Raises
        ------
        UnitError
            If the box holds something that cannot be read; it is shown beside it as well.
        """
        return self.hand_warm.require()

    def soak_above(self) -> float:
        """How far [K] above the annealing point the soak lies; raises as above."""
        return self.above.require()

    def summary(self) -> str:
        """The limits in a few words."""
        warm = format_quantity(Quantity.TEMPERATURE, self.hand_warm.value_si, self._units)
        usual = all(
            box.value_si == getattr(_USUAL, name) for name, box in self.stresses.items()
        ) and (self.factor.value_si == _USUAL.safety_factor)
        return f"{'as usual' if usual else 'your own'}, hand-warm {warm}"

    def _boxes(self) -> tuple[QuantityEdit, ...]:
        return (self.hand_warm, self.above, self.factor, *self.stresses.values())

    def _show(self, limits: StressLimits, hand_warm: float, above: float) -> None:
        self._showing = True
        self.form.clear_errors()
        self.hand_warm.set_value_si(hand_warm)
        self.above.set_value_si(above)
        self.factor.set_value_si(limits.safety_factor)
        for name, box in self.stresses.items():
            box.set_value_si(getattr(limits, name))
        self._showing = False

    def _use_usual(self) -> None:
        self._show(_USUAL, _USUAL_HAND_WARM, _USUAL_ABOVE)
        self.edited.emit()

    def _on_edited(self, *_: object) -> None:
        if not self._showing:
            self.edited.emit()
