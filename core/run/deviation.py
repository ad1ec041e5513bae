"""How far and how long a log is off its plan: in temperature, in time at soak, in lateness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.plan.plan import Plan
from core.run.falling import FallingCurve

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_AT_SOAK = 1.0
"""[K] Nearer to the soak than this one temperature has no one time."""


def mean_size(time: FloatArray, deviation: FloatArray, joined: BoolArray) -> float:
    """Mean of |deviation| over time, by straight lines of the deviation itself.

    Parameters
    ----------
    time, deviation : ndarray, shape (n,)
        [s], rising; [K], NaN where there is none.
    joined : ndarray of bool, shape (n - 1,)
        Steps that are no gap.
    """
    use = joined & np.isfinite(deviation[:-1]) & np.isfinite(deviation[1:])
    step = np.diff(time)[use]
    if step.sum() == 0:
        return float(np.nanmean(np.abs(deviation)))
    first, last = deviation[:-1][use], deviation[1:][use]
    size = np.abs(first) + np.abs(last)
    # Where the sign changes the line makes two triangles: (a^2 + b^2)/2(a + b) each step.
    crosses = first * last < 0
    mean = size / 2
    mean[crosses] = (first[crosses] ** 2 + last[crosses] ** 2) / (2 * size[crosses])
    return float((mean * step).sum() / step.sum())


def time_within(
    time: FloatArray, temperature: FloatArray, joined: BoolArray, level: float, band: float
) -> float:
    """Seconds that straight lines between readings spend in level - band to level + band."""
    step = np.diff(time)[joined]
    first, last = temperature[:-1][joined], temperature[1:][joined]
    low, high = np.minimum(first, last), np.maximum(first, last)
    overlap = np.minimum(high, level + band) - np.maximum(low, level - band)
    rise = high - low
    flat = rise == 0
    share = np.clip(overlap, 0.0, None) / np.where(flat, 1.0, rise)
    share[flat] = overlap[flat] >= 0
    return float((share * step).sum())


def lateness_of(
    plan: Plan,
    planned: FallingCurve | None,
    falling: FallingCurve | None,
    time: FloatArray,
    shift: float,
) -> FloatArray:
    """How much later each reading's temperature was reached than planned [s], shape (n,).

    Parameters
    ----------
    plan : Plan
    planned, falling : FallingCurve or None
        The plan's cooling and the log's.
    time : ndarray, shape (n,)
        Of the readings [UTC epoch s].
    shift : float
        Seconds the plan is moved by.
    """
    late = np.full(time.size, np.nan)
    if falling is None or planned is None or falling.time.size < 2:
        return late
    places = np.flatnonzero((time >= falling.time[0]) & (time <= falling.time[-1]))
    level = np.interp(time[places], falling.time, falling.temperature)
    told = (level < plan.soak_temperature - _AT_SOAK) & (level >= planned.temperature[-1])
    told &= level <= planned.temperature[0]
    reached = np.interp(-level[told], -planned.temperature, planned.time)
    late[places[told]] = time[places[told]] - shift - reached
    return late
