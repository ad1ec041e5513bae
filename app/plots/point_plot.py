"""Points with their intervals, and a line through them: what many nights say of one thing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QFrame

from app.plots.clock_axis import ClockAxis
from app.plots.curves import FloatArray
from app.plots.looks import Look
from app.plots.plot_frame import unindexed
from app.theme import Theme, theme_of

_TICK_POINTS = 9.5


class PointRole(StrEnum):
    """What points are; it decides colour and shape."""

    USUAL = "usual"
    GOOD = "good"
    BAD = "bad"


@dataclass(frozen=True, eq=False)
class Points:
    """Points of one kind, in the units of the axes.

    Attributes
    ----------
    x, y : ndarray, shape (n,)
    low, high : ndarray, shape (n,) or (0,)
        Ends of the intervals of y; empty without any.
    size : ndarray, shape (n,) or (0,)
        Pixels across; empty for the usual size.
    role : PointRole
    """

    x: FloatArray
    y: FloatArray
    low: FloatArray = field(default_factory=lambda: np.empty(0))
    high: FloatArray = field(default_factory=lambda: np.empty(0))
    size: FloatArray = field(default_factory=lambda: np.empty(0))
    role: PointRole = PointRole.USUAL


@dataclass(frozen=True, eq=False)
class Trace:
    """A line through points, and its interval where it has one."""

    x: FloatArray
    y: FloatArray
    low: FloatArray = field(default_factory=lambda: np.empty(0))
    high: FloatArray = field(default_factory=lambda: np.empty(0))


class PointPlot(pg.PlotWidget):
    """A still plot: pages scroll over it, nothing zooms.

    Parameters
    ----------
    name : str
        What a screen reader calls it.
    dates : ClockAxis, optional
        Bottom axis of UTC epoch seconds; otherwise of plain numbers.
    """

    _built = False

    def __init__(self, name: str, *, dates: ClockAxis | None = None) -> None:
        super().__init__(axisItems={} if dates is None else {"bottom": dates})
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFixedHeight(230)
        unindexed(self)
        self.plot = self.getPlotItem()
        self.plot.hideButtons()
        self.plot.setMenuEnabled(False)
        self.view = self.plot.getViewBox()
        self.view.setMouseEnabled(x=False, y=False)
        self._titles = ("", "")
        self._points: tuple[Points, ...] = ()
        self._trace: Trace | None = None
        self._limit: float | None = None
        self._ticks: list[tuple[float, str]] | None = None
        self._items: list[pg.GraphicsObject] = []
        self._built = True

    def show_points(
        self,
        points: Sequence[Points],
        *,
        left: str,
        bottom: str = "",
        trace: Trace | None = None,
        limit: float | None = None,
        ticks: list[tuple[float, str]] | None = None,
    ) -> None:
        """Replace everything shown.

        Parameters
        ----------
        points : sequence of Points
        left, bottom : str
            Words of the axes, with their units.
        trace : Trace, optional
        limit : float, optional
            A level on the bottom axis that is marked.
        ticks : list of (float, str), optional
            Of the left axis, instead of numbers.
        """
        self._points, self._trace, self._limit = tuple(points), trace, limit
        self._titles, self._ticks = (left, bottom), ticks
        self.redraw()

    def wheelEvent(self, event: QEvent) -> None:
        """Leave the wheel to the page."""
        event.ignore()

    def redraw(self) -> None:
        """Draw with the colours of the theme."""
        for item in self._items:
            self.removeItem(item)
        self._items.clear()
        theme = theme_of(self)
        self._restyle(theme)
        ratio = self.devicePixelRatioF()
        if self._limit is not None:
            pen = Look(theme.late, 1.6, Qt.PenStyle.DashLine).pen(ratio)
            self._add(pg.InfiniteLine(self._limit, angle=90, pen=pen))
        if self._trace is not None:
            self._draw_trace(self._trace, theme, ratio)
        for group in self._points:
            self._draw_points(group, theme, ratio)
        self._set_ranges()

    def _add(self, item: pg.GraphicsObject) -> None:
        self._items.append(item)
        self.addItem(item)

    def _draw_trace(self, trace: Trace, theme: Theme, ratio: float) -> None:
        look = Look(theme.plan, 1.8, Qt.PenStyle.SolidLine)
        if trace.low.size:
            edge = Look(theme.plan, 1.0, Qt.PenStyle.DotLine).pen(ratio)
            for values in (trace.low, trace.high):
                self._add(pg.PlotDataItem(trace.x, values, pen=edge))
        self._add(pg.PlotDataItem(trace.x, trace.y, pen=look.pen(ratio), antialias=True))

    def _draw_points(self, points: Points, theme: Theme, ratio: float) -> None:
        colour, shape = {
            PointRole.USUAL: (theme.actual, "o"),
            PointRole.GOOD: (theme.good, "o"),
            PointRole.BAD: (theme.late, "x"),
        }[points.role]
        if points.low.size:
            x = np.repeat(points.x, 2)
            y = np.column_stack((points.low, points.high)).ravel()
            pen = Look(colour, 1.2, Qt.PenStyle.SolidLine).pen(ratio)
            self._add(pg.PlotDataItem(x, y, connect="pairs", pen=pen))
        ground = QColor(colour)
        ground.setAlpha(150)
        self._add(
            pg.ScatterPlotItem(
                x=points.x,
                y=points.y,
                symbol=shape,
                size=points.size if points.size.size else 9,
                pen=pg.mkPen(QColor(colour), width=1.4 * ratio),
                brush=ground,
            )
        )

    def _set_ranges(self) -> None:
        known_x = [group.x for group in self._points if group.x.size]
        known_y = [
            part for group in self._points for part in (group.y, group.low, group.high) if part.size
        ]
        if self._limit is not None:
            known_x.append(np.array([self._limit, 0.0]))
        if self._trace is not None:
            known_y.append(self._trace.y)
        for values, set_range in ((known_x, self.view.setXRange), (known_y, self.view.setYRange)):
            if values:
                joined = np.concatenate(values)
                low, high = float(joined.min()), float(joined.max())
                room = max(0.08 * (high - low), 1e-3 * max(abs(high), abs(low)), 1e-12)
                set_range(low - room, high + room, padding=0)

    def _restyle(self, theme: Theme) -> None:
        self.setBackground(QColor(theme.plot_ground))
        font = QFont(self.font())
        font.setPointSizeF(_TICK_POINTS)
        self.plot.showGrid(x=True, y=True, alpha=0.35)
        for side, title in zip(("left", "bottom"), self._titles, strict=True):
            axis = self.plot.getAxis(side)
            axis.enableAutoSIPrefix(enable=False)
            axis.setPen(QColor(theme.grid))
            axis.setTextPen(QColor(theme.ink))
            axis.setStyle(tickFont=font, tickLength=-5, tickTextOffset=6)
            # The unit stands in the text: as `units` it would be given prefixes.
            if title:
                axis.setLabel(text=title, color=theme.ink, **{"font-size": f"{_TICK_POINTS}pt"})
        left = self.plot.getAxis("left")
        left.setTicks(None if self._ticks is None else [self._ticks])
        left.setWidth(self.fontMetrics().horizontalAdvance("cracked") + 40)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.redraw()
