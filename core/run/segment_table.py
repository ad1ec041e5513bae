"""The program segment by segment: what was keyed in, and what the lehr made of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.plan.plan import COOLING, Plan, Segment, SegmentKind
from core.run.falling import FallingCurve, falling_from
from core.run.gaps import gaps_of

FloatArray = NDArray[np.float64]

_KNEE = 5.0
"""[K] below a soak at which its end is looked for, and as far again."""

_NO_OVERSHOOT = 1.0
"""[K] Less than this is no overshoot but noise; common practice, no source."""


@dataclass(frozen=True)
class SegmentRow:
    """One segment of the program, planned and actual.

    A segment begins and ends for the lehr when it passes the segment's temperatures, whenever that
    is; ``None`` where the log does not tell.

    Attributes
    ----------
    number : int
        From 1.
    kind : SegmentKind
    start_temperature, target : float
        Controller readings [K].
    planned_start, planned_end, actual_start, actual_end : float
        UTC epoch seconds; the actual ones on the log's clock.
    planned_rate, actual_rate : float
        Mean rate of the ramp [K/s], negative when cooling; ``None`` without a ramp, the actual one
        of a cooling of less than 10 K too.
    planned_hold, actual_hold : float
        [s].
    overshoot : float
        How far the lehr went beyond the target during the hold [K], noise apart.
    gap : bool
        Readings are missing in it.
    """

    number: int
    kind: SegmentKind
    start_temperature: float
    target: float
    planned_start: float
    planned_end: float
    actual_start: float | None
    actual_end: float | None
    planned_rate: float | None
    actual_rate: float | None
    planned_hold: float
    actual_hold: float | None
    overshoot: float | None
    gap: bool


def segment_rows_of(
    plan: Plan, time: FloatArray, temperature: FloatArray, quiet: FloatArray, gap_after: float
) -> tuple[SegmentRow, ...]:
    """Every segment of a program beside a night's log.

    Parameters
    ----------
    plan : Plan
    time, temperature, quiet : ndarray, shape (n,)
        The night's readings: UTC epoch seconds, rising; [K]; the same smoothed.
    gap_after : float
        Spacing that counts as a gap [s].
    """
    curve = falling_from(time, temperature, plan.soak_temperature - _KNEE, gap_after, quiet)
    first = plan.first_cooling
    fall = 4.0 * _KNEE if first is None else max(plan.soak_temperature - first.target, 1.0)
    left = None
    if curve is not None:
        left = _knee(curve, time, temperature, plan.soak_temperature, fall)
    gaps = gaps_of(time, gap_after)
    rows = []
    since = -np.inf
    for number, segment in enumerate(plan.segments, start=1):
        if segment.kind in COOLING:
            row = _cooling(number, segment, curve, left, plan.soak_temperature)
        else:
            later = time >= since
            row = _held(number, segment, time[later], quiet[later], left)
        since = row.actual_end if row.actual_end is not None else since
        begin = row.actual_start if row.actual_start is not None else row.planned_start
        end = row.actual_end if row.actual_end is not None else row.planned_end
        missing = any(gap.end > begin and gap.start < end for gap in gaps)
        rows.append(replace(row, gap=missing))
    return tuple(rows)


def _knee(
    curve: FallingCurve, time: FloatArray, temperature: FloatArray, soak: float, fall: float
) -> float | None:
    """When a soak was left: the straight line through the first ramp's fall, carried up to it."""
    first = curve.passes(soak - min(_KNEE, 0.4 * fall))
    if first is None:
        return None
    last = curve.passes(soak - min(4.0 * _KNEE, fall))
    later = (time >= first) & (time <= (last if last is not None else time[-1]))
    if later.sum() < 2:
        return first
    t, v = time[later] - first, temperature[later]
    t_mean, v_mean = float(t.mean()), float(v.mean())
    slope = float((t - t_mean) @ (v - v_mean)) / float((t - t_mean) @ (t - t_mean))
    if slope >= 0.0:
        return first
    return min(first, max(float(curve.time[0]), first + t_mean + (soak - v_mean) / slope))


