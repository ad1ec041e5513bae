"""A run on the plot: plan and actual by clock time, and the deviation below."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.logbook.run_sheet import RunSheet
from app.plots.curves import Marker, MarkerRole
from app.plots.night_clock import night_clock
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import plan_moments
from app.plots.plan_night import draw_plan


def show_run(
    plot: NightPlot, sheet: RunSheet, zone: tzinfo | None, now: datetime, *, keep_view: bool
) -> None:
    """Draw a run; whether the deviation below is shown is left to the page.

    Parameters
    ----------
    plot : NightPlot
    sheet : RunSheet
    zone : tzinfo or None
    now : datetime
        Marked while the run goes on.
    keep_view : bool
        Keep the span of time zoomed to.
    """
    run, plan = sheet.run, sheet.plan
    begun = f"begun {night_clock(run.started_at, plan, zone)}"
    markers = [Marker(run.started_at.timestamp(), begun, MarkerRole.EVENT)]
    markers.extend(plan_moments(plan, zone))
    if not run.finished and run.started_at <= now <= max(plan.ready_at, plan.out_by or now):
        markers.append(Marker(now.timestamp(), f"now {clock_text(now, zone)}", MarkerRole.NOW))
    draw_plan(
        plot,
        plan,
        markers,
        readings=sheet.readings,
        comparison=sheet.comparison,
        keep_view=keep_view,
    )
