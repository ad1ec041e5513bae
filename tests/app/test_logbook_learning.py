"""What the nights together teach, from a book in which something happened."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from logbook_nights import enter_night
from PySide6.QtCore import Qt

from app.logbook.page import LogBookPage
from core.learning.cracks import cracks_against_stress, found_of
from core.learning.lehr_refit import TIME_CONSTANT
from core.plan.stress_check import Limit
from core.run.readings import Readings
from core.run.run_event import Outcome, OutcomeKind
from core.verdict.judge_run import verdict_of


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=30_000)


@pytest.fixture
def make_page(qtbot, studio):
    def make() -> LogBookPage:
        page = LogBookPage(studio)
        qtbot.addWidget(page)
        page.resize(1000, 800)
        page.show()
        rest(qtbot, studio)
        return page

    return make


def a_night(book, days, *, off=0.0):
    evening = datetime.now(UTC).replace(hour=20, minute=0, second=0, microsecond=0)
    night = enter_night(book, evening - timedelta(days=days))
    moments = night.moments(120.0)
    readings = Readings(moments, night.plan.temperature_at(moments) + off)
    book.add_readings(night.run.id, readings, "logger", "a.csv", "0" * 64)
    book.finish_run(night.run.id, night.plan.ready_at)
    return night


def teach(qtbot, studio, page):
    qtbot.mouseClick(page.runs.learning_button, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    return page.side.learning


def test_an_empty_record_says_what_is_missing(qtbot, studio, book, make_page):
    a_night(book, 2)
    view = teach(qtbot, studio, make_page())
    assert "Nothing has been noted yet" in view.crack_words.texts[0]
    assert not view.cracks.isVisible()
    assert "too few" in view.seen_words.texts[0]


def test_outcomes_stand_against_predicted_stress_as_core_says(qtbot, studio, book, make_page):
    nights = [a_night(book, days) for days in (4, 3)]
    found_at = datetime.now(UTC) - timedelta(hours=1)
    outcomes = {}
    for night, kind, count in zip(
        nights, (OutcomeKind.CRACKED, OutcomeKind.SOUND), (1, 8), strict=True
    ):
        outcome = Outcome("Fishing float", found_at, kind, count)
        book.add_outcome(night.run.id, outcome)
        outcomes[night.run.id] = outcome
    view = teach(qtbot, studio, make_page())
    expected = []
    for run in book.runs():
        load, plan = book.load(run.load_id), book.plan(run.plan_id)
        verdict = verdict_of(load, plan, book.readings(run.id))
        expected.extend(found_of(str(run.id), verdict, [outcomes[run.id]], Limit.PERMANENT))
    report = cracks_against_stress(expected, Limit.PERMANENT)
    view.limit.set_value(Limit.PERMANENT)
    assert view.crack_words.texts == report.sentences
    assert "too little to learn from" in view.crack_words.texts[1]
    assert view.cracks.isVisible()
    shown = view.cracks._points
    assert [group.x.size for group in shown] == [1, 1]
    # Reckoned once: the verdicts stay while the window is open.
    kept = dict(view._verdicts)
    view.begin()
    rest(qtbot, studio)
    assert view._verdicts == kept
    assert len(kept) == 2


def test_lehrs_are_fitted_once_and_the_fits_stay_in_the_book(qtbot, studio, book, make_page):
    a_night(book, 3)
    page = make_page()
    view = teach(qtbot, studio, page)
    fits = book.fits("Big lehr")
    assert len(fits) == 1
    fitted = next(p for p in fits[0].fit.parameters if p.name == TIME_CONSTANT)
    # The log follows the plan's own coasting, which the lehr's 4.5 h draw.
    assert fitted.value == pytest.approx(4.5 * 3600, rel=0.05)
    assert len(view.lehr_cards) == 2
    view.begin()
    rest(qtbot, studio)
    assert [record.id for record in book.fits("Big lehr")] == [fits[0].id]
    qtbot.mouseClick(view.back, Qt.MouseButton.LeftButton)
    assert page.views.currentWidget() is page.runs


def test_a_night_that_cannot_be_followed_is_named_and_the_others_count(
    qtbot, studio, book, make_page
):
    good = a_night(book, 3)
    bad = a_night(book, 2)
    for night in (good, bad):
        outcome = Outcome("Fishing float", datetime.now(UTC), OutcomeKind.SOUND, 8)
        book.add_outcome(night.run.id, outcome)
    book.delete_import(book.imports(bad.run.id)[0].id)
    far = bad.plan.start.timestamp() + 30 * 86_400.0
    lost = Readings(far + np.arange(3) * 60.0, np.full(3, 500.0))
    book.add_readings(bad.run.id, lost, "logger", "b.csv", "1" * 64)
    view = teach(qtbot, studio, make_page())
    assert "Floats" in view.banner.text
    assert any("8 " in text for text in view.crack_words.texts)
