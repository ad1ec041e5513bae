"""The lehr card to look at, to save as PDF and to print; all three draw the same page."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from pathlib import Path

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPageSize, QPainter
from PySide6.QtWidgets import QWidget

from app.card.card_page import paint_card
from app.card.paper import PaperDocument, card_page_size, save_pdf
from app.studio import Studio
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings
from core.units import UnitChoice

__all__ = ["card_document", "card_page_size", "paint_card", "save_card_pdf", "show_card"]


def card_document(
    plan: Plan,
    load: Load,
    readings: Readings | None,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime | None,
) -> PaperDocument:
    """The card as a document of one page, named for the load and its day."""

    def paint(painter: QPainter, page_rect: QRectF, number: int) -> None:  # noqa: ARG001 -- one page
        paint_card(
            painter, page_rect, plan, load, readings, units=units, zone=zone, made_at=made_at
        )

    return PaperDocument(
        kind="lehr card",
        title=f"Lehr card: {plan.load_name}",
        file_name=f"Lehr card {plan.start.astimezone(zone):%Y-%m-%d} {plan.load_name}",
        paint=paint,
    )


def save_card_pdf(
    path: Path,
    plan: Plan,
    load: Load,
    readings: Readings | None = None,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    page_size: QPageSize | None = None,
    made_at: datetime | None = None,
) -> None:
    """Write the card as PDF; see :func:`app.card.paper.save_pdf`."""
    save_pdf(
        path,
        card_document(plan, load, readings, units=units, zone=zone, made_at=made_at),
        page_size,
    )


def show_card(
    parent: QWidget | None, plan: Plan, load: Load, readings: Readings | None, studio: Studio
) -> None:
    """Show the card in a window of its own, to save or print; returns when it is closed."""
    from app.card.card_preview import CardPreview  # noqa: PLC0415 -- printing loads when wanted

    preview = CardPreview(plan, load, readings, studio, made_at=datetime.now(UTC), parent=parent)
    preview.exec()
    preview.deleteLater()
