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

from datetime import UTC

import numpy as np

from core.equipment.lehr import Entry
from core.errors import PlanError
from core.glass.glass import GlassProperties
from core.glass.properties import properties_of
from core.load.load import Load
from core.piece.response import PieceResponse
from core.plan import words
from core.plan.allowed_rates import Bound, RateLimits
from core.plan.cooling_steps import Ramp, choose_ramps, tabulate
from core.plan.last_cooling import until_hand_warm
from core.plan.night import Night
from core.plan.plan import Plan, SegmentKind, Zone
from core.plan.rounding import whole_degree_up, whole_reading_down
from core.plan.segments import ramp_segment, soak_segment
from core.plan.soak import soak_time
from core.units import UnitChoice
from core.version import VERSION

BELOW_STRAIN = 5.0
"""The slow cooling ends once the slowest core is this far [K] below the lowest strain point:
the least margin of the handbook schedule for ordinary ware (Shand 1958; from memory)."""


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
    night = Night(
        load, responses, RateLimits(load, responses), _soak_temperature(load, properties), units
    )
    soak = soak_time(responses, night.soak)
    slow_bound = night.limits.permanent()
    slow_ramp = _slow_ramp(night, slow_bound)
    ramps = _all_ramps(night, slow_bound, slow_ramp)

    segments = [soak_segment(night, soak)]
    for index, ramp in enumerate(ramps):
        kind = SegmentKind.SLOW_COOL if index == 0 else SegmentKind.COOL
        segments.append(ramp_segment(night, kind, ramp, segments[-1].end))
    segments, ready_at = until_hand_warm(night, segments)
    return Plan(
        load_name=load.name,
        lehr_name=load.lehr.name,
        segments=tuple(segments),
        soak_temperature=night.reading(night.soak),
        soak_time=segments[0].hold_time,
        transformation_top=night.reading(max(p.annealing_point.value for p in properties.values())),
        transformation_bottom=night.reading(min(p.strain_point.value for p in properties.values())),
        slow_rate=-segments[1].rate,
        governing_piece=segments[1].governing_piece or slow_bound.piece,
        governing_reason=segments[1].reason,
        start=load.button_time.astimezone(UTC),
        ready_at=ready_at,
        out_by=load.out_by.astimezone(UTC) if load.out_by else None,
        warnings=words.warnings_of(load, properties, night.soak, units),
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


def _slow_ramp(night: Night, bound: Bound) -> Ramp:
    """From the soak until the slowest core is below the lowest strain point.

    The end is found with the rate the pieces stand; where the lehr is slower still, the cores lag
    less and the end errs to the safe side.
    """
    natural = night.lehr.natural_cooling_rate(night.soak)
    end = min(_core_below_strain(r, min(bound.rate, natural)) for r in night.responses)
    bottom = whole_reading_down(end, night.lehr)
    if bottom <= night.lehr.ambient + 1.0:
        raise PlanError(
            "The strain point less the lag of the thickest piece lies at room temperature.",
            field="pieces",
            remedy="Check the glass's strain point and the thickness.",
        )
    followed = night.lehr.natural_cooling_rate(bottom)
    if followed < bound.rate:
        return Ramp(night.soak, bottom, followed, None)
    return Ramp(night.soak, bottom, bound.rate, bound)


def _core_below_strain(response: PieceResponse, rate: float) -> float:
    """Chamber temperature [K] at which a piece's core is safely below its strain point."""
    strain = response.properties.strain_point.value
    return strain - BELOW_STRAIN - rate * float(response.core_lag_time(np.asarray(strain)))


def _all_ramps(night: Night, bound: Bound, slow_ramp: Ramp) -> list[Ramp]:
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
