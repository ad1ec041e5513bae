"""A pot's entries in the book, read together and written one at a time."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from app.studio import Studio
from core.furnace.ledger import Charge, Pot
from core.furnace.pot_entry import PotEntry
from core.glass.library import shipped_glasses
from core.melt.pot_ledger import USUAL_DENSITY, PotLedger
from core.melt.pot_story import PotStory, pot_story
from core.melt.pot_vessel import PotVessel
from core.melt.standing_pot import StandingPot
from core.store.book import Book, ChargeRecord, PotEntryRecord

PotRecord = ChargeRecord | PotEntryRecord
"""One entry of a pot in the book."""


@dataclass(frozen=True)
class PotRow:
    """One line of a pot's ledger.

    Attributes
    ----------
    record : ChargeRecord or PotEntryRecord
    held : float or None
        Glass in the pot after it [kg]; ``None`` where the ledger does not tell.
    """

    record: PotRecord
    held: float | None

    @property
    def entry(self) -> Charge | PotEntry:
        """What happened."""
        return entry_of(self.record)

    @property
    def time(self) -> datetime:
        """When."""
        return self.entry.time


def entry_of(record: PotRecord) -> Charge | PotEntry:
    """What a record says happened."""
    return record.charge if isinstance(record, ChargeRecord) else record.entry


def pot_shapes(book: Book, pots: Sequence[Pot]) -> dict[str, PotVessel]:
    """Shapes of the pots of which one is known, by name."""
    found = {pot.name: book.pot_shape(pot.name) for pot in pots}
    return {name: shape for name, shape in found.items() if shape is not None}


def ledger_of(book: Book, pot: Pot, zone: tzinfo | None) -> PotLedger:
    """Everything written down of a pot."""
    own = {glass.name: glass for glass in book.glasses()}
    return PotLedger(
        pot=pot,
        charges=tuple(record.charge for record in book.charges(pot=pot.name)),
        entries=tuple(record.entry for record in book.pot_entries(pot=pot.name)),
        answers=tuple(record.answer for record in book.charged_glasses()),
        glasses={**shipped_glasses(), **own},
        readings=book.furnace_readings(pot.furnace),
        vessel=book.pot_shape(pot.name),
        zone=zone,
    )


def story_of(
    book: Book,
    pot: Pot,
    zone: tzinfo | None,
    now: datetime,
    *,
    cancelled: Callable[[], bool] | None = None,
) -> tuple[PotStory, tuple[PotRow, ...]]:
    """Read a pot's ledger and play it up to now, with its entries and what it held after each.

    For the background: a long book takes a while.
    """
    story = pot_story(ledger_of(book, pot, zone), now, cancelled=cancelled)
    return story, _rows(book, story)


def other_pots(book: Book, pot: Pot, studio: Studio) -> tuple[StandingPot, ...]:
    """The other pots of a furnace whose shape is known, with what their ledgers say they hold."""
    found = []
    for other in book.pots(pot.furnace):
        shape = book.pot_shape(other.name)
        if other.name != pot.name and shape is not None:
            held = ledger_of(book, other, studio.zone).held(studio.now())
            found.append(StandingPot(shape, min(held, shape.capacity(USUAL_DENSITY))))
    return tuple(found)


def _rows(book: Book, story: PotStory) -> tuple[PotRow, ...]:
    """A pot's entries with what it held after each, the newest first."""
    pot = story.ledger.pot.name
    records: list[PotRecord] = [*book.charges(pot=pot), *book.pot_entries(pot=pot)]
    # Entered in this order, so that the later of two at one time stands above.
    records.sort(key=lambda record: entry_of(record).time)
    rows = [PotRow(record, story.mass_at(entry_of(record).time)) for record in records]
    return tuple(reversed(rows))


def add_entry(book: Book, entry: Charge | PotEntry) -> PotRecord:
    """Enter a charge or another entry."""
    return book.add_charge(entry) if isinstance(entry, Charge) else book.add_pot_entry(entry)


def remove_entry(book: Book, record: PotRecord) -> None:
    """Take an entry out of the book."""
    if isinstance(record, ChargeRecord):
        book.delete_charge(record.id)
    else:
        book.delete_pot_entry(record.id)


def correct_entry(book: Book, record: PotRecord, entry: Charge | PotEntry) -> PotRecord:
    """Put another entry in the place of one."""
    if isinstance(record, ChargeRecord) and isinstance(entry, Charge):
        return book.change_charge(record.id, entry)
    if isinstance(record, PotEntryRecord) and isinstance(entry, PotEntry):
        return book.change_pot_entry(record.id, entry)
    added = add_entry(book, entry)
    remove_entry(book, record)
    return added
