"""Curves as pyqtgraph items, kept and filled anew instead of made anew."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pyqtgraph as pg
from PySide6.QtGui import QColor

from app.plots.curves import CurveLine, FloatArray
from app.plots.looks import Look
from app.plots.plot_frame import ClockPlot
from app.plots.reduced import MANY, reduced
from app.plots.words import is_measured

_FEW = 80
"""Up to this many readings each gets a dot."""


class DrawnCurves:
    """The curves of one frame.

    Parameters
    ----------
    frame : ClockPlot
    display : callable
        Kelvin to the unit shown.
    look : callable
        How a curve is drawn.
    dots : bool
        Few readings get a dot each.
    filled : bool
        A single curve has its ground to zero filled.
    """

    def __init__(
        self,
        frame: ClockPlot,
        display: Callable[[FloatArray], FloatArray],
        look: Callable[[CurveLine], Look],
        *,
        dots: bool = True,
        filled: bool = False,
    ) -> None:
        self.items: list[pg.PlotDataItem] = []
        self._frame = frame
        self._display = display
        self._look = look
        self._dots = dots
        self._filled = filled
        self._many: list[tuple[pg.PlotDataItem, FloatArray, FloatArray]] = []
        frame.view.sigXRangeChanged.connect(self._thin)
        frame.view.sigResized.connect(self._thin)

    def show(self, lines: Sequence[CurveLine]) -> None:
        """Draw these curves, later ones above earlier ones."""
        while len(self.items) < len(lines):
            self.items.append(self._frame.plot.plot())
        while len(self.items) > len(lines):
            self._frame.removeItem(self.items.pop())
        self._many.clear()
        for depth, (item, line) in enumerate(zip(self.items, lines, strict=True)):
            self._draw(item, line, self._look(line))
            item.setZValue(depth)
            self._fill(item, self._look(line), wanted=self._filled and len(lines) == 1)
        self._thin()

    def _draw(self, item: pg.PlotDataItem, line: CurveLine, look: Look) -> None:
        time, shown = line.time, self._display(line.temperature)
        many = time.size > MANY
        if many:
            self._many.append((item, time, shown))
            time, shown = time[:0], shown[:0]
        symbols = self._dots and is_measured(line) and 0 < time.size <= _FEW
        item.setData(
            time,
            shown,
            pen=look.pen(self._frame.devicePixelRatioF(), fine=many),
            antialias=not many,
            connect="finite",
            symbol="o" if symbols else None,
            symbolSize=6,
            symbolBrush=QColor(look.colour),
            symbolPen=None,
        )

    def _fill(self, item: pg.PlotDataItem, look: Look, *, wanted: bool) -> None:
        ground = QColor(look.colour)
        ground.setAlpha(60)
        item.setFillLevel(0.0 if wanted else None)
        item.setFillBrush(ground if wanted else None)

    def _thin(self) -> None:
        """Of very many points, draw those that can be seen."""
        if not self._many:
            return
        start, end = self._frame.view.viewRange()[0]
        pixels = max(int(self._frame.view.width() * self._frame.devicePixelRatioF()), 1)
        for item, time, shown in self._many:
            item.setData(*reduced(time, shown, start, end, pixels))
