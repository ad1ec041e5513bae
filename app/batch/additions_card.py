"""Colourants, oxidisers and fining agents asked for by amount."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QToolButton, QVBoxLayout, QWidget

from app.theme import set_role, theme_of, themed_icon
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from core.batch.material import MaterialList, Use, oxides_of
from core.batch.request import Addition, Counted
from core.errors import BatchError, LehrkeeperError
from core.units import UnitChoice

_MOST = 0.3
_COUNTED = (
    ("as the target has it or not", None),
    ("on top of the target", Counted.ON_TOP),
    ("in the target already", Counted.IN_TARGET),
)
_IN_PPM = 1e-3
"""Share below which an amount is told in ppm as well."""


class AdditionRow(QFrame):
    """One addition: what, how much, and how it is counted.

    Signals
    -------
    changed()
    removed()
    """

    changed = Signal()
    removed = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.what = ChoiceBox()
        self.amount = QuantityEdit(Quantity.PERCENT, units=units, minimum=0.0, maximum=_MOST)
        self.counted = ChoiceBox(_COUNTED)
        self.remove = QToolButton()
        self.remove.setAutoRaise(True)
        self.remove.setToolTip("Leave this addition out")
        self.remove.setAccessibleName("Leave this addition out")
        self.form = Form(columns=2)
        self.form.add("material", "Material or oxide", self.what, span=2)
        self.form.add("percent", "Of the glass", self.amount, help_text="0.3 % or 200 ppm")
        self.form.add("counted", "Counted", self.counted)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(4)
        row.addWidget(self.form, 1)
        row.addWidget(self.remove)
        self.what.chosen.connect(lambda _: self.changed.emit())
        self.counted.chosen.connect(lambda _: self.changed.emit())
        self.amount.value_changed.connect(self._tell_ppm)
        self.amount.edited.connect(self.changed)
        self.remove.clicked.connect(self.removed)
        self._built = True
        self._tint()

    def addition(self) -> Addition:
        """The addition.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault; it is shown there.
        """
        counted = self.counted.value
        try:
            if self.what.value is None:
                raise BatchError(
                    "Nothing was chosen to add.",
                    field="material",
                    remedy="Choose a material or an oxide, or leave this line out.",
                )
            share = self.amount.require()
            return Addition(
                str(self.what.value), share, counted if isinstance(counted, Counted) else None
            )
        except LehrkeeperError as error:
            self.tell(error)
            raise

    def tell(self, error: LehrkeeperError) -> None:
        """Show an error beside the input it names."""
        field = error.field if error.field in self.form.fields else "material"
        self.form.field(field).set_error(str(error))

    def clear_told(self) -> None:
        """Forget what was found wrong with an earlier state."""
        self.form.field("material").clear_error()
        if not self.amount.error:
            self.form.field("percent").clear_error()

    def _tell_ppm(self, share: object) -> None:
        small = isinstance(share, float) and 0 < share < _IN_PPM
        text = f"{number_text(float(share) * 1e6, 1, trim=True)} ppm" if small else ""  # type: ignore[arg-type]
        self.form.field("percent").set_help(text or "0.3 % or 200 ppm")

    def _tint(self) -> None:
        self.remove.setIcon(themed_icon("remove", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


class AdditionsCard(QWidget):
    """All additions, with a button for one more.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._filling = False
        self._choices: list[tuple[str, object]] = []
        self.rows: list[AdditionRow] = []
        self.none = Label("None.", role="muted")
        self.add = QPushButton("Add one")
        set_role(self.add, "quiet")
        self._column = QVBoxLayout()
        self._column.setSpacing(6)
        row = QHBoxLayout()
        row.addWidget(self.add)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.none)
        column.addLayout(self._column)
        column.addLayout(row)
        self.add.clicked.connect(self._on_add)
        self._built = True
        self._tint()

    def show_materials(self, materials: MaterialList) -> None:
        """Offer these materials, those that only come by name first, then the oxides they bring."""
        by_use = sorted(materials, key=lambda one: one.use is Use.BASE)
        self._choices = [(material.name, material.name) for material in by_use]
        known = {material.name.casefold() for material in materials}
        self._choices += [
            (f"{oxide}, by the oxide", oxide)
            for oxide in oxides_of(materials)
            if oxide.casefold() not in known
        ]
        for row in self.rows:
            self._offer(row, row.what.value)

    def additions(self) -> tuple[Addition, ...]:
        """The additions; raises LehrkeeperError shown beside the input at fault."""
        return tuple(row.addition() for row in self.rows)

    def show_additions(self, additions: tuple[Addition, ...]) -> None:
        """Show these additions, without a signal."""
        self._filling = True
        while self.rows:
            self._drop(self.rows[0])
        for addition in additions:
            row = self._new_row(addition.name)
            row.amount.set_value_si(addition.share)
            row.counted.set_value(addition.counted)
        self._filling = False

    def tell(self, error: LehrkeeperError) -> bool:
        """Show an error beside the addition it names; False when it is about none."""
        if error.field not in {"material", "additions", "percent"} or not self.rows:
            return False
        row = next((r for r in self.rows if str(r.what.value) in error.message), self.rows[-1])
        row.tell(error)
        return True

    def clear_told(self) -> None:
        """Forget what was found wrong with an earlier state."""
        for row in self.rows:
            row.clear_told()

    def set_units(self, units: UnitChoice) -> None:
        """Nothing here depends on them but new rows' boxes."""
        self._units = units

    def _on_add(self) -> None:
        row = self._new_row(None)
        row.what.setFocus()
        # An empty line asks for nothing yet, so nothing is reckoned anew.

    def _new_row(self, name: str | None) -> AdditionRow:
        row = AdditionRow(self._units)
        self._offer(row, name)
        row.changed.connect(self._on_changed)
        row.removed.connect(lambda: self._on_removed(row))
        self.rows.append(row)
        self._column.addWidget(row)
        self.none.setVisible(False)
        return row

    def _offer(self, row: AdditionRow, name: object) -> None:
        """Offer the choices, with one the list no longer has kept in sight."""
        pairs = list(self._choices)
        if name is None:
            pairs.insert(0, ("choose", None))
        elif name not in [value for _, value in pairs]:
            pairs.insert(0, (str(name), name))
        before, self._filling = self._filling, True
        row.what.set_choices(pairs)
        row.what.set_value(name)
        self._filling = before

    def _on_changed(self) -> None:
        if not self._filling:
            self.changed.emit()

    def _on_removed(self, row: AdditionRow) -> None:
        self._drop(row)
        self.changed.emit()

    def _drop(self, row: AdditionRow) -> None:
        self.rows.remove(row)
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
        self.none.setVisible(not self.rows)

    def _tint(self) -> None:
        self.add.setIcon(themed_icon("add", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
