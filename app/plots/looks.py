"""Pens of curves and markers: every kind differs in width or dash as well as in colour."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen

from app.plots.curves import LineRole, MarkerRole
from app.theme import Theme


@dataclass(frozen=True)
class Look:
    """Colour, width in logical pixels and dash."""

    colour: str
    width: float
    dash: Qt.PenStyle

    def pen(self, ratio: float = 1.0, *, fine: bool = False) -> QPen:
        """A pen for plots, which keeps its width while zooming.

        Parameters
        ----------
        ratio : float
            Device pixels to a logical one: Qt counts the width of such pens in device pixels.
        fine : bool
            One pixel, for very many points: wide pens over them take seconds to draw.
        """
        pen = self.printing_pen()
        pen.setWidthF(1.0 if fine else self.width * ratio)
        if fine:
            pen.setStyle(Qt.PenStyle.SolidLine)
        pen.setCosmetic(True)
        return pen

    def printing_pen(self, scale: float = 1.0) -> QPen:
        """A pen whose width follows the painter's own scale."""
        pen = QPen(QColor(self.colour))
        pen.setWidthF(self.width * scale)
        pen.setStyle(self.dash)
        return pen


def line_look(role: LineRole, theme: Theme) -> Look:
    """How a curve of that role is drawn."""
    solid, dash, dot = Qt.PenStyle.SolidLine, Qt.PenStyle.DashLine, Qt.PenStyle.DotLine
    return {
        LineRole.PLAN: Look(theme.plan, 1.8, solid),
        LineRole.ACTUAL: Look(theme.actual, 3.2, solid),
        LineRole.PIECE: Look(theme.piece, 1.8, dash),
        LineRole.FURNACE: Look(theme.actual, 2.4, solid),
        LineRole.OTHER: Look(theme.other_line, 1.6, dot),
        LineRole.NIGHT_1: Look(theme.actual, 2.6, solid),
        LineRole.NIGHT_2: Look(theme.deviation, 2.0, dash),
        LineRole.NIGHT_3: Look(theme.piece, 2.0, Qt.PenStyle.DashDotLine),
        LineRole.NIGHT_4: Look(theme.late, 2.2, dot),
        LineRole.NIGHT_5: Look(theme.zone_ink, 2.0, Qt.PenStyle.DashDotDotLine),
        LineRole.NIGHT_6: Look(theme.other_line, 1.2, solid),
    }[role]


def deviation_look(theme: Theme) -> Look:
    """How the deviation is drawn."""
    return Look(theme.deviation, 1.8, Qt.PenStyle.SolidLine)


def marker_look(role: MarkerRole, theme: Theme) -> Look:
    """How a moment of that role is drawn."""
    dash, dot = Qt.PenStyle.DashLine, Qt.PenStyle.DotLine
    return {
        MarkerRole.READY: Look(theme.good, 1.8, dash),
        MarkerRole.LATE: Look(theme.late, 2.4, dash),
        MarkerRole.OUT_BY: Look(theme.marker, 1.8, Qt.PenStyle.SolidLine),
        MarkerRole.CHARGE: Look(theme.plan, 1.4, dot),
        MarkerRole.EVENT: Look(theme.other_line, 1.4, dot),
        MarkerRole.NOW: Look(theme.accent, 1.4, Qt.PenStyle.DashDotLine),
    }[role]
