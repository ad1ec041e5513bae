"""Why a stress is what it is: where the night went faster than planned, and when."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.glass import GlassProperties
from core.load.load import Load
from core.plan.freezing import free_above, frozen_below
from core.plan.plan import Plan
from core.plan.stress_check import Limit
from core.run.falling import FallingCurve, falling_from
from core.run.gaps import Gap
from core.stress.history import ChamberHistory
from core.verdict.night_log import NightLog
from core.verdict.verdict import Cause, CauseKind, PieceVerdict

FloatArray = NDArray[np.float64]

_STEP = 4.0
"""[K] Levels at which actual and planned rate are laid beside each other."""
_AROUND = 6.0
"""[K] to either side of a level over which its rate is taken: no noise decides."""
_FASTER = 1.15
"""A rate so many times the planned one counts as faster."""
_FASTER_BY = 3.0 / 3600.0
"""[K/s] And it must be faster by so much."""
_BELOW_SOAK = 5.0
"""[K] below the soak at which the cooling has begun."""
_BEFORE_PEAK = 1800.0
"""[s] before the greatest tension in which its cause lies."""


@dataclass(frozen=True, eq=False)
class Curves:
    """Cooling of the night, actual and planned, as controller readings.

    Attributes
    ----------
    actual, planned : FallingCurve or None
        ``None`` where there was no cooling from the soak.
    offset : float
        Of the thermocouple [K].
    gaps : tuple of Gap
    """

    actual: FallingCurve | None
    planned: FallingCurve | None
    offset: float
    gaps: tuple[Gap, ...]

    def at_planned_rate(self, history: ChamberHistory, cause: Cause) -> ChamberHistory | None:
        """The night with the stretch of a cause gone through at the planned rate."""
        rate, planned = cause.rate, cause.planned_rate
        if cause.kind is not CauseKind.FAST or not rate or not planned or planned >= rate:
            return None
        begin = max(cause.start, float(history.time[0]))
        end = min(cause.end, float(history.time[-1]))
        if not end > begin:
            return None
        time = np.union1d(history.time, [begin, end])
        temperature = np.interp(time, history.time, history.temperature)
        stretch = np.clip(time, begin, end) - begin
        return ChamberHistory(time + stretch * (rate / planned - 1.0), temperature)


def curves_of(load: Load, plan: Plan, log: NightLog) -> Curves:
    """Lay out the cooling of a night beside its plan's."""
    top = plan.soak_temperature - _BELOW_SOAK
    actual = falling_from(log.time, log.reading, top, log.gap_after)
    if actual is None:
        actual = _from_the_hottest(log)
    time, temperature = plan.curve()
    keep = np.concatenate((np.diff(time) > 0, [True]))
    # A drawn curve has no noise to take off.
    planned = falling_from(time[keep], temperature[keep], top, np.inf, temperature[keep])
    return Curves(actual, planned, load.lehr.thermocouple_offset, log.gaps)


def _from_the_hottest(log: NightLog) -> FallingCurve | None:
    """The cooling of a night that never was at its soak."""
    top = float(log.reading.max()) - 0.5
    return falling_from(log.time, log.reading, top, log.gap_after)


def cause_of(
    found: PieceVerdict,
    curves: Curves,
    glass: GlassProperties,
    *,
    starts_cold: bool,
    ends_hot: bool,
) -> Cause | None:
    """What made a verdict other than annealed.

    Parameters
    ----------
    found : PieceVerdict
    curves : Curves
    glass : GlassProperties
        Of the piece.
    starts_cold, ends_hot : bool
        Whether the log begins, or ends, where nothing can be told.
    """
    actual = curves.actual
    if starts_cold or actual is None:
        kind = CauseKind.STARTS_COLD if starts_cold else CauseKind.COLD_SOAK
        return _at_large(kind, curves)
    top, bottom = _zone(found, curves, glass)
    fast = _fastest_stretch(curves, top, bottom)
    gap = _gap_in(curves, top, bottom)
    if not found.governing.over:
        if ends_hot:
            return _at_large(CauseKind.ENDS_HOT, curves)
        if gap is not None:
            return _of_gap(gap, curves)
    if fast is not None:
        return fast
    if gap is not None:
        return _of_gap(gap, curves)
    if ends_hot:
        return _at_large(CauseKind.ENDS_HOT, curves)
    return _whole(curves, top, bottom)


