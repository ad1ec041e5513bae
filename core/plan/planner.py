"""Tonight's curve from the handbook rules: soak, slow cooling, faster cooling, hand-warm.

The rules, in order:

1. Soak at the highest annealing point of the load (plus a little) until the slowest piece is even
   and its stress is gone.
2. Cool slowly enough that no piece keeps more core tension, nor more stress between wall and base,
   than its limit allows, until the slowest core is below the lowest strain point.
3. Then as fast as the temporary stress allows, never faster than the lehr can lose heat; power off
   from where the lehr's own cooling is safe.
4. Ready when the slowest core, not the lehr, is hand-warm.

Every rate and time is rounded to what the controller takes, to the safe side.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Entry, Lehr
from core.errors import PlanError
from core.glass.glass import GlassProperties
from core.glass.properties import properties_of
from core.load.load import Load
from core.plan import words
from core.plan.allowed_rates import Bound, RateLimits
from core.plan.cooling_steps import Ramp, choose_ramps, tabulate
from core.plan.hand_warm import core_temperatures, first_time_below
from core.plan.plan import Plan, Segment, SegmentKind, Zone
from core.plan.rounding import (
    rate_step_down,
    whole_degree_down,
    whole_degree_up,
    whole_minutes_up,
)
from core.plan.soak import SoakTime, soak_time
from core.piece.response import PieceResponse
from core.units import UnitChoice
from core.version import VERSION

FloatArray = NDArray[np.float64]

BELOW_STRAIN = 5.0
"""The slow cooling ends once the slowest core is this far [K] below the lowest strain point:
the least margin of the handbook schedule for ordinary ware (Shand 1958; from memory)."""

LONGEST_NIGHT = 60 * 86400.0
"""No plan is longer than this [s]."""

COAST_POINTS = 60
"""Corners drawn on the coasting curve; straight lines between them are within 0.2 K."""


@dataclass(frozen=True)
class _Night:
    """What the steps below share: the load, its responses and the words' units."""

    load: Load
    responses: tuple[PieceResponse, ...]
    limits: RateLimits
    soak: float
    units: UnitChoice

    @property
    def lehr(self) -> Lehr:
        return self.load.lehr

    def reading(self, temperature: float) -> float:
        """Controller reading of a true temperature [K]."""
        return temperature + self.lehr.thermocouple_offset


def make_plan(load: Load, units: UnitChoice | None = None) -> Plan:
    """Draw up the curve for a load.

    Parameters
    ----------
    load : Load
    units : UnitChoice, optional
        Units used in the sentences (reasons, warnings); numbers in the plan stay SI.

    Returns
    -------
    Plan
        Feasible or not; ``Plan.feasible`` and ``Plan.lateness`` say which.

    Raises
    ------
    GlassError
        If a glass's properties cannot be had.
    PlanError
        If this lehr or its controller cannot run any safe curve for the load.
    """
    units = units or UnitChoice()
    properties = {name: properties_of(load.glasses[name]) for name in _glass_names(load)}
    responses = tuple(PieceResponse(p, properties[p.glass], units.length) for p in load.pieces)
    night = _Night(
        load, responses, RateLimits(load, responses), _soak_temperature(load, properties), units
    )
    soak = soak_time(responses, night.soak)
    slow_bound = night.limits.permanent()
    slow_ramp = _slow_ramp(night, slow_bound)
    ramps = _all_ramps(night, slow_bound, slow_ramp)

    segments = [_soak_segment(night, soak)]
    for index, ramp in enumerate(ramps):
        kind = SegmentKind.SLOW_COOL if index == 0 else SegmentKind.COOL
        segments.append(_ramp_segment(night, kind, ramp, segments[-1].end))
    segments, ready_at = _until_hand_warm(night, segments)
    tightest = words.bound_reason(slow_bound, units)
    slow_segment = segments[1]
    plan = Plan(
        load_name=load.name,
        lehr_name=load.lehr.name,
        segments=tuple(segments),
        soak_temperature=night.reading(night.soak),
        soak_time=segments[0].hold_time,
        transformation_top=night.reading(max(p.annealing_point.value for p in properties.values())),
        transformation_bottom=night.reading(min(p.strain_point.value for p in properties.values())),
        slow_rate=-slow_segment.rate,
        governing_piece=slow_bound.piece,
        governing_reason=tightest,
        start=load.button_time.astimezone(UTC),
        ready_at=ready_at,
        out_by=load.out_by.astimezone(UTC) if load.out_by else None,
        warnings=(),
        zones=tuple(
            Zone(
                name,
                night.reading(p.annealing_point.value),
                night.reading(p.strain_point.value),
            )
            for name, p in properties.items()
        ),
        program_version=VERSION,
    )
    return words.with_warnings(plan, load, properties, night.soak, units)


