"""A furnace, its pots with their shapes, and what it is built of."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.equipment.furnace_description import FurnaceDescription
from app.equipment.pot_shape import PotShape
from app.furnace.words import mass_words
from app.studio import Studio
from app.theme import set_role, themed_icon
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import FurnaceError, LehrkeeperError
from core.furnace.ledger import Pot
from core.units import UnitChoice

_POTS_HEIGHT = 118


class FurnaceForm(QScrollArea):
    """The furnace's name, and below it its pots.

    Signals
    -------
    changed()
        A person changed the furnace's name.
    name_wanted()
        Enter was pressed in the name.
    pot_told(str)
        What was done with a pot.
    pot_failed(object)
        The error, when it belongs to no field.
    """

    changed = Signal()
    name_wanted = Signal()
    pot_told = Signal(str)
    pot_failed = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._furnace = ""
        self._pot: Pot | None = None
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.name = QLineEdit()
        self.form = Form()
        self.form.add("name", "&Name", self.name, help_text="As it is called in the studio")
        self.table = DataTable(self._columns(), name="Pots of this furnace")
        self.table.setFixedHeight(_POTS_HEIGHT)
        self.pot_name = QLineEdit()
        self.capacity = QuantityEdit(
            Quantity.MASS, units=studio.units, minimum=0.1, maximum=100_000, optional=True
        )
        self.pot_form = Form(columns=2)
        self.pot_form.add("name", "&Pot", self.pot_name, help_text="Its name")
        self.pot_form.add(
            "capacity", "&Holds", self.capacity, help_text="Of glass; leave empty if not known"
        )
        self.shape = PotShape(studio.units)
        self.description = FurnaceDescription(studio)
        self.save_pot = QPushButton("Add pot")
        self.new_pot = QPushButton("Another pot")
        set_role(self.new_pot, "quiet")
        self.remove_pot = QPushButton("Remove pot")
        self.hint = Label("Save the furnace; then its pots are entered here.", role="muted")
        self._lay_out()
        self.name.textEdited.connect(lambda _: self.changed.emit())
        self.name.returnPressed.connect(self.name_wanted)
        self.table.row_selected.connect(self._on_pot)
        for box in (self.pot_name, self.capacity):
            box.returnPressed.connect(self._save_pot)
        self.save_pot.clicked.connect(self._save_pot)
        self.new_pot.clicked.connect(self.start_pot)
        self.remove_pot.clicked.connect(self._remove_pot)
        self.shape.wanted.connect(self._save_pot)
        self.description.told.connect(self.pot_told)
        self.description.failed.connect(self.pot_failed)
        self._built = True
        self._tint()
        self.show_furnace("")

    def _lay_out(self) -> None:
        card = QFrame()
        set_role(card, "card")
        column = QVBoxLayout(card)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        rule = QFrame()
        set_role(rule, "rule")
        heading = Label("Pots", role="heading")
        for widget in (self.form, rule, heading, self.hint):
            column.addWidget(widget)
        self.pots = QWidget()
        pots = QVBoxLayout(self.pots)
        pots.setContentsMargins(0, 0, 0, 0)
        pots.setSpacing(8)
        pots.addWidget(self.table)
        pots.addWidget(self.pot_form)
        pots.addWidget(self.shape)
        buttons = QHBoxLayout()
        buttons.addWidget(self.save_pot)
        buttons.addWidget(self.new_pot)
        buttons.addStretch(1)
        buttons.addWidget(self.remove_pot)
        pots.addLayout(buttons)
        column.addWidget(self.pots)
        inside = QWidget()
        inside.setObjectName("page")
        whole = QVBoxLayout(inside)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(10)
        whole.addWidget(card)
        whole.addWidget(self.description)
        whole.addStretch(1)
        self.setWidget(inside)

    # -- one furnace ------------------------------------------------------------------------

    def show_furnace(self, name: str) -> None:
        """Show a furnace and its pots; an empty name makes ready for a new one."""
        self._furnace = name
        self.name.setText(name)
        self.form.clear_errors()
        self.pots.setVisible(bool(name))
        self.hint.setVisible(not name)
        self.show_pots()
        self.start_pot(focus=False)
        self.description.show_furnace(name)

    def show_pots(self) -> None:
        """Read the pots from the book again."""
        try:
            pots = self._studio.book.pots(self._furnace) if self._furnace else ()
        except LehrkeeperError as error:
            self.pot_failed.emit(error)
            return
        self.table.set_rows(pots)

    def furnace_name(self) -> str:
        """The name as filled in."""
        return self.name.text().strip()

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside the furnace's name; False when it does not belong there."""
        return self.form.show_error(error)

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.pot_form.set_units(units)
        self.shape.set_units(units)
        self.description.set_units(units)
        self.table.set_columns(self._columns())

    # -- its pots ---------------------------------------------------------------------------

    def start_pot(self, *_: object, focus: bool = True) -> None:
        """Make ready for another pot."""
        self._pot = None
        self.table.clearSelection()
        self.pot_name.clear()
        self.capacity.set_value_si(None)
        self.shape.show_vessel(None)
        self.pot_form.clear_errors()
        self._show_buttons()
        if focus:
            self.pot_name.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_pot(self, pot: object) -> None:
        if isinstance(pot, Pot):
            self._pot = pot
            self.pot_name.setText(pot.name)
            self.capacity.set_value_si(pot.capacity)
            self._show_shape(pot)
            self.pot_form.clear_errors()
            self._show_buttons()

    def _show_shape(self, pot: Pot) -> None:
        try:
            self.shape.show_vessel(self._studio.book.pot_shape(pot.name))
        except LehrkeeperError as error:
            self.pot_failed.emit(error)

    def _show_buttons(self) -> None:
        known = self._pot is not None
        self.save_pot.setText("Save pot" if known else "Add pot")
        self.new_pot.setVisible(known)
        self.remove_pot.setVisible(known)

    def _save_pot(self) -> None:
        book, before = self._studio.book, self._pot
        try:
            pot = Pot(self.pot_name.text().strip(), self._furnace, self.capacity.optional_value())
            vessel = self.shape.vessel(pot.name)
            if before is None:
                self._refuse_known(pot.name)
            book.save_pot(pot, renamed_from=before.name if before else None)
            book.save_pot_shape(pot.name, vessel)
        except LehrkeeperError as error:
            self._show_pot_error(error)
            return
        self.show_pots()
        self.start_pot()
        self.pot_told.emit(f"Saved “{pot.name}”.")

    def _refuse_known(self, name: str) -> None:
        """A new pot must not silently change one of the same name."""
        if name in {pot.name for pot in self._studio.book.pots()}:
            raise FurnaceError(
                f"There is a pot called “{name}” already.",
                field="name",
                remedy="Choose another name.",
            )

    def _remove_pot(self) -> None:
        pot = self._pot
        if pot is None:
            return
        try:
            self._studio.book.delete_pot(pot.name)
        except LehrkeeperError as error:
            self._show_pot_error(error)
            return
        self.show_pots()
        self.start_pot()
        self.pot_told.emit(f"Removed “{pot.name}”.")

    def _show_pot_error(self, error: LehrkeeperError) -> None:
        if not self.pot_form.show_error(error) and not self.shape.show_error(error):
            self.pot_failed.emit(error)

    def _columns(self) -> list[Column]:
        def holds(pot: Pot) -> str:
            known = pot.capacity is not None
            return mass_words(pot.capacity, self._studio.units) if known else NOTHING

        return [
            Column("Pot", lambda pot: pot.name, stretch=True),
            Column("Holds", holds, numeric=True),
        ]

    def _tint(self) -> None:
        self.remove_pot.setIcon(themed_icon("remove"))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
