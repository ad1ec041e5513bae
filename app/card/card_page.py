"""Paints the lehr card: the same on paper, in a file and in the preview."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo

import numpy as np
from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QPainter

from app.card.card_layout import lay_out_card
from app.card.paper import in_dots, paint_sheet
from app.card.sheet import Face, font_of
from app.plots.curves import CurveLine, LineRole, ZoneBand
from app.plots.plan_curve import plan_line, plan_moments, soak_level
from app.plots.printed_curve import paint_night
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.card import card_of
from core.plan.plan import Plan
from core.run.compare import compare
from core.run.gap_breaks import with_breaks
from core.run.readings import Readings
from core.units import UnitChoice


def paint_card(
    painter: QPainter,
    page_rect: QRectF,
    plan: Plan,
    load: Load,
    readings: Readings | None = None,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime | None = None,
) -> None:
    """Draw the card; the painter is left as it was found.

    Parameters
    ----------
    painter : QPainter
        Active, on paper (QPrinter, QPdfWriter) or an image whose dots per inch are set.
    page_rect : QRectF
        The whole sheet with its edges, in the painter's coordinates.
    plan, load : Plan, Load
    readings : Readings, optional
        What was logged, drawn over the plan.
    units, zone
        How numbers and clock times are written.
    made_at : datetime, optional
        Aware; now when left out.
    """
    point = painter.device().logicalDpiY() / 72.0
    size = QSizeF(page_rect.width() / point, page_rect.height() / point)
    card = card_of(plan, load, zone)
    made = made_at if made_at is not None else datetime.now(UTC)
    sheet = lay_out_card(card, size, units=units, zone=zone, made_at=made)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(page_rect.topLeft())
    paint_sheet(painter, sheet, point)
    painter.setFont(font_of(Face(8.5)))
    room = in_dots(sheet.curve, point)
    paint_night(painter, room, units=units, zone=zone, **night_of(plan, readings, zone))
    painter.restore()


def night_of(plan: Plan, readings: Readings | None, zone: tzinfo | None) -> dict[str, object]:
    """What the curve shows: keyword arguments of :func:`paint_night`."""
    lines = [plan_line(plan)]
    if readings is not None and len(readings):
        lines.append(CurveLine("Actual", *_broken_at_gaps(plan, readings), LineRole.ACTUAL))
    several = len(plan.zones) > 1
    band = ZoneBand(
        plan.transformation_top,
        plan.transformation_bottom,
        "highest annealing" if several else "annealing",
        "lowest strain" if several else "strain",
    )
    return {
        "lines": lines,
        "zones": [band],
        "levels": [soak_level(plan)],
        "markers": plan_moments(plan, zone),
    }


def _broken_at_gaps(plan: Plan, readings: Readings) -> tuple[np.ndarray, np.ndarray]:
    """The readings, with a break in the line wherever nothing was logged for long."""
    try:
        gaps = compare(plan, readings).gaps
    except LehrkeeperError:  # readings of another night: nothing to compare, but still to see
        gaps = ()
    return with_breaks(readings.time, readings.temperature, gaps)
