"""What happens at a pot in a few keystrokes: charged, gathered, skimmed, a level, a new pot."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
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

from app.furnace.kinds import CHOICES, Kind, kind_of, level_below
from app.furnace.words import mass_words
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.furnace.ledger import Charge, Pot
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import NewPot, Removal
from core.furnace.taken_out import pieces_out, weighed_out
from core.melt.pot_ledger import USUAL_DENSITY
from core.melt.pot_level import level_entry
from core.melt.pot_room import Fit, PotRoom, fit_of, room_in
from core.melt.pot_vessel import PotVessel
from core.units import UnitChoice

_HOW = {
    Kind.WEIGHED: Removal.GATHERED,
    Kind.SKIMMED: Removal.SKIMMED,
    Kind.DRAINED: Removal.DRAINED,
}
_MASS_LABELS = {Kind.PIECES: "&Mass of each"}


class PotForm(QStackedWidget):
    """The inputs of one entry; a hint where to enter a pot while there is none.

    Signals
    -------
    wanted()
        Enter was pressed in a filled-in form, or the button.
    pots_wanted()
        A person wants to enter a pot.
    pot_chosen(str)
        Another pot was chosen.
    """

    wanted = Signal()
    pots_wanted = Signal()
    pot_chosen = Signal(str)

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._pots: tuple[Pot, ...] = ()
        self._shapes: dict[str, PotVessel] = {}
        self._held: dict[str, float] = {}
        self._density: dict[str, float] = {}
        self._latest: dict[str, str] = {}
        self._units = units
        self._correcting = False
        self.pot = ChoiceBox()
        self.what = ChoiceBox(CHOICES)
        self.material = QLineEdit()
        self.material.setPlaceholderText("cullet, batch …")
        self._known = QStringListModel(self)
        completer = QCompleter(self._known, self)
        # Completed in the box itself, not in a list: Enter then writes the charge down at once.
        completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
        completer.setCaseSensitivity(Qt.CaseSensitivity.CaseInsensitive)
        self.material.setCompleter(completer)
        self.count = QuantityEdit(Quantity.COUNT, units=units, minimum=1, maximum=10_000)
        self.mass = QuantityEdit(Quantity.MASS, units=units, name="mass")
        self.level = QuantityEdit(Quantity.LENGTH, units=units, minimum=0.0, maximum=3.0)
        self.note = QLineEdit()
        self.note.setPlaceholderText("if there is something to say")
        self.record = QPushButton("Record charge")
        set_role(self.record, "primary")
        self.fields = {
            "pot": Field("&Pot", self.pot, name="pot"),
            "what": Field("&What was done", self.what, name="what"),
            "material": Field("Mate&rial", self.material, name="material"),
            "count": Field("P&ieces", self.count, name="count"),
            "mass": Field("&Mass", self.mass, name="mass"),
            "level": Field("Be&low the rim", self.level, name="level"),
            "note": Field("N&ote", self.note, name="note"),
        }
        self._lay_out()
        self.pot.chosen.connect(self._on_pot)
        self.what.chosen.connect(self._on_what)
        self.mass.value_changed.connect(self._look_at_mass)
        for box in (self.material, self.count, self.mass, self.level, self.note):
            box.returnPressed.connect(self._on_return)
        self.record.clicked.connect(self.wanted)
        self._show_kind()

    def _lay_out(self) -> None:
        form = QWidget()
        self._grid = QGridLayout(form)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(2)
        top = Qt.AlignmentFlag.AlignTop
        for place, names in enumerate((("pot",), ("what",), ("material", "count"))):
            for name in names:
                self._grid.addWidget(self.fields[name], 0, place, top)
            self._grid.setColumnStretch(place, 1)
        for name in ("mass", "level"):
            self._grid.addWidget(self.fields[name], 1, 0, top)
        last = QHBoxLayout()
        last.setSpacing(12)
        last.addWidget(self.fields["note"], 1, top)
        beside = QVBoxLayout()
        beside.setContentsMargins(0, self.fields["note"].label.sizeHint().height() + 3, 0, 0)
        beside.addWidget(self.record)
        beside.addStretch(1)
        last.addLayout(beside)
        self._grid.addLayout(last, 1, 1, 1, 2)
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

    @property
    def kind(self) -> Kind:
        """What was done, as chosen."""
        return Kind(str(self.what.value))

    def set_pots(
        self,
        pots: Sequence[Pot],
        chosen: str = "",
        shapes: Mapping[str, PotVessel] | None = None,
    ) -> None:
        """Offer these pots; ``chosen`` is taken if it is one of them and nothing was chosen."""
        before = self.pot.value
        self._pots = tuple(pots)
        self._shapes = dict(shapes or {})
        self.pot.set_choices([(pot.name, pot.name) for pot in pots])
        if before not in {pot.name for pot in pots} and chosen:
            self.pot.set_value(chosen)
        self.setCurrentIndex(0 if pots else 1)
        self._look_at_mass()

    def set_held(self, pot: str, mass: float | None, density: float = USUAL_DENSITY) -> None:
        """Tell how much glass [kg] a pot has, as its ledger says; ``None``: not known.

        ``density`` of the melt [kg/m3] turns levels into amounts.
        """
        self._density[pot] = density
        if mass is None:
            self._held.pop(pot, None)
        else:
            self._held[pot] = mass
        self._look_at_mass()

    def set_earlier(self, charges: Sequence[Charge], others: Sequence[str] = ()) -> None:
        """Complete materials from earlier charges, in order of time, and from other names.

        The newest come first.
        """
        newest = dict.fromkeys([*(charge.material for charge in reversed(charges)), *others])
        self._known.setStringList(list(newest))
        self._latest = {charge.pot: charge.material for charge in charges}
        if not self.material.text():
            self._on_pot()

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self._units = units
        self.mass.set_units(units)
        self.level.set_units(units)
        self._look_at_mass()

    # -- one entry --------------------------------------------------------------------------

    def entry(self, time: datetime) -> Charge | PotEntry:
        """What was typed, for this time.

        Raises
        ------
        LehrkeeperError
            If something is missing or impossible.
        """
        pot, note, kind = str(self.pot.value or ""), self.note.text().strip(), self.kind
        if kind is Kind.CHARGE:
            material = self._spelling(self.material.text().strip())
            return Charge(time, pot, material, self.mass.require(), note)
        if kind is Kind.NEW_POT:
            return PotEntry(pot, NewPot(time), note)
        if kind is Kind.PIECES:
            count, each = self.count.require(), self.mass.require()
            told = f"{count:.0f} pieces of {mass_words(each, self._units)}"
            return pieces_out(pot, time, count, each, f"{told}; {note}" if note else told)
        if kind is Kind.LEVEL:
            below, density = self.level.require(), self._density.get(pot, USUAL_DENSITY)
            told = level_below(below, self._units)
            words = f"{told}; {note}" if note else told
            return level_entry(pot, time, below, self._shapes.get(pot), density, words)
        return weighed_out(pot, time, self.mass.require(), _HOW[kind], note)

    def show_entry(self, entry: Charge | PotEntry) -> None:
        """Fill in an entry to be corrected."""
        kind = kind_of(entry)
        self.pot.set_value(entry.pot)
        self.what.set_value(kind)
        self.note.setText(entry.note)
        if isinstance(entry, Charge):
            self.material.setText(entry.material)
            self.mass.set_value_si(entry.mass)
        elif kind is Kind.LEVEL:
            self.level.set_value_si(None)
        elif not isinstance(entry.event, NewPot):
            self.mass.set_value_si(entry.event.mass)
        self._correcting = True
        self._show_kind()

    def stop_correcting(self) -> None:
        """Go back to new entries."""
        self._correcting = False
        self.what.set_value(Kind.CHARGE)
        self.start_next()
        self._show_kind()

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside its field; False when it belongs to none of them."""
        field = self.fields.get(error.field or "")
        if field is None or field.isHidden():
            return False
        field.set_error(str(error))
        field.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def start_next(self) -> None:
        """Make ready for the next entry of the same pot and kind."""
        for box in (self.mass, self.count, self.level):
            box.set_value_si(None)
        self.note.clear()
        if self.kind is Kind.NEW_POT:
            self.what.set_value(Kind.CHARGE)
        self._first_box().setFocus(Qt.FocusReason.OtherFocusReason)

    def room(self, pot_name: str) -> PotRoom | None:
        """Room in a pot; ``None`` where nobody knows what it holds."""
        pots = [pot for pot in self._pots if pot.name == pot_name]
        capacity = pots[0].capacity if pots else None
        shape = self._shapes.get(pot_name)
        if capacity is None and shape is not None:
            capacity = shape.capacity(USUAL_DENSITY)
        return None if capacity is None else room_in(capacity, self._held.get(pot_name, 0.0))

    def fit(self, charge: Charge) -> Fit:
        """Whether a charge goes into its pot; it does where nobody knows."""
        room = self.room(charge.pot)
        return Fit.FITS if room is None else fit_of(charge.mass, room)

    def _spelling(self, typed: str) -> str:
        """An earlier material however its capitals were typed this time."""
        known = {text.casefold(): text for text in reversed(self._known.stringList())}
        return known.get(typed.casefold(), typed)

    def _first_box(self) -> QLineEdit:
        return {Kind.PIECES: self.count, Kind.LEVEL: self.level, Kind.NEW_POT: self.note}.get(
            self.kind, self.mass
        )

    def _show_kind(self) -> None:
        kind = self.kind
        self.fields["material"].setVisible(kind is Kind.CHARGE)
        self.fields["count"].setVisible(kind is Kind.PIECES)
        self.fields["mass"].setVisible(kind not in {Kind.LEVEL, Kind.NEW_POT})
        self.fields["level"].setVisible(kind is Kind.LEVEL)
        self.fields["mass"].set_label(_MASS_LABELS.get(kind, "&Mass"))
        told = "Record charge" if kind is Kind.CHARGE else "Record"
        self.record.setText("Save correction" if self._correcting else told)
        for field in self.fields.values():
            field.clear_error()
        self._look_at_mass()

    def _on_what(self) -> None:
        self._show_kind()

    def _on_pot(self) -> None:
        pot = str(self.pot.value or "")
        latest = self._latest.get(pot, "")
        if latest and not self._correcting:
            self.material.setText(latest)
            self.fields["material"].clear_error()
        self._look_at_mass()
        self.pot_chosen.emit(pot)

    def _look_at_mass(self) -> None:
        name, mass = str(self.pot.value or ""), self.mass.value_si
        pots = [pot for pot in self._pots if pot.name == name]
        words = []
        if pots and pots[0].capacity is not None:
            words.append(f"Holds {mass_words(pots[0].capacity, self._units)}")
        if name in self._held:
            has = mass_words(self._held[name], self._units)
            words.append(f"has {has}" if words else f"Has {has}")
        self.fields["pot"].set_help(", ".join(words))
        room, note = self.room(name), ""
        if mass is not None and room is not None and self.kind is Kind.CHARGE:
            fit = fit_of(mass, room)
            if fit is Fit.TOO_MUCH:
                note = f"Over {mass_words(room.melted, self._units)}"
            elif fit is Fit.HEAPS_OVER:
                note = f"Over {mass_words(room.heaped, self._units)}, heaped"
        self.fields["mass"].set_note(note)

    def _on_return(self) -> None:
        wanted = {Kind.PIECES: (self.count, self.mass), Kind.LEVEL: (self.level,)}.get(
            self.kind, () if self.kind is Kind.NEW_POT else (self.mass,)
        )
        for box in wanted:
            if self.sender() is not box and not box.text().strip():
                box.setFocus(Qt.FocusReason.TabFocusReason)
                return
        self.wanted.emit()
