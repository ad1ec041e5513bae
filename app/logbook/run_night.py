"""A run on the plot: plan and actual by clock time, and the deviation below."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.logbook.run_sheet import RunSheet
from app.plots.curves import CurveLine, Level, LineRole, Marker, MarkerRole, ZoneBand
from app.plots.night_plot import NightPlot
from core.plan.plan import Plan
from core.store.book import RunRecord


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
    lines = [CurveLine("Plan", *sheet.plan.curve(), LineRole.PLAN)]
    deviation = None
    if sheet.lines:
        lines.append(CurveLine("Actual", sheet.actual_time, sheet.actual, LineRole.ACTUAL))
    if sheet.comparison is not None:
        deviation = CurveLine("Deviation", sheet.actual_time, sheet.deviation, LineRole.ACTUAL)
    plot.show_night(
        lines,
        zones=_zones(sheet.plan),
        levels=[Level(sheet.plan.soak_temperature, "soak")],
        markers=_markers(sheet.run, sheet.plan, zone, now),
        deviation=deviation,
        keep_view=keep_view,
    )


def _zones(plan: Plan) -> list[ZoneBand]:
    several = len(plan.zones) > 1
    return [
        ZoneBand(
            zone.annealing_point,
            zone.strain_point,
            f"annealing, {zone.glass}" if several else "annealing",
            f"strain, {zone.glass}" if several else "strain",
        )
        for zone in plan.zones
    ]


def _markers(run: RunRecord, plan: Plan, zone: tzinfo | None, now: datetime) -> list[Marker]:
    ready = MarkerRole.READY if plan.feasible else MarkerRole.LATE

    def marker(moment: datetime, word: str, role: MarkerRole) -> Marker:
        return Marker(moment.timestamp(), f"{word} {clock_text(moment, zone)}", role)

    markers = [
        marker(run.started_at, "begun", MarkerRole.EVENT),
        marker(plan.ready_at, "ready", ready),
    ]
    if plan.out_by is not None:
        markers.append(marker(plan.out_by, "out by", MarkerRole.OUT_BY))
    if not run.finished and run.started_at <= now <= max(plan.ready_at, plan.out_by or now):
        markers.append(marker(now, "now", MarkerRole.NOW))
    return markers
