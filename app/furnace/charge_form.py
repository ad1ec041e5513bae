"""A pot charge in a few keystrokes: pot, material, mass, note; Enter writes it down."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import QStringListModel, Qt, Signal
from PySide6.QtWidgets import (
    QCompleter,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.furnace.words import mass_words
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.furnace.charged import overfills
from core.furnace.ledger import Charge, Pot
from core.units import UnitChoice


class ChargeForm(QStackedWidget):
    """The inputs of one charge; a hint where to enter a pot while there is none.

    Signals
    -------
    wanted()
        Enter was pressed in a filled-in form, or the button.
    pots_wanted()
        A person wants to enter a pot.
    """

    wanted = Signal()
    pots_wanted = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pots: tuple[Pot, ...] = ()
        self._latest: dict[str, str] = {}
        self._units = units
        self.pot = ChoiceBox()
        self.material = QLineEdit()
        self.material.setPlaceholderText("cullet, batch …")
        self._known = QStringListModel(self)
        completer = QCompleter(self._known, self)
        # Completed in the box itself, not in a list: Enter then writes the charge down at once.
        completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.material.setCompleter(completer)
        self.mass = QuantityEdit(Quantity.MASS, units=units, name="mass")
        self.note = QLineEdit()
        self.note.setPlaceholderText("if there is something to say")
        self.record = QPushButton("Record charge")
        set_role(self.record, "primary")
        self.fields = {
            "pot": Field("&Pot", self.pot, name="pot"),
            "material": Field("Mate&rial", self.material, name="material"),
            "mass": Field("&Mass", self.mass, name="mass"),
            "note": Field("N&ote", self.note, name="note"),
        }
        self._lay_out()
        self.pot.chosen.connect(self._on_pot)
        self.mass.value_changed.connect(self._look_at_mass)
        for box in (self.material, self.mass, self.note):
            box.returnPressed.connect(self._on_return)
        self.record.clicked.connect(self.wanted)

    def _lay_out(self) -> None:
        form = QWidget()
        self._grid = QGridLayout(form)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(2)
        top = Qt.AlignmentFlag.AlignTop
        for place, (name, share) in enumerate((("pot", 4), ("material", 4), ("mass", 3))):
            self._grid.addWidget(self.fields[name], 0, place, top)
            self._grid.setColumnStretch(place, share)
        last = QHBoxLayout()
        last.setSpacing(12)
        last.addWidget(self.fields["note"], 1, top)
        beside = QVBoxLayout()
        beside.setContentsMargins(0, self.fields["note"].label.sizeHint().height() + 3, 0, 0)
        beside.addWidget(self.record)
        beside.addStretch(1)
        last.addLayout(beside)
        self._grid.addLayout(last, 1, 0, 1, 3)
        self._grid.setRowStretch(2, 1)
        self.addWidget(form)
        hint = Label(
            "A charge goes into a pot, and this furnace has none yet.", role="muted", wrap=True
        )
        self.add_pot = QPushButton("Add a pot")
        self.add_pot.clicked.connect(self.pots_wanted)
        self.empty = QWidget()
        column = QVBoxLayout(self.empty)
        column.addStretch(1)
        column.addWidget(hint)
        column.addWidget(self.add_pot, 0, Qt.AlignmentFlag.AlignLeft)
        column.addStretch(2)
        self.addWidget(self.empty)

    def set_first_row(self, height: int) -> None:
        """Make the first row as high as its neighbour's, so that the second ones are level."""
        self._grid.setRowMinimumHeight(0, height)

    # -- what can be chosen -----------------------------------------------------------------

    def set_pots(self, pots: Sequence[Pot], chosen: str = "") -> None:
        """Offer these pots; ``chosen`` is taken if it is one of them and nothing was chosen."""
        before = self.pot.value
        self._pots = tuple(pots)
        self.pot.set_choices([(pot.name, pot.name) for pot in pots])
        if before not in {pot.name for pot in pots} and chosen:
            self.pot.set_value(chosen)
        self.setCurrentIndex(0 if pots else 1)
        self._look_at_mass()

    def set_earlier(self, charges: Sequence[Charge]) -> None:
        """Complete materials from earlier charges, in order of time; the newest come first."""
        newest = dict.fromkeys(charge.material for charge in reversed(charges))
        self._known.setStringList(list(newest))
        self._latest = {charge.pot: charge.material for charge in charges}
        if not self.material.text():
            self._on_pot()

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self._units = units
        self.mass.set_units(units)
        self._look_at_mass()

    # -- one charge -------------------------------------------------------------------------

    def charge(self, time: datetime) -> Charge:
        """What was typed, for this time.

        Raises
        ------
        LehrkeeperError
            If something is missing or impossible.
        """
        return Charge(
            time=time,
            pot=str(self.pot.value or ""),
            material=self._spelling(self.material.text().strip()),
            mass=self.mass.require(),
            note=self.note.text().strip(),
        )

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside its field; False when it belongs to none of them."""
        field = self.fields.get(error.field or "")
        if field is None:
            return False
        field.set_error(str(error))
        field.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def start_next(self) -> None:
        """Make ready for the next charge of the same pot."""
        self.mass.set_value_si(None)
        self.note.clear()
        self.mass.setFocus(Qt.FocusReason.OtherFocusReason)

    def overfilled(self, charge: Charge) -> Pot | None:
        """The pot, if the charge alone is more than it holds."""
        pots = [pot for pot in self._pots if pot.name == charge.pot]
        return pots[0] if pots and overfills(charge.mass, pots[0]) else None

    def _spelling(self, typed: str) -> str:
        """An earlier material however its capitals were typed this time."""
        known = {text.casefold(): text for text in reversed(self._known.stringList())}
        return known.get(typed.casefold(), typed)

    def _on_pot(self) -> None:
        latest = self._latest.get(str(self.pot.value or ""), "")
        if latest:
            self.material.setText(latest)
            self.fields["material"].clear_error()
        self._look_at_mass()

    def _look_at_mass(self) -> None:
        mass = self.mass.value_si
        pots = [pot for pot in self._pots if pot.name == self.pot.value]
        pot = pots[0] if pots else None
        known = pot is not None and pot.capacity is not None
        holds = mass_words(pot.capacity, self._units) if known else ""
        self.fields["pot"].set_help(f"Holds {holds}" if holds else "")
        over = mass is not None and pot is not None and overfills(mass, pot)
        self.fields["mass"].set_note(f"Over {holds}" if over else "")

    def _on_return(self) -> None:
        if self.sender() is not self.mass and not self.mass.text().strip():
            self.mass.setFocus(Qt.FocusReason.TabFocusReason)
        else:
            self.wanted.emit()
