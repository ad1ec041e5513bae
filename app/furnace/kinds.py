"""What can happen at a pot, in words."""

from __future__ import annotations

from enum import StrEnum

from app.widgets.quantity import Quantity, format_quantity
from core.furnace.ledger import Charge
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen, NewPot, Removal
from core.units import UnitChoice


class Kind(StrEnum):
    """What was done."""

    CHARGE = "charge"
    WEIGHED = "weighed"
    PIECES = "pieces"
    SKIMMED = "skimmed"
    DRAINED = "drained"
    LEVEL = "level"
    NEW_POT = "new pot"


CHOICES = (
    ("Charged", Kind.CHARGE),
    ("Gathered, by weight", Kind.WEIGHED),
    ("Gathered, by pieces", Kind.PIECES),
    ("Skimmed off", Kind.SKIMMED),
    ("Drained", Kind.DRAINED),
    ("Level seen", Kind.LEVEL),
    ("New pot set in", Kind.NEW_POT),
)

_REMOVED = {
    Removal.GATHERED: Kind.WEIGHED,
    Removal.SKIMMED: Kind.SKIMMED,
    Removal.DRAINED: Kind.DRAINED,
}


def kind_of(entry: Charge | PotEntry) -> Kind:
    """What an entry is."""
    if isinstance(entry, Charge):
        return Kind.CHARGE
    if isinstance(entry.event, NewPot):
        return Kind.NEW_POT
    if isinstance(entry.event, LevelSeen):
        return Kind.LEVEL
    return _REMOVED[entry.event.how]


def level_below(below: float, units: UnitChoice) -> str:
    """A level read below the rim [m]."""
    return f"{format_quantity(Quantity.LENGTH, below, units, decimals=0)} below the rim"
