"""The stretch of a night in which the power was off: what a lehr's losses can be read from."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.melt.thermal_log import LEAST_READINGS, ThermalLog
from core.plan.plan import Plan, SegmentKind
from core.run.gaps import gap_limit
from core.run.readings import Readings
from core.run.smoothing import smoothed, spikes_of

FloatArray = NDArray[np.float64]

_CLEAR_OF_THE_RAMP = 5.0
"""[K] below the last set point at which the power is surely off."""
_ABOVE_THE_ROOM = 60.0
"""[K] Nearer to the room than this, its own being warmer or cooler passes for losses."""
_RISES = 3.0
"""[K] A lehr with its power off does not get hotter; more than the noise, it is on again."""
_MOST = 240
"""Readings to fit to; more are averaged."""


def coasting_of(plan: Plan, lehr: Lehr, readings: Readings) -> ThermalLog | None:
    """Readings of a night's last cooling with the power off, true temperatures, power nought.

    Parameters
    ----------
    plan : Plan
        Tells from which set point on the power is off.
    lehr : Lehr
    readings : Readings
        Of the night.

    Returns
    -------
    ThermalLog or None
        ``None`` where the plan has no such cooling, or the log hardly shows it.
    """
    off = next((s for s in plan.segments if s.kind is SegmentKind.COAST), None)
    if off is None:
        return None
    lone = spikes_of(readings.time, readings.temperature)
    time = readings.time[~lone]
    true = readings.temperature[~lone] - lehr.thermocouple_offset
    top = off.start_temperature - lehr.thermocouple_offset - _CLEAR_OF_THE_RAMP
    bottom = lehr.ambient + _ABOVE_THE_ROOM
    quiet = smoothed(time, true)
    hot = np.flatnonzero(quiet > top)
    first = int(hot[-1]) + 1 if hot.size else 0
    if hot.size == 0 and (time.size == 0 or time[0] < off.start.timestamp() - 3600.0):
        return None
    time, true, quiet = time[first:], true[first:], quiet[first:]
    stays = quiet > bottom
    stays &= quiet <= np.minimum.accumulate(quiet) + _RISES if quiet.size else stays
    count = int(np.argmin(stays)) if not stays.all() else stays.size
    begin, end = _longest(time[:count])
    time, true = time[begin:end], true[begin:end]
    if time.size < LEAST_READINGS:
        return None
    every = max(1, time.size // _MOST)
    kept = time.size - time.size % every
    time = time[:kept].reshape(-1, every).mean(axis=1)
    true = true[:kept].reshape(-1, every).mean(axis=1)
    if time.size < LEAST_READINGS:
        return None
    return ThermalLog(time, true, np.zeros(time.size))


def _longest(time: FloatArray) -> tuple[int, int]:
    """First and behind the last of the longest stretch without a gap."""
    if time.size < 2:
        return 0, time.size
    breaks = np.flatnonzero(np.diff(time) > gap_limit(time)) + 1
    edges = np.concatenate(([0], breaks, [time.size]))
    lengths = time[edges[1:] - 1] - time[edges[:-1]]
    at = int(np.argmax(lengths))
    return int(edges[at]), int(edges[at + 1])
