"""Entries of a pot's ledger from what a person counts or weighs."""

from __future__ import annotations

from datetime import datetime

from core.errors import FurnaceError
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import GATHERED_ERROR, WEIGHED_ERROR, Removal, Taken


def weighed_out(
    pot: str, time: datetime, mass: float, how: Removal = Removal.GATHERED, note: str = ""
) -> PotEntry:
    """Glass taken out and weighed [kg]."""
    _require_some(mass, "mass")
    return PotEntry(pot, Taken(time, mass, WEIGHED_ERROR * mass, how), note)


def pieces_out(pot: str, time: datetime, count: float, each: float, note: str = "") -> PotEntry:
    """Glass gathered, reckoned from pieces: how many, and of what weight each [kg].

    What is knocked off and left on the iron makes it less certain than a scale.
    """
    if count != int(count) or not 1 <= count <= 10_000:
        raise FurnaceError(
            f"{count:g} pieces are not possible.", field="count", remedy="Use 1 to 10 000."
        )
    _require_some(each, "mass")
    mass = count * each
    return PotEntry(pot, Taken(time, mass, GATHERED_ERROR * mass), note)


def _require_some(mass: float, field: str) -> None:
    if not 0.001 <= mass <= 10_000.0:
        raise FurnaceError(
            f"{mass:g} kg taken out are not possible.",
            field=field,
            remedy="Use 0.001 to 10 000 kg.",
        )
