"""Nights over each other on the plot, and each in a few figures."""

from __future__ import annotations

from datetime import tzinfo

from app.local_time import to_local
from app.logbook.overlay_work import OverlaySheet
from app.plots.curves import NIGHTS, CurveLine, LineRole
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import plan_zones, soak_level
from app.plots.strip import OffBy, Strip
from app.plots.time_words import Since
from app.studio import Studio
from app.widgets.quantity import NOTHING, Quantity, format_quantity, scale_of, signed_text
from app.widgets.tables import Column
from core.plan.plan import Plan
from core.run.alignment import Align
from core.run.gap_breaks import with_breaks
from core.run.gaps import gaps_of
from core.run.overlay import OverlaidNight
from core.units import format_duration

_WHAT = {
    Align.SOAK_START: "the start of the soak",
    Align.SOAK_END: "the end of the soak",
    Align.BEST_FIT: "the planned start of the soak",
}


def since_of(sheet: OverlaySheet, zone: tzinfo | None) -> Since:
    """What time counts from."""
    if sheet.overlay.align is not Align.CLOCK:
        return Since(_WHAT[sheet.overlay.align])
    local = to_local(sheet.overlay.nights[0].origin, zone)
    return Since("the button", hour=local.hour * 3600.0 + local.minute * 60.0 + local.second)


def draw_overlay(
    plot: NightPlot,
    sheet: OverlaySheet,
    chosen: int,
    plan: Plan,
    *,
    zone: tzinfo | None,
    off_by: OffBy,
    keep_view: bool,
) -> None:
    """Draw nights over each other.

    Parameters
    ----------
    plot : NightPlot
        Made to count time since a moment.
    sheet : OverlaySheet
    chosen : int
        The night whose plan is drawn.
    plan : Plan
        Of that night, for zones and soak.
    zone : tzinfo or None
    off_by : OffBy
        What the strip shows.
    keep_view : bool
    """
    nights = sheet.overlay.nights
    planned = nights[chosen]
    lines = [CurveLine("Plan", planned.planned_elapsed, planned.planned, LineRole.PLAN)]
    # The newest on top.
    for night, role in reversed(list(zip(nights, NIGHTS, strict=False))):
        time, kelvin = with_breaks(night.elapsed, night.temperature, gaps_of(night.elapsed))
        lines.append(CurveLine(night.label, time, kelvin, role))
    strips = [
        strip
        for night, role in zip(nights, NIGHTS, strict=False)
        if (strip := _strip(night, role, off_by)) is not None
    ]
    plot.set_since(since_of(sheet, zone))
    plot.show_night(
        lines,
        zones=plan_zones(plan),
        levels=[soak_level(plan)],
        strip=Strip(tuple(strips), off_by),
        keep_view=keep_view,
    )


def _strip(night: OverlaidNight, role: LineRole, off_by: OffBy) -> CurveLine | None:
    comparison = night.comparison
    if comparison is None:
        return None
    values = comparison.lateness if off_by is OffBy.TIME else comparison.deviation
    time, off = with_breaks(comparison.time, values, comparison.gaps)
    return CurveLine(f"{night.label}, off", time - night.origin, off, role)


def figure_columns(studio: Studio) -> tuple[Column, ...]:
    """Columns of a table of nights (:class:`core.run.overlay.OverlaidNight`)."""
    units = studio.units
    degrees = scale_of(Quantity.TEMPERATURE, units).symbol

    def largest(night: OverlaidNight) -> str:
        if night.comparison is None:
            return NOTHING
        text = format_quantity(
            Quantity.INTERVAL, night.comparison.max_deviation, units, with_unit=False
        )
        return signed_text(text)

    def rate(value: float | None) -> str:
        return format_quantity(Quantity.RATE, value, units, with_unit=False)

    def mean(night: OverlaidNight) -> str:
        return rate(None if night.comparison is None else night.comparison.transformation_rate)

    def fastest(night: OverlaidNight) -> str:
        return rate(None if night.comparison is None else night.comparison.fastest_rate)

    def soak(night: OverlaidNight) -> str:
        return NOTHING if night.comparison is None else format_duration(night.comparison.soak_time)

    def work(night: OverlaidNight) -> str:
        works = () if night.comparison is None else night.comparison.heat_work
        return format_duration(works[0].actual) if works else NOTHING

    return (
        Column("Night", lambda night: night.label, tip=lambda night: night.note),
        Column(f"Off {degrees}", largest, numeric=True, tip=lambda _: "Largest deviation"),
        Column(
            f"{degrees}/h",
            mean,
            numeric=True,
            tip=lambda _: "Mean rate through the transformation range",
        ),
        Column("Fastest", fastest, numeric=True, tip=lambda _: "Fastest quarter of an hour of it"),
        Column("Soak", soak, numeric=True, tip=lambda _: "Time at the soak", gives_way=2),
        Column(
            "Heat-work",
            work,
            numeric=True,
            tip=lambda _: "As time at the annealing point",
            gives_way=1,
        ),
    )
