"""A run as a report: words, pages, the file, and the way there."""

from __future__ import annotations

import itertools
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from logbook_nights import last_night
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter
from PySide6.QtWidgets import QFileDialog

from app.card.paper import save_pdf
from app.card.paper_preview import PaperPreview
from app.logbook.page import LogBookPage
from app.logbook.report_layout import MARGIN, ReportPages, lay_out_report
from app.logbook.report_words import report_words
from app.logbook.run_report import report_document
from app.logbook.run_sheet import fetch_sheet
from app.logbook.verdict_work import JudgedNight, judge
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.units import UnitChoice
from core.verdict.verdict_words import VERDICT_CAUTIONS, verdict_sentence

A4 = QPageSize(QPageSize.PageSizeId.A4)


@pytest.fixture
def night(book):
    made = last_night(book)
    moments = made.moments(120.0)
    readings = Readings(moments, made.plan.temperature_at(moments) + 2.0)
    book.add_readings(made.run.id, readings, "logger", "night.csv", "0" * 64)
    book.finish_run(made.run.id, made.plan.ready_at)
    at = made.run.started_at + timedelta(hours=1)
    book.add_run_event(made.run.id, RunEvent(at, EventKind.DOOR_OPEN, "a float was set upright"))
    book.add_outcome(
        made.run.id, Outcome("Fishing float", made.plan.ready_at, OutcomeKind.SOUND, 8)
    )
    return made


def words_of(sheets):
    return [words.text for sheet in sheets for words in sheet.words]


def test_everything_of_the_run_is_in_the_words(appearance, book, night):
    sheet = fetch_sheet(book, night.run.id)
    verdict = judge(JudgedNight.of(sheet), lambda: False)
    words = report_words(sheet, verdict, "", UnitChoice(), UTC)
    assert words.title == "Floats"
    assert words.pieces[0].verdict == f"8 × {verdict_sentence(verdict.pieces[0])}"
    assert words.pieces[0].good
    assert len(words.segments.rows) == len(night.plan.segments)
    assert len(words.figures.rows) >= 4
    assert [row.cells[1:] for row in words.story.rows] == [
        ("door open", "a float was set upright"),
        ("found sound", "8 × Fishing float"),
    ]
    assert words.cautions == VERDICT_CAUTIONS
    assert "yesterday" not in " ".join(words.facts)
    size = A4.size(QPageSize.Unit.Point)
    pages = lay_out_report(words, size, made_at=datetime.now(UTC), zone=UTC)
    shown = " ".join(words_of(pages))
    for text in ("Verdict", "Segment by segment", "a float was set upright", "Page 1 of"):
        assert text in shown
    assert pages[0].curve.height() > 150.0


def test_a_long_record_goes_on_over_pages_and_nothing_is_lost_or_off_the_paper(
    appearance, book, night
):
    for number in range(70):
        at = night.run.started_at + timedelta(minutes=number)
        text = f"remark {number} " + "about the door and the draught under it " * (number % 4)
        book.add_run_event(night.run.id, RunEvent(at, EventKind.NOTE, text))
    sheet = fetch_sheet(book, night.run.id)
    words = report_words(sheet, None, "No verdict yet.", UnitChoice(), UTC)
    size = A4.size(QPageSize.Unit.Point)
    pages = lay_out_report(words, size, made_at=datetime.now(UTC), zone=UTC)
    assert len(pages) >= 3
    shown = " ".join(words_of(pages))
    for number in range(70):
        assert f"remark {number} " in f"{shown} "
    assert shown.count("and the draught under it") + shown.count("…") >= 3
    for page in pages:
        for placed in page.words:
            assert placed.rect.left() >= MARGIN - 1.0
            assert placed.rect.bottom() <= size.height() - MARGIN + 1.0
    # No line stands on another.
    for page in pages:
        lines = sorted((w.rect.top(), w.rect.bottom(), w.rect.left()) for w in page.words)
        rows = sorted({(top, bottom) for top, bottom, _ in lines})
        assert all(
            after[0] >= before[1] - 3.0
            for before, after in itertools.pairwise(rows)
            if after[0] - before[0] > 3.0
        )


def test_a_table_begins_on_a_new_page_rather_than_with_its_head_alone(appearance):
    size = A4.size(QPageSize.Unit.Point)
    pages = ReportPages(size)
    pages.gap(size.height() - 2 * MARGIN - 60.0)
    pages.heading("Almost at the foot", 80.0)
    first, second = pages.finish("foot")
    assert "Almost at the foot" not in words_of([first])
    assert "Almost at the foot" in words_of([second])


def test_the_report_is_a_pdf_and_its_curve_is_drawn(appearance, book, night, tmp_path: Path):
    sheet = fetch_sheet(book, night.run.id)
    document = report_document(
        sheet, None, "No verdict.", units=UnitChoice(), zone=UTC, made_at=datetime.now(UTC)
    )
    assert document.file_name.startswith("Run report 20")
    path = tmp_path / "report.pdf"
    save_pdf(path, document, A4)
    assert path.read_bytes().startswith(b"%PDF")
    image = QImage(595, 842, QImage.Format.Format_RGB32)
    image.setDotsPerMeterX(round(72 / 0.0254))
    image.setDotsPerMeterY(round(72 / 0.0254))
    image.fill(QColor("white"))
    painter = QPainter(image)
    document.paint(painter, image.rect().toRectF(), 0)
    painter.end()
    inked = [
        QColor(image.pixel(x, y))
        for y in range(110, 330, 2)
        for x in range(60, 540, 2)
    ]  # fmt: skip
    # The actual curve's warm ink.
    assert sum(c.red() > c.blue() + 90 for c in inked) > 40


def test_the_report_opens_from_the_run_with_its_verdict_and_is_saved(
    qtbot, studio, book, night, tmp_path: Path, monkeypatch
):
    page = LogBookPage(studio)
    qtbot.addWidget(page)
    page.resize(1000, 700)
    page.show()
    page.open_run(night.run.id)
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=8000)
    previews = []

    def shown(preview: PaperPreview) -> int:
        target = tmp_path / "kept.pdf"
        monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(target), ""))
        preview.save.click()
        previews.append((preview.windowTitle(), preview.document.pages, target.exists()))
        return 0

    monkeypatch.setattr(PaperPreview, "exec", shown)
    with qtbot.waitSignal(page.report.working):
        qtbot.mouseClick(page.run_view.report, Qt.MouseButton.LeftButton)
    assert "verdict" in page.banner.text
    qtbot.waitUntil(lambda: bool(previews), timeout=20_000)
    ((title, pages, saved),) = previews
    assert title == "Run report: Floats"
    assert pages >= 1
    assert saved
    assert page.banner.text == ""
