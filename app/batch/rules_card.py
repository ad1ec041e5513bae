"""Losses, weights of the oxides, limits on materials, and what decides between equals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.disclosure import Disclosure
from app.widgets.field import Field, Form
from app.widgets.label import Label
from app.widgets.number_grid import NumberColumn, NumberGrid, NumberRows
from app.widgets.quantity import Quantity, entry_text, read_quantity, scale_of
from core.batch.material import MaterialList
from core.batch.request import Bound, Prefer
from core.batch.volatilisation import USUAL_LOSSES, USUAL_LOSSES_SOURCE, usual_losses
from core.errors import BatchError, LehrkeeperError
from core.units import UnitChoice

_LOSSES = (
    f"Of what the raw materials bring. Grey: usual losses ({USUAL_LOSSES_SOURCE}). Yours differ: "
    "compare an analysis of your glass with its batch."
)
_FOLDED = "Weights of oxides, limits on materials, sizes"
_USUAL_WEIGHT = 1.0


def _number_column(
    title: str, quantity: Quantity, units: UnitChoice, usual: Mapping[str, float] | float | None
) -> NumberColumn:
    def of(name: str) -> float | None:
        return usual.get(name) if isinstance(usual, Mapping) else usual

    return NumberColumn(
        title,
        lambda text: read_quantity(text, quantity, units),
        lambda value: entry_text(quantity, value, units),
        of,
    )


class LossesCard(QWidget):
    """What the melt loses of each volatile oxide.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._others: tuple[str, ...] = ()
        column = _number_column("Lost %", Quantity.PERCENT, UnitChoice(), USUAL_LOSSES)
        self.rows = NumberRows("Oxide", [column])
        self.grid = NumberGrid(self.rows, name="volatilises")
        self.field = Field("&Losses in the melt", self.grid, name="volatilises", help_text=_LOSSES)
        self.none = Label("Nothing in this glass is volatile.", role="muted", wrap=True)
        self.usual = QPushButton("Usual losses again")
        self.nothing = QPushButton("No losses")
        row = QHBoxLayout()
        row.setSpacing(6)
        for button in (self.usual, self.nothing):
            set_role(button, "quiet")
            row.addWidget(button)
        row.addStretch(1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(4)
        layout.addWidget(self.none)
        layout.addWidget(self.field)
        layout.addLayout(row)
        self.grid.edited.connect(self.changed)
        self.usual.clicked.connect(self.rows.forget)
        self.nothing.clicked.connect(self._on_nothing)
        self.show_oxides(())

    def show_oxides(self, oxides: Sequence[str]) -> None:
        """List the volatile ones of these oxides."""
        known = usual_losses(oxides)
        self.rows.set_names([*known, *(oxide for oxide in self._others if oxide not in known)])
        there = bool(self.rows.names)
        self.none.setVisible(not there)
        for widget in (self.field, self.usual, self.nothing):
            widget.setVisible(there)

    def losses(self) -> dict[str, float]:
        """Share lost by oxide, typed or usual; raises BatchError when one cannot be read."""
        _refuse_unread(self.rows, "volatilises")
        return self.rows.values(0)

    def show_losses(self, losses: Mapping[str, float]) -> None:
        """Show these losses, 0 where there is none, without a signal."""
        known = {o: losses.get(o, 0.0) for o in (*USUAL_LOSSES, *losses)}
        self._others = tuple(o for o in losses if o not in USUAL_LOSSES)
        self.rows.set_values(0, {o: v for o, v in known.items() if v != USUAL_LOSSES.get(o)})

    def _on_nothing(self) -> None:
        self.show_losses({})
        self.changed.emit()


class RulesCard(QWidget):
    """The advanced part, folded away.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self.prefer = ChoiceBox(
            [
                ("the cheapest, where all have prices", None),
                ("the cheapest", Prefer.CHEAPEST),
                ("the one of fewest materials", Prefer.FEWEST),
            ]
        )
        self.sizes = QLineEdit()
        self.sizes.setPlaceholderText("20 40 80")
        self.weight_rows = NumberRows(
            "Oxide", [_number_column("Weight", Quantity.PLAIN, units, _USUAL_WEIGHT)]
        )
        self.weights = NumberGrid(self.weight_rows, name="weights")
        self.bound_rows = NumberRows("Material", self._bound_columns())
        self.bounds = NumberGrid(self.bound_rows, name="bounds")
        self.form = Form(columns=1)
        self.form.add("prefer", "Of batches equally near, take", self.prefer)
        self.form.add(
            "sizes", "Sheet also for melts of", self.sizes, help_text="kg of glass, with spaces"
        )
        self.form.add(
            "weights",
            "How much each oxide matters",
            self.weights,
            help_text="1 is usual; a colouring oxide that must stay low may have 10",
        )
        self.form.add(
            "bounds",
            "Limits on materials in this melt",
            self.bounds,
            help_text="At most 0 leaves a material out; both alike fix its weight",
        )
        self.part = Disclosure("Advanced", self.form)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.part)
        self.prefer.chosen.connect(lambda _: self._on_edited())
        self.sizes.textEdited.connect(lambda _: self._on_edited())
        self.weights.edited.connect(self._on_edited)
        self.bounds.edited.connect(self._on_edited)
        self._say()

    def _bound_columns(self) -> list[NumberColumn]:
        symbol = scale_of(Quantity.MASS, self._units).symbol
        return [
            _number_column(f"{which} {symbol}", Quantity.MASS, self._units, None)
            for which in ("At least", "At most")
        ]

    def show_oxides(self, oxides: Sequence[str]) -> None:
        """List these oxides for their weights."""
        self.weight_rows.set_names(oxides)

    def show_materials(self, materials: MaterialList) -> None:
        """List what leaves something in the glass for its limits."""
        self.bound_rows.set_names([one.name for one in materials if one.oxides])

    def prefers(self) -> Prefer | None:
        """What decides among equals."""
        return self.prefer.value if isinstance(self.prefer.value, Prefer) else None

    def weights_given(self) -> dict[str, float]:
        """Weights that were typed; raises BatchError when one cannot be read."""
        _refuse_unread(self.weight_rows, "weights")
        return self.weight_rows.typed_values(0)

    def bounds_given(self) -> dict[str, Bound]:
        """Limits that were typed; raises BatchError when they cannot be."""
        _refuse_unread(self.bound_rows, "bounds")
        low, high = (self.bound_rows.typed_values(column) for column in (0, 1))
        bounds = {}
        for name in self.bound_rows.names:
            if name in low or name in high:
                try:
                    bounds[name] = Bound(low.get(name, 0.0), high.get(name))
                except BatchError as error:
                    raise BatchError(
                        f"{name}: {error.message}", field="bounds", remedy=error.remedy
                    ) from error
        return bounds

    def sizes_wanted(self) -> tuple[float, ...]:
        """Other melts for the sheet's table [kg of glass]."""
        parts = self.sizes.text().replace(";", " ").split()
        return tuple(
            read_quantity(part, Quantity.MASS, UnitChoice(), field="sizes") for part in parts
        )

    def show_rules(
        self,
        prefer: Prefer | None,
        weights: Mapping[str, float],
        bounds: Mapping[str, Bound],
    ) -> None:
        """Show these rules, without a signal."""
        self.prefer.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.prefer.set_value(prefer)
        self.prefer.blockSignals(False)  # noqa: FBT003
        self.weight_rows.set_values(0, weights)
        self.bound_rows.set_values(0, {n: b.at_least for n, b in bounds.items() if b.at_least > 0})
        self.bound_rows.set_values(
            1, {n: b.at_most for n, b in bounds.items() if b.at_most is not None}
        )
        self._say()

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self._units = units
        self.bound_rows.set_columns(self._bound_columns())

    def tell(self, error: LehrkeeperError) -> bool:
        """Show an error beside the input it names; False when it is none of these."""
        name = (error.field or "").partition(".")[0]
        if name not in self.form.fields:
            return False
        self.form.field(name).set_error(str(error))
        self.part.open()
        return True

    def clear_told(self) -> None:
        """Forget what was found wrong with an earlier state."""
        for field in self.form.fields.values():
            field.set_error(getattr(field.editor, "error", ""))

    def _on_edited(self) -> None:
        self._say()
        self.changed.emit()

    def _say(self) -> None:
        weights = len(self.weight_rows.typed_values(0))
        limits = {*self.bound_rows.typed_values(0), *self.bound_rows.typed_values(1)}
        parts = [
            f"weights of {weights} oxides" if weights else "",
            f"limits on {', '.join(sorted(limits))}" if limits else "",
            "other melt sizes" if self.sizes.text().strip() else "",
        ]
        told = ", ".join(part for part in parts if part)
        self.part.set_summary(
            f"With {told}." if told else "Weights of oxides, limits on materials, sizes"
        )


def _refuse_unread(rows: NumberRows, field: str) -> None:
    if rows.problem:
        raise BatchError(rows.problem, field=field)
