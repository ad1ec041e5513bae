"""Where a furnace temperature and what happens at a pot are written down."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.furnace.pot_book import (
    PotRecord,
    add_entry,
    correct_entry,
    entry_of,
    pot_shapes,
    remove_entry,
)
from app.furnace.pot_form import PotForm
from app.furnace.time_entry import TimeEntry
from app.furnace.told_line import ToldLine
from app.furnace.words import Entry, entry_words, mass_words
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Weight
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.furnace.ledger import Charge, FurnaceReading
from core.melt.pot_room import Fit, PotRoom
from core.units import UnitChoice

_LARGE = 1.7
"""Size of the temperature's digits against ordinary text: read at arm's length."""
_IDLE = "Type a temperature or a charge and press Enter."
_POT_KEY = "furnace/pot"
_BESIDE = 800
"""Pixels of width from which temperature and pot stand side by side."""


class EntryCard(QFrame):
    """Time, temperature and pot; writes into the book, corrects and takes back again.

    Signals
    -------
    pots_wanted()
        A person wants to enter a pot.
    pot_chosen(str)
        Another pot was chosen.
    """

    pots_wanted = Signal()
    pot_chosen = Signal(str)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._studio = studio
        self._furnace = ""
        self.time = TimeEntry(studio)
        self.temperature = QuantityEdit(
            Quantity.TEMPERATURE, units=studio.units, name="temperature"
        )
        font = self.temperature.font()
        font.setPointSizeF(font.pointSizeF() * _LARGE)
        self.temperature.setFont(font)
        self.temperature_field = Field("&Temperature", self.temperature, name="temperature")
        self.record = QPushButton("Record")
        self.charge = PotForm(studio.units)
        self.told = ToldLine(_IDLE)
        self.today = Label(role="muted")
        self._corrected: PotRecord | None = None
        self._lay_out()
        self.charge.pots_wanted.connect(self.pots_wanted)
        self.temperature.returnPressed.connect(self.record_temperature)
        self.record.clicked.connect(self.record_temperature)
        self.charge.pot_chosen.connect(self.pot_chosen)
        self.charge.wanted.connect(self.record_charge)
        self.time.clock.time.returnPressed.connect(self.temperature.setFocus)

    def _lay_out(self) -> None:
        top = Qt.AlignmentFlag.AlignTop
        reading = QGridLayout()
        reading.setHorizontalSpacing(10)
        reading.setVerticalSpacing(2)
        reading.addWidget(self.temperature_field, 0, 0, top)
        beside = QVBoxLayout()
        beside.setContentsMargins(0, self.temperature_field.label.sizeHint().height() + 3, 0, 0)
        beside.addWidget(self.record)
        beside.addStretch(1)
        reading.addLayout(beside, 0, 1)
        reading.addWidget(self.time, 1, 0, 1, 2, top)
        reading.setRowStretch(2, 1)
        self.charge.set_first_row(self.temperature_field.sizeHint().height())
        between = QFrame()
        set_role(between, "rule")
        between.setFixedWidth(1)
        between.setStyleSheet("max-height: 16777215px;")
        self._both = both = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._between = between
        both.setSpacing(14)
        both.addLayout(reading, 2)
        both.addWidget(between)
        both.addWidget(self.charge, 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 10, 14, 6)
        column.setSpacing(0)
        column.addLayout(both)
        last = QHBoxLayout()
        last.setSpacing(10)
        last.addWidget(self.told, 1)
        last.addWidget(self.today)
        column.addLayout(last)

    def arrange(self, width: int) -> None:
        """Put the pot below the temperature where there is little room [pixels]."""
        way = QBoxLayout.Direction
        wide = width >= _BESIDE
        self._both.setDirection(way.LeftToRight if wide else way.TopToBottom)
        self._between.setVisible(wide)

    # -- what can be chosen -----------------------------------------------------------------

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.temperature.set_units(units)
        self.charge.set_units(units)

    def show_furnace(self, furnace: str) -> None:
        """Write down for this furnace: offer its pots and the materials charged before."""
        self._furnace = furnace
        book = self._studio.book
        pots = book.pots(furnace) if furnace else ()
        kept = self._studio.settings.text(_POT_KEY)
        self.charge.set_pots(pots, kept, pot_shapes(book, pots))
        charges = [record.charge for record in book.charges()]
        self.charge.set_earlier(charges, [glass.name for glass in book.glasses()])

    # -- writing down -----------------------------------------------------------------------

    def record_temperature(self) -> None:
        """Write the temperature down; what is wrong is shown beside its field."""
        try:
            kelvin = self.temperature.require()
            reading = FurnaceReading(self.time.moment(), self._furnace, kelvin)
            self._studio.book.add_furnace_reading(reading)
        except LehrkeeperError as error:
            self._show_error(error)
            return
        self.temperature.set_value_si(None)
        self.temperature.setFocus(Qt.FocusReason.OtherFocusReason)
        self._tell_recorded(reading)

    def record_charge(self) -> None:
        """Write the entry down, or its correction; what is wrong is shown beside its field."""
        book, before = self._studio.book, self._corrected
        try:
            entry = self.charge.entry(self.time.moment())
            fit = self.charge.fit(entry) if isinstance(entry, Charge) else Fit.FITS
            room = self.charge.room(entry.pot)
            if before is not None:
                record = correct_entry(book, before, entry)
            else:
                record = add_entry(book, entry)
        except LehrkeeperError as error:
            self._show_error(error)
            return
        self._studio.settings.set_text(_POT_KEY, entry.pot)
        if before is not None:
            self._stop_correcting()
            self._tell_corrected(before, record)
            return
        self.charge.start_next()
        self._tell_recorded(record, fit, room)

    def correct(self, record: PotRecord) -> None:
        """Fill an entry in again; what is then written down takes its place."""
        self._corrected = record
        entry = entry_of(record)
        self.time.hold(entry.time)
        self.charge.show_entry(entry)
        self.told.tell(
            Weight.INFORMATION,
            f"Correcting {self._words(record)}.",
            action="Leave it as it was",
            act=self._leave_as_it_was,
        )

    def _leave_as_it_was(self) -> None:
        self._stop_correcting()
        self.told.clear()

    def _stop_correcting(self) -> None:
        self._corrected = None
        self.time.back_to_now()
        self.charge.stop_correcting()

    def _tell_corrected(self, before: PotRecord, record: PotRecord) -> None:
        self.told.tell(
            Weight.GOOD,
            f"Corrected: {self._words(record)}.",
            action="As it was before",
            act=lambda: self._undo_correction(record, before),
        )
        self._studio.tell_changed("furnace")

    def _undo_correction(self, record: PotRecord, before: PotRecord) -> None:
        try:
            again = correct_entry(self._studio.book, record, entry_of(before))
        except LehrkeeperError as error:
            self.told.tell_error(error)
            return
        self.told.tell(Weight.GOOD, f"As it was: {self._words(again)}.")
        self._studio.tell_changed("furnace")

    def remove(self, entry: Entry) -> None:
        """Take an entry out of the book and offer to put it back."""
        book = self._studio.book
        try:
            if isinstance(entry, FurnaceReading):
                book.delete_furnace_reading(entry.furnace, entry.time)
            else:
                remove_entry(book, entry)
        except LehrkeeperError as error:
            self.told.tell_error(error)
            return
        if self._corrected == entry:
            self._stop_correcting()
        self.told.tell(
            Weight.INFORMATION,
            f"Removed: {self._words(entry)}.",
            action="Put it back",
            act=lambda: self._put_back(entry),
        )
        self._studio.tell_changed("furnace")

    def _put_back(self, entry: Entry) -> None:
        book = self._studio.book
        try:
            if isinstance(entry, FurnaceReading):
                book.add_furnace_reading(entry)
            else:
                entry = add_entry(book, entry_of(entry))
        except LehrkeeperError as error:
            self.told.tell_error(error)
            return
        self.told.tell(Weight.GOOD, f"Put back: {self._words(entry)}.")
        self._studio.tell_changed("furnace")

    def _tell_recorded(
        self, entry: Entry, fit: Fit = Fit.FITS, room: PotRoom | None = None
    ) -> None:
        weight, text = Weight.GOOD, f"Recorded {self._words(entry)}."
        if fit is not Fit.FITS and room is not None:
            weight = Weight.CAUTION
            units = self._studio.units
            if fit is Fit.TOO_MUCH:
                text += (
                    f" That is more than the {mass_words(room.melted, units)} the pot has room "
                    "for: is it right?"
                )
            else:
                text += (
                    f" It heaps over the rim: a heap takes twice the room of glass, and there is "
                    f"room for {mass_words(room.heaped, units)} now."
                )
        self.told.tell(weight, text, action="Take it back", act=lambda: self.remove(entry))
        self._studio.tell_changed("furnace")

    def _show_error(self, error: LehrkeeperError) -> None:
        if error.field == "time":
            self.time.set_error(str(error))
            self.time.clock.time.setFocus(Qt.FocusReason.OtherFocusReason)
        elif error.field == "temperature":
            self.temperature_field.set_error(str(error))
            self.temperature.setFocus(Qt.FocusReason.OtherFocusReason)
        elif not self.charge.show_error(error):
            self.told.tell_error(error)

    def _words(self, entry: Entry) -> str:
        studio = self._studio
        return entry_words(entry, studio.units, now=studio.now(), zone=studio.zone)
