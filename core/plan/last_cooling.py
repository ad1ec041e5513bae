"""The end of the night: coasting until the slowest core is hand-warm."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np

from core.errors import PlanError
from core.plan import words
from core.plan.hand_warm import core_temperatures, first_time_below
from core.plan.night import LONGEST_NIGHT, Night
from core.plan.plan import Segment, SegmentKind
from core.plan.rounding import whole_minutes_up
from core.plan.segments import coast_points


def until_hand_warm(night: Night, segments: list[Segment]) -> tuple[list[Segment], datetime]:
    """Follow the slowest core behind the ramps, then coasting, until it is hand-warm."""
    lehr = night.lehr
    origin = segments[0].end
    ramps = segments[1:]
    corner_time = [0.0]
    corner = [night.soak]
    for segment in ramps:
        corner_time.append((segment.end - origin).total_seconds())
        corner.append(segment.target - lehr.thermocouple_offset)
    controlled, bottom = corner_time[-1], corner[-1]
    hand_warm = night.load.hand_warm
    slowest = max(float(r.core_lag_time(np.asarray(hand_warm))) for r in night.responses)
    almost = lehr.ambient + 0.2 * (hand_warm - lehr.ambient)
    horizon = controlled + (lehr.coast_time(bottom, almost) if bottom > almost else 0.0)
    horizon += 8 * slowest
    if horizon > LONGEST_NIGHT:
        raise PlanError(
            "This load would take more than 60 days to become hand-warm.",
            field="pieces",
            remedy="Check the thickness and stress limits, or allow more controller segments.",
        )
    time = np.linspace(0.0, horizon, 3000)
    chamber = np.interp(time, corner_time, corner)
    coasting = time > controlled
    chamber[coasting] = lehr.coasting(bottom, time[coasting] - controlled)
    found = first_time_below(time, core_temperatures(night.responses, time, chamber), hand_warm)
    if found is None:
        raise PlanError(
            "The pieces do not become hand-warm in this lehr.",
            field="hand_warm",
            remedy="Raise the hand-warm temperature or check the lehr's time constant.",
        )
    ready, index = whole_minutes_up(found[0]), found[1]
    piece = night.responses[index].piece.name
    ready_at = origin + timedelta(seconds=ready)
    if ready <= controlled:
        return _cut_short(segments, ready_at), ready_at
    coast_time = ready - controlled
    coolest = float(lehr.coasting(bottom, np.asarray(coast_time)))
    curve_time, curve = coast_points(lehr, bottom, coolest)
    coast = Segment(
        kind=SegmentKind.COAST,
        start_temperature=night.reading(bottom),
        target=night.reading(coolest),
        rate=-(bottom - coolest) / coast_time,
        ramp_time=coast_time,
        hold_time=0.0,
        start=segments[-1].end,
        end=segments[-1].end + timedelta(seconds=coast_time),
        governing_piece=piece,
        reason=words.coast_reason(lehr, piece, hand_warm, night.units),
        curve_time=(*curve_time[:-1], coast_time),
        curve_temperature=tuple(night.reading(t) for t in curve),
    )
    return [*segments, coast], coast.end


def _cut_short(segments: list[Segment], ready: datetime) -> list[Segment]:
    """Segments up to the moment everything is hand-warm.

    The program itself is left whole: the controller may finish its last ramp, but the pieces may
    come out when they are ready.
    """
    return [segment for segment in segments if segment.start < ready]
