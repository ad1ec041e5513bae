"""The frame of the viscosity plot: axes, no zoom, keys that move the read-out."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import QFrame

from app.plots.plot_frame import unindexed


class ViscosityFrame(pg.PlotWidget):
    """The plot itself: never zoomed, read with the mouse or Left and Right.

    Signals
    -------
    stepped(int)
    """

    stepped = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        unindexed(self)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.plot = self.getPlotItem()
        self.view = self.plot.getViewBox()
        self.plot.hideButtons()
        self.plot.setMenuEnabled(False)
        self.plot.showGrid(x=True, y=True, alpha=0.35)
        self.view.setMouseEnabled(x=False, y=False)
        self.axes = (self.plot.getAxis("left"), self.plot.getAxis("bottom"))
        for axis in self.axes:
            axis.enableAutoSIPrefix(enable=False)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the read-out."""
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if steps is None:
            event.ignore()
        else:
            self.stepped.emit(steps)
            event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the page scroll."""
        event.ignore()