def _held(
    number: int, segment: Segment, time: FloatArray, quiet: FloatArray, left: float | None
) -> SegmentRow:
    """A ramp to a temperature that is held; its ends are those of straight ramps to and from.

    ``left`` is when the soak was left; another hold is over when the band about it is left.
    """
    way = segment.target - segment.start_temperature
    sign = 1.0 if way >= 0.0 else -1.0
    if segment.ramp_time > 0.0:
        arrive, rate = _arrival(segment.start_temperature, segment.target, time, sign * quiet, sign)
    else:
        there = time[np.abs(quiet - segment.target) <= _KNEE]
        arrive, rate = (float(there[0]) if there.size else None), None
    end = left if segment.kind is SegmentKind.SOAK else _leaves(arrive, segment, time, quiet)
    hold = over = None
    if arrive is not None:
        until = end if end is not None else float(time[-1])
        stay = quiet[(time >= arrive) & (time <= until)]
        over = float((sign * (stay - segment.target)).max()) if stay.size else None
        over = 0.0 if over is not None and over < _NO_OVERSHOOT else over
        hold = until - arrive if end is not None else None
    return SegmentRow(
        number=number,
        kind=segment.kind,
        start_temperature=segment.start_temperature,
        target=segment.target,
        planned_start=segment.start.timestamp(),
        planned_end=segment.end.timestamp(),
        actual_start=float(time[0]) if time.size else None,
        actual_end=end,
        planned_rate=segment.rate if segment.ramp_time > 0.0 else None,
        actual_rate=rate,
        planned_hold=segment.hold_time,
        actual_hold=hold,
        overshoot=over if segment.hold_time > 0.0 else None,
        gap=False,
    )


def _leaves(
    arrive: float | None, segment: Segment, time: FloatArray, quiet: FloatArray
) -> float | None:
    """When a hold before the soak is over: last near its target before it is left for good."""
    if arrive is None or segment.hold_time <= 0.0:
        return arrive
    off = np.abs(quiet - segment.target)
    gone = np.flatnonzero((time > arrive) & (off > 2.0 * _KNEE))
    if not gone.size:
        return None
    near = np.flatnonzero((time <= time[gone[0]]) & (off <= 0.25 * _KNEE))
    return max(arrive, float(time[near[-1]])) if near.size else arrive


def _arrival(
    start: float, target: float, time: FloatArray, rising: FloatArray, sign: float
) -> tuple[float | None, float | None]:
    """When a ramp reaches its target, and its mean rate over the middle 80 % of its way [K/s].

    ``rising`` is the curve, turned over for a ramp downward. The last few kelvin, which every
    controller takes slower, are those of the ramp carried on.
    """
    way = sign * (target - start)
    first = max(sign * start, float(rising[0])) if rising.size else sign * start
    low, high = max(sign * start + 0.1 * way, first), sign * start + 0.9 * way
    begin, end = _reaches(time, rising, low), _reaches(time, rising, high)
    near = _reaches(time, rising, sign * target - min(_KNEE, 0.1 * way))
    if begin is None or end is None or near is None or end <= begin:
        return None, None
    rate = (high - low) / (end - begin)
    return near + min(_KNEE, 0.1 * way) / rate, sign * rate


def _reaches(time: FloatArray, rising: FloatArray, level: float) -> float | None:
    """First time a curve is at a level; ``None`` where it never is, or was from the start above."""
    above = np.flatnonzero(rising >= level)
    if not above.size:
        return None
    i = int(above[0])
    if i == 0:
        return float(time[0]) if rising[0] == level else None
    share = (level - rising[i - 1]) / (rising[i] - rising[i - 1])
    return float(time[i - 1] + share * (time[i] - time[i - 1]))


def _cooling(
    number: int, segment: Segment, curve: FallingCurve | None, left: float | None, soak: float
) -> SegmentRow:
    begin = end = rate = None
    if curve is not None:
        from_soak = segment.start_temperature > soak - _KNEE
        begin = left if from_soak else curve.passes(segment.start_temperature)
        end = curve.passes(segment.target)
    falls = segment.start_temperature > segment.target
    tells = segment.start_temperature - segment.target >= 2.0 * _KNEE
    if tells and begin is not None and end is not None and end > begin:
        rate = (segment.target - segment.start_temperature) / (end - begin)
    return SegmentRow(
        number=number,
        kind=segment.kind,
        start_temperature=segment.start_temperature,
        target=segment.target,
        planned_start=segment.start.timestamp(),
        planned_end=segment.end.timestamp(),
        actual_start=begin,
        actual_end=end,
        planned_rate=segment.rate if falls else None,
        actual_rate=rate,
        planned_hold=segment.hold_time,
        actual_hold=None,
        overshoot=None,
        gap=False,
    )
