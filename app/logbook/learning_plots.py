"""What nights teach as points and lines."""

from __future__ import annotations

import numpy as np

from app.plots.point_plot import PointPlot, PointRole, Points, Trace
from app.widgets.quantity import Quantity, scale_of
from core.learning.cracks import CrackReport, Found
from core.learning.lehr_refit import TIME_CONSTANT
from core.learning.lehr_trend import LehrTrend
from core.learning.strain_seen import Seen
from core.learning.thermocouple_drift import DriftReport
from core.units import UnitChoice, interval_to, rate_to

_SMALLEST, _LARGEST = 8.0, 22.0
"""Pixels across a point of one piece, and of very many."""


def draw_cracks(plot: PointPlot, report: CrackReport, found: tuple[Found, ...]) -> None:
    """Pieces by their stress over what is allowed: the cracked above, the sound below."""
    mine = [one for one in found if one.limit is report.limit]
    groups = []
    for cracked, role in ((False, PointRole.GOOD), (True, PointRole.BAD)):
        kind = [one for one in mine if one.cracked is cracked]
        share = np.array([one.share for one in kind])
        size = np.array([min(_LARGEST, _SMALLEST + one.count) for one in kind])
        groups.append(Points(share, np.full(share.size, float(cracked)), size=size, role=role))
    trace = None
    if report.curve is not None and mine:
        x = np.linspace(0.0, max(2.0, *(one.share for one in mine)), 120)
        y, low, high = np.array([report.curve.share_at(float(value)) for value in x]).T
        trace = Trace(x, y, low, high)
    plot.show_points(
        groups,
        left="",
        bottom=f"{report.limit.value[:1].upper()}{report.limit.value[1:]}, over what is allowed",
        trace=trace,
        limit=1.0,
        ticks=[(0.0, "sound"), (1.0, "cracked")],
    )


def draw_seen(plot: PointPlot, seen: tuple[Seen, ...]) -> None:
    """Polariscope readings against their predictions [nm/cm]."""
    predicted = np.array([one.predicted for one in seen]) / 1e-7
    shown = np.array([one.seen for one in seen]) / 1e-7
    most = float(max(predicted.max(), shown.max())) if seen else 1.0
    same = np.array([0.0, most])
    plot.show_points(
        [Points(predicted, shown)],
        left="Seen, nm/cm",
        bottom="Predicted, nm/cm",
        trace=Trace(same, same),
    )


def draw_drift(plot: PointPlot, report: DriftReport, units: UnitChoice) -> None:
    """How far the thermocouple stood off night by night, at the soak and when cold."""
    groups = []
    offsets = ((report.at_soak, PointRole.USUAL), (report.when_cold, PointRole.GOOD))
    for night_offsets, role in offsets:
        time = np.array([offset.time for offset in night_offsets])
        value = np.array([offset.value for offset in night_offsets])
        error = np.array([offset.error for offset in night_offsets])
        ends = (value - error, value, value + error)
        low, middle, high = (interval_to(end, units.temperature) for end in ends)  # type: ignore[arg-type]
        groups.append(Points(time, middle, low, high, role=role))
    line = report.soak_line or report.cold_line
    trace = None
    if line is not None:
        trace = Trace(line.time, interval_to(line.at(line.time), units.temperature))  # type: ignore[arg-type]
    plot.show_points(groups, left=f"Off, {units.temperature.symbol}", trace=trace)


def draw_trend(plot: PointPlot, trend: LehrTrend, units: UnitChoice) -> None:
    """A parameter of a lehr run by run."""

    def shown(values: np.ndarray) -> np.ndarray:
        if trend.parameter == TIME_CONSTANT:
            return values / 3600.0
        return rate_to(values, units.temperature)  # type: ignore[arg-type,return-value]

    unit = "h" if trend.parameter == TIME_CONSTANT else scale_of(Quantity.RATE, units).symbol
    drawn = trend.drawn()
    plot.show_points(
        [Points(trend.time, shown(trend.value), shown(trend.low), shown(trend.high))],
        left=f"{trend.parameter[:1].upper()}{trend.parameter[1:]}, {unit}",
        trace=Trace(trend.time, shown(drawn)) if drawn.size else None,
    )
