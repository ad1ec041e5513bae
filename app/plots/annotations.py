"""Zones, levels and moments drawn over a plot, with labels that keep out of each other's way."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import pyqtgraph as pg
from PySide6.QtCore import QLineF, QObject, QPointF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetricsF
from PySide6.QtWidgets import QGraphicsItem, QGraphicsLineItem

from app.plots.curves import Level, Marker, ZoneBand
from app.plots.looks import Look, marker_look
from app.plots.placing import rows, sides, spread
from app.plots.plot_frame import ClockPlot
from app.theme import Theme
from app.widgets.label import tip_text

_ZONE_ALPHA = 105
_MARKER_ROWS = 3
_LEADER = 12.0
"""Pixels between the plot and the words beside it, for the strokes that lead to them."""
_MOST_BESIDE = 0.32
"""Largest share of the width that the words beside the plot take; longer ones are cut."""
_SHORT_BELOW = 560
"""Pixels of width below which the words leave out their unit."""


@dataclass(frozen=True)
class _Beside:
    """Words beside the plot and the stroke that leads from their line to them."""

    value: float
    text: str
    short: str
    label: pg.TextItem
    leader: QGraphicsLineItem


class Annotations(QObject):
    """What stands in a plot besides its curves: moments named above, levels at the right of it.

    No words stand where a curve, a zone or a level is drawn.
    """

    def __init__(self, frame: ClockPlot, *, labels: bool = True) -> None:
        super().__init__(frame)
        self._frame = frame
        self._with_labels = labels
        self._items: list[QGraphicsItem] = []
        self._words: list[QGraphicsItem] = []
        self._edge_labels: list[_Beside] = []
        self._marker_labels: list[tuple[float, pg.TextItem]] = []
        frame.view.sigRangeChanged.connect(self._place)
        frame.view.sigResized.connect(self._place)

    def show(
        self,
        zones: Sequence[ZoneBand],
        levels: Sequence[Level],
        markers: Sequence[Marker],
        theme: Theme,
        display: Callable[[float], float],
        words: Callable[[float], str],
    ) -> None:
        """Replace everything; ``display`` turns kelvin into the unit shown, ``words`` prints it."""
        for item in self._items:
            self._frame.removeItem(item)
        for item in self._words:
            item.setParentItem(None)
            if item.scene() is not None:
                item.scene().removeItem(item)
        self._items.clear()
        self._words.clear()
        self._edge_labels.clear()
        self._marker_labels.clear()
        for band in zones:
            self._zone(band, theme, display, words)
        for level in levels:
            self._level(level, theme, display, words)
        for marker in markers:
            self._marker(marker, theme)
        self.fit()
        self._place()

    def _add(self, item: pg.GraphicsObject, depth: float) -> None:
        item.setZValue(depth)
        self._items.append(item)
        self._frame.addItem(item, ignoreBounds=True)

    def _text(self, text: str, colour: str, theme: Theme) -> pg.TextItem:
        ground = QColor(theme.plot_ground)
        ground.setAlpha(215)
        label = pg.TextItem(text, color=QColor(colour), anchor=(0, 0.5), fill=ground)
        label.setFont(self._font())
        # Not in the plotted area, which cuts off what reaches beyond it.
        label.setParentItem(self._frame.plot)
        label.setZValue(30)
        self._words.append(label)
        return label

    def _font(self) -> QFont:
        font = QFont(self._frame.font())
        font.setPointSizeF(9.5)
        return font

    def _beside(self, value: float, text: str, colour: str, theme: Theme) -> None:
        """Name a level or the edge of a zone at the right of the plot."""
        leader = QGraphicsLineItem(self._frame.plot)
        leader.setPen(Look(colour, 1.0, Qt.PenStyle.SolidLine).printing_pen())
        label = self._text(text, colour, theme)
        label.setToolTip(tip_text(text))
        self._words.append(leader)
        # The axis says which degrees these are.
        short = text.removesuffix("°C").removesuffix("°F").rstrip()
        self._edge_labels.append(_Beside(value, text, short, label, leader))

    def fit(self) -> None:
        """Make the words beside the plot as short as its width asks for."""
        width = self._frame.width()
        metrics = QFontMetricsF(self._font())
        for one in self._edge_labels:
            text = one.text if width >= _SHORT_BELOW else one.short
            room = _MOST_BESIDE * width
            text = metrics.elidedText(text, Qt.TextElideMode.ElideMiddle, room)
            if text != one.label.toPlainText():
                one.label.setText(text)

    def _zone(
        self,
        band: ZoneBand,
        theme: Theme,
        display: Callable[[float], float],
        words: Callable[[float], str],
    ) -> None:
        brush = QColor(theme.zone)
        brush.setAlpha(_ZONE_ALPHA)
        ratio = self._frame.devicePixelRatioF()
        pen = Look(theme.zone_ink, 1.0, Qt.PenStyle.DotLine).pen(ratio)
        region = pg.LinearRegionItem(
            values=(display(band.bottom), display(band.top)),
            orientation="horizontal",
            brush=brush,
            pen=pen,
            movable=False,
        )
        self._add(region, -20)
        if self._with_labels:
            for kelvin, label in ((band.top, band.top_label), (band.bottom, band.bottom_label)):
                text = f"{label} {words(kelvin)}"
                self._beside(display(kelvin), text, theme.zone_ink, theme)

    def _level(
        self,
        level: Level,
        theme: Theme,
        display: Callable[[float], float],
        words: Callable[[float], str],
    ) -> None:
        ratio = self._frame.devicePixelRatioF()
        pen = Look(theme.muted, 1.0, Qt.PenStyle.DashDotLine).pen(ratio)
        self._add(pg.InfiniteLine(display(level.temperature), angle=0, pen=pen), -10)
        if self._with_labels:
            text = f"{level.label} {words(level.temperature)}"
            self._beside(display(level.temperature), text, theme.muted, theme)

    def _marker(self, marker: Marker, theme: Theme) -> None:
        look = marker_look(marker.role, theme)
        self._add(
            pg.InfiniteLine(marker.time, angle=90, pen=look.pen(self._frame.devicePixelRatioF())),
            -5,
        )
        if self._with_labels:
            item = self._text(marker.label, look.colour, theme)
            self._marker_labels.append((marker.time, item))

    def edge_width(self) -> float:
        """Pixels that the words beside the plot take, with what leads to them."""
        widths = [beside.label.boundingRect().width() for beside in self._edge_labels]
        return max(widths) + _LEADER if widths else 0.0

    def headroom(self) -> float:
        """Pixels that the names of the moments take at the top of the plot."""
        used = [row for row, here in zip(*self._marker_rows()[2:], strict=True) if here]
        return self._height() * min(max(used, default=-1) + 1, _MARKER_ROWS) + 3.0

    def _height(self) -> float:
        labels = [beside.label for beside in self._edge_labels]
        labels.extend(label for _, label in self._marker_labels)
        return max((label.boundingRect().height() for label in labels), default=0.0)

    def _marker_rows(self) -> tuple[list[float], list[bool], list[int], list[bool]]:
        """Of each moment: place in pixels, words to its left, their row, and in sight at all."""
        box, to_scene = self._frame.view.sceneBoundingRect(), self._frame.view.mapViewToScene
        right = box.right() + self.edge_width()
        xs = [to_scene(QPointF(moment, 0)).x() for moment, _ in self._marker_labels]
        widths = [label.boundingRect().width() for _, label in self._marker_labels]
        seen = [box.left() <= x <= box.right() for x in xs]
        lefts = sides(xs, widths, box.left(), right)
        spans = [
            ((x - w, x) if left else (x, x + w)) if here else (-1e9, -1e9)
            for x, w, left, here in zip(xs, widths, lefts, seen, strict=True)
        ]
        return xs, lefts, rows(spans), seen

    def _place(self) -> None:
        """Put words at the right of the plot and along its top, without covering each other."""
        view, plot = self._frame.view, self._frame.plot
        box = view.sceneBoundingRect()
        if box.width() < 40 or box.height() < 40:
            return
        height = self._height()
        lowest = box.top()
        places = zip(self._marker_labels, *self._marker_rows(), strict=True)
        for (_, label), x, left, row, here in places:
            label.setAnchor((1, 0) if left else (0, 0))
            spot = QPointF(x + (-2 if left else 2), box.top() + 1 + row * height)
            label.setPos(plot.mapFromScene(spot))
            shown = here and row < _MARKER_ROWS
            label.setVisible(shown)
            if shown and not left and x + label.boundingRect().width() > box.right():
                lowest = max(lowest, spot.y() + height)
        self._place_beside(lowest, height)

    def _place_beside(self, lowest: float, height: float) -> None:
        """Words at the right, from ``lowest`` down, each led to from its line."""
        view, plot = self._frame.view, self._frame.plot
        box = view.sceneBoundingRect()
        wanted = [view.mapViewToScene(QPointF(0, one.value)).y() for one in self._edge_labels]
        centres = spread(wanted, height, lowest, box.bottom())
        for one, centre, where in zip(self._edge_labels, centres, wanted, strict=True):
            start = plot.mapFromScene(QPointF(box.right() + 1, where))
            end = plot.mapFromScene(QPointF(box.right() + _LEADER - 1, centre))
            one.leader.setLine(QLineF(start, end))
            one.label.setPos(end)
            for item in (one.leader, one.label):
                item.setVisible(box.top() <= where <= box.bottom())
