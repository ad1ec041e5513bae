"""The centre of the screen: temperature by clock time, planned and actual, with its zones."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import tzinfo

import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from app.plots.annotations import Annotations
from app.plots.crosshair import Crosshair
from app.plots.curves import CurveLine, FloatArray, Level, LineRole, Marker, ZoneBand
from app.plots.drawn_curves import DrawnCurves
from app.plots.elapsed_axis import ElapsedAxis
from app.plots.looks import Look, deviation_look, line_look
from app.plots.plot_frame import ClockPlot
from app.plots.plot_head import PlotHead
from app.plots.ranges import time_range, visible_heights, whole_heights
from app.plots.strip import Strip
from app.plots.time_words import ByClock, Since, TimeWords
from app.plots.words import describe_night, read_out
from app.theme import theme_of
from app.widgets.quantity import Quantity, format_quantity
from core.units import UnitChoice, kelvin_to

_CLOSE = 2 * 3600.0
"""Seconds in sight when the plot goes to a moment."""


class NightPlot(QWidget):
    """Curves by clock time with zones and moments, a read-out and a deviation strip below.

    Data stay with the caller as frozen arrays in SI; nothing is computed here but where to draw.

    Parameters
    ----------
    units : UnitChoice, optional
    zone : tzinfo, optional
    name : str
        What a screen reader calls the plot.
    from_room : bool
        The whole night reaches down to the room's temperature. Not for a furnace that never goes
        cold, whose swing of 150 °C would be a flat line.
    since : Since, optional
        Time counts from a moment that several nights share, instead of by the clock.

    Signals
    -------
    cursor_moved(float)
        UTC epoch seconds under the read-out.
    """

    cursor_moved = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self,
        *,
        units: UnitChoice | None = None,
        zone: tzinfo | None = None,
        name: str = "Temperature by clock time",
        from_room: bool = True,
        since: Since | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._units = units or UnitChoice()
        self._words_of_time: TimeWords = since or ByClock(zone)
        self._from_room = from_room
        self._night: tuple[CurveLine, ...] = ()
        self._glass: tuple[CurveLine, ...] = ()
        self._strip = Strip()
        self._zones: tuple[ZoneBand, ...] = ()
        self._levels: tuple[Level, ...] = ()
        self._markers: tuple[Marker, ...] = ()
        self._whole_shown = True

        axes = (ElapsedAxis(since), ElapsedAxis(since)) if since is not None else (None, None)
        self.upper = ClockPlot(zone, name=name, axis=axes[0])
        below = "Deviation of the actual from the planned curve"
        self.lower = ClockPlot(zone, name=below, axis=axes[1])
        self.lower.view.setXLink(self.upper.view)
        self.upper.view.sigResized.connect(self._on_resized)
        for frame in (self.upper, self.lower):
            frame.view.sigRangeChangedManually.connect(self._on_zoomed)
        self.lower.setMinimumHeight(125)
        self.upper.setMinimumHeight(220)
        self._annotations = Annotations(self.upper)
        self._lower_notes = Annotations(self.lower, labels=False)
        self._drawn = DrawnCurves(self.upper, self._display_all, self._line_look)
        self._strips = DrawnCurves(
            self.lower, self._display_strip, self._strip_look, dots=False, filled=True
        )
        self._zero = pg.InfiniteLine(0.0, angle=0)
        self.lower.addItem(self._zero, ignoreBounds=True)
        self.crosshair = Crosshair((self.upper, self.lower), self)
        self.crosshair.moved.connect(self.set_cursor)
        for frame in (self.upper, self.lower):
            frame.whole_wanted.connect(self.show_whole)

        self._lay_out()
        self._built = True
        self._redraw()

    def _lay_out(self) -> None:
        self._head = PlotHead()
        self._head.whole_wanted.connect(self.show_whole)
        self.legend, self.read_out = self._head.legend, self._head.read_out
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addWidget(self._head)
        column.addWidget(self.upper, 4)
        column.addWidget(self.lower, 1)
        self.lower.hide()

    # -- what is shown ----------------------------------------------------------------------

    def show_night(
        self,
        lines: Sequence[CurveLine],
        *,
        zones: Sequence[ZoneBand] = (),
        levels: Sequence[Level] = (),
        markers: Sequence[Marker] = (),
        deviation: CurveLine | None = None,
        strip: Strip | None = None,
        keep_view: bool = False,
    ) -> None:
        """Replace everything shown.

        Parameters
        ----------
        lines : sequence of CurveLine
            Later ones are drawn above earlier ones.
        zones, levels, markers : sequence
        deviation : CurveLine, optional
            Kelvin of difference over time, for the strip below and the read-out.
        strip : Strip, optional
            Instead of it: several of them, or how late.
        keep_view : bool
            Keep the span of time zoomed to; otherwise the whole night is shown.
        """
        self._night = tuple(lines)
        self._zones, self._levels = tuple(zones), tuple(levels)
        self._markers = tuple(markers)
        self._strip = strip or Strip(() if deviation is None else (deviation,))
        self.crosshair.hide()
        self._redraw()
        if keep_view and not self._whole_shown:
            self._set_heights()
        else:
            self.show_whole()

    def clear(self) -> None:
        """Show nothing."""
        self._glass = ()
        self.show_night(())

    def show_glass(self, lines: Sequence[CurveLine]) -> None:
        """Show temperatures of the glass beside the night's curves, or none; the zoom stays."""
        if lines or self._glass:
            self._glass = tuple(lines)
            self._redraw()

    @property
    def night(self) -> tuple[CurveLine, ...]:
        """The night's own curves."""
        return self._night

    @property
    def _lines(self) -> tuple[CurveLine, ...]:
        """Every curve shown, the night's first."""
        return (*self._night, *self._glass)

    def show_deviation(self, wanted: bool) -> None:  # noqa: FBT001 -- fits a toggled signal
        """Show or hide the strip with the deviation."""
        self.lower.setVisible(wanted)
        self.upper.clock_axis.setStyle(showValues=not wanted)
        self._describe()

    def set_units(self, units: UnitChoice) -> None:
        """Show the same temperatures in other units."""
        if units != self._units:
            self._units = units
            self._redraw()
            self._set_heights()

    def set_zone(self, zone: tzinfo | None) -> None:
        """Show the clock of another time zone."""
        self._words_of_time = ByClock(zone)
        for frame in (self.upper, self.lower):
            frame.clock_axis.set_zone(zone)
        self._describe()

    def show_whole(self) -> None:
        """Zoom so that every curve and moment is in sight."""
        self._whole_shown = True
        reach = time_range(self._lines, self._markers)
        if reach is not None:
            self.upper.view.setXRange(*reach, padding=0)
            self._set_heights()

    def set_since(self, since: Since) -> None:
        """Count time from another moment; only of a plot made to count so."""
        self._words_of_time = since
        for frame in (self.upper, self.lower):
            frame.clock_axis.set_words(since)
        self._describe()

    def show_moment(self, moment: float) -> None:
        """Zoom to a moment and read there; a closer view than two hours stays as close."""
        start, end = self.upper.view.viewRange()[0]
        half = min(end - start, _CLOSE) / 2
        self.upper.view.setXRange(moment - half, moment + half, padding=0)
        self._on_zoomed()
        self.set_cursor(moment)

    @property
    def description(self) -> str:
        """The plot in words."""
        return describe_night(
            self._lines,
            self._strip,
            self._zones,
            self._markers,
            self._units,
            self._words_of_time,
        )

    # -- drawing ----------------------------------------------------------------------------

    def _display(self, kelvin: float) -> float:
        return kelvin_to(kelvin, self._units.temperature)

    def _display_all(self, kelvin: FloatArray) -> FloatArray:
        return kelvin_to(kelvin, self._units.temperature)  # type: ignore[arg-type,return-value]

    def _display_strip(self, values: FloatArray) -> FloatArray:
        return self._strip.display(values, self._units)

    def _line_look(self, line: CurveLine) -> Look:
        return line_look(line.role, theme_of(self))

    def _strip_look(self, line: CurveLine) -> Look:
        several = len(self._strip.lines) > 1
        return self._line_look(line) if several else deviation_look(theme_of(self))

    def _words(self, kelvin: float) -> str:
        return format_quantity(Quantity.TEMPERATURE, kelvin, self._units)

    def _redraw(self) -> None:
        theme = theme_of(self)
        symbol = self._units.temperature.symbol
        self.upper.restyle(theme, f"Temperature, {symbol}")
        self.lower.restyle(theme, self._strip.title(self._units))
        self._head.restyle()
        self._drawn.show(self._lines)
        ratio = self.devicePixelRatioF()
        self.crosshair.restyle(theme, ratio)
        self._zero.setPen(Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(ratio))
        self._strips.show(self._strip.lines)
        self._annotations.show(
            self._zones, self._levels, self._markers, theme, self._display, self._words
        )
        self._lower_notes.show((), (), self._markers, theme, self._display, self._words)
        self._keep_beside()
        self.legend.show_curves([(line.name, line.role) for line in self._lines])
        self._describe()

    def _keep_beside(self) -> None:
        for frame in (self.upper, self.lower):
            frame.keep_beside(self._annotations.edge_width())

    def _set_heights(self) -> None:
        """Vertical ranges: all curves and zones, or only what is in sight when zoomed."""
        above = self._annotations.headroom() / max(self.upper.view.height(), 1.0)
        if self._whole_shown:
            heights = whole_heights(self._lines, self._zones, above, from_room=self._from_room)
        else:
            heights = visible_heights(self._lines, *self.upper.view.viewRange()[0], above)
        if heights is not None:
            low, high = (self._display(kelvin) for kelvin in heights)
            self.upper.view.setYRange(low, high, padding=0)
        reach = self._strip.reach(self._units)
        self.lower.view.setYRange(-reach, reach, padding=0)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._redraw()

    def event(self, event: QEvent) -> bool:
        """Keep lines as wide as they were when the window moves to a screen of another scale."""
        handled = super().event(event)
        if self._built and event.type() is QEvent.Type.DevicePixelRatioChange:
            self._redraw()
        return handled

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the words beside the plot as long as it has room for."""
        super().resizeEvent(event)
        self._annotations.fit()
        self._keep_beside()

    def _on_resized(self) -> None:
        """Keep the room for words right."""
        if self._whole_shown:
            self.show_whole()
        else:
            self._set_heights()

    def _on_zoomed(self) -> None:
        self._whole_shown = False
        self._set_heights()

    # -- the read-out -----------------------------------------------------------------------

    def set_cursor(self, moment: float) -> None:
        """Move the read-out to a moment (UTC epoch seconds)."""
        if not self._lines:
            return
        self.crosshair.show_at(moment)
        self._show_read_out()
        self.cursor_moved.emit(moment)

    def _show_read_out(self) -> None:
        moment = self.crosshair.moment
        if moment is None:
            times = [line.time for line in self._lines if line.time.size]
            if not times:
                self._head.show_span("")
                return
            start, end = min(t[0] for t in times), max(t[-1] for t in times)
            self._head.show_span(self._words_of_time.span(float(start), float(end)))
            return
        pairs = read_out(moment, self._lines, self._strip, self._units, self._words_of_time)
        start, end = self.upper.view.viewRange()[0]
        near = (end - start) / 120
        pairs.extend(
            ("", marker.label) for marker in self._markers if abs(marker.time - moment) <= near
        )
        self._head.show_reading(pairs)

    def _describe(self) -> None:
        self._show_read_out()
        text = self.description
        self.setAccessibleName(self.upper.accessibleName())
        for widget in (self, self.upper):
            widget.setAccessibleDescription(text)

    def roles(self) -> tuple[LineRole, ...]:
        """The roles of the curves shown, in order."""
        return tuple(line.role for line in self._lines)
