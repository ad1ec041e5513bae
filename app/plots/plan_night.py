"""A plan, and what was read beside it, put on the night's plot."""

from __future__ import annotations

from collections.abc import Sequence

from app.plots.curves import CurveLine, Marker
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import (
    actual_line,
    deviation_line,
    plan_line,
    plan_zones,
    soak_level,
)
from core.plan.plan import Plan
from core.run.compare import Comparison
from core.run.readings import Readings


def draw_plan(
    plot: NightPlot,
    plan: Plan,
    markers: Sequence[Marker],
    *,
    readings: Readings | None,
    comparison: Comparison | None,
    keep_view: bool,
    more: Sequence[CurveLine] = (),
) -> None:
    """Draw a plan with its zones and soak, these markers, the readings and more over it."""
    lines = [plan_line(plan)]
    if readings is not None and len(readings):
        lines.append(actual_line(readings, comparison))
    lines.extend(more)
    plot.show_night(
        lines,
        zones=plan_zones(plan),
        levels=[soak_level(plan)],
        markers=markers,
        deviation=None if comparison is None else deviation_line(comparison),
        keep_view=keep_view,
    )
