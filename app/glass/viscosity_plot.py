"""Viscosity against temperature: the curve with its interval, models, measured and named points."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, QPointF, Qt
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from app.glass.viscosity_frame import ViscosityFrame
from app.glass.viscosity_legend import legend_text, read_out_text
from app.plots.looks import Look
from app.theme import Theme, set_role, theme_of
from app.widgets.quantity import Quantity, format_quantity
from core.glass.fixed_points import FixedPoint
from core.glass.glass import MeasuredViscosity
from core.glass.viscosity_lines import DRAWN, ViscosityLine
from core.units import UnitChoice, kelvin_to

_TICK_POINTS = 9.5
_LOW, _HIGH = DRAWN[0] - 0.8, DRAWN[1] + 0.6
_BAND_ALPHA = 44
SYMBOLS = ("o", "s", "t", "d", "star")
"""A mark of its own for each of several glasses: colour is not all that tells them apart."""
_MARKED_AT = (12.0, 6.6, 3.0)


@dataclass(frozen=True)
class NamedPoint:
    """One of the five points at its temperature [K]."""

    point: FixedPoint
    temperature: float
    measured: bool


class ViscosityPlot(QWidget):
    """log10(viscosity) by temperature with a read-out above it."""

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._lines: tuple[ViscosityLine, ...] = ()
        self._points: tuple[NamedPoint, ...] = ()
        self._trials: tuple[MeasuredViscosity, ...] = ()
        self._several = False
        self._cursor: float | None = None
        self.frame = ViscosityFrame()
        self.frame.setMinimumHeight(280)
        self.legend = QLabel()
        self.legend.setTextFormat(Qt.TextFormat.RichText)
        self.legend.setWordWrap(True)
        self.read_out = QLabel()
        self.read_out.setTextFormat(Qt.TextFormat.RichText)
        self.read_out.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        set_role(self.read_out, "muted")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.legend)
        column.addWidget(self.read_out)
        column.addWidget(self.frame, 1)
        self._items: list[pg.GraphicsObject] = []
        self._hair = pg.InfiniteLine(angle=90)
        self._hair.setVisible(False)
        self.frame.addItem(self._hair, ignoreBounds=True)
        self.frame.scene().sigMouseMoved.connect(self._on_mouse)
        self.frame.stepped.connect(self._on_step)
        self._built = True
        self._redraw()

    def show_glass(
        self,
        lines: Sequence[ViscosityLine],
        points: Sequence[NamedPoint],
        trials: Sequence[MeasuredViscosity] = (),
    ) -> None:
        """Replace curves and points by those of one glass."""
        self._show(lines, points, trials, several=False)

    def show_glasses(self, lines: Sequence[ViscosityLine]) -> None:
        """Replace everything by one curve for each of several glasses, at most five."""
        self._show(lines[: len(SYMBOLS)], (), (), several=True)

    def _show(
        self,
        lines: Sequence[ViscosityLine],
        points: Sequence[NamedPoint],
        trials: Sequence[MeasuredViscosity],
        *,
        several: bool,
    ) -> None:
        self._lines, self._points, self._trials = tuple(lines), tuple(points), tuple(trials)
        self._several = several
        self._cursor = None
        self._hair.setVisible(False)
        self._redraw()

    def set_units(self, units: UnitChoice) -> None:
        """Show temperatures in another unit."""
        if units != self._units:
            self._units = units
            self._cursor = None
            self._hair.setVisible(False)
            self._redraw()

    @property
    def description(self) -> str:
        """The plot in words."""
        if self._several and self._lines:
            return f"Viscosity curves of {', '.join(line.name for line in self._lines)}."
        if not self._points:
            return "No viscosity curve yet."
        curves = ", ".join(line.name for line in self._lines) or "none"
        words = [
            f"{p.point.name} {format_quantity(Quantity.TEMPERATURE, p.temperature, self._units)}"
            f"{' measured' if p.measured else ''}"
            for p in self._points
        ]
        return f"Viscosity falls with temperature. Curves: {curves}. {', '.join(words)}."

    # -- drawing ----------------------------------------------------------------------------

    def _shown(self, kelvin: np.ndarray | float) -> np.ndarray | float:
        return kelvin_to(kelvin, self._units.temperature)  # type: ignore[arg-type]

    def _redraw(self) -> None:
        theme = theme_of(self)
        self._restyle(theme)
        for item in self._items:
            self.frame.removeItem(item)
        self._items.clear()
        for index, (line, look) in enumerate(zip(self._lines, self._looks(theme), strict=True)):
            self._draw_band(line, look)
            self._draw(line, look)
            if self._several:
                self._draw_marks(line, look, SYMBOLS[index])
        for point in self._points:
            self._mark(point, theme)
        self._mark_trials(theme)
        self._set_ranges()
        self._show_legend(theme)
        self._show_read_out()
        self.setAccessibleName("Viscosity by temperature")
        self.setAccessibleDescription(self.description)
        self.frame.setAccessibleName("Viscosity by temperature")
        self.frame.setAccessibleDescription(self.description)

    def _restyle(self, theme: Theme) -> None:
        self.frame.setBackground(QColor(theme.plot_ground))
        font = QFont(self.font())
        font.setPointSizeF(_TICK_POINTS)
        titles = ("log₁₀ of viscosity, Pa s", f"Temperature, {self._units.temperature.symbol}")
        for axis, title in zip(self.frame.axes, titles, strict=True):
            axis.setPen(QColor(theme.grid))
            axis.setTextPen(QColor(theme.ink))
            axis.setStyle(tickFont=font, tickLength=-5, tickTextOffset=6)
            axis.setLabel(text=title, color=theme.ink, **{"font-size": f"{_TICK_POINTS}pt"})
        self._hair.setPen(Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(self._ratio()))

    def _ratio(self) -> float:
        return float(self.devicePixelRatioF())

    def _looks(self, theme: Theme) -> list[Look]:
        """The used curve is wide; the others differ in colour and are thin."""
        if self._several:
            inks = (theme.plan, theme.piece, theme.deviation, theme.actual, theme.other_line)
            return [
                Look(colour, 2.2, Qt.PenStyle.SolidLine)
                for colour, _ in zip(inks, self._lines, strict=False)
            ]
        colours = iter((theme.piece, theme.deviation, theme.other_line))
        return [
            Look(theme.plan, 2.6, Qt.PenStyle.SolidLine)
            if line.used
            else Look(next(colours), 1.6, Qt.PenStyle.SolidLine)
            for line in self._lines
        ]

    def _draw_band(self, line: ViscosityLine, look: Look) -> None:
        """The interval of the curve's temperature, as a tint behind it."""
        if line.low is None or line.high is None:
            return
        ends = [
            pg.PlotCurveItem(np.asarray(self._shown(edge)), line.log_viscosity, pen=None)
            for edge in (line.low, line.high)
        ]
        tint = QColor(look.colour)
        tint.setAlpha(_BAND_ALPHA // 2 if self._several else _BAND_ALPHA)
        band = pg.FillBetweenItem(*ends, brush=tint)
        band.setZValue(0)
        for item in (*ends, band):
            self._add(item)

    def _draw_marks(self, line: ViscosityLine, look: Look, symbol: str) -> None:
        """A glass's own mark at some viscosities, where its curve reaches them."""
        ends = line.log_viscosity[0], line.log_viscosity[-1]
        marked = [at for at in _MARKED_AT if ends[0] <= at <= ends[1]]
        temperature = np.interp(marked, line.log_viscosity, line.temperature)
        spots = pg.ScatterPlotItem(
            np.asarray(self._shown(temperature)),
            marked,
            symbol=symbol,
            size=11,
            pen=pg.mkPen(QColor(look.colour), width=1.4 * self._ratio()),
            brush=QColor(look.colour),
        )
        spots.setZValue(8)
        self._add(spots)

    def _draw(self, line: ViscosityLine, look: Look) -> None:
        temperature = np.asarray(self._shown(line.temperature))
        dashed = Look(look.colour, look.width, Qt.PenStyle.DashLine)
        # The dashed stretch begins where the solid one ends, so that no gap is seen between.
        for wanted, pen in ((line.known, look), (_with_ends(~line.known), dashed)):
            if wanted.any():
                item = pg.PlotDataItem(
                    temperature,
                    np.where(wanted, line.log_viscosity, np.nan),
                    pen=pen.pen(self._ratio()),
                    antialias=True,
                    connect="finite",
                )
                item.setZValue(5 if line.used else 2)
                self._add(item)

    def _mark(self, named: NamedPoint, theme: Theme) -> None:
        x, y = float(self._shown(named.temperature)), named.point.log_viscosity
        colour = theme.actual if named.measured else theme.ink
        spot = pg.ScatterPlotItem(
            [x],
            [y],
            symbol="d" if named.measured else "o",
            size=12 if named.measured else 9,
            pen=pg.mkPen(QColor(colour), width=1.6 * self._ratio()),
            brush=QColor(colour) if named.measured else QColor(theme.plot_ground),
        )
        spot.setZValue(10)
        self._add(spot)
        # The curve falls to the right: above it there is room on the right, below on the left.
        hot = y < 5.0
        degrees = format_quantity(Quantity.TEMPERATURE, named.temperature, self._units)
        words = named.point.name.removesuffix(" point").removesuffix(" temperature")
        label = pg.TextItem(
            f"{words} {degrees}",
            color=QColor(colour),
            anchor=(1.02, -0.02) if hot else (-0.06, 0.62),
        )
        font = QFont(self.font())
        font.setPointSizeF(_TICK_POINTS)
        label.setFont(font)
        label.setPos(x, y)
        label.setZValue(12)
        self._add(label)

    def _mark_trials(self, theme: Theme) -> None:
        """Trials as crosses: a viscosity at a temperature, none of the named points."""
        if not self._trials:
            return
        spots = pg.ScatterPlotItem(
            np.asarray(self._shown(np.array([trial.temperature for trial in self._trials]))),
            [trial.log_viscosity for trial in self._trials],
            symbol="x",
            size=11,
            pen=pg.mkPen(QColor(theme.actual), width=1.2 * self._ratio()),
            brush=QColor(theme.actual),
        )
        spots.setZValue(11)
        self._add(spots)

    def _add(self, item: pg.GraphicsObject) -> None:
        self._items.append(item)
        self.frame.addItem(item, ignoreBounds=True)

    def _set_ranges(self) -> None:
        temperatures = [line.temperature for line in self._lines]
        temperatures.append(np.array([point.temperature for point in self._points]))
        known = np.concatenate(temperatures)
        if not known.size:
            known = np.array([700.0, 1800.0])
        low, high = float(self._shown(known.min())), float(self._shown(known.max()))
        room = max(high - low, 60.0)
        right = 0.34 if not self._lines else 0.04
        self.frame.view.setXRange(low - 0.05 * room, high + right * room, padding=0)
        self.frame.view.setYRange(_LOW, _HIGH, padding=0)

    def _show_legend(self, theme: Theme) -> None:
        text = legend_text(
            self._lines,
            [look.colour for look in self._looks(theme)],
            theme.actual,
            several=self._several,
            measured=any(point.measured for point in self._points),
            trials=bool(self._trials),
        )
        self.legend.setText(text)
        self.legend.setVisible(bool(text))

    # -- the read-out -----------------------------------------------------------------------

    def _on_mouse(self, position: QPointF) -> None:
        if self.frame.view.sceneBoundingRect().contains(position):
            self.set_cursor(self.frame.view.mapSceneToView(position).x())

    def _on_step(self, direction: int) -> None:
        start, end = self.frame.view.viewRange()[0]
        here = self._cursor if self._cursor is not None else (start + end) / 2
        self.set_cursor(min(max(round(here) + 5 * direction, start), end))

    def set_cursor(self, shown: float) -> None:
        """Move the read-out to a temperature in the unit shown."""
        if self._lines:
            self._cursor = shown
            self._hair.setPos(shown)
            self._hair.setVisible(True)
            self._show_read_out()

    def _show_read_out(self) -> None:
        if self._cursor is None or not self._lines:
            text = "Point at the plot to read it." if self._lines else "&nbsp;"
            self.read_out.setText(text)
            return
        self.read_out.setText(
            read_out_text(self._lines, self._cursor, self._units, theme_of(self).ink)
        )

    # -- following the window ---------------------------------------------------------------

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._redraw()

    def event(self, event: QEvent) -> bool:
        """Keep lines as wide as they were on a screen of another scale."""
        handled = super().event(event)
        if self._built and event.type() is QEvent.Type.DevicePixelRatioChange:
            self._redraw()
        return handled


def _with_ends(wanted: np.ndarray) -> np.ndarray:
    """The stretch and one more point at each end, where it meets the next."""
    longer = wanted.copy()
    longer[1:] |= wanted[:-1]
    longer[:-1] |= wanted[1:]
    return longer
