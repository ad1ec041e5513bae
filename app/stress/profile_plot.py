"""Stress left for good through the thickness, tension and compression tinted."""

from __future__ import annotations

import numpy as np
import pyqtgraph as pg
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QColor, QFont
from PySide6.QtWidgets import QFrame, QWidget

from app.plots.looks import Look
from app.plots.plot_frame import unindexed
from app.theme import theme_of
from app.widgets.quantity import Quantity, scale_of
from core.stress.result import SectionStress
from core.stress.section import Faces
from core.units import UnitChoice, metre_to

_TICK_POINTS = 9.5
_TINT = 70
MEGA = 1e-6


class ProfilePlot(pg.PlotWidget):
    """From face to face: the whole thickness, mirrored where both faces cool alike."""

    _built = False

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        unindexed(self)
        self._units = units
        self._section: SectionStress | None = None
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setAccessibleName("Stress through the thickness")
        self.plot = self.getPlotItem()
        self.plot.hideButtons()
        self.plot.setMenuEnabled(False)
        for name in ("left", "bottom"):
            self.plot.getAxis(name).enableAutoSIPrefix(enable=False)
        self.plot.showGrid(x=True, y=True, alpha=0.35)
        self.plot.getViewBox().setMouseEnabled(x=False, y=False)
        self._zero = pg.InfiniteLine(0.0, angle=0)
        self.addItem(self._zero, ignoreBounds=True)
        self._tints = [self.plot.plot() for _ in range(2)]
        self._curve = self.plot.plot()
        self._built = True
        self.redraw()

    def show_section(self, section: SectionStress | None) -> None:
        """Show the stress left in a section, or nothing."""
        self._section = section
        self.redraw()

    def set_units(self, units: UnitChoice) -> None:
        """Show the depth in another unit."""
        self._units = units
        self.redraw()

    def redraw(self) -> None:
        """Draw with the colours of the theme."""
        theme = theme_of(self)
        self.setBackground(QColor(theme.plot_ground))
        font = QFont(self.font())
        font.setPointSizeF(_TICK_POINTS)
        symbol = scale_of(Quantity.LENGTH, self._units).symbol
        for name, title in (("left", "Left, MPa"), ("bottom", f"Depth, {symbol}")):
            axis = self.plot.getAxis(name)
            axis.setPen(QColor(theme.grid))
            axis.setTextPen(QColor(theme.ink))
            axis.setStyle(tickFont=font, tickLength=-5, tickTextOffset=6)
            axis.setLabel(text=title, color=theme.ink, **{"font-size": f"{_TICK_POINTS}pt"})
        ratio = float(self.devicePixelRatioF())
        self._zero.setPen(Look(theme.muted, 1.0, Qt.PenStyle.SolidLine).pen(ratio))
        where, stress = _through(self._section)
        shown = np.array([metre_to(float(x), self._units.length) for x in where])
        mega = stress * MEGA
        halves = ((np.maximum(mega, 0.0), theme.problem), (np.minimum(mega, 0.0), theme.plan))
        for tint, (half, ink) in zip(self._tints, halves, strict=True):
            colour = QColor(ink)
            colour.setAlpha(_TINT)
            tint.setData(shown, half, pen=None, fillLevel=0.0, fillBrush=colour)
        look = Look(theme.piece, 2.2, Qt.PenStyle.SolidLine)
        self._curve.setData(shown, mega, pen=look.pen(ratio), antialias=True)
        self._describe(mega)

    def _describe(self, mega: np.ndarray) -> None:
        words = "Nothing yet."
        if mega.size:
            words = (
                f"Stress left through the thickness: from {mega.min():.2f} MPa "
                f"to {mega.max():.2f} MPa; tension is positive."
            )
        self.setAccessibleDescription(words)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.redraw()


def _through(section: SectionStress | None) -> tuple[np.ndarray, np.ndarray]:
    """Places from face to face [m] and the stress left there [Pa]."""
    if section is None:
        return np.empty(0), np.empty(0)
    place, stress = section.depth[::-1], section.permanent[::-1]
    if section.section.faces is not Faces.BOTH:
        return place, stress
    whole = section.section.thickness
    return (
        np.concatenate((place, whole - place[::-1])),
        np.concatenate((stress, stress[::-1])),
    )
