"""Stress in core and skin by clock time, the moment of greatest danger marked."""

from __future__ import annotations

from datetime import tzinfo

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QWidget

from app.local_time import clock_text
from app.plots.curves import LineRole
from app.plots.looks import Look, line_look
from app.plots.plot_frame import ClockPlot
from app.stress.words import megapascal, peak_words
from app.theme import theme_of
from core.load.load import StressLimits
from core.stress.result import SectionStress
from core.units import UnitChoice

MEGA = 1e-6


class StressPlot(ClockPlot):
    """Curves of one section; the clock follows the plot it is linked to."""

    _built = False

    def __init__(self, zone: tzinfo | None, parent: QWidget | None = None) -> None:
        super().__init__(zone, name="Stress through the night")
        self.setParent(parent)
        self._zone = zone
        self._section: SectionStress | None = None
        self._zero = pg.InfiniteLine(0.0, angle=0)
        self.addItem(self._zero, ignoreBounds=True)
        self._curves = [self.plot.plot() for _ in range(3)]
        self._spot = pg.ScatterPlotItem(symbol="o", size=11)
        self._spot.setZValue(10)
        self._told = pg.TextItem(anchor=(0.5, 1.15))
        for item in (self._spot, self._told):
            self.addItem(item, ignoreBounds=True)
        self._built = True
        self.redraw()

    def show_section(self, section: SectionStress, limits: StressLimits, units: UnitChoice) -> None:
        """Show the stress of a section, core and skin as in the night above."""
        self._section = section
        self.redraw()
        self.setAccessibleDescription(peak_words(section, limits, units, self._zone))

    def show_nothing(self) -> None:
        """Take the section off again."""
        self._section = None
        self.redraw()
        self.setAccessibleDescription("")

    def redraw(self) -> None:
        """Draw with the colours of the theme."""
        theme = theme_of(self)
        self.restyle(theme, "Stress, MPa")
        ratio = float(self.devicePixelRatioF())
        self._zero.setPen(Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(ratio))
        looks = (
            line_look(LineRole.PIECE, theme),
            line_look(LineRole.OTHER, theme),
            Look(theme.deviation, 1.8, Qt.PenStyle.DashDotLine),
        )
        section = self._section
        stresses: list[np.ndarray] = [np.empty(0)] * 3
        if section is not None:
            stresses[:2] = [section.core_stress, section.skin_stress]
            if np.any(section.joint_stress != 0.0):
                stresses[2] = section.joint_stress
        time = np.empty(0) if section is None else section.time
        for curve, look, stress in zip(self._curves, looks, stresses, strict=True):
            at = time if stress.size else np.empty(0)
            curve.setData(at, stress * MEGA, pen=look.pen(ratio), antialias=True)
        self._mark(QColor(theme.problem))
        self._set_heights(stresses)

    def _mark(self, colour: QColor) -> None:
        peak = None if self._section is None else self._section.peak
        there = peak is not None and peak.stress > 0.0
        self._spot.setVisible(there)
        self._told.setVisible(there)
        if peak is not None and there:
            self._spot.setData([peak.time], [peak.stress * MEGA])
            self._spot.setPen(pg.mkPen(colour, width=1.6))
            self._spot.setBrush(QColor(0, 0, 0, 0))
            self._told.setText(f"{megapascal(peak.stress)}, {clock_text(peak.time, self._zone)}")
            self._told.setColor(colour)
            self._told.setPos(peak.time, peak.stress * MEGA)

    def _set_heights(self, stresses: list[np.ndarray]) -> None:
        known = [stress * MEGA for stress in stresses if stress.size]
        low = min((float(s.min()) for s in known), default=-1.0)
        high = max((float(s.max()) for s in known), default=1.0)
        room = max(high - low, 0.1)
        self.view.setYRange(low - 0.12 * room, high + 0.3 * room, padding=0)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.redraw()
