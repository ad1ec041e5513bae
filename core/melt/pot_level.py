"""Between the level of the glass in a pot and its mass."""

from __future__ import annotations

from datetime import datetime

from core.errors import FurnaceError
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen
from core.melt.pot_vessel import PotVessel

READING_ERROR = 0.005
"""[m] Standard error of a level judged by eye against the rim, hot (our choice, no source)."""


def mass_at(pot: PotVessel, density: float, level: float) -> float:
    """Glass [kg] of a density [kg/m3], as a melt, that stands so high above the floor [m]."""
    return pot.volume(level) * density


def level_of(pot: PotVessel, density: float, mass: float) -> float:
    """Level [m] of so much glass [kg]; the rim at most."""
    return pot.level(mass / density)


def level_seen(
    pot: PotVessel,
    density: float,
    time: datetime,
    below_rim: float,
    error: float = READING_ERROR,
) -> LevelSeen:
    """An entry for the pot's ledger from a level read below the rim.

    Parameters
    ----------
    density : float
        Of the melt [kg/m3].
    time : datetime
        Aware.
    below_rim : float
        From the rim down to the glass [m].
    error : float
        Standard error of that [m].

    Raises
    ------
    FurnaceError
        If the glass would stand above the rim or below the floor.
    """
    if not 0.0 <= below_rim <= pot.depth:
        raise FurnaceError(
            f"A level {below_rim * 1000:.0f} mm below the rim is not possible in a pot "
            f"{pot.depth * 1000:.0f} mm deep.",
            field="level",
            remedy="Measure from the rim down to the glass.",
        )
    level = pot.depth - below_rim
    low, high = max(0.0, level - error), min(pot.depth, level + error)
    spread = (mass_at(pot, density, high) - mass_at(pot, density, low)) / 2.0
    return LevelSeen(time, mass_at(pot, density, level), spread)


def level_entry(
    pot: str,
    time: datetime,
    below_rim: float,
    shape: PotVessel | None,
    density: float,
    note: str = "",
) -> PotEntry:
    """A level as the ledger takes it; see :func:`level_seen`.

    Raises
    ------
    FurnaceError
        If the pot's shape is not known, or the level is not possible.
    """
    if shape is None:
        raise FurnaceError(
            f"The shape of “{pot}” is not known, so a level is no amount.",
            field="level",
            remedy="Enter its diameters and depth on the page Equipment.",
        )
    return PotEntry(pot, level_seen(shape, density, time, below_rim), note)
