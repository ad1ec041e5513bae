"""How much glass is in the pot and what glass, by clock time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import tzinfo
from enum import StrEnum

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.furnace.words import mass_words
from app.local_time import day_and_clock
from app.plots.curves import FloatArray, Marker
from app.plots.looks import Look, marker_look
from app.plots.plot_frame import ClockPlot
from app.theme import Theme, theme_of
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.quantity import NOTHING, Quantity, format_quantity, number_text, scale_of
from core.melt.pot_story import PotStory
from core.units import UnitChoice

_BAND_ALPHA = 60
_MOST_OXIDES = 5


class Above(StrEnum):
    """What the upper curve shows."""

    MASS = "mass"
    LEVEL = "level"


class Below(StrEnum):
    """What the lower curve shows."""

    ANNEALING = "annealing"
    EXPANSION = "expansion"
    OXIDES = "oxides"


@dataclass(frozen=True, eq=False)
class _Curve:
    name: str
    values: FloatArray
    low: FloatArray | None = None
    high: FloatArray | None = None


class PotPlot(QWidget):
    """Two curves over the same time: the amount above, what glass it is below.

    Data stay with the caller; nothing is computed here but where to draw.

    Parameters
    ----------
    units : UnitChoice
    zone : tzinfo or None
    """

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self, units: UnitChoice, zone: tzinfo | None, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._units, self._zone = units, zone
        self._story: PotStory | None = None
        self._markers: tuple[Marker, ...] = ()
        self.above = ChoiceBox([("Amount", Above.MASS)])
        self.above.setAccessibleName("Upper curve")
        self.below = ChoiceBox(
            [
                ("Annealing point", Below.ANNEALING),
                ("Expansion", Below.EXPANSION),
                ("Oxides", Below.OXIDES),
            ]
        )
        self.below.setAccessibleName("Lower curve")
        self.read_out = Label(role="muted")
        self.read_out.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.upper = ClockPlot(zone, name="Glass in the pot by clock time")
        self.lower = ClockPlot(zone, name="What glass is in the pot by clock time")
        self.lower.view.setXLink(self.upper.view)
        self.upper.clock_axis.setStyle(showValues=False)
        self._drawn: list[tuple[ClockPlot, pg.GraphicsObject]] = []
        self._hairs = [pg.InfiniteLine(angle=90), pg.InfiniteLine(angle=90)]
        for frame, hair in zip((self.upper, self.lower), self._hairs, strict=True):
            hair.setVisible(False)
            frame.addItem(hair, ignoreBounds=True)
            frame.setMinimumHeight(96)
            frame.whole_wanted.connect(self.show_whole)
            frame.cursor_stepped.connect(self._on_step)
        self.upper.scene().sigMouseMoved.connect(self._on_upper)
        self.lower.scene().sigMouseMoved.connect(self._on_lower)
        self._cursor: float | None = None
        self._lay_out()
        self.above.chosen.connect(lambda _: self._redraw())
        self.below.chosen.connect(lambda _: self._redraw())
        self._built = True
        self._redraw()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(8)
        head.addWidget(self.above)
        head.addWidget(self.below)
        head.addWidget(self.read_out, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(head)
        column.addWidget(self.upper, 5)
        column.addWidget(self.lower, 6)

    # -- what is shown ----------------------------------------------------------------------

    def show_story(self, story: PotStory | None, markers: Sequence[Marker] = ()) -> None:
        """Show a pot through time, with moments such as charges."""
        self._story, self._markers = story, tuple(markers)
        choices = [("Amount", Above.MASS)]
        if story is not None and story.levels is not None:
            choices.append(("Level", Above.LEVEL))
        self.above.set_choices(choices)
        self._cursor = None
        for hair in self._hairs:
            hair.setVisible(False)
        self._redraw()
        self.show_whole()

    def set_units(self, units: UnitChoice) -> None:
        """Show the same in other units."""
        self._units = units
        self._redraw()
        self.show_whole()

    def show_whole(self) -> None:
        """Zoom so that everything is in sight."""
        story = self._story
        if story is None or not len(story.time):
            return
        start, end = float(story.time[0]), float(story.time[-1])
        margin = 0.03 * max(end - start, 3600.0)
        self.upper.view.setXRange(start - margin, end + margin, padding=0)
        for frame, curves in ((self.upper, self._above()), (self.lower, self._below())):
            known = [c.values[np.isfinite(c.values)] for c in curves]
            for curve in curves:
                if curve.low is not None and curve.high is not None:
                    known += [
                        curve.low[np.isfinite(curve.low)],
                        curve.high[np.isfinite(curve.high)],
                    ]
            joined = np.concatenate(known) if known else np.zeros(0)
            if joined.size:
                low = 0.0 if frame is self.upper else float(joined.min())
                high = float(joined.max())
                room = max(high - low, 1e-9 + 0.02 * abs(high))
                frame.view.setYRange(low - 0.05 * room, high + 0.1 * room, padding=0)

    @property
    def description(self) -> str:
        """The plot in words, for screen readers."""
        story = self._story
        if story is None or not len(story.time):
            return "Nothing to draw yet."
        first, last = self._words_at(0), self._words_at(len(story.time) - 1)
        return f"From {first} to {last}."

    # -- curves -----------------------------------------------------------------------------

    def _above(self) -> list[_Curve]:
        story = self._story
        if story is None:
            return []
        if self.above.value is Above.LEVEL and story.levels is not None:
            scale = scale_of(Quantity.LENGTH, self._units)
            return [_Curve("level", np.array([scale.from_si(v) for v in story.levels]))]
        scale = scale_of(Quantity.MASS, self._units)
        mass, error = story.mass, story.mass_error
        parts = (mass, np.maximum(0.0, mass - error), mass + error)
        shown = [np.array([scale.from_si(v) for v in part]) for part in parts]
        return [_Curve("glass", *shown)]

    def _below(self) -> list[_Curve]:
        story = self._story
        if story is None:
            return []
        if self.below.value is Below.OXIDES:
            return [
                _Curve(name, values) for name, values in list(story.oxides.items())[:_MOST_OXIDES]
            ]
        if self.below.value is Below.EXPANSION:
            scale = scale_of(Quantity.EXPANSION, self._units)
            parts = (story.expansion, story.expansion_low, story.expansion_high)
        else:
            scale = scale_of(Quantity.TEMPERATURE, self._units)
            parts = (story.annealing, story.annealing_low, story.annealing_high)
        shown = [np.array([scale.from_si(v) for v in part]) for part in parts]
        return [_Curve(str(self.below.value), *shown)]

    def _titles(self) -> tuple[str, str]:
        units = self._units
        above = f"Glass, {units.mass.value}"
        if self.above.value is Above.LEVEL:
            above = f"Level, {units.length.value}"
        below = {
            Below.ANNEALING: f"Anneals, {units.temperature.symbol}",
            Below.EXPANSION: "10⁻⁷/K",
            Below.OXIDES: "wt%",
        }[Below(str(self.below.value))]
        return above, below

    def _redraw(self) -> None:
        theme = theme_of(self)
        for frame, item in self._drawn:
            frame.removeItem(item)
        self._drawn.clear()
        for frame, title in zip((self.upper, self.lower), self._titles(), strict=True):
            frame.restyle(theme, title)
        hair = Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(self.devicePixelRatioF())
        for line in self._hairs:
            line.setPen(hair)
        story = self._story
        if story is not None and len(story.time):
            self._draw(self.upper, story.time, self._above(), [theme.plan])
            colours = [theme.actual, theme.plan, theme.piece, theme.deviation, theme.other_line]
            one = self.below.value is not Below.OXIDES
            self._draw(self.lower, story.time, self._below(), [theme.piece] if one else colours)
            self._draw_markers(theme)
        self._tell()

    def _draw(
        self, frame: ClockPlot, time: FloatArray, curves: Sequence[_Curve], colours: Sequence[str]
    ) -> None:
        dashes = [Qt.PenStyle.SolidLine, Qt.PenStyle.DashLine, Qt.PenStyle.DotLine]
        ratio = self.devicePixelRatioF()
        for i, curve in enumerate(curves):
            colour = colours[i % len(colours)]
            look = Look(colour, 2.0, dashes[i % len(dashes)])
            if curve.low is not None and curve.high is not None:
                self._draw_band(frame, time, curve.low, curve.high, colour)
            item = pg.PlotDataItem(
                time, curve.values, pen=look.pen(ratio), antialias=True, connect="finite"
            )
            self._keep(frame, item)
            if len(curves) > 1:
                known = np.flatnonzero(np.isfinite(curve.values))
                if known.size:
                    label = pg.TextItem(curve.name, color=QColor(colour), anchor=(1, 1))
                    label.setPos(float(time[known[-1]]), float(curve.values[known[-1]]))
                    self._keep(frame, label)

    def _draw_band(
        self, frame: ClockPlot, time: FloatArray, low: FloatArray, high: FloatArray, colour: str
    ) -> None:
        known = np.isfinite(low) & np.isfinite(high)
        if not known.any():
            return
        edges = [pg.PlotCurveItem(time[known], edge[known]) for edge in (low, high)]
        ground = QColor(colour)
        ground.setAlpha(_BAND_ALPHA)
        band = pg.FillBetweenItem(*edges, brush=ground)
        band.setZValue(-10)
        self._keep(frame, band)

    def _draw_markers(self, theme: Theme) -> None:
        ratio = self.devicePixelRatioF()
        for marker in self._markers:
            pen = marker_look(marker.role, theme).pen(ratio)
            line = pg.InfiniteLine(marker.time, angle=90, pen=pen)
            line.setZValue(-5)
            self._keep(self.upper, line)

    def _keep(self, frame: ClockPlot, item: pg.GraphicsObject) -> None:
        frame.addItem(item, ignoreBounds=True)
        self._drawn.append((frame, item))

    # -- the read-out -----------------------------------------------------------------------

    def _on_upper(self, position: QPointF) -> None:
        self._on_mouse(self.upper, position)

    def _on_lower(self, position: QPointF) -> None:
        self._on_mouse(self.lower, position)

    def _on_mouse(self, frame: ClockPlot, position: QPointF) -> None:
        if frame.view.sceneBoundingRect().contains(position):
            self.set_cursor(frame.view.mapSceneToView(position).x())

    def _on_step(self, direction: int) -> None:
        start, end = self.upper.view.viewRange()[0]
        here = self._cursor if self._cursor is not None else end
        self.set_cursor(min(max(here + direction * (end - start) / 100, start), end))

    def set_cursor(self, moment: float) -> None:
        """Move the read-out to a moment (UTC epoch seconds)."""
        if self._story is None or not len(self._story.time):
            return
        self._cursor = moment
        for hair in self._hairs:
            hair.setPos(moment)
            hair.setVisible(True)
        self._tell()

    def _words_at(self, index: int) -> str:
        story, units = self._story, self._units
        if story is None:
            return NOTHING
        parts = [day_and_clock(float(story.time[index]), zone=self._zone)]
        parts.append(mass_words(float(story.mass[index]), units))
        if story.levels is not None:
            parts.append(
                format_quantity(Quantity.LENGTH, float(story.levels[index]), units, decimals=0)
            )
        if self.below.value is Below.OXIDES:
            for name, values in list(story.oxides.items())[:_MOST_OXIDES]:
                if math.isfinite(values[index]):
                    parts.append(f"{name} {number_text(float(values[index]), 1)} %")
        elif self.below.value is Below.EXPANSION:
            parts.append(format_quantity(Quantity.EXPANSION, float(story.expansion[index]), units))
        else:
            parts.append(
                format_quantity(Quantity.TEMPERATURE, float(story.annealing[index]), units)
            )
        return " · ".join(part for part in parts if part != NOTHING)

    def _tell(self) -> None:
        story = self._story
        if story is None or not len(story.time):
            self.read_out.setText("")
        else:
            at = float(story.time[-1]) if self._cursor is None else self._cursor
            index = int(np.searchsorted(story.time, at, side="right")) - 1
            self.read_out.setText(self._words_at(min(max(index, 0), len(story.time) - 1)))
        for frame in (self.upper, self.lower):
            frame.setAccessibleDescription(self.description)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._redraw()
