"""The running night: started from the plan, readings typed, finished, found again."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot
from tonight_nights import (
    BIG_LEHR,
    BUTTON,
    LITTLE_LEHR,
    NOON,
    Clock,
    fill_studio,
    type_length,
    wait_for_plan,
)

from app.card import lehr_card
from app.plots.curves import LineRole
from app.settings import Settings
from app.studio import Studio
from app.theme import Appearance
from app.tonight.page import TonightPage
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.store.book import Book, RunRecord
from core.units import kelvin_to

LISBON = ZoneInfo("Europe/Lisbon")
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def clock(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Clock:
    wall = Clock(BUTTON + timedelta(seconds=40))
    monkeypatch.setattr(studio, "now", wall)
    studio.zone = LISBON
    return wall


@pytest.fixture
def page(
    studio: Studio, clock: Clock, appearance: Appearance, book: Book, qtbot: QtBot
) -> Iterator[TonightPage]:
    fill_studio(book)
    made = TonightPage(studio)
    made.resize(1050, 720)
    qtbot.addWidget(made)
    made.show()
    wait_for_plan(qtbot, made)
    yield made
    made.hide()


def run_of(book: Book) -> RunRecord:
    (run,) = book.runs()
    return run


def start(page: TonightPage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.work.start_button, LEFT)
    qtbot.waitUntil(page.run_panel.isVisible)


def record(page: TonightPage, qtbot: QtBot, celsius: str) -> None:
    box = page.run_panel.entry.temperature
    count = page.run_panel.table.rows_model.rowCount()
    qtbot.keyClicks(box, celsius)
    qtbot.keyClick(box, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: page.run_panel.table.rows_model.rowCount() == count + 1)


def test_a_run_is_started_and_a_reading_typed_with_the_keyboard_alone(
    page: TonightPage, book: Book, studio: Studio, clock: Clock, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(studio.changed, check_params_cb=lambda kind: kind == "run"):
        start(page, qtbot)
    run = run_of(book)
    assert run.started_at == BUTTON + timedelta(seconds=40)
    assert not run.finished
    assert book.plan(run.plan_id) == page.plan
    assert page.run_panel.entry.temperature.hasFocus()
    assert page.run_panel.planned.text() == f"{kelvin_to(page.plan.soak_temperature):.0f} °C"
    assert not page.work.start_button.isVisible()

    clock.now = BUTTON + timedelta(minutes=35)
    record(page, qtbot, "517")
    assert page.run_panel.entry.said.text == "Recorded 18:05: 517 °C"
    readings = book.readings(run.id)
    assert readings.time.tolist() == [clock.now.timestamp()]
    assert readings.temperature.tolist() == pytest.approx([517 + 273.15])
    assert page.work.view.plot.roles() == (LineRole.PLAN, LineRole.ACTUAL)
    assert page.work.view.plot.lower.isVisible()
    assert page.run_panel.entry.temperature.text() == ""
    assert page.run_panel.entry.temperature.hasFocus()


def test_a_second_return_is_not_a_second_reading(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    clock.now = BUTTON + timedelta(minutes=5)
    record(page, qtbot, "517")
    box = page.run_panel.entry.temperature
    qtbot.keyClicks(box, "518")
    qtbot.keyClick(box, Qt.Key.Key_Return)
    field = page.run_panel.entry.time_field
    qtbot.waitUntil(lambda: "at that time already" in field.error)
    assert len(book.readings(run_of(book).id)) == 1
    assert box.text() == "518"  # nothing typed is lost


def test_a_reading_that_is_no_number_is_refused_beside_its_box(
    page: TonightPage, book: Book, qtbot: QtBot
) -> None:
    start(page, qtbot)
    box = page.run_panel.entry.temperature
    qtbot.keyClicks(box, "hot")
    qtbot.keyClick(box, Qt.Key.Key_Return)
    assert "not a number" in page.run_panel.entry.temperature_field.error
    assert len(book.readings(run_of(book).id)) == 0


def test_a_reading_noted_earlier_keeps_its_own_time(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    clock.now = BUTTON + timedelta(hours=2)
    panel = page.run_panel
    panel.look_at_clock()
    assert panel.entry.clock.time.text() == "19:30"
    panel.entry.clock.time.selectAll()
    qtbot.keyClicks(panel.entry.clock.time, "1845")
    clock.now += timedelta(minutes=1)
    panel.look_at_clock()  # the passing minute does not overwrite what was typed
    record(page, qtbot, "505")
    assert book.readings(run_of(book).id).time.tolist() == [
        (BUTTON + timedelta(minutes=75)).timestamp()
    ]
    assert panel.entry.said.text == "Recorded 18:45: 505 °C"
    assert panel.entry.clock.time.text() == "19:31"


def test_a_mistyped_reading_is_taken_out_again(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    for minute, celsius in ((10, "519"), (20, "51"), (30, "518")):
        clock.now = BUTTON + timedelta(minutes=minute)
        record(page, qtbot, celsius)
    panel = page.run_panel
    assert [row.kelvin for row in panel.table.rows_model.rows] == pytest.approx(
        [518 + 273.15, 51 + 273.15, 519 + 273.15]
    )
    panel.table.selectRow(1)
    qtbot.mouseClick(panel.remove, LEFT)
    qtbot.waitUntil(lambda: panel.table.rows_model.rowCount() == 2)
    np.testing.assert_allclose(
        book.readings(run_of(book).id).temperature, [519 + 273.15, 518 + 273.15]
    )


def test_of_very_many_readings_the_newest_are_listed(
    page: TonightPage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    start(page, qtbot)
    run = run_of(book)
    times = BUTTON.timestamp() + np.arange(1, 2001)
    book.log_readings(run.id, Readings(times, np.linspace(800.0, 790.0, 2000)), "controller")
    studio.tell_changed("run")
    model = page.run_panel.table.rows_model
    qtbot.waitUntil(lambda: model.rowCount() > 0)
    assert model.rowCount() < 2000
    assert model.rows[0].time == times[-1]
    assert model.rows[0].kelvin == pytest.approx(790.0)


def test_a_run_going_on_is_found_again_with_its_readings(
    page: TonightPage, studio: Studio, book: Book, settings: Settings, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    clock.now = BUTTON + timedelta(minutes=35)
    record(page, qtbot, "517")
    plan = page.plan
    page.close()
    assert studio.jobs.shutdown(5.0)
    path = book.path
    book.close()
    with Book.open(path) as again:
        reopened = Studio(again, settings, zone=LISBON)
        reopened.now = clock
        other = TonightPage(reopened)
        qtbot.addWidget(other)
        other.show()
        assert other.run_panel.isVisible()
        assert other.plan == plan
        assert other.run_panel.table.rows_model.rowCount() == 1
        qtbot.mouseClick(other.work.finish_button, LEFT)
        qtbot.waitUntil(other.load_panel.isVisible)
        assert run_of(again).finished_at == clock.now
        assert "finished" in other.banner.text
        assert not other.work.tabs.isVisible()
        other.hide()
        assert reopened.jobs.shutdown(5.0)


def test_a_run_at_another_time_asks_and_moves_the_curve(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    clock.now = BUTTON + timedelta(minutes=47, seconds=20)
    qtbot.mouseClick(page.work.start_button, LEFT)
    question = page.work.question
    assert question.isVisible()
    assert "today 17:30" in question.text.text()
    assert "today 18:17" in question.text.text()
    assert book.runs() == ()
    before = page.plan
    assert before is not None
    qtbot.mouseClick(question.now_button, LEFT)
    qtbot.waitUntil(page.run_panel.isVisible)
    run = run_of(book)
    assert run.started_at == BUTTON + timedelta(minutes=47)
    assert book.plan(run.plan_id).ready_at == before.ready_at + timedelta(minutes=47)


def test_a_delayed_start_may_keep_the_planned_time(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    clock.now = NOON
    qtbot.mouseClick(page.work.start_button, LEFT)
    qtbot.mouseClick(page.work.question.planned_button, LEFT)
    qtbot.waitUntil(page.run_panel.isVisible)
    assert run_of(book).started_at == BUTTON
    assert "The plan begins today 17:30" in page.run_panel.segment.text()
    assert page.run_panel.planned.text() == "–"


def test_not_yet_starts_nothing_and_an_edit_withdraws_the_question(
    page: TonightPage, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    clock.now = NOON
    qtbot.mouseClick(page.work.start_button, LEFT)
    qtbot.mouseClick(page.work.question.leave_button, LEFT)
    assert not page.work.question.isVisible()
    qtbot.mouseClick(page.work.start_button, LEFT)
    type_length(qtbot, page, "wall_thickness", "4")
    assert not page.work.question.isVisible()
    assert book.runs() == ()
    wait_for_plan(qtbot, page)


def test_a_run_started_by_mistake_is_forgotten(page: TonightPage, book: Book, qtbot: QtBot) -> None:
    start(page, qtbot)
    qtbot.mouseClick(page.run_panel.mistake, LEFT)
    qtbot.waitUntil(page.load_panel.isVisible)
    assert book.runs() == ()


def test_with_a_reading_a_run_is_no_mistake_any_more(
    page: TonightPage, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    assert page.run_panel.mistake.isVisible()
    record(page, qtbot, "517")
    assert not page.run_panel.mistake.isVisible()


def test_the_next_load_is_planned_while_a_lehr_runs(
    page: TonightPage, book: Book, qtbot: QtBot
) -> None:
    start(page, qtbot)
    first = run_of(book)
    page.work.tabs.setCurrentIndex(0)
    wait_for_plan(qtbot, page)
    # The same lehr cannot run twice.
    qtbot.mouseClick(page.work.start_button, LEFT)
    assert "has a run going" in page.banner.text
    assert len(book.runs()) == 1
    # The load in the running lehr stays as it was; the next one gets a place of its own.
    page.load_panel.hours.lehr.set_value(LITTLE_LEHR.name)
    type_length(qtbot, page, "wall_thickness", "5")
    wait_for_plan(qtbot, page)
    start(page, qtbot)
    assert {run.lehr_name for run in book.runs()} == {BIG_LEHR.name, LITTLE_LEHR.name}
    assert book.load(first.load_id).pieces[0].wall_thickness == pytest.approx(0.003)
    assert page.work.tabs.count() == 3


def test_the_card_is_made_of_what_is_shown(
    page: TonightPage, clock: Clock, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    cards: list[tuple[object, ...]] = []

    def shown(parent: QWidget, *rest: object) -> None:
        cards.append(rest)

    monkeypatch.setattr(lehr_card, "show_card", shown)
    qtbot.mouseClick(page.work.card_button, LEFT)
    plan, load, readings, _ = cards[0]
    assert plan == make_plan(load)
    assert readings is None
    start(page, qtbot)
    record(page, qtbot, "517")
    qtbot.mouseClick(page.work.card_button, LEFT)
    plan, load, readings, _ = cards[1]
    assert plan == page.plan
    assert len(readings) == 1


def test_a_reading_added_elsewhere_appears(
    page: TonightPage, studio: Studio, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    book.add_reading(run_of(book).id, BUTTON + timedelta(minutes=10), 273.15 + 519)
    studio.tell_changed("run")
    qtbot.waitUntil(lambda: page.run_panel.table.rows_model.rowCount() == 1)


def test_the_curve_is_not_drawn_across_hours_without_readings(
    page: TonightPage, clock: Clock, qtbot: QtBot
) -> None:
    start(page, qtbot)
    for minutes, celsius in ((0, "517"), (5, "516"), (10, "515"), (300, "300"), (305, "298")):
        clock.now = BUTTON + timedelta(minutes=minutes, seconds=50)
        record(page, qtbot, celsius)
    drawn = page.work.view.plot._lines[1]
    assert drawn.role is LineRole.ACTUAL
    assert np.isnan(drawn.temperature).sum() == 1


def test_a_reading_still_to_come_is_refused(page: TonightPage, qtbot: QtBot) -> None:
    start(page, qtbot)
    entry = page.run_panel.entry
    entry.clock.time.selectAll()
    qtbot.keyClicks(entry.clock.time, "2350")
    qtbot.keyClicks(entry.temperature, "500")
    qtbot.keyClick(entry.temperature, Qt.Key.Key_Return)
    assert "still to come" in entry.time_field.error
    assert page.run_panel.table.rows_model.rowCount() == 0


def test_a_night_that_went_wrong_is_repaired_where_it_is_watched(
    page: TonightPage, clock: Clock, qtbot: QtBot
) -> None:
    """The log book's view, drawn up from the readings typed; back leads to the night again."""
    start(page, qtbot)
    assert not page.run_panel.repair.isVisible()
    for minutes, celsius in ((1, "522"), (30, "522"), (90, "400")):
        clock.now = BUTTON + timedelta(minutes=minutes)
        page.run_panel.look_at_clock()
        record(page, qtbot, celsius)
    assert page.run_panel.repair.isVisible()
    qtbot.mouseClick(page.run_panel.repair, LEFT)
    qtbot.waitUntil(lambda: page.repairs.view is not None and page.repairs.view.isVisible())
    view = page.repairs.view
    assert view is not None
    qtbot.waitUntil(lambda: view.found is not None, timeout=60_000)
    assert view.found.plan is not None
    qtbot.mouseClick(view.back, LEFT)
    assert page.run_panel.isVisible()
