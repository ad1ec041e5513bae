"""One pyqtgraph plot set up the way all of ours are."""

from __future__ import annotations

from datetime import tzinfo

import pyqtgraph as pg
from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QFont, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QFrame, QGraphicsScene

from app.plots.clock_axis import ClockAxis
from app.theme import Theme

_TICK_POINTS = 9.5
_BESIDE = 2
"""Column of the right axis, which is never shown."""


def unindexed(plot: pg.PlotWidget) -> None:
    """Have Qt look through a plot's few items instead of keeping an index of where they lie.

    Items whose bounds change while they are not shown leave stale entries in the index, and
    painting from it then crashes the program.
    """
    plot.scene().setItemIndexMethod(QGraphicsScene.ItemIndexMethod.NoIndex)


class ClockPlot(pg.PlotWidget):
    """A plot over clock time: drag or Left/Right to move, the wheel zooms once it has the focus.

    Signals
    -------
    cursor_stepped(int)
        Left (-1) or Right (+1) was pressed.
    whole_wanted()
        The whole curve shall be shown: double click, Home or 0.
    """

    cursor_stepped = Signal(int)
    whole_wanted = Signal()

    def __init__(self, zone: tzinfo | None, *, name: str, axis: pg.AxisItem | None = None) -> None:
        self.clock_axis = ClockAxis(zone) if axis is None else axis
        super().__init__(axisItems={"bottom": self.clock_axis})
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        unindexed(self)
        self.plot = self.getPlotItem()
        self.view = self.plot.getViewBox()
        self.plot.hideButtons()
        self.plot.setMenuEnabled(False)
        self.plot.setDownsampling(auto=True, mode="peak")
        self.plot.setClipToView(True)
        self.view.setMouseEnabled(x=True, y=False)
        self.left_axis = self.plot.getAxis("left")
        self.left_axis.enableAutoSIPrefix(enable=False)
        self.plot.showGrid(x=True, y=True, alpha=0.35)

    def restyle(self, theme: Theme, title: str) -> None:
        """Take the colours of a theme and set the words of the vertical axis."""
        self.setBackground(QColor(theme.plot_ground))
        font = QFont(self.font())
        font.setPointSizeF(_TICK_POINTS)
        for axis in (self.left_axis, self.clock_axis):
            axis.setPen(QColor(theme.grid))
            axis.setTextPen(QColor(theme.ink))
            axis.setStyle(tickFont=font, tickLength=-5, tickTextOffset=6)
        # The unit stands in the text: as `units` it would be given prefixes such as k°C.
        self.left_axis.setLabel(text=title, color=theme.ink, **{"font-size": f"{_TICK_POINTS}pt"})
        self.left_axis.setWidth(self.fontMetrics().horizontalAdvance("0000") + 40)

    def keep_beside(self, pixels: float) -> None:
        """Keep that much room free at the right of the plotted area."""
        self.plot.layout.setColumnFixedWidth(_BESIDE, pixels)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Move the read-out, zoom and return to the whole curve from the keyboard."""
        key = event.key()
        if key in {Qt.Key.Key_Left, Qt.Key.Key_Right}:
            self.cursor_stepped.emit(-1 if key == Qt.Key.Key_Left else 1)
        elif key in {Qt.Key.Key_Plus, Qt.Key.Key_Equal}:
            self._zoom(0.8)
        elif key == Qt.Key.Key_Minus:
            self._zoom(1.25)
        elif key in {Qt.Key.Key_Home, Qt.Key.Key_0}:
            self.whole_wanted.emit()
        else:
            event.ignore()
            return
        event.accept()

    def _zoom(self, factor: float) -> None:
        self.view.scaleBy(x=factor)
        self.view.sigRangeChangedManually.emit(self.view.state["mouseEnabled"])

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Zoom in time, but only when the plot has the focus, so that pages can scroll."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        """Show the whole curve."""
        self.whole_wanted.emit()
        event.accept()
