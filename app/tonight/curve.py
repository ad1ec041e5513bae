"""A plan, and the readings of its run, handed to the night's plot."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.plots.curves import Marker, MarkerRole
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import (
    actual_line,
    deviation_line,
    plan_line,
    plan_moments,
    plan_zones,
    soak_level,
)
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
    lines = [plan_line(plan)]
    if readings is not None and len(readings):
        lines.append(actual_line(readings, comparison))
    markers = plan_moments(plan, zone)
    if now is not None and plan.start <= now <= plan.ready_at:
        markers.append(Marker(now.timestamp(), f"now {clock_text(now, zone)}", MarkerRole.NOW))
    plot.show_night(
        lines,
        zones=plan_zones(plan),
        levels=[soak_level(plan)],
        markers=markers,
        deviation=None if comparison is None else deviation_line(comparison),
        keep_view=keep_view,
    )
    plot.show_deviation(comparison is not None)
