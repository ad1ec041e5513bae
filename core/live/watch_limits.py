"""What the plan allows at a time or a temperature: its band, and its rate of cooling."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from core.live.watch_types import WatchSettings
from core.plan.plan import Plan, SegmentKind

FloatArray = NDArray[np.float64]

_STEP = 15.0
"""Spacing of the grid on which the band is drawn [s]."""
_NEAR = 5.0
"""A planned rate counts this far above and below the temperatures it is planned for [K]."""


@dataclass(frozen=True, eq=False)
class Band:
    """The plan with its band on a grid of times; UTC epoch seconds and [K], shape (n,)."""

    time: FloatArray
    planned: FloatArray
    lowest: FloatArray
    highest: FloatArray

    def at(self, time: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Planned, lowest and highest temperature at times; NaN outside the plan."""
        inside = (time >= self.time[0]) & (time <= self.time[-1])
        return tuple(  # type: ignore[return-value]
            np.where(inside, np.interp(time, self.time, values), np.nan)
            for values in (self.planned, self.lowest, self.highest)
        )


def band_of(plan: Plan, settings: WatchSettings, shift: float = 0.0) -> Band:
    """Band about the plan: its temperatures within the slack of time, and the margins.

    Parameters
    ----------
    plan : Plan
    settings : WatchSettings
    shift : float
        By how much later than planned the program was begun [s].
    """
    corner_time, corner_temperature = plan.curve()
    count = max(2, int(np.ceil((corner_time[-1] - corner_time[0]) / _STEP)) + 1)
    time = np.linspace(corner_time[0], corner_time[-1], count)
    planned = np.interp(time, corner_time, corner_temperature)
    each_side = int(np.ceil(settings.time_slack / _STEP))
    windows = sliding_window_view(np.pad(planned, each_side, mode="edge"), 2 * each_side + 1)
    below, above = np.full(count, settings.too_cold), np.full(count, settings.too_hot)
    for segment in plan.segments:
        if segment.kind is SegmentKind.COAST:
            coasting = time >= segment.start.timestamp()
            coasting &= time <= segment.end.timestamp()
            below[coasting] = above[coasting] = settings.coast_band
    return Band(time + shift, planned, windows.min(axis=1) - below, windows.max(axis=1) + above)


def cooling_allowed(
    plan: Plan, settings: WatchSettings, temperature: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Planned rate of cooling at temperatures, and the fastest that raises no alarm.

    Parameters
    ----------
    plan : Plan
    settings : WatchSettings
    temperature : ndarray, shape (n,)
        Within the transformation range [K].

    Returns
    -------
    planned, allowed : ndarray, shape (n,)
        [K/s], positive. Where the plan never cools through a temperature, its slowest rate.
    """
    time, curve = plan.curve()
    step = np.diff(time)
    moving = step > 0
    rate = -np.diff(curve)[moving] / step[moving]
    low = np.minimum(curve[:-1], curve[1:])[moving] - _NEAR
    high = np.maximum(curve[:-1], curve[1:])[moving] + _NEAR
    there = (temperature[:, None] >= low) & (temperature[:, None] <= high)
    planned = np.where(there, rate, 0.0).max(axis=1, initial=0.0)
    planned = np.maximum(planned, plan.slow_rate)
    return planned, planned * settings.rate_factor + settings.rate_margin


def planned_move(band: Band, begin: FloatArray, end: FloatArray) -> FloatArray:
    """How far apart the plan's temperatures lie at the ends of stretches of time [K].

    Parts of a stretch outside the plan count as its nearest end.
    """
    at_begin = np.interp(begin, band.time, band.planned)
    return np.asarray(np.abs(np.interp(end, band.time, band.planned) - at_begin))