def _glass_names(load: Load) -> list[str]:
    return list(dict.fromkeys(piece.glass for piece in load.pieces))


def _soak_temperature(load: Load, properties: dict[str, GlassProperties]) -> float:
    """True soak temperature [K] whose controller reading is a whole degree."""
    highest = max(p.annealing_point.value for p in properties.values())
    offset = load.lehr.thermocouple_offset
    reading = whole_degree_up(
        highest + load.soak_above_annealing + offset, load.lehr.controller.unit
    )
    if reading > load.lehr.max_temperature:
        raise PlanError(
            words.too_hot_for_lehr(reading, load.lehr),
            field="max_temperature",
            remedy="Use another lehr, or correct its highest temperature.",
        )
    return reading - offset


def _slow_ramp(night: _Night, bound: Bound) -> Ramp:
    """From the soak until the slowest core is below the lowest strain point."""
    ends = [
        r.properties.strain_point.value
        - BELOW_STRAIN
        - bound.rate * float(r.core_lag_time(np.asarray(r.properties.strain_point.value)))
        for r in night.responses
    ]
    # A slower rate (the lehr's own) only lessens the lag, so the end found here stays safe; but
    # no slower piece may be allowed to drag the end below what its lag at that rate calls for.
    rate = min(bound.rate, night.lehr.natural_cooling_rate(min(ends)))
    if rate < bound.rate:
        ends = [
            r.properties.strain_point.value
            - BELOW_STRAIN
            - rate * float(r.core_lag_time(np.asarray(r.properties.strain_point.value)))
            for r in night.responses
        ]
        rate = min(bound.rate, night.lehr.natural_cooling_rate(min(ends)))
    unit = night.lehr.controller.unit
    offset = night.lehr.thermocouple_offset
    bottom = whole_degree_down(min(ends) + offset, unit) - offset
    if bottom <= night.lehr.ambient + 1.0:
        raise PlanError(
            "The strain point less the lag of the thickest piece lies at room temperature.",
            field="pieces",
            remedy="Check the glass's strain point and the thickness.",
        )
    rate = min(rate, night.lehr.natural_cooling_rate(bottom))
    return Ramp(night.soak, bottom, rate, bound if rate >= bound.rate else None)


def _all_ramps(night: _Night, bound: Bound, slow_ramp: Ramp) -> list[Ramp]:
    controller = night.lehr.controller
    used = 1 if controller.entry is Entry.RATE else 2
    room = controller.max_segments - used
    if room < 1:
        raise PlanError(
            f"The controller's {controller.max_segments} segments are too few: the soak takes "
            f"{used} and the cooling at least one.",
            field="max_segments",
            remedy=f"Allow {used + 1} segments or more.",
        )
    safe = tabulate(night.limits, bound, slow_ramp.bottom, night.lehr)
    return choose_ramps(safe, slow_ramp, bound, room, night.lehr)


def _soak_segment(night: _Night, soak: SoakTime) -> Segment:
    """Bring everything to the soak, and hold."""
    load, lehr = night.load, night.lehr
    start = night.soak if load.start_temperature is None else load.start_temperature
    begin = load.button_time.astimezone(UTC)
    hold = whole_minutes_up(soak.duration)
    heating = _heating_bound(night, start)
    rate = lehr.max_heating_rate
    if heating is not None and heating.rate < rate:
        rate = heating.rate
    rate = rate_step_down(rate, lehr.controller)
    if rate <= 0:
        raise _too_coarse(night, heating.rate if heating else lehr.max_heating_rate)
    if start > night.soak:
        curve_time, curve = _coast_points(lehr, start, night.soak)
        ramp_time = whole_minutes_up(curve_time[-1])
        rate = -(start - night.soak) / ramp_time
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
        governing_piece=soak.piece,
        reason=reason,
        curve_time=(*curve_time, ramp_time + hold),
        curve_temperature=tuple(night.reading(t) for t in (*curve, night.soak)),
    )


