"""A plan, and the readings of its run, handed to the night's plot."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.plots.curves import CurveLine, Level, LineRole, Marker, MarkerRole, ZoneBand
from app.plots.night_plot import NightPlot
from app.tonight.night_clock import night_clock
from core.plan.plan import Plan
from core.run.compare import Comparison
from core.run.readings import Readings


def show_plan(
    plot: NightPlot,
    plan: Plan,
    zone: tzinfo | None,
    *,
    readings: Readings | None = None,
    comparison: Comparison | None = None,
    now: datetime | None = None,
    keep_view: bool = False,
) -> None:
    """Show a plan with its zones and moments, and the readings over it."""
    lines = [CurveLine("Plan", *plan.curve(), LineRole.PLAN)]
    if readings is not None and len(readings):
        lines.append(CurveLine("Actual", readings.time, readings.temperature, LineRole.ACTUAL))
    deviation = None
    if comparison is not None:
        deviation = CurveLine("Deviation", comparison.time, comparison.deviation, LineRole.ACTUAL)
    several = len(plan.zones) > 1
    zones = [
        ZoneBand(
            band.annealing_point,
            band.strain_point,
            f"{band.glass}: annealing" if several else "annealing",
            f"{band.glass}: strain" if several else "strain",
        )
        for band in plan.zones
    ]
    plot.show_night(
        lines,
        zones=zones,
        levels=[Level(plan.soak_temperature, "soak")],
        markers=_moments(plan, zone, now),
        deviation=deviation,
        keep_view=keep_view,
    )
    plot.show_deviation(deviation is not None)


def _moments(plan: Plan, zone: tzinfo | None, now: datetime | None) -> list[Marker]:
    ready = Marker(
        plan.ready_at.timestamp(),
        f"ready {night_clock(plan.ready_at, plan, zone)}",
        MarkerRole.READY if plan.feasible else MarkerRole.LATE,
    )
    markers = [ready]
    if plan.out_by is not None:
        markers.append(
            Marker(
                plan.out_by.timestamp(),
                f"out by {night_clock(plan.out_by, plan, zone)}",
                MarkerRole.OUT_BY,
            )
        )
    if now is not None and plan.start <= now <= plan.ready_at:
        markers.append(Marker(now.timestamp(), f"now {clock_text(now, zone)}", MarkerRole.NOW))
    return markers
