"""The verdict on a run's pieces, and the repair of its night, in the real page."""

from __future__ import annotations

from datetime import timedelta

import numpy as np
import pytest
from logbook_nights import last_night
from PySide6.QtCore import Qt

from app.logbook import verdict_work
from app.logbook.page import LogBookPage
from app.plots.curves import LineRole
from core.errors import PlanError
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.units import ZERO_CELSIUS, TemperatureUnit, UnitChoice
from core.verdict.judge_run import verdict_of
from core.verdict.repair import Repair, RepairKind
from core.verdict.unread import Coldest
from core.verdict.verdict import Standing
from core.verdict.verdict_words import verdict_sentence


@pytest.fixture
def night(book):
    return last_night(book)


def fill(book, night, *, finish=True, fast=False):
    """A log along the plan; a fast one falls through the range in ten minutes."""
    moments = night.moments(120.0)
    kelvin = night.plan.temperature_at(moments)
    if fast:
        cooling = night.plan.start.timestamp() + night.plan.segments[0].duration
        since = np.clip(moments - cooling, 0.0, None)
        kelvin = np.maximum(np.minimum(kelvin, kelvin[0] - since / 5.0), ZERO_CELSIUS + 25.0)
    book.add_readings(night.run.id, Readings(moments, kelvin), "logger", "a.csv", "0" * 64)
    if finish:
        book.finish_run(night.run.id, night.plan.ready_at)


@pytest.fixture
def make_page(qtbot, studio, night):
    def make(*, look: bool = True) -> LogBookPage:
        page = LogBookPage(studio)
        qtbot.addWidget(page)
        page.resize(1100, 760)
        page.show()
        rest(qtbot, studio)
        page.open_run(night.run.id)
        rest(qtbot, studio)
        if look:
            page.run_view.tabs.setCurrentWidget(page.run_view.verdict)
            rest(qtbot, studio)
        return page

    return make


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=20_000)


def test_a_night_along_its_plan_is_annealed_and_there_is_nothing_to_repair(book, night, make_page):
    fill(book, night)
    panel = make_page().run_view.verdict
    found = verdict_of(book.load(night.run.load_id), night.plan, book.readings(night.run.id))
    (card,) = panel.cards
    assert card.found.standing is found.standing is Standing.ANNEALED
    assert card.sentence.text() == verdict_sentence(found.pieces[0])
    assert card.heading.text() == "8 × Fishing float"
    assert card.advice == []
    assert not panel.repair.isVisible()
    assert "polari" in panel.caution.accessibleDescription()


def test_a_night_too_fast_says_why_what_to_do_and_where(qtbot, studio, book, night, make_page):
    fill(book, night, fast=True)
    page = make_page()
    panel = page.run_view.verdict
    (card,) = panel.cards
    assert card.found.standing is not Standing.ANNEALED
    assert "cooled at" in card.cause.text()
    assert card.advice
    assert panel.repair.isVisible()
    card.moment_wanted.emit(card.found.cause.start)
    assert page.run_view.plot.crosshair.moment == pytest.approx(card.found.cause.start)
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    assert "°F" in panel.cards[0].cause.text()


def test_without_readings_it_says_what_it_needs(make_page):
    panel = make_page().run_view.verdict
    assert panel.cards == []
    assert "needs the readings" in panel.state.text()


def test_the_verdict_waits_until_it_is_looked_at_and_is_kept(
    qtbot, studio, book, night, make_page, monkeypatch
):
    fill(book, night)
    page = make_page()
    asked = []
    monkeypatch.setattr(
        "app.logbook.verdict_panel.judge", lambda night, cancelled: asked.append(night)
    )
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert asked == []
    page.run_view.tabs.setCurrentIndex(0)
    book.delete_reading(night.run.id, book.reading_records(night.run.id)[5].time)
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert asked == []
    page.run_view.verdict._show = lambda _: None
    page.run_view.tabs.setCurrentWidget(page.run_view.verdict)
    rest(qtbot, studio)
    assert len(asked) == 1


def repaired(load, plan, readings, now, **_):
    """A repair drawn up at once."""
    again = make_plan(load)
    shifted = Coldest(
        ZERO_CELSIUS + 390.0, ZERO_CELSIUS + 455.0, ZERO_CELSIUS + 430.0,
        readings.time[10], readings.time[20], over=True,
    )  # fmt: skip
    verdict = verdict_of(load, plan, readings)
    return Repair(
        kind=RepairKind.BACK_TO_SOAK,
        plan=again,
        load=load,
        why="Too much.",
        coldest=shifted,
        verdict=verdict,
        sound=True,
    )


