"""Signs of trouble in a stretch of readings, each as bad, good or neither at its times."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.thermocouple import is_break
from core.live.robust_slope import slopes
from core.live.watch_limits import Band, cooling_allowed, planned_move
from core.live.watch_types import WatchSettings
from core.plan.plan import Plan
from core.run.compare import JUMP
from core.units import SECONDS_PER_MINUTE, ZERO_CELSIUS

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

FLAT_REACH = 7200.0
"""A standing reading is followed back no further than this [s]."""
_LIVELY_OVER = 3600.0
"""Stretch before a reading stood still in which it may have moved all the time [s]."""
_LIVELY_SHARE = 0.5
_LIVELY_COUNT = 20
_SURE = 2.0
"""A rate counts as too fast when it is so by this many standard errors."""
JUMP_HELD = 300.0
"""For so long after a jump the thermocouple is in doubt [s]."""
LOOK_BACK = FLAT_REACH + _LIVELY_OVER
"""Signs at a time depend on readings no older than this, the readings they begin with apart [s]."""


@dataclass(frozen=True, eq=False)
class Sign:
    """One sign at times; arrays of shape (n,).

    Attributes
    ----------
    time : ndarray
        UTC epoch seconds.
    bad, good : ndarray of bool
        Beyond its limit, and well inside it; between the two neither.
    value, limit, temperature, planned : ndarray
        As kept with an :class:`core.live.watch_types.Alarm`.
    """

    time: FloatArray
    bad: BoolArray
    good: BoolArray
    value: FloatArray
    limit: FloatArray
    temperature: FloatArray
    planned: FloatArray


def out_of_band(
    time: FloatArray, temperature: FloatArray, band: Band, hysteresis: float
) -> tuple[Sign, Sign]:
    """Readings hotter, and readings colder than the band; outside the plan they are neither."""
    planned, lowest, highest = band.at(time)
    off = temperature - planned
    hot = Sign(
        time,
        temperature > highest,
        (temperature < highest - hysteresis) | np.isnan(planned),
        off,
        highest - planned,
        temperature,
        planned,
    )
    cold = Sign(
        time,
        temperature < lowest,
        (temperature > lowest + hysteresis) | np.isnan(planned),
        off,
        lowest - planned,
        temperature,
        planned,
    )
    return hot, cold


def cooling_too_fast(
    time: FloatArray,
    temperature: FloatArray,
    plan: Plan,
    settings: WatchSettings,
    after: float,
) -> Sign:
    """Robust rates of cooling in the transformation range against those planned there."""
    between = plan.transformation_bottom, plan.transformation_top
    at, level, slope, error = slopes(time, temperature, settings.rate_window, after, between)
    inside = np.isfinite(slope)
    planned, allowed = np.zeros(at.size), np.full(at.size, np.inf)
    if inside.any():
        planned[inside], allowed[inside] = cooling_allowed(plan, settings, level[inside])
    cooling = -slope
    bad = cooling - _SURE * error > allowed
    good = ~inside | (cooling < (planned + allowed) / 2)
    return Sign(at, bad, good, cooling, allowed, level, planned)


def standing_still(
    time: FloatArray, temperature: FloatArray, band: Band, settings: WatchSettings
) -> Sign:
    """The very same figure for long, while the plan moves or where it had moved all the time."""
    changed = np.concatenate(([True], np.diff(temperature) != 0))
    first = np.maximum.accumulate(np.where(changed, np.arange(time.size), 0))
    begin = np.maximum(time[first], time - FLAT_REACH)
    lasted = time - begin
    bad = lasted >= settings.flat_after
    rows = np.flatnonzero(bad)
    if rows.size:
        moved = planned_move(band, begin[rows], time[rows]) > settings.flat_move
        start = time[first[rows]]
        before = np.searchsorted(time, start - _LIVELY_OVER)
        count = first[rows] - before
        changes = np.cumsum(changed)
        lively = changes[first[rows]] - changes[before] >= _LIVELY_SHARE * count
        inside = (time[rows] >= band.time[0]) & (time[rows] <= band.time[-1])
        bad[rows] = inside & (moved | (lively & (count >= _LIVELY_COUNT)))
    return Sign(
        time, bad, lasted < settings.flat_after, lasted,
        np.full(time.size, settings.flat_after), temperature, band.at(time)[0],
    )  # fmt: skip


def breaks(time: FloatArray, temperature: FloatArray) -> Sign:
    """Readings a broken thermocouple gives, and jumps that no lehr makes."""
    celsius = temperature - ZERO_CELSIUS
    broken = np.zeros(time.size, dtype=bool)
    for row in np.flatnonzero((celsius < 0.0) | (celsius > 990.0)).tolist():
        broken[row] = is_break(round(float(celsius[row]), 6))
    step = np.maximum(np.diff(time), SECONDS_PER_MINUTE)
    jump = np.concatenate(([0.0], np.diff(temperature)))
    jumped = np.concatenate(
        ([False], np.abs(np.diff(temperature)) > JUMP * step / SECONDS_PER_MINUTE)
    )
    last = np.maximum.accumulate(np.where(jumped, np.arange(time.size), -1))
    since = np.where(last >= 0, time - time[np.maximum(last, 0)], np.inf)
    bad = broken | (since < JUMP_HELD)
    return Sign(
        time, bad, ~bad, np.where(broken, 0.0, jump[np.maximum(last, 0)]),
        np.full(time.size, JUMP), temperature, np.full(time.size, np.nan),
    )  # fmt: skip
