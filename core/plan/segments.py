"""The plan's segments: soak and straight ramps, rounded to what the controller takes."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta

import numpy as np

from core.equipment.lehr import Entry, Lehr
from core.errors import PlanError
from core.plan import words
from core.plan.allowed_rates import Bound
from core.plan.night import Night
from core.plan.plan import Segment, SegmentKind
from core.plan.rounding import greatest_rate, rate_step_down, whole_minutes_up
from core.plan.soak import SoakTime

COAST_POINTS = 60
"""Corners drawn on the coasting curve; straight lines between them are within 0.2 K."""
_AT_SOAK = 0.5
"""[K] Nearer to the soak than this a lehr is at it."""
POINTS_PER_FOLD = 24
LONG_FOLDS = 6.0
"""Corners to every e-fold of a long coasting, for so many of them: within 0.1 K for glass."""


def soak_segment(
    night: Night, soak: SoakTime, heating_share: float = 1.0, hold: float | None = None
) -> Segment:
    """Bring everything to the soak, and hold.

    Parameters
    ----------
    night : Night
    soak : SoakTime
    heating_share : float
        Of the heating rate that the closed forms allow cold pieces.
    hold : float, optional
        Another hold than the closed form's [s].
    """
    load, lehr = night.load, night.lehr
    start = night.soak if load.first_temperature is None else load.first_temperature
    if abs(start - night.soak) < _AT_SOAK:
        start = night.soak  # no ramp leads from a hair off the soak to it
    begin = load.button_time.astimezone(UTC)
    hold = whole_minutes_up(soak.duration if hold is None else hold)
    heating = heating_bound(night, start)
    rate = lehr.max_heating_rate
    if heating is not None and heating.rate * heating_share < rate:
        rate = heating.rate * heating_share
    rate = rate_step_down(rate, lehr.controller)
    if rate <= 0:
        raise _too_coarse(night, heating.rate if heating else lehr.max_heating_rate)
    if start > night.soak:
        curve_time, curve = coast_points(lehr, start, night.soak)
        mean = (start - night.soak) / curve_time[-1]
        ramp_time = whole_minutes_up(
            (start - night.soak) / min(mean, greatest_rate(lehr.controller))
        )
        rate = -(start - night.soak) / ramp_time
        if lehr.controller.entry is Entry.RATE:
            slower = rate_step_down(-rate, lehr.controller)
            if slower <= 0:
                raise _too_coarse(night, -rate)
            rate, ramp_time = -slower, (start - night.soak) / slower
        curve_time[-1] = ramp_time
    else:
        ramp_time = (night.soak - start) / rate
        if lehr.controller.entry is Entry.TIME:
            ramp_time = whole_minutes_up(ramp_time)
            rate = (night.soak - start) / ramp_time if ramp_time else rate
        curve_time, curve = [0.0, ramp_time], [start, night.soak]
    reason = words.soak_reason(soak, night.responses, night.units)
    if start < night.soak and heating is not None and heating.rate <= lehr.max_heating_rate:
        reason += " " + words.heating_reason(heating, night.units)
    return Segment(
        kind=SegmentKind.SOAK,
        start_temperature=night.reading(start),
        target=night.reading(night.soak),
        rate=rate,
        ramp_time=ramp_time,
        hold_time=hold,
        start=begin,
        end=begin + timedelta(seconds=ramp_time + hold),
        governing_piece=night.responses[soak.index].piece.name,
        reason=reason,
        curve_time=(*curve_time, ramp_time + hold),
        curve_temperature=tuple(night.reading(t) for t in (*curve, night.soak)),
    )


def present_segment(night: Night) -> Segment:
    """A soak of no time at the present temperature, from which a cooling goes on."""
    begin = night.load.button_time.astimezone(UTC)
    now = night.reading(night.soak)
    return Segment(
        kind=SegmentKind.SOAK,
        start_temperature=now,
        target=now,
        rate=0.0,
        ramp_time=0.0,
        hold_time=0.0,
        start=begin,
        end=begin,
        governing_piece="",
        reason="The cooling goes on from where the lehr stands.",
        curve_time=(0.0,),
        curve_temperature=(now,),
    )


def heating_bound(night: Night, start: float) -> Bound | None:
    """Rate at which cold pieces may be heated; ``None`` when nothing is stiff any more."""
    stiff = min(night.soak, max(r.properties.strain_point.value for r in night.responses))
    if start >= stiff:
        return None
    return min(night.limits.heating(np.linspace(start, stiff, 40)), key=lambda bound: bound.rate)


def _too_coarse(night: Night, rate: float) -> PlanError:
    controller = night.lehr.controller
    return PlanError(
        words.too_coarse(rate, controller),
        field="smallest_rate" if controller.smallest_rate else "rate_step",
        remedy="Enter the program by target and time, or set a finer rate step if it has one.",
    )


def ramp_segment(
    night: Night, kind: SegmentKind, ends: tuple[float, float], rate: float, begin: datetime
) -> Segment:
    """A straight cooling ramp between two true temperatures [K], its rate as keyed in [K/s].

    What sets it is filled in after the replay.
    """
    top, bottom = ends
    duration = (top - bottom) / rate
    if night.lehr.controller.entry is Entry.TIME:
        duration = whole_minutes_up(duration)
    return Segment(
        kind=kind,
        start_temperature=night.reading(top),
        target=night.reading(bottom),
        rate=-rate,
        ramp_time=duration,
        hold_time=0.0,
        start=begin,
        end=begin + timedelta(seconds=duration),
        governing_piece="",
        reason="",
        curve_time=(0.0, duration),
        curve_temperature=(night.reading(top), night.reading(bottom)),
    )


def coast_points(lehr: Lehr, start: float, end: float) -> tuple[list[float], list[float]]:
    """Times [s] and true temperatures [K] while the lehr cools by itself."""
    total = lehr.coast_time(start, end)
    time = np.linspace(0.0, total, COAST_POINTS)
    return time.tolist(), lehr.coasting(start, time).tolist()


def long_coast_points(lehr: Lehr, start: float, duration: float) -> tuple[list[float], list[float]]:
    """The same followed for a time [s] far beyond where it matters."""
    tau = lehr.cooling_time_constant
    near = min(duration, LONG_FOLDS * tau)
    time = np.linspace(0.0, near, math.ceil(POINTS_PER_FOLD * near / tau) + 2)
    if duration > near:
        time = np.append(time, np.linspace(near, duration, 8)[1:])
    return time.tolist(), lehr.coasting(start, time).tolist()
