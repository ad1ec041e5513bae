"""How the night begins: after a day's work, or cold."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.load.reheating import REHEATING_LIMITS, Reheating, ReheatKind
from core.units import UnitChoice

_BOXES = {
    "strain": ("Strain in the pieces", Quantity.STRESS, "Core tension they bring along"),
    "lump": ("Largest lumps", Quantity.LENGTH, ""),
    "squeeze_temperature": ("Squeeze at", Quantity.TEMPERATURE, "Empty: from the viscosity"),
    "squeeze_time": ("Squeeze for", Quantity.DURATION, ""),
    "process_temperature": ("Melted at", Quantity.TEMPERATURE, "Empty: from the viscosity"),
    "process_time": ("Melted for", Quantity.DURATION, ""),
}
_OF_KIND = {
    None: (),
    ReheatKind.AGAIN: ("strain",),
    ReheatKind.CASTING: tuple(name for name in _BOXES if name != "strain"),
}


class ReheatForm(QWidget):
    """Asks how the night begins, and for a cold one what it takes to bring it up.

    Signals
    -------
    edited()
        Something was changed by hand.
    """

    edited = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._showing = False
        self._before: Reheating | None = None
        self.form = Form(columns=2)
        self.kind = ChoiceBox(
            [
                ("after the day's work", None),
                ("cold: pieces annealed again", ReheatKind.AGAIN),
                ("cold: cullet cast in moulds", ReheatKind.CASTING),
            ]
        )
        self.form.add("kind", "The night &begins", self.kind, span=2)
        self.boxes: dict[str, QuantityEdit] = {}
        for name, (label, quantity, hint) in _BOXES.items():
            low, high = REHEATING_LIMITS[name]
            box = QuantityEdit(quantity, units=units, minimum=low, maximum=high, optional=True)
            self.boxes[name] = box
            self.form.add(name, label, box, help_text=hint)
            box.edited.connect(self._on_edited)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        self.kind.chosen.connect(self._on_kind)
        self._fit()

    def show_reheating(self, reheating: Reheating | None) -> None:
        """Show how a load begins."""
        self._showing = True
        self._before = reheating
        self.form.clear_errors()
        self.kind.set_value(None if reheating is None else reheating.kind)
        for name, box in self.boxes.items():
            box.set_value_si(None if reheating is None else getattr(reheating, name))
        self._fit()
        self._showing = False

    def reheating(self) -> Reheating | None:
        """How the night begins, as entered.

        Raises
        ------
        LehrkeeperError
            If a box holds something that cannot be read, or cannot be.
        """
        kind = self.kind.value
        if kind is None:
            return None
        values = {}
        for name in _OF_KIND[ReheatKind(kind)]:
            value = self.boxes[name].optional_value()
            if value is not None:
                values[name] = value
        return Reheating(ReheatKind(kind), **values)

    def set_units(self, units: UnitChoice) -> None:
        """Show numbers in other units."""
        self.form.set_units(units)

    def _fit(self) -> None:
        kind = self.kind.value
        wanted = _OF_KIND[None if kind is None else ReheatKind(kind)]
        for name in _BOXES:
            self.form.field(name).setVisible(name in wanted)

    def _on_kind(self, _value: object) -> None:
        self._fit()
        self._on_edited()

    def _on_edited(self, *_: object) -> None:
        if not self._showing:
            self.edited.emit()
