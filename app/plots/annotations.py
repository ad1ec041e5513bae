"""Zones, levels and moments drawn over a plot, with labels that keep out of each other's way."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import pyqtgraph as pg
from PySide6.QtCore import QObject, QPointF, Qt
from PySide6.QtGui import QColor, QFont

from app.plots.curves import Level, Marker, ZoneBand
from app.plots.looks import Look, marker_look
from app.plots.placing import rows, sides, spread
from app.plots.plot_frame import ClockPlot
from app.theme import Theme

_ZONE_ALPHA = 105
_MARKER_ROWS = 3


class Annotations(QObject):
    """What stands in a plot besides its curves."""

    def __init__(self, frame: ClockPlot, *, labels: bool = True) -> None:
        super().__init__(frame)
        self._frame = frame
        self._with_labels = labels
        self._items: list[pg.GraphicsObject] = []
        self._edge_labels: list[tuple[float, pg.TextItem]] = []
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
        self._items.clear()
        self._edge_labels.clear()
        self._marker_labels.clear()
        for band in zones:
            self._zone(band, theme, display, words)
        for level in levels:
            self._level(level, theme, display, words)
        for marker in markers:
            self._marker(marker, theme)
        self._place()

    def _add(self, item: pg.GraphicsObject, depth: float) -> None:
        item.setZValue(depth)
        self._items.append(item)
        self._frame.addItem(item, ignoreBounds=True)

    def _text(self, text: str, colour: str, theme: Theme) -> pg.TextItem:
        ground = QColor(theme.plot_ground)
        ground.setAlpha(215)
        label = pg.TextItem(text, color=QColor(colour), anchor=(1, 0.5), fill=ground)
        font = QFont(self._frame.font())
        font.setPointSizeF(9.5)
        label.setFont(font)
        self._add(label, 30)
        return label

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
                item = self._text(f"{label} {words(kelvin)}", theme.zone_ink, theme)
                self._edge_labels.append((display(kelvin), item))

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
            item = self._text(f"{level.label} {words(level.temperature)}", theme.muted, theme)
            self._edge_labels.append((display(level.temperature), item))

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
        """Width in pixels of the widest label at the right edge."""
        return max((label.boundingRect().width() for _, label in self._edge_labels), default=0.0)

    def _place(self) -> None:
        """Put labels at the right edge and along the top, without covering each other."""
        view = self._frame.view
        box = view.sceneBoundingRect()
        if box.width() < 40 or box.height() < 40:
            return
        to_scene = view.mapViewToScene
        to_view = view.mapSceneToView
        height = max(
            [label.boundingRect().height() for _, label in self._edge_labels + self._marker_labels],
            default=0.0,
        )
        xs = [to_scene(QPointF(moment, 0)).x() for moment, _ in self._marker_labels]
        widths = [label.boundingRect().width() for _, label in self._marker_labels]
        seen = [box.left() <= x <= box.right() for x in xs]
        lefts = sides(xs, widths, box.left(), box.right())
        spans = [
            ((x - w, x) if left else (x, x + w)) if here else (-1e9, -1e9)
            for x, w, left, here in zip(xs, widths, lefts, seen, strict=True)
        ]
        marked = rows(spans)
        used = [row for row, here in zip(marked, seen, strict=True) if here]
        top = box.top() + 4 + height * min(max(used, default=-1) + 1, _MARKER_ROWS)

        wanted = [to_scene(QPointF(0, value)).y() for value, _ in self._edge_labels]
        centres = spread(wanted, height, top, box.bottom())
        for (_, label), centre, where in zip(self._edge_labels, centres, wanted, strict=True):
            label.setAnchor((1, 0.5))
            label.setPos(to_view(QPointF(box.right() - 2, centre)))
            label.setVisible(box.top() <= where <= box.bottom())

        places = zip(self._marker_labels, xs, lefts, marked, seen, strict=True)
        for (_, label), x, left, row, here in places:
            label.setAnchor((1, 0) if left else (0, 0))
            label.setPos(to_view(QPointF(x + (-2 if left else 2), box.top() + 3 + row * height)))
            label.setVisible(here and row < _MARKER_ROWS)
