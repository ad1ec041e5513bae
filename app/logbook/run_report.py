"""The report of a run to look at, to save as PDF and to print; all three draw the same pages."""

from __future__ import annotations

from datetime import datetime, tzinfo

from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QPageSize, QPainter
from PySide6.QtWidgets import QWidget

from app.card.paper import PaperDocument, card_page_size, in_dots, paint_sheet
from app.card.paper_preview import PaperPreview
from app.card.sheet import Face, Sheet, font_of
from app.logbook.report_layout import lay_out_report
from app.logbook.report_words import report_words
from app.logbook.run_night import run_markers
from app.logbook.run_sheet import RunSheet
from app.plots.plan_curve import actual_line, plan_line, plan_zones, soak_level
from app.plots.printed_curve import paint_night
from app.studio import Studio
from core.units import UnitChoice
from core.verdict.verdict import RunVerdict


def report_document(
    sheet: RunSheet,
    verdict: RunVerdict | None,
    no_verdict: str,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime,
    page_size: QPageSize | None = None,
) -> PaperDocument:
    """The report as a document.

    Parameters
    ----------
    sheet : RunSheet
    verdict : RunVerdict or None
    no_verdict : str
        Why there is none.
    units, zone
        How numbers and times are written.
    made_at : datetime
        Aware.
    page_size : QPageSize, optional
    """
    words = report_words(sheet, verdict, no_verdict, units, zone)
    points = (page_size or card_page_size()).size(QPageSize.Unit.Point)
    pages = lay_out_report(words, QSizeF(points), made_at=made_at, zone=zone)
    markers = run_markers(sheet, zone, made_at, units)

    def paint(painter: QPainter, page_rect: QRectF, number: int) -> None:
        _paint_page(painter, page_rect, pages[number])
        if number:
            return
        painter.save()
        painter.translate(page_rect.topLeft())
        painter.setFont(font_of(Face(8.5)))
        point = painter.device().logicalDpiY() / 72.0
        lines = [plan_line(sheet.plan, 0.0 if sheet.comparison is None else sheet.comparison.shift)]
        if len(sheet.readings):
            lines.append(actual_line(sheet.readings, sheet.comparison))
        paint_night(
            painter,
            in_dots(pages[0].curve, point),
            lines,
            zones=plan_zones(sheet.plan),
            levels=[soak_level(sheet.plan)],
            markers=markers,
            units=units,
            zone=zone,
        )
        painter.restore()

    return PaperDocument(
        kind="run report",
        title=f"Run report: {sheet.run.load_name}",
        file_name=f"Run report {_day(sheet, zone)} {sheet.run.load_name}",
        paint=paint,
        pages=len(pages),
    )


def _day(sheet: RunSheet, zone: tzinfo | None) -> str:
    return f"{sheet.run.started_at.astimezone(zone):%Y-%m-%d}"


def _paint_page(painter: QPainter, page_rect: QRectF, sheet: Sheet) -> None:
    point = painter.device().logicalDpiY() / 72.0
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.translate(page_rect.topLeft())
    paint_sheet(painter, sheet, point)
    painter.restore()


def show_report(
    parent: QWidget | None,
    sheet: RunSheet,
    verdict: RunVerdict | None,
    no_verdict: str,
    studio: Studio,
) -> None:
    """Show the report in a window of its own, to save or print; returns when it is closed."""
    document = report_document(
        sheet, verdict, no_verdict, units=studio.units, zone=studio.zone, made_at=studio.now()
    )
    preview = PaperPreview(document, studio, parent)
    preview.exec()
    preview.deleteLater()
