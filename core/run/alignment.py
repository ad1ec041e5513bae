"""Laying a log on a plan: by the clock, at the soak, or where it fits best."""

from __future__ import annotations

from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from core.errors import RunError
from core.plan.plan import Plan, SegmentKind
from core.run.falling import falling_curve, falling_from
from core.run.readings import Readings
from core.run.smoothing import smoothed

FloatArray = NDArray[np.float64]

SOAK_BAND = 5.0
"""[K] Within so much of the soak temperature a lehr counts as at the soak; common practice, no
source."""
_STAYS = 600.0
"""[s] The soak has begun when it lasts so long; common practice, no source."""
_APART = 6 * 3600.0
"""[s] Furthest that a best fit moves a log."""
_TRIED_EVERY = 300.0
_POINTS = 800
_BESIDE = 1e12
"""[K2] Misfit of a log that lies beside its plan."""
_LEAST_OVERLAP = 0.5
"""Share of the readings that must lie within the plan."""


class Align(StrEnum):
    """How a log is laid on its plan."""

    CLOCK = "by the clock"
    SOAK_START = "at the start of the soak"
    SOAK_END = "at the end of the soak"
    BEST_FIT = "where they fit best"


def shift_of(plan: Plan, readings: Readings, align: Align) -> float:
    """How much later than its plan a log is [s].

    Parameters
    ----------
    plan : Plan
    readings : Readings
        Of one night.
    align : Align

    Raises
    ------
    RunError
        If there are no readings, or the moment to align at is not in the log.
    """
    if align is Align.CLOCK:
        return 0.0
    if len(readings) == 0:
        raise RunError(
            "There are no readings to compare.", field="readings", remedy="Import or type some."
        )
    if align is Align.BEST_FIT:
        return _best_fit(plan, readings)
    if align is Align.SOAK_START:
        actual, planned = soak_start(plan, readings), planned_soak_start(plan)
    else:
        actual, planned = soak_end(plan, readings), planned_soak_end(plan)
    if actual is None or planned is None:
        raise RunError(
            f"The log does not show where it would be aligned: {align.value}.",
            field="align",
            remedy="Lay it on the plan by the clock.",
        )
    return actual - planned


def planned_soak_start(plan: Plan) -> float | None:
    """When the plan is at its soak [UTC epoch s]."""
    for segment in plan.segments:
        if segment.kind is SegmentKind.SOAK:
            return segment.start.timestamp() + segment.ramp_time
    return None


def soak_start(plan: Plan, readings: Readings) -> float | None:
    """When the log comes to the soak and stays [UTC epoch s]; ``None`` where it does not show.

    A log that begins at the soak shows it only of a plan that does so too: it is its beginning.
    """
    time, temperature = readings.time, smoothed(readings.time, readings.temperature)
    inside = np.abs(temperature - plan.soak_temperature) <= SOAK_BAND
    edges = np.flatnonzero(np.diff(np.concatenate(([False], inside, [False])).astype(np.int8)))
    for first, behind in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        if time[behind - 1] - time[first] < min(_STAYS, 0.5 * max(plan.soak_time, 1.0)):
            continue
        if first > 0:
            before, after = temperature[first - 1], temperature[first]
            level = plan.soak_temperature - SOAK_BAND
            share = (level - before) / (after - before) if before < level < after else 1.0
            return float(time[first - 1] + share * (time[first] - time[first - 1]))
        begins_there = plan.segments[0].kind is SegmentKind.SOAK and not plan.segments[0].ramp_time
        return float(time[0]) if begins_there else None
    return None


def planned_soak_end(plan: Plan) -> float | None:
    """When the plan is down from its soak by the band [UTC epoch s]."""
    soaks = [s for s in plan.segments if s.kind is SegmentKind.SOAK]
    time, temperature = plan.curve()
    later = time >= soaks[-1].end.timestamp() if soaks else np.ones(time.size, dtype=bool)
    if later.sum() < 2:
        return None
    curve = falling_curve(time[later], temperature[later], np.inf)
    return curve.passes(plan.soak_temperature - SOAK_BAND)


def soak_end(plan: Plan, readings: Readings) -> float | None:
    """When the log is down from the soak by the band, for good [UTC epoch s]."""
    level = plan.soak_temperature - SOAK_BAND
    curve = falling_from(readings.time, readings.temperature, level)
    return None if curve is None else curve.passes(level)


def _best_fit(plan: Plan, readings: Readings) -> float:
    """Shift with the least mean square deviation."""
    every = max(1, len(readings) // _POINTS)
    time = readings.time[::every]
    temperature = smoothed(readings.time, readings.temperature)[::every]
    curve_time, curve = plan.curve()

    def misfit(shift: float) -> float:
        planned = np.interp(time - shift, curve_time, curve, left=np.nan, right=np.nan)
        inside = np.isfinite(planned)
        if inside.mean() < _LEAST_OVERLAP:
            return _BESIDE
        return float(np.mean(np.square(temperature[inside] - planned[inside])))

    tried = np.arange(-_APART, _APART + 1.0, _TRIED_EVERY)
    found = np.array([misfit(shift) for shift in tried.tolist()])
    if found.min() >= _BESIDE:
        raise RunError(
            "The log lies beside the plan however it is moved.",
            field="align",
            remedy="Check the date order and the time zone of the log.",
        )
    best = float(tried[int(np.argmin(found))])
    finer = minimize_scalar(
        misfit, bounds=(best - _TRIED_EVERY, best + _TRIED_EVERY), method="bounded"
    )
    return float(finer.x) if finer.fun <= found.min() else best
