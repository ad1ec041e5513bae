"""A run on the plot: plan and actual, and how far off it was below."""

from __future__ import annotations

from datetime import datetime, tzinfo

from app.local_time import clock_text
from app.logbook.night_story import story_markers, story_of
from app.logbook.run_sheet import RunSheet
from app.plots.curves import Marker, MarkerRole
from app.plots.night_clock import night_clock
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import (
    actual_line,
    deviation_line,
    lateness_line,
    plan_line,
    plan_moments,
    plan_zones,
    soak_level,
)
from app.plots.strip import OffBy, Strip
from core.run.alignment import Align
from core.units import UnitChoice


def show_run(
    plot: NightPlot,
    sheet: RunSheet,
    zone: tzinfo | None,
    now: datetime,
    *,
    units: UnitChoice,
    off_by: OffBy = OffBy.TEMPERATURE,
    keep_view: bool,
) -> None:
    """Draw a run; whether the strip below is shown is left to the page.

    Parameters
    ----------
    plot : NightPlot
    sheet : RunSheet
        Its plan is moved where it was aligned otherwise than by the clock.
    zone : tzinfo or None
    now : datetime
        Marked while the run goes on.
    units : UnitChoice
    off_by : OffBy
        What the strip shows.
    keep_view : bool
        Keep the span of time zoomed to.
    """
    plan, comparison = sheet.plan, sheet.comparison
    shift = 0.0 if comparison is None else comparison.shift
    lines = [plan_line(plan, shift)]
    if len(sheet.readings):
        lines.append(actual_line(sheet.readings, comparison))
    strip = Strip()
    if comparison is not None:
        late = off_by is OffBy.TIME
        line = lateness_line(comparison) if late else deviation_line(comparison)
        strip = Strip((line,), off_by)
    plot.show_night(
        lines,
        zones=plan_zones(plan),
        levels=[soak_level(plan)],
        markers=run_markers(sheet, zone, now, units),
        strip=strip,
        keep_view=keep_view,
    )


def run_markers(
    sheet: RunSheet, zone: tzinfo | None, now: datetime, units: UnitChoice
) -> list[Marker]:
    """Begin, what was planned, what happened, and the present while the run goes on."""
    run, plan = sheet.run, sheet.plan
    begun = f"begun {night_clock(run.started_at, plan, zone)}"
    markers = [Marker(run.started_at.timestamp(), begun, MarkerRole.EVENT)]
    moments = plan_moments(plan, zone)
    if sheet.align is not Align.CLOCK:
        # When a moved plan would have been ready was never promised.
        moments = [moment for moment in moments if moment.role is MarkerRole.OUT_BY]
    markers.extend(moments)
    markers.extend(story_markers(sheet, story_of(sheet, units)))
    if not run.finished and run.started_at <= now <= max(plan.ready_at, plan.out_by or now):
        markers.append(Marker(now.timestamp(), f"now {clock_text(now, zone)}", MarkerRole.NOW))
    return markers
