"""What every curve of a plan shows: its line, its zones, its soak and its moments."""

from __future__ import annotations

from datetime import tzinfo

from app.plots.curves import CurveLine, Level, LineRole, Marker, MarkerRole, ZoneBand
from app.plots.night_clock import night_clock
from core.plan.plan import Plan
from core.run.compare import Comparison
from core.run.gap_breaks import with_breaks
from core.run.readings import Readings
from core.units import format_duration

_SAME = 30.0
"""A plan moved by less than this [s] lies where it was."""


def plan_line(plan: Plan, shift: float = 0.0) -> CurveLine:
    """The plan's own curve, or moved to lie on a log that is so much later [s]."""
    time, kelvin = plan.curve()
    name = "Plan" if abs(shift) < _SAME else f"Plan, moved {moved_words(shift)}"
    return CurveLine(name, time + shift, kelvin, LineRole.PLAN)


def moved_words(shift: float) -> str:
    """``"0:25 later"``."""
    return f"{format_duration(abs(shift))} {'later' if shift > 0 else 'earlier'}"


def actual_line(readings: Readings, comparison: Comparison | None) -> CurveLine:
    """What was read, broken where nothing was read for long."""
    gaps = () if comparison is None else comparison.gaps
    time, kelvin = with_breaks(readings.time, readings.temperature, gaps)
    return CurveLine("Actual", time, kelvin, LineRole.ACTUAL)


def deviation_line(comparison: Comparison) -> CurveLine:
    """What was read less what was planned, broken like the curve above it."""
    time, kelvin = with_breaks(comparison.time, comparison.deviation, comparison.gaps)
    return CurveLine("Deviation", time, kelvin, LineRole.ACTUAL)


def lateness_line(comparison: Comparison) -> CurveLine:
    """How much later than planned the same temperature was reached [s]."""
    time, seconds = with_breaks(comparison.time, comparison.lateness, comparison.gaps)
    return CurveLine("Off plan", time, seconds, LineRole.ACTUAL)


def plan_zones(plan: Plan) -> list[ZoneBand]:
    """One band for each glass, named after it where there are several."""
    several = len(plan.zones) > 1
    return [
        ZoneBand(
            band.annealing_point,
            band.strain_point,
            f"{band.glass}: annealing" if several else "annealing",
            f"{band.glass}: strain" if several else "strain",
        )
        for band in plan.zones
    ]


def soak_level(plan: Plan) -> Level:
    """Where the soak lies."""
    return Level(plan.soak_temperature, "soak")


def plan_moments(plan: Plan, zone: tzinfo | None) -> list[Marker]:
    """When the pieces are ready and when they must be out, with the day in a long night."""
    markers = [
        Marker(
            plan.ready_at.timestamp(),
            f"ready {night_clock(plan.ready_at, plan, zone)}",
            MarkerRole.READY if plan.feasible else MarkerRole.LATE,
        )
    ]
    if plan.out_by is not None:
        words = f"out by {night_clock(plan.out_by, plan, zone)}"
        markers.append(Marker(plan.out_by.timestamp(), words, MarkerRole.OUT_BY))
    return markers