def _zone(found: PieceVerdict, curves: Curves, glass: GlassProperties) -> tuple[float, float]:
    """Readings [K] between which the stress that decides came about."""
    actual = curves.actual
    assert actual is not None  # noqa: S101 -- asked before
    if found.governing.limit in {Limit.TEMPORARY, Limit.TEMPORARY_JOINT}:
        around = np.interp(
            (found.peak_time - _BEFORE_PEAK, found.peak_time), actual.time, actual.temperature
        )
        return float(around[0]) + _STEP, float(around[1]) - _STEP
    fall = float(actual.temperature[0] - actual.temperature[-1])
    mean = max(fall / max(float(actual.time[-1] - actual.time[0]), 1.0), 1e-6)
    top = free_above((glass,), 5.0 * mean) + curves.offset
    return top, frozen_below((glass,), mean) + curves.offset


def _fastest_stretch(curves: Curves, top: float, bottom: float) -> Cause | None:
    """The stretch that went faster than planned and lost most time by it."""
    actual, planned = curves.actual, curves.planned
    if actual is None or planned is None:
        return None
    highest = min(top, float(actual.temperature[0]) - 0.1)
    lowest = max(bottom, float(actual.temperature[-1]) + 0.1)
    levels = np.arange(highest, lowest, -_STEP)
    best: Cause | None = None
    lost_most = 0.0
    run: list[float] = []
    for level in [*levels.tolist(), -np.inf]:
        if np.isfinite(level) and _is_faster(actual, planned, level):
            run.append(level)
            continue
        if run:
            stretch = _stretch(curves, run[0] + 0.5 * _STEP, run[-1] - 0.5 * _STEP)
            if stretch is not None and stretch.rate and stretch.planned_rate:
                fall = run[0] - run[-1] + _STEP
                lost = fall / stretch.planned_rate - fall / stretch.rate
                if lost > lost_most:
                    best, lost_most = stretch, lost
        run = []
    return best


def _is_faster(actual: FallingCurve, planned: FallingCurve, level: float) -> bool:
    rate, wanted = _rate_at(actual, level), _rate_at(planned, level)
    if rate is None or wanted is None:
        return False
    return rate > _FASTER * wanted and rate > wanted + _FASTER_BY


def _rate_at(curve: FallingCurve, level: float) -> float | None:
    top = min(level + _AROUND, float(curve.temperature[0]))
    bottom = max(level - _AROUND, float(curve.temperature[-1]))
    return curve.mean_rate(top, bottom) if top > bottom else None


def _stretch(curves: Curves, top: float, bottom: float) -> Cause | None:
    actual, planned = curves.actual, curves.planned
    assert actual is not None  # noqa: S101 -- asked before
    assert planned is not None  # noqa: S101 -- asked before
    top = min(top, float(actual.temperature[0]), float(planned.temperature[0]))
    begin, end = actual.passes(top), actual.passes(bottom)
    if begin is None or end is None or end <= begin:
        return None
    return Cause(
        kind=CauseKind.FAST,
        start=begin,
        end=end,
        rate=(top - bottom) / (end - begin),
        planned_rate=planned.mean_rate(top, bottom),
        temperature=0.5 * (top + bottom),
    )


def _gap_in(curves: Curves, top: float, bottom: float) -> Gap | None:
    """The longest gap in which the glass may have been in a zone."""
    actual = curves.actual
    assert actual is not None  # noqa: S101 -- asked before
    inside = actual.gaps_between(top, bottom)
    return max(inside, key=lambda gap: gap.duration, default=None)


def _of_gap(gap: Gap, curves: Curves) -> Cause:
    actual = curves.actual
    assert actual is not None  # noqa: S101 -- asked before
    before, after = np.interp((gap.start, gap.end), actual.time, actual.temperature)
    return Cause(
        kind=CauseKind.GAP,
        start=gap.start,
        end=gap.end,
        rate=float(before - after) / gap.duration,
        planned_rate=None,
        temperature=0.5 * float(before + after),
    )


def _at_large(kind: CauseKind, curves: Curves) -> Cause:
    actual = curves.actual
    if actual is None:
        return Cause(kind, 0.0, 0.0, None, None, 0.0)
    last = float(actual.temperature[-1])
    return Cause(kind, float(actual.time[0]), float(actual.time[-1]), None, None, last)


def _whole(curves: Curves, top: float, bottom: float) -> Cause:
    """Nothing stands out: the rate through the whole zone, as it was planned."""
    actual, planned = curves.actual, curves.planned
    assert actual is not None  # noqa: S101 -- asked before
    top = min(top, float(actual.temperature[0]))
    bottom = max(bottom, float(actual.temperature[-1]))
    begin, end = np.interp((-top, -bottom), -actual.temperature, actual.time)
    return Cause(
        kind=CauseKind.PLAN,
        start=float(begin),
        end=float(end),
        rate=float(top - bottom) / float(end - begin) if end > begin else None,
        planned_rate=None if planned is None else planned.mean_rate(top, bottom),
        temperature=0.5 * (top + bottom),
    )
