"""The curve on paper: drawn for its size with axes, grid, words and legend, always in light ink.

Not a picture of the screen: scaling that up makes hair-thin lines and cropped words.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFont, QFontMetricsF, QPainter, QPen, QPolygonF

from app.plots.clock_axis import clock_label, clock_step, clock_ticks, span_in_words
from app.plots.curves import CurveLine, FloatArray, Level, Marker, ZoneBand
from app.plots.looks import line_look, marker_look
from app.plots.placing import rows, sides, spread
from app.theme import LIGHT
from app.widgets.quantity import Quantity, format_quantity
from core.units import ZERO_CELSIUS, UnitChoice, kelvin_from, kelvin_to

_POINTS = 8.5
_MOST_POINTS = 4000
"""A printed curve needs no more points than the printer has dots across the page."""


@dataclass(frozen=True)
class _Frame:
    """The plotting area in the painter's coordinates and what it spans."""

    area: QRectF
    start: float
    end: float
    low: float
    high: float

    def x(self, moment: float) -> float:
        share = (moment - self.start) / (self.end - self.start)
        return self.area.left() + share * self.area.width()

    def y(self, kelvin: float) -> float:
        share = (kelvin - self.low) / (self.high - self.low)
        return self.area.bottom() - share * self.area.height()


def degree_step(span: float, room: int = 7) -> float:
    """Round distance between grid lines so that at most ``room`` fit into ``span`` degrees."""
    raw = span / room
    size = 10.0 ** math.floor(math.log10(raw))
    return next(size * step for step in (1.0, 2.0, 5.0, 10.0) if size * step >= raw * (1 - 1e-9))


def paint_night(
    painter: QPainter,
    rect: QRectF,
    lines: Sequence[CurveLine],
    *,
    zones: Sequence[ZoneBand] = (),
    levels: Sequence[Level] = (),
    markers: Sequence[Marker] = (),
    units: UnitChoice | None = None,
    zone: tzinfo | None = None,
) -> None:
    """Draw the night into ``rect``; the painter is left as it was found.

    Sizes of words and lines are in points of the device the painter draws on (72 to an inch).

    Parameters
    ----------
    painter : QPainter
        Active, on paper (QPrinter, QPdfWriter) or an image.
    rect : QRectF
        Where, in the painter's coordinates.
    lines, zones, levels, markers : sequence
        As for :class:`app.plots.night_plot.NightPlot`.
    """
    units = units or UnitChoice()
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    point = painter.device().logicalDpiY() / 72.0
    font = QFont(painter.font())
    font.setPointSizeF(_POINTS)
    painter.setFont(font)
    metrics = QFontMetricsF(font, painter.device())
    frame = _frame_for(rect, metrics, lines, zones, levels, markers, units)
    _draw_zones(painter, frame, zones, point)
    _draw_grid(painter, frame, metrics, units, zone, point)
    top = _draw_markers(painter, frame, rect.right(), metrics, markers, point)
    painter.save()
    painter.setClipRect(frame.area)
    for line in lines:
        look = line_look(line.role, LIGHT)
        painter.setPen(look.printing_pen(point * 0.75))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for part in _parts(line, frame):
            painter.drawPolyline(part)
    painter.restore()
    _draw_edge_words(painter, frame, metrics, zones, levels, units, top, point)
    _draw_legend(painter, rect, frame, metrics, lines, units, zone, point)
    painter.restore()


def _extent(arrays: Sequence[FloatArray], default: tuple[float, float]) -> tuple[float, float]:
    known = [array[np.isfinite(array)] for array in arrays]
    known = [array for array in known if array.size]
    if not known:
        return default
    return min(float(a.min()) for a in known), max(float(a.max()) for a in known)


def _edge_words(
    zones: Sequence[ZoneBand], levels: Sequence[Level], units: UnitChoice
) -> list[tuple[float, str, str]]:
    """Temperature, words and colour of what stands at the right edge."""

    def words(label: str, kelvin: float) -> str:
        return f"{label} {format_quantity(Quantity.TEMPERATURE, kelvin, units)}"

    result = [
        (level.temperature, words(level.label, level.temperature), LIGHT.muted) for level in levels
    ]
    for band in zones:
        result.append((band.top, words(band.top_label, band.top), LIGHT.zone_ink))
        result.append((band.bottom, words(band.bottom_label, band.bottom), LIGHT.zone_ink))
    return result