def test_the_repair_is_one_click_away_and_shows_core_s_schedule(
    qtbot, studio, book, night, make_page
):
    fill(book, night, fast=True)
    page = make_page()
    with qtbot.waitSignal(page.side.repair.drawn_up, timeout=30_000) as told:
        qtbot.mouseClick(page.run_view.verdict.repair, Qt.MouseButton.LeftButton)
    (found,) = told.args
    view = page.side.repair
    assert page.views.currentWidget() is view
    assert found.kind is RepairKind.FROM_COLD
    assert view.kind.text() == "Anneal again from cold"
    assert view.segments.table.rows_model.rows == found.plan.segments
    assert view.plot.roles() == (LineRole.OTHER, LineRole.ACTUAL, LineRole.PLAN)
    assert view.start.isVisible()
    assert not view.progress.isVisible()


def test_a_repair_is_kept_and_started_as_a_run(qtbot, studio, book, night, make_page, monkeypatch):
    fill(book, night, fast=True, finish=False)
    monkeypatch.setattr(verdict_work, "repair", repaired)
    page = make_page(look=False)
    page.repair_run()
    rest(qtbot, studio)
    view = page.side.repair
    assert "between 390 °C and 455 °C, most likely near 430 °C" in view.coldest.text()
    qtbot.mouseClick(view.start, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    new, old = sorted(book.runs(), key=lambda run: -run.id)
    assert old.id == night.run.id
    assert old.finished
    assert new.load_name == "Floats, repaired"
    assert not new.finished
    assert book.plan(new.plan_id).segments == make_plan(book.load(night.run.load_id)).segments
    assert page.views.currentWidget() is page.run_view
    assert page.run_view.sheet.run.id == new.id
    assert "key its schedule" in page.banner.text


def test_a_repair_can_be_kept_only(qtbot, studio, book, night, make_page, monkeypatch):
    fill(book, night, fast=True)
    monkeypatch.setattr(verdict_work, "repair", repaired)
    page = make_page(look=False)
    page.repair_run()
    rest(qtbot, studio)
    qtbot.mouseClick(page.side.repair.keep, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert [run.id for run in book.runs()] == [night.run.id]
    assert book.latest_load().load.name == "Floats, repaired"
    assert page.views.currentWidget() is page.run_view
    with qtbot.waitSignals([studio.changed, studio.page_wanted]):
        page.banner.acted.emit()


def test_what_the_lehr_reads_now_is_handed_on_and_failures_are_told(
    qtbot, studio, book, night, make_page, monkeypatch
):
    fill(book, night, fast=True)
    handed = []

    def failing(load, plan, readings, now, *, present, **_):
        handed.append(present)
        raise PlanError("Nothing can be run.", remedy="Take the pieces out.")

    monkeypatch.setattr(verdict_work, "repair", failing)
    page = make_page(look=False)
    page.repair_run()
    rest(qtbot, studio)
    assert "Nothing can be run" in page.side.repair.banner.text
    assert not page.side.repair.start.isVisible()
    page.side.repair.present.set_value_si(ZERO_CELSIUS + 400.0)
    qtbot.mouseClick(page.side.repair.again, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert handed == [None, pytest.approx(ZERO_CELSIUS + 400.0)]


def test_drawing_up_can_be_stopped(qtbot, studio, book, night, make_page, monkeypatch):
    fill(book, night, fast=True)
    begun, stopped = [], []

    def slow(load, plan, readings, now, *, cancelled, **_):
        begun.append(now)
        while not cancelled():
            pass
        stopped.append(now)
        raise PlanError("Stopped.")

    monkeypatch.setattr(verdict_work, "repair", slow)
    page = make_page(look=False)
    page.repair_run()
    assert page.side.repair.progress.isVisible()
    qtbot.waitUntil(lambda: bool(begun))
    qtbot.mouseClick(page.side.repair.stop, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert len(stopped) == 1
    assert not page.side.repair.progress.isVisible()
    assert "nothing was drawn up" in page.side.repair.kind.text()
    assert studio.now() - stopped[0] < timedelta(seconds=20)
