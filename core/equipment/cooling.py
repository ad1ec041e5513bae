"""How a lehr cools when its power is off: a few points of the curve, to check against the clock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.equipment.lehr import Lehr


@dataclass(frozen=True)
class CoolingPoint:
    """One point of a lehr's cooling by itself.

    Attributes
    ----------
    temperature : float
        [K].
    fastest : float
        How fast it cools there, which no program can exceed [K/s, positive].
    elapsed : float
        Seconds since the first point.
    """

    temperature: float
    fastest: float
    elapsed: float


def natural_cooling(lehr: Lehr, temperatures: Sequence[float]) -> tuple[CoolingPoint, ...]:
    """Follow a lehr with the power off and the door shut through falling temperatures.

    Newton's law of cooling, as :func:`core.equipment.lehr.cooling_time_constant` measures it.

    Parameters
    ----------
    lehr : Lehr
    temperatures : sequence of float
        [K], the first the one it starts from. Those at or below the room's are left out: it
        never gets there.
    """
    above = [kelvin for kelvin in temperatures if kelvin > lehr.ambient]
    return tuple(
        CoolingPoint(kelvin, lehr.natural_cooling_rate(kelvin), lehr.coast_time(above[0], kelvin))
        for kelvin in above
    )
