"""A plan, and the readings of its run, handed to the night's plot."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.plots.curves import CurveLine, Marker, MarkerRole
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import plan_moments
from app.plots.plan_night import draw_plan
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
    more: Sequence[CurveLine] = (),
) -> None:
    """Show a plan with its zones and moments, the readings over it, and more lines."""
    markers = plan_moments(plan, zone)
    if now is not None and plan.start <= now <= plan.ready_at:
        markers.append(Marker(now.timestamp(), f"now {clock_text(now, zone)}", MarkerRole.NOW))
    draw_plan(
        plot,
        plan,
        markers,
        readings=readings,
        comparison=comparison,
        keep_view=keep_view,
        more=more,
    )
    plot.show_deviation(comparison is not None)
