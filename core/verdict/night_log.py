"""The readings of one night out of a log, without those that no lehr can have had."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.gaps import Gap, gap_limit, gaps_of
from core.run.readings import Readings
from core.run.smoothing import spikes_of

FloatArray = NDArray[np.float64]

WIDEST_SPACING = 1800.0
"""[s] Readings further apart than this leave open what the lehr did between them, however often
the logger writes otherwise; common practice, no source."""
_SPIKE = 60.0
"""[K] off its neighbours, there and back, that no chamber goes between readings; common practice,
no source."""
_NEXT_NIGHT = 40.0
"""[K] above the coolest reading after the plan's end: the lehr is used again."""
_AFTER = 24 * 3600.0
"""[s] after the plan's end in which its pieces may still be in."""


@dataclass(frozen=True, eq=False)
class NightLog:
    """Readings of a night.

    Attributes
    ----------
    time, reading : ndarray, shape (n,)
        UTC epoch seconds; controller readings [K].
    gap_after : float
        Spacing that counts as a gap [s].
    left_out : int
        Readings that no lehr can have had.
    """

    time: FloatArray
    reading: FloatArray
    gap_after: float
    left_out: int

    @property
    def gaps(self) -> tuple[Gap, ...]:
        """Stretches without readings."""
        return gaps_of(self.time, self.gap_after)


def night_of(load: Load, plan: Plan, readings: Readings) -> NightLog:
    """The night's own readings, from when the first pieces are in until the lehr is used again.

    Parameters
    ----------
    load : Load
    plan : Plan
    readings : Readings

    Raises
    ------
    RunError
        If fewer than two readings belong to the night.
    """
    time, reading = readings.time, readings.temperature
    begin, end = _hours(load, plan)
    mine = (time >= begin) & (time <= end + _AFTER)
    time, reading = time[mine], reading[mine]
    lone = spikes_of(time, reading, _SPIKE)
    left_out = int(np.count_nonzero(lone))
    time, reading = time[~lone], reading[~lone]
    after = time > end
    if after.any():
        lowest = np.minimum.accumulate(reading[after])
        again = np.flatnonzero(reading[after] > lowest + _NEXT_NIGHT)
        if again.size:
            cut = int(np.argmax(after)) + int(again[0])
            time, reading = time[:cut], reading[:cut]
    if time.size < 2:
        raise RunError(
            "Of this night there are not two readings, so there is no cooling to judge.",
            field="readings",
            remedy="Import the logger's file of this night, or type readings from memory.",
        )
    return NightLog(time, reading, min(gap_limit(time), WIDEST_SPACING), left_out)


def _hours(load: Load, plan: Plan) -> tuple[float, float]:
    """From the first piece in (or the button) to the end of the plan [UTC epoch s]."""
    put_in = [
        placing.put_in.timestamp()
        for placing in load.placings.values()
        if placing.put_in is not None
    ]
    curve_time, _ = plan.curve()
    begin = min([float(curve_time[0]), *put_in])
    return begin, float(curve_time[-1])