def _frame_for(
    rect: QRectF,
    metrics: QFontMetricsF,
    lines: Sequence[CurveLine],
    zones: Sequence[ZoneBand],
    levels: Sequence[Level],
    markers: Sequence[Marker],
    units: UnitChoice,
) -> _Frame:
    height = metrics.height()
    left = metrics.horizontalAdvance("0000") + 0.8 * height
    right = max(
        (metrics.horizontalAdvance(text) for _, text, _ in _edge_words(zones, levels, units)),
        default=0.0,
    )
    area = rect.adjusted(left, 1.6 * height, -right - 0.8 * height, -2.9 * height)
    times = [line.time for line in lines] + [np.array([m.time]) for m in markers]
    start, end = _extent(times, (0.0, 86400.0))
    margin = max(0.02 * (end - start), 60.0)
    low, high = _extent(
        [line.temperature for line in lines]
        + [np.array([band.bottom, band.top]) for band in zones]
        + [np.array([level.temperature]) for level in levels],
        (ZERO_CELSIUS, ZERO_CELSIUS + 600.0),
    )
    low = min(low, ZERO_CELSIUS + 20.0)
    room = max(high - low, 20.0)
    return _Frame(area, start - margin, end + margin, low - 0.03 * room, high + 0.16 * room)


def _parts(line: CurveLine, frame: _Frame) -> list[QPolygonF]:
    """The curve as one polyline for each stretch without gaps."""
    if line.time.size == 0:
        return []
    step = max(1, line.time.size // _MOST_POINTS)
    finite = np.isfinite(line.temperature)
    # The last reading is always drawn, however many are left out between.
    chosen = np.unique(np.append(np.arange(0, line.time.size, step), line.time.size - 1))
    if not finite.all():
        chosen = np.unique(np.concatenate([chosen, np.flatnonzero(~finite)]))
    parts: list[QPolygonF] = []
    current: list[QPointF] = []
    for index in chosen:
        if finite[index]:
            x, y = frame.x(float(line.time[index])), frame.y(float(line.temperature[index]))
            current.append(QPointF(x, y))
        elif current:
            parts.append(QPolygonF(current))
            current = []
    if current:
        parts.append(QPolygonF(current))
    return parts


def _draw_zones(painter: QPainter, frame: _Frame, zones: Sequence[ZoneBand], point: float) -> None:
    tint = QColor(LIGHT.zone)
    tint.setAlpha(110)
    for band in zones:
        box = QRectF(
            QPointF(frame.area.left(), frame.y(band.top)),
            QPointF(frame.area.right(), frame.y(band.bottom)),
        )
        painter.fillRect(box, QBrush(tint))
        painter.setPen(QPen(QColor(LIGHT.zone_ink), 0.6 * point, Qt.PenStyle.DotLine))
        painter.drawLine(box.topLeft(), box.topRight())
        painter.drawLine(box.bottomLeft(), box.bottomRight())


def _draw_grid(
    painter: QPainter,
    frame: _Frame,
    metrics: QFontMetricsF,
    units: UnitChoice,
    zone: tzinfo | None,
    point: float,
) -> None:
    area, height = frame.area, metrics.height()
    grid = QPen(QColor(LIGHT.grid), 0.4 * point)
    ink = QPen(QColor(LIGHT.ink))
    low = kelvin_to(frame.low, units.temperature)
    high = kelvin_to(frame.high, units.temperature)
    step = degree_step(high - low)
    value = math.ceil(low / step) * step
    while value <= high:
        y = frame.y(kelvin_from(value, units.temperature))
        painter.setPen(grid)
        painter.drawLine(QPointF(area.left(), y), QPointF(area.right(), y))
        painter.setPen(ink)
        box = QRectF(area.left() - 6 * height, y - height, 5.6 * height, 2 * height)
        side = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        painter.drawText(box, side, f"{value:.0f}")
        value += step
    span = frame.end - frame.start
    room = metrics.horizontalAdvance("Wed 26 Nov") + 0.6 * height
    seconds = clock_step(span, area.width(), room)
    for moment in clock_ticks(frame.start, frame.end, seconds, zone):
        x = frame.x(moment)
        painter.setPen(grid)
        painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        painter.setPen(ink)
        box = QRectF(x - room, area.bottom() + 0.2 * height, 2 * room, height)
        painter.drawText(box, Qt.AlignmentFlag.AlignCenter, clock_label(moment, seconds, zone))
    painter.setPen(QPen(QColor(LIGHT.edge_strong), 0.7 * point))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRect(area)


def _draw_markers(
    painter: QPainter,
    frame: _Frame,
    right: float,
    metrics: QFontMetricsF,
    markers: Sequence[Marker],
    point: float,
) -> float:
    """Draw the moments and return the lowest place their words reach."""
    area, height = frame.area, metrics.height()
    gap = 0.25 * height
    xs = [frame.x(marker.time) for marker in markers]
    widths = [metrics.horizontalAdvance(marker.label) + gap for marker in markers]
    lefts = sides(xs, widths, area.left(), right, gap)
    spans = [
        (x - w, x) if left else (x, x + w) for x, w, left in zip(xs, widths, lefts, strict=True)
    ]
    lines = rows(spans, gap)
    for marker, x, left, span, row in zip(markers, xs, lefts, spans, lines, strict=True):
        look = marker_look(marker.role, LIGHT)
        painter.setPen(look.printing_pen(point * 0.75))
        painter.drawLine(QPointF(x, area.top()), QPointF(x, area.bottom()))
        side = Qt.AlignmentFlag.AlignRight if left else Qt.AlignmentFlag.AlignLeft
        shift = -gap if left else gap
        box = QRectF(span[0] + shift, area.top() + row * height, span[1] - span[0], height)
        _draw_words(painter, box, side | Qt.AlignmentFlag.AlignVCenter, marker.label)
    return area.top() + (max(lines, default=-1) + 1) * height


def _draw_words(painter: QPainter, box: QRectF, side: Qt.AlignmentFlag, text: str) -> None:
    """Words on a white ground, so that no line runs through them."""
    ground = QColor("white")
    ground.setAlpha(220)
    painter.fillRect(painter.boundingRect(box, side, text), ground)
    painter.drawText(box, side, text)


def _draw_edge_words(
    painter: QPainter,
    frame: _Frame,
    metrics: QFontMetricsF,
    zones: Sequence[ZoneBand],
    levels: Sequence[Level],
    units: UnitChoice,
    top: float,
    point: float,
) -> None:
    for level in levels:
        y = frame.y(level.temperature)
        painter.setPen(QPen(QColor(LIGHT.muted), 0.6 * point, Qt.PenStyle.DashDotLine))
        painter.drawLine(QPointF(frame.area.left(), y), QPointF(frame.area.right(), y))
    entries = _edge_words(zones, levels, units)
    height = metrics.height()
    wanted = [frame.y(kelvin) for kelvin, _, _ in entries]
    centres = spread(wanted, height, top, frame.area.bottom())
    for (_, text, colour), centre in zip(entries, centres, strict=True):
        painter.setPen(QColor(colour))
        width = metrics.horizontalAdvance(text) + 1
        box = QRectF(frame.area.right() + 0.4 * height, centre - height / 2, width, height)
        painter.drawText(box, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter, text)


def _draw_legend(
    painter: QPainter,
    rect: QRectF,
    frame: _Frame,
    metrics: QFontMetricsF,
    lines: Sequence[CurveLine],
    units: UnitChoice,
    zone: tzinfo | None,
    point: float,
) -> None:
    height = metrics.height()
    vertical = Qt.AlignmentFlag.AlignVCenter
    painter.setPen(QColor(LIGHT.ink))
    title = f"Temperature, {units.temperature.symbol}"
    head = QRectF(rect.left(), rect.top(), rect.width(), 1.3 * height)
    painter.drawText(head, Qt.AlignmentFlag.AlignLeft | vertical, title)
    foot = QRectF(frame.area.left(), rect.bottom() - 1.3 * height, frame.area.width(), 1.2 * height)
    days = span_in_words(frame.start, frame.end, zone)
    painter.drawText(foot, Qt.AlignmentFlag.AlignRight | vertical, f"Clock time, {days}")
    x = frame.area.left()
    middle = foot.center().y()
    for line in lines:
        painter.setPen(line_look(line.role, LIGHT).printing_pen(point * 0.75))
        painter.drawLine(QPointF(x, middle), QPointF(x + 2.2 * height, middle))
        x += 2.6 * height
        painter.setPen(QColor(LIGHT.ink))
        width = metrics.horizontalAdvance(line.name)
        painter.drawText(QRectF(x, foot.top(), width + 2, foot.height()), vertical, line.name)
        x += width + 1.4 * height
