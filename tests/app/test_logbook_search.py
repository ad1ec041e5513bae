"""Search over the whole book, with a jump to what was found."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from logbook_nights import last_night
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from app.logbook.page import LogBookPage
from core.furnace.ledger import Charge, Pot
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import HitKind


@pytest.fixture
def night(book):
    made = last_night(book)
    moments = made.moments()
    readings = Readings(moments, made.plan.temperature_at(moments))
    book.add_readings(made.run.id, readings, "logger", "a.csv", "0" * 64)
    book.finish_run(made.run.id, made.plan.ready_at)
    return made


@pytest.fixture
def page(qtbot, studio, night):
    made = LogBookPage(studio)
    qtbot.addWidget(made)
    made.resize(1000, 700)
    made.show()
    rest(qtbot, studio)
    made.show_runs()
    return made


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=5000)


def look(qtbot, studio, page, words):
    box = page.runs.search
    box.clear()
    QTest.keyClicks(box, words)
    QTest.keyClick(box, Qt.Key.Key_Return)
    rest(qtbot, studio)
    return page.runs.hits


def test_an_event_is_found_and_opened_in_its_run(qtbot, studio, book, night, page):
    moment = night.run.started_at + timedelta(hours=2)
    book.add_run_event(night.run.id, RunEvent(moment, EventKind.NOTE, "Fog in the harbour"))
    hits = look(qtbot, studio, page, "harbour FOG")
    assert page.runs.pages.currentWidget() is hits
    (hit,) = hits.hits
    assert hit.kind is HitKind.EVENT
    QTest.keyClick(hits.table, Qt.Key.Key_Return)
    rest(qtbot, studio)
    view = page.run_view
    assert page.views.currentWidget() is view
    assert view.tabs.currentWidget() is view.story
    assert view.story.list.table.selected_row().words == "Fog in the harbour"
    assert view.plot.crosshair.moment == pytest.approx(moment.timestamp())


def test_what_was_found_of_a_piece_is_found_again(qtbot, studio, book, night, page):
    found_at = night.plan.ready_at + timedelta(hours=1)
    outcome = Outcome("Fishing float", found_at, OutcomeKind.CRACKED, 1, text="through the seam")
    book.add_outcome(night.run.id, outcome)
    hits = look(qtbot, studio, page, "seam")
    hits.table.row_opened.emit(hits.hits[0])
    rest(qtbot, studio)
    line = page.run_view.story.list.table.selected_row()
    assert line.record.outcome.text == "through the seam"


def test_a_charge_leads_to_the_furnace(qtbot, studio, book, page):
    book.save_furnace("Harbour furnace")
    book.save_pot(Pot("Clear pot", "Harbour furnace", 90.0))
    book.add_charge(Charge(datetime.now(UTC), "Clear pot", "cullet", 20.0, "green streaks"))
    hits = look(qtbot, studio, page, "streaks")
    with qtbot.waitSignal(studio.page_wanted) as wanted:
        hits.table.row_opened.emit(hits.hits[0])
    assert wanted.args == ["furnace"]


def test_nothing_found_is_said_and_an_empty_box_shows_all_runs(qtbot, studio, page):
    hits = look(qtbot, studio, page, "zeppelin")
    assert "zeppelin" in hits.summary.text()
    assert not hits.table.isVisible()
    page.runs.search.clear()
    qtbot.waitUntil(lambda: page.runs.pages.currentWidget() is page.runs.table)
