"""How much is melted, how much of it is cullet, and what the scales read to."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.batch.glass_choice import GlassChoices
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.batch.request import DIVISION, MELT_SIZE, Cullet, MeltSize
from core.batch.request_file import DEFAULT_SIZE
from core.errors import BatchError
from core.glass.glass import Glass
from core.units import UnitChoice

DIVISIONS = (0.01, 0.0001)
"""[kg] What the scales read to before anybody says: 10 g and 0.1 g."""


class MeltCard(QWidget):
    """Size of the melt, cullet, and the scales.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._choices = GlassChoices.of(())
        self._kept: Cullet | None = None
        self._filling = False
        low, high = MELT_SIZE
        self.size = QuantityEdit(
            Quantity.MASS, units=units, minimum=low, maximum=high, value=DEFAULT_SIZE
        )
        self.size_of = ChoiceBox(
            [("of glass in the pot", MeltSize.GLASS), ("weighed out in all", MeltSize.BATCH)]
        )
        self.cullet = ChoiceBox()
        self.share = QuantityEdit(
            Quantity.PERCENT, units=units, minimum=0.0, maximum=1.0, value=0.3
        )
        self.price = QuantityEdit(Quantity.PLAIN, units=units, minimum=0.0, optional=True)
        self.division = self._scale(units, DIVISIONS[0])
        self.fine = self._scale(units, DIVISIONS[1])
        self.form = Form(columns=2)
        self.form.add("size", "&Melt", self.size)
        self.form.add("size_of", "Counted as", self.size_of)
        self.form.add("cullet", "&Cullet", self.cullet, span=2)
        self.form.add("share", "Share of the glass", self.share)
        self.form.add("price", "Its price per kg", self.price, help_text="Empty: not counted")
        self.form.add("division", "&Scale reads to", self.division)
        self.form.add(
            "fine_division", "F&ine scale reads to", self.fine, help_text="For small weights"
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        for edit in (self.size, self.share, self.price, self.division, self.fine):
            edit.edited.connect(self._on_edited)
        self.size_of.chosen.connect(lambda _: self._on_edited())
        self.cullet.chosen.connect(self._on_cullet)
        self.show_choices(self._choices)
        self._show_cullet_fields()

    @staticmethod
    def _scale(units: UnitChoice, value: float) -> QuantityEdit:
        low, high = DIVISION
        return QuantityEdit(Quantity.GRAMS, units=units, minimum=low, maximum=high, value=value)

    def show_choices(self, choices: GlassChoices) -> None:
        """Offer these glasses as cullet, keeping what is chosen."""
        self._filling = True
        self._choices = choices
        pairs = choices.pairs("none")
        if self._kept is not None:
            pairs.insert(1, (self._kept.name, self._kept))
        self.cullet.set_choices(pairs)
        self._filling = False

    def made_cullet(self) -> Cullet | None:
        """The cullet, if there is any.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault.
        """
        chosen = self.cullet.value
        if chosen is None:
            return None
        share, price = self.share.require(), self.price.optional_value()
        if isinstance(chosen, Cullet):
            return Cullet(chosen.name, chosen.composition, share, price)
        glass = self._choices.glass(chosen)
        if glass is None or glass.composition is None:
            raise BatchError(
                "This cullet's analysis is not known.", field="cullet", remedy="Choose another."
            )
        return Cullet(_cullet_name(glass), glass.composition, share, price)

    def show_melt(
        self,
        size: float,
        size_of: MeltSize,
        cullet: Cullet | None,
        divisions: tuple[float, float],
    ) -> None:
        """Show a melt, without a signal."""
        self._filling = True
        self.size.set_value_si(size)
        self.size_of.set_value(size_of)
        self.division.set_value_si(divisions[0])
        self.fine.set_value_si(divisions[1])
        self._kept = cullet
        self.show_choices(self._choices)
        self._filling = True
        self.cullet.set_value(cullet)
        if cullet is not None:
            self.share.set_value_si(cullet.share)
            self.price.set_value_si(cullet.price)
        self._filling = False
        self._show_cullet_fields()

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self.form.set_units(units)

    def _on_cullet(self, _: object) -> None:
        if not self._filling:
            self._show_cullet_fields()
            self.changed.emit()

    def _on_edited(self) -> None:
        if not self._filling:
            self.changed.emit()

    def _show_cullet_fields(self) -> None:
        there = self.cullet.value is not None
        for name in ("share", "price"):
            self.form.field(name).setVisible(there)


def _cullet_name(glass: Glass) -> str:
    return f"cullet, {glass.name}"
