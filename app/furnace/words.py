"""Words for what was written down at the furnace."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, tzinfo

from app.local_time import clock_text, day_and_clock, to_local
from app.widgets.quantity import Quantity, format_quantity, number_text, scale_of
from core.furnace.charged import DayCharged
from core.furnace.ledger import Charge, FurnaceReading
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen, NewPot, Removal
from core.store.book import ChargeRecord, PotEntryRecord
from core.units import UnitChoice

Entry = ChargeRecord | PotEntryRecord | FurnaceReading
"""One line of what was written down."""

_REMOVED = {
    Removal.GATHERED: "gathered from",
    Removal.SKIMMED: "skimmed off",
    Removal.DRAINED: "drained from",
}


def time_of(entry: Entry) -> datetime:
    """When it happened."""
    if isinstance(entry, PotEntryRecord):
        return entry.entry.time
    return entry.charge.time if isinstance(entry, ChargeRecord) else entry.time


def done_words(entry: Charge | PotEntry) -> str:
    """What was done: the material charged, or “gathered”, “level seen”."""
    if isinstance(entry, Charge):
        return entry.material
    if isinstance(entry.event, NewPot):
        return "new pot set in"
    if isinstance(entry.event, LevelSeen):
        return "level seen"
    return str(_REMOVED[entry.event.how].removesuffix(" from"))


def mass_words(mass: float, units: UnitChoice) -> str:
    """A mass with as many decimals as a studio's scales give: ``28 kg``, ``0.25 kg``."""
    scale = scale_of(Quantity.MASS, units)
    shown = scale.from_si(mass)
    decimals = 1 if shown >= 10 else 2 if shown >= 0.1 else 3
    return f"{number_text(shown, decimals, trim=True)} {scale.symbol}"


def amount_words(entry: Entry, units: UnitChoice) -> str:
    """The mass charged, or the temperature read."""
    if isinstance(entry, ChargeRecord):
        return mass_words(entry.charge.mass, units)
    if isinstance(entry, PotEntryRecord):
        event = entry.entry.event
        return "" if isinstance(event, NewPot) else mass_words(event.mass, units)
    return format_quantity(Quantity.TEMPERATURE, entry.temperature, units)


def subject_words(entry: Entry) -> str:
    """What the entry is: the pot and its material, or a temperature; and the note on it."""
    if isinstance(entry, ChargeRecord):
        what, note = f"{entry.charge.pot}: {entry.charge.material}", entry.charge.note
    elif isinstance(entry, PotEntryRecord):
        what, note = f"{entry.entry.pot}: {done_words(entry.entry)}", entry.entry.note
    else:
        what, note = "Temperature", entry.note
    return f"{what} – {note}" if note else what


def entry_words(
    entry: Entry, units: UnitChoice, *, now: datetime, zone: tzinfo | None = None
) -> str:
    """The whole entry, ``18:05, 1215 °C``; with its day unless that is today."""
    time = time_of(entry)
    today = to_local(time, zone).date() == to_local(now, zone).date()
    when = clock_text(time, zone) if today else day_and_clock(time, now=now, zone=zone)
    amount = amount_words(entry, units)
    if isinstance(entry, ChargeRecord):
        return f"{when}, {amount} {entry.charge.material} into {entry.charge.pot}"
    if isinstance(entry, PotEntryRecord):
        event, pot = entry.entry.event, entry.entry.pot
        if isinstance(event, NewPot):
            return f"{when}, “{pot}” is a new pot"
        if isinstance(event, LevelSeen):
            return f"{when}, level of {pot} at {amount}"
        return f"{when}, {amount} {_REMOVED[event.how]} {pot}"
    return f"{when}, {amount}"


def charged_words(days: Iterable[DayCharged], units: UnitChoice) -> str:
    """What each pot was given today, in one line."""
    parts = [f"{one.pot} {mass_words(one.mass, units)}" for one in days]
    return f"Charged today: {' · '.join(parts)}" if parts else "Nothing charged today yet"