def _heating_bound(night: _Night, start: float) -> Bound | None:
    """Rate at which cold pieces may be heated; ``None`` when nothing is stiff any more."""
    stiff = min(night.soak, max(r.properties.strain_point.value for r in night.responses))
    if start >= stiff:
        return None
    return min(night.limits.heating(np.linspace(start, stiff, 40)), key=lambda bound: bound.rate)


def _too_coarse(night: _Night, rate: float) -> PlanError:
    return PlanError(
        words.too_coarse(rate, night.lehr.controller, night.units),
        field="rate_step",
        remedy="Enter the program by target and time, or set a finer rate step if it has one.",
    )


def _ramp_segment(night: _Night, kind: SegmentKind, ramp: Ramp, begin: datetime) -> Segment:
    controller = night.lehr.controller
    fall = ramp.top - ramp.bottom
    if controller.entry is Entry.RATE:
        rate = rate_step_down(ramp.rate, controller)
        if rate <= 0:
            raise _too_coarse(night, ramp.rate)
        duration = fall / rate
    else:
        duration = whole_minutes_up(fall / ramp.rate)
        rate = fall / duration
    if duration > LONGEST_NIGHT:
        raise PlanError(
            f"This load would need {duration / 86400:.0f} days for one ramp.",
            field="pieces",
            remedy="Check the thickness and the stress limits.",
        )
    bound = ramp.bound
    if bound is None:
        piece, reason = "", words.lehr_reason(night.lehr, ramp.bottom, night.units)
    else:
        piece, reason = bound.piece, words.bound_reason(bound, night.units)
    return Segment(
        kind=kind,
        start_temperature=night.reading(ramp.top),
        target=night.reading(ramp.bottom),
        rate=-rate,
        ramp_time=duration,
        hold_time=0.0,
        start=begin,
        end=begin + timedelta(seconds=duration),
        governing_piece=piece,
        reason=reason,
        curve_time=(0.0, duration),
        curve_temperature=(night.reading(ramp.top), night.reading(ramp.bottom)),
    )


def _coast_points(lehr: Lehr, start: float, end: float) -> tuple[list[float], list[float]]:
    """Times [s] and true temperatures [K] while the lehr cools by itself."""
    total = lehr.coast_time(start, end)
    time = np.linspace(0.0, total, COAST_POINTS)
    excess = (start - lehr.ambient) * np.exp(-time / lehr.cooling_time_constant)
    return [float(t) for t in time], [float(t) for t in lehr.ambient + excess]


def _until_hand_warm(
    night: _Night, segments: list[Segment]
) -> tuple[list[Segment], datetime]:
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
            remedy="Check the thickness and the stress limits.",
        )
    time = np.linspace(0.0, horizon, 3000)
    chamber = np.interp(time, corner_time, corner)
    coasting = time > controlled
    excess = (bottom - lehr.ambient) * np.exp(
        -(time[coasting] - controlled) / lehr.cooling_time_constant
    )
    chamber[coasting] = lehr.ambient + excess
    found = first_time_below(
        time, core_temperatures(night.responses, time, chamber), hand_warm
    )
    if found is None:
        raise PlanError(
            "The pieces do not become hand-warm in this lehr.",
            field="hand_warm",
            remedy="Raise the hand-warm temperature or check the lehr's time constant.",
        )
    ready, index = whole_minutes_up(found[0]), found[1]
    piece = night.responses[index].piece.name
    if ready <= controlled:
        return _cut_short(segments, origin + timedelta(seconds=ready)), origin + timedelta(
            seconds=ready
        )
    reading_end = lehr.ambient + (bottom - lehr.ambient) * np.exp(
        -(ready - controlled) / lehr.cooling_time_constant
    )
    curve_time, curve = _coast_points(lehr, bottom, float(reading_end))
    coast_time = ready - controlled
    coast = Segment(
        kind=SegmentKind.COAST,
        start_temperature=night.reading(bottom),
        target=night.reading(float(reading_end)),
        rate=-(bottom - float(reading_end)) / coast_time,
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
