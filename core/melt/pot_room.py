"""What still goes into a pot: cullet and batch heap at about half the density of glass."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.melt.pot_ledger import USUAL_DENSITY

HEAP_DENSITY = 1200.0
"""[kg/m3] Of cullet and batch as they lie: half that of glass (common practice, no source)."""


@dataclass(frozen=True)
class PotRoom:
    """Room in a pot [kg of charge].

    Attributes
    ----------
    heaped : float
        Of what can lie above the glass now without standing over the freeboard.
    melted : float
        Of what can be charged in all, one after the other.
    """

    heaped: float
    melted: float


def room_in(capacity: float, held: float, heap_density: float = HEAP_DENSITY) -> PotRoom:
    """Room above glass.

    Parameters
    ----------
    capacity, held : float
        Glass the pot holds and has [kg].
    heap_density : float
        [kg/m3].
    """
    free = max(0.0, capacity - held)
    return PotRoom(free / USUAL_DENSITY * heap_density, free)


class Fit(StrEnum):
    """Whether a charge goes into a pot."""

    FITS = "fits"
    HEAPS_OVER = "heaps over"
    """It would go in melted, but stands over the freeboard as a heap."""
    TOO_MUCH = "too much"
    """Not even melted."""


def fit_of(mass: float, room: PotRoom) -> Fit:
    """Whether a charge [kg] goes into a pot's room."""
    if mass > 1.001 * room.melted:
        return Fit.TOO_MUCH
    return Fit.HEAPS_OVER if mass > 1.001 * room.heaped else Fit.FITS
