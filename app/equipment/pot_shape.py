"""The shape of a pot: what turns a level into an amount of glass."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.furnace.words import mass_words
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import FurnaceError, LehrkeeperError
from core.melt.pot_ledger import USUAL_DENSITY
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import SHIPPED
from core.units import UnitChoice

_POTS = [name for name in SHIPPED if name.endswith("pot")]
_USUAL = "clay-alumina pot"
_OPTIONAL = ("bottom_diameter", "wall_thickness", "base_thickness", "freeboard")


class PotShape(QWidget):
    """Diameters and depth, all optional; with depth and rim the shape is known.

    Signals
    -------
    wanted()
        Enter was pressed.
    """

    wanted = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._material = SHIPPED[_USUAL]
        self._exposed = 1.0
        self.boxes = {
            name: QuantityEdit(
                Quantity.LENGTH, units=units, minimum=0.0, maximum=3.0, optional=True
            )
            for name in ("top_diameter", "depth", *_OPTIONAL)
        }
        self.material = ChoiceBox([(name, name) for name in _POTS])
        self.holds = Label(role="muted", wrap=True)
        self.form = Form(columns=3)
        add = self.form.add
        add("top_diameter", "Across the &rim", self.boxes["top_diameter"], help_text="Inside")
        add("bottom_diameter", "Across the f&loor", self.boxes["bottom_diameter"])
        add("depth", "&Deep", self.boxes["depth"], help_text="Floor to rim")
        add("wall_thickness", "Wall", self.boxes["wall_thickness"])
        add("base_thickness", "Floor", self.boxes["base_thickness"])
        add("freeboard", "Kept &free", self.boxes["freeboard"], help_text="Below the rim")
        add("material", "Made of", self.material, span=2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.form)
        column.addWidget(self.holds)
        for box in self.boxes.values():
            box.returnPressed.connect(self.wanted)
            box.value_changed.connect(lambda _: self._tell())
        self.show_vessel(None)

    def show_vessel(self, vessel: PotVessel | None) -> None:
        """Fill in a shape, or make ready for one."""
        self.form.clear_errors()
        for name, box in self.boxes.items():
            box.set_value_si(None if vessel is None else getattr(vessel, name))
        self._material = SHIPPED[_USUAL] if vessel is None else vessel.material
        self._exposed = 1.0 if vessel is None else vessel.exposed_share
        names = _POTS if self._material.name in _POTS else [*_POTS, self._material.name]
        self.material.set_choices([(name, name) for name in names])
        self.material.set_value(self._material.name)
        self._tell()

    def vessel(self, name: str) -> PotVessel | None:
        """The shape filled in; ``None`` while neither rim nor depth is.

        Raises
        ------
        LehrkeeperError
            If only one of them is, or a number is impossible.
        """
        values = {key: box.optional_value() for key, box in self.boxes.items()}
        top, depth = values["top_diameter"], values["depth"]
        if top is None and depth is None:
            return None
        for key, value in (("top_diameter", top), ("depth", depth)):
            if value is None:
                raise FurnaceError(
                    "Of the pot's shape both the rim and the depth are needed.",
                    field=key,
                    remedy="Give both, or leave both empty.",
                )
        given = {key: values[key] for key in _OPTIONAL if values[key] is not None}
        given.setdefault("bottom_diameter", top)
        chosen = str(self.material.value)
        material = self._material if chosen == self._material.name else SHIPPED[chosen]
        return PotVessel(
            name,
            top_diameter=top,
            depth=depth,
            exposed_share=self._exposed,
            material=material,
            **given,
        )

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside its field; False when it belongs to none."""
        return self.form.show_error(error)

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self._units = units
        self.form.set_units(units)
        self._tell()

    def _tell(self) -> None:
        try:
            vessel = self.vessel("pot")
        except LehrkeeperError:
            vessel = None
        if vessel is None:
            self.holds.setText("With rim and depth, levels read in the pot become amounts.")
        else:
            holds = mass_words(vessel.capacity(USUAL_DENSITY), self._units)
            self.holds.setText(f"Holds about {holds} of soda-lime glass up to the free height.")
