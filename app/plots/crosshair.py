"""The moment read from plots below each other: a line that follows pointer and arrow keys."""

from __future__ import annotations

from collections.abc import Sequence

import pyqtgraph as pg
from PySide6.QtCore import QObject, QPointF, Qt, Signal

from app.plots.looks import Look
from app.plots.plot_frame import ClockPlot
from app.theme import Theme


class Crosshair(QObject):
    """One moment in several frames that share their time axis.

    Signals
    -------
    moved(float)
        To another moment, by pointer or keyboard.
    """

    moved = Signal(object)

    def __init__(self, frames: Sequence[ClockPlot], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._frames = tuple(frames)
        self.moment: float | None = None
        self._lines = [pg.InfiniteLine(angle=90) for _ in self._frames]
        followers = (self._on_first, self._on_second)
        for frame, line, follow in zip(self._frames, self._lines, followers, strict=True):
            line.setVisible(False)
            line.setZValue(20)
            frame.addItem(line, ignoreBounds=True)
            frame.scene().sigMouseMoved.connect(follow)
            frame.cursor_stepped.connect(self._on_step)

    def show_at(self, moment: float) -> None:
        """Stand at a moment."""
        self.moment = moment
        for line in self._lines:
            line.setPos(moment)
            line.setVisible(True)

    def hide(self) -> None:
        """Stand nowhere."""
        self.moment = None
        for line in self._lines:
            line.setVisible(False)

    def restyle(self, theme: Theme, ratio: float) -> None:
        """Take the colours of a theme."""
        pen = Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(ratio)
        for line in self._lines:
            line.setPen(pen)

    def _on_first(self, position: QPointF) -> None:
        self._on_mouse(self._frames[0], position)

    def _on_second(self, position: QPointF) -> None:
        self._on_mouse(self._frames[1], position)

    def _on_mouse(self, frame: ClockPlot, position: QPointF) -> None:
        if frame.view.sceneBoundingRect().contains(position):
            self.moved.emit(frame.view.mapSceneToView(position).x())

    def _on_step(self, direction: int) -> None:
        start, end = self._frames[0].view.viewRange()[0]
        here = self.moment if self.moment is not None else (start + end) / 2
        step = max(60.0, round((end - start) / 100 / 60) * 60.0)
        self.moved.emit(min(max(here + direction * step, start), end))
