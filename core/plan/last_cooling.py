"""The end of the night: coasting until the slowest core is hand-warm.

A closed form says about how long that is; the stress engine, which follows the whole cooling well
beyond it, has the last word, with the lehr hotter than believed by all that is uncertain of it.
"""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from core.errors import PlanError
from core.plan import words
from core.plan.cooling import EVENING_OUT
from core.plan.hand_warm import (
    Warm,
    core_temperatures,
    first_time_below,
    hand_warm_threshold,
    hotter_than_read,
    last_warm,
)
from core.plan.night import LONGEST_NIGHT, Night
from core.plan.plan import COOLING, Segment, SegmentKind
from core.plan.replay import Replayed
from core.plan.rounding import whole_minutes_up
from core.plan.segments import coast_points, long_coast_points
from core.plan.setting import Setting

FloatArray = NDArray[np.float64]

LONGER = 2.0
"""The coasting is followed so many times as long as the closed form says until hand-warm."""
_TAILS = 10.0
"""So many lags of the slowest piece, at least, are followed after the chamber is cool."""


def followed_to_the_end(night: Night, segments: list[Segment], longer: float = LONGER) -> Segment:
    """Coasting from the last ramp for as long as anything can still be too warm.

    ``longer`` is how many times the closed form's time is allowed for.

    Raises
    ------
    PlanError
        If that is more than 60 days.
    """
    lehr = night.lehr
    bottom = segments[-1].target - lehr.thermocouple_offset
    horizon = longer * _expected(night, segments)
    horizon = max(horizon, EVENING_OUT)
    if horizon > longer * LONGEST_NIGHT:
        raise PlanError(
            "This load would take more than 60 days to become hand-warm.",
            field="pieces",
            remedy="Check the thickness and stress limits, or allow more controller segments.",
        )
    time, curve = long_coast_points(lehr, bottom, horizon)
    return Segment(
        kind=SegmentKind.COAST,
        start_temperature=night.reading(bottom),
        target=night.reading(curve[-1]),
        rate=-(bottom - curve[-1]) / horizon,
        ramp_time=horizon,
        hold_time=0.0,
        start=segments[-1].end,
        end=segments[-1].end + timedelta(seconds=horizon),
        governing_piece="",
        reason="",
        curve_time=tuple(time),
        curve_temperature=tuple(night.reading(t) for t in curve),
    )


def _expected(night: Night, segments: list[Segment]) -> float:
    """Seconds of coasting by the closed form until the slowest core is hand-warm."""
    lehr = night.lehr
    ramps = [s for s in segments if s.kind in COOLING]
    corner_time, corner = [0.0], [ramps[0].start_temperature - lehr.thermocouple_offset]
    for segment in ramps:
        corner_time.append((segment.end - ramps[0].start).total_seconds())
        corner.append(segment.target - lehr.thermocouple_offset)
    controlled, bottom = corner_time[-1], corner[-1]
    hand_warm = night.load.hand_warm
    slowest = max(float(r.core_lag_time(np.asarray(hand_warm))) for r in night.responses)
    almost = lehr.ambient + 0.2 * (hand_warm - lehr.ambient)
    coasting = lehr.coast_time(bottom, almost) if bottom > almost else 0.0
    horizon = controlled + coasting + _TAILS * slowest
    time = np.linspace(0.0, horizon, 1500)
    chamber = np.interp(time, corner_time, corner)
    after = time > controlled
    chamber[after] = lehr.coasting(bottom, time[after] - controlled)
    found = first_time_below(time, core_temperatures(night.responses, time, chamber), hand_warm)
    until = horizon if found is None else found[0]
    return max(until - controlled, 0.0) + slowest


def until_hand_warm(
    setting: Setting, segments: list[Segment], outcome: Replayed
) -> tuple[list[Segment], datetime] | None:
    """The night's segments with the coasting cut where the last core is hand-warm, and when.

    Parameters
    ----------
    setting : Setting
    segments : list of Segment
        With the long coasting at the end.
    outcome : Replayed
        A replay of all of them.

    Returns
    -------
    tuple or None
        ``None`` where something is still warm at the end of what was replayed.
    """
    night = setting.night
    lehr, hand_warm = night.lehr, night.load.hand_warm
    program, origin = segments[:-1], segments[0].start
    off = segments[-1].start
    bottom = segments[-1].start_temperature - lehr.thermocouple_offset
    hotter = max(hotter_than_read(night.load, setting.margins))
    threshold = hand_warm_threshold(lehr, hotter, bottom, hand_warm)
    found = last_warm(outcome.answers, outcome.history, threshold)
    if found is None:
        return None
    ready = origin + timedelta(seconds=whole_minutes_up(found.time))
    if ready <= off:
        return _cut_short(program, ready), ready
    index = outcome.cases[found.index].index
    coast_time = (ready - off).total_seconds()
    coolest = float(lehr.coasting(bottom, np.asarray(coast_time)))
    curve_time, curve = coast_points(lehr, bottom, coolest)
    piece = night.responses[index].piece.name
    coast = Segment(
        kind=SegmentKind.COAST,
        start_temperature=night.reading(bottom),
        target=night.reading(coolest),
        rate=-(bottom - coolest) / coast_time,
        ramp_time=coast_time,
        hold_time=0.0,
        start=off,
        end=ready,
        governing_piece=piece,
        reason=words.coast_reason(
            lehr, piece, hand_warm, _told(found, lehr.ambient, threshold, hand_warm), night.units
        ),
        curve_time=(*curve_time[:-1], coast_time),
        curve_temperature=tuple(night.reading(t) for t in curve),
    )
    return [*program, coast], ready


def _told(found: Warm, ambient: float, threshold: float, hand_warm: float) -> float:
    """Surface temperature [K] when the core is hand-warm, the lehr as hot as it may be."""
    share = (found.surface - ambient) / max(threshold - ambient, 1e-6)
    return ambient + share * (hand_warm - ambient)


def _cut_short(segments: list[Segment], ready: datetime) -> list[Segment]:
    """Segments up to the moment everything is hand-warm.

    The program itself is left whole: the controller may finish its last ramp, but the pieces may
    come out when they are ready.
    """
    return [segment for segment in segments if segment.start < ready]
