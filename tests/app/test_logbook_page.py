"""The log book, driven as a person drives it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from logbook_nights import enter_night, last_night
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester, QTest

from app.logbook.page import LogBookPage
from app.plots.curves import LineRole
from core.run.compare import compare
from core.run.comparison_words import comparison_rows
from core.run.readings import Readings
from core.units import ZERO_CELSIUS, TemperatureUnit, UnitChoice


@pytest.fixture
def make_page(qtbot, studio):
    def make() -> LogBookPage:
        page = LogBookPage(studio)
        qtbot.addWidget(page)
        page.resize(1000, 650)
        page.show()
        rest(qtbot, studio)
        return page

    return make


def rest(qtbot, studio):
    """Wait until nothing is fetched any more."""
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=5000)


def type_reading(page, clock, degrees):
    entry = page.run_view.entry
    entry.clock.time.selectAll()
    QTest.keyClicks(entry.clock.time, clock)
    QTest.keyClick(entry.clock.time, Qt.Key.Key_Return)
    QTest.keyClicks(entry.temperature, degrees)
    QTest.keyClick(entry.temperature, Qt.Key.Key_Return)


def a_minute_ago():
    return datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(minutes=1)


# -- the list -------------------------------------------------------------------------------


def test_an_empty_book_points_to_tonight(qtbot, studio, make_page):
    page = make_page()
    assert page.views.currentWidget() is page.empty
    with qtbot.waitSignal(studio.page_wanted) as wanted:
        qtbot.mouseClick(page.empty.button, Qt.MouseButton.LeftButton)
    assert wanted.args == ["tonight"]


def test_runs_are_listed_the_newest_first_with_state_and_verdict(studio, book, make_page):
    now = datetime.now(UTC)
    early = enter_night(
        book, now - timedelta(days=3), out_by=now - timedelta(days=3) + timedelta(hours=30)
    )
    late = enter_night(
        book, now - timedelta(days=2), out_by=now - timedelta(days=2) + timedelta(hours=1)
    )
    book.finish_run(early.run.id, early.plan.ready_at)
    book.finish_run(late.run.id, late.plan.ready_at)
    page = make_page()
    assert page.views.currentWidget() is page.runs
    assert [line.run.id for line in page.runs.lines] == [late.run.id, early.run.id]
    model = page.runs.table.model()
    rows = [
        [model.index(row, column).data() for column in range(model.columnCount())]
        for row in range(2)
    ]
    titles = [column.title for column in page.runs.table.rows_model.columns]
    for row, night in zip(rows, (late, early), strict=True):
        cells = dict(zip(titles, row, strict=True))
        assert cells["Load"] == "Floats"
        assert cells["Lehr"] == "Big lehr"
        assert cells["State"] == "finished"
        assert cells["Readings"] == "0"
        assert cells["Set by"] == night.plan.governing_piece
        verdict = cells["Planned ready"]
        assert verdict.startswith(night.plan.ready_at.astimezone().strftime("%H:%M"))
    assert rows[0][titles.index("Planned ready")].endswith("late")
    assert rows[1][titles.index("Planned ready")].endswith("early")
    QAbstractItemModelTester(
        page.runs.table.rows_model, QAbstractItemModelTester.FailureReportingMode.Fatal
    )


def test_the_running_run_opens_by_itself_and_the_list_is_one_click_away(
    qtbot, studio, book, make_page
):
    night = last_night(book)
    page = make_page()
    assert page.views.currentWidget() is page.run_view
    assert page.run_view.sheet.run.id == night.run.id
    qtbot.mouseClick(page.run_view.back, Qt.MouseButton.LeftButton)
    assert page.views.currentWidget() is page.runs
    # Another page's change does not throw the person back into the run.
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert page.views.currentWidget() is page.runs
    qtbot.mouseClick(page.runs.open_button, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert page.views.currentWidget() is page.run_view


def test_a_run_started_elsewhere_appears(qtbot, studio, book, make_page):
    page = make_page()
    night = last_night(book)
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert page.run_view.sheet.run.id == night.run.id


# -- plan and actual ------------------------------------------------------------------------


def fill(book, night, change=0.0):
    moments = night.moments()
    readings = Readings(moments, night.plan.temperature_at(moments) + change)
    book.add_readings(night.run.id, readings, "logger", "a.csv", "0" * 64)
    return readings


def test_plan_and_actual_are_on_one_plot_with_zone_soak_and_ready(book, make_page):
    night = last_night(book)
    fill(book, night, 4.0)
    page = make_page()
    plot = page.run_view.plot
    assert plot.roles() == (LineRole.PLAN, LineRole.ACTUAL)
    assert plot.lower.isVisible()
    words = plot.description
    assert "annealing" in words
    assert "strain" in words
    assert "ready" in words
    assert "Largest deviation +4 °C" in words


@pytest.mark.parametrize("unit", list(TemperatureUnit))
def test_the_small_table_is_the_cores(qtbot, studio, book, make_page, unit):
    studio.set_units(UnitChoice(temperature=unit))
    night = last_night(book)
    readings = fill(book, night, 3.0)
    book.finish_run(night.run.id, night.plan.ready_at)
    page = make_page()
    page.open_run(night.run.id)
    rest(qtbot, studio)
    page_rows = page.run_view.against.figures.rows
    comparison = compare(night.plan, book.readings(night.run.id))
    assert len(readings) == len(book.readings(night.run.id))
    assert page_rows == comparison_rows(comparison, unit, studio.zone)
    assert page.run_view.against.figures.warnings == list(comparison.warnings)


def test_a_gap_is_named_and_not_drawn_across(book, make_page):
    night = last_night(book)
    moments = night.moments()
    kept = moments[(moments < moments[6]) | (moments > moments[30])]
    book.add_readings(
        night.run.id,
        Readings(kept, night.plan.temperature_at(kept)),
        "logger",
        "a.csv",
        "0" * 64,
    )
    page = make_page()
    warnings = page.run_view.against.figures.warnings
    assert any(warning.startswith("No readings from ") for warning in warnings)
    drawn = page.run_view.plot._lines[1].temperature
    assert np.isnan(drawn).sum() == 1


def test_without_readings_the_plan_stands_alone_and_the_card_says_what_to_do(book, make_page):
    last_night(book)
    page = make_page()
    assert page.run_view.plot.roles() == (LineRole.PLAN,)
    assert not page.run_view.plot.lower.isVisible()
    assert page.run_view.against.figures.empty.isVisible()


def test_readings_outside_the_plan_are_explained(studio, book, make_page):
    night = last_night(book)
    book.add_reading(night.run.id, night.run.started_at - timedelta(hours=30), 800.0)
    page = make_page()
    assert any("No reading falls within" in text for text in page.run_view.against.figures.warnings)


# -- typing readings ------------------------------------------------------------------------


def test_a_typed_reading_is_in_the_book_at_once_and_said(qtbot, studio, book, make_page):
    night = last_night(book)
    page = make_page()
    moment = a_minute_ago()
    local = moment.astimezone()
    type_reading(page, f"{local:%H%M}", "517")
    assert page.run_view.entry.said.text == f"Recorded {local:%H:%M}: 517 °C"
    assert page.run_view.entry.temperature.text() == ""
    (record,) = book.reading_records(night.run.id)
    assert record.time == moment
    assert record.temperature == pytest.approx(ZERO_CELSIUS + 517.0)
    assert record.source == "typed"
    rest(qtbot, studio)
    table = page.run_view.readings.table
    assert table.rows_model.rowCount() == 1
    row = [table.model().index(0, column).data() for column in range(5)]
    assert row[0].endswith(f"{local:%H:%M}")
    assert row[1] == "517.0"
    assert row[4] == "typed"


def test_the_time_is_now_until_another_is_typed(book, studio, make_page):
    last_night(book)
    page = make_page()
    entry = page.run_view.entry
    assert abs(entry.clock.moment - studio.now()) < timedelta(minutes=2)
    QTest.keyClicks(entry.temperature, "500")
    QTest.keyClick(entry.temperature, Qt.Key.Key_Return)
    assert len(book.reading_records(page.run_view.sheet.run.id)) == 1


def test_fahrenheit_is_typed_where_fahrenheit_is_shown(studio, book, make_page):
    night = last_night(book)
    page = make_page()
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    type_reading(page, f"{a_minute_ago().astimezone():%H%M}", "962")
    assert page.run_view.entry.said.text.endswith("962 °F")
    # 962 °F is 516.67 °C.
    (record,) = book.reading_records(night.run.id)
    assert record.temperature == pytest.approx(ZERO_CELSIUS + (962 - 32) / 1.8)


@pytest.mark.parametrize(
    ("degrees", "word"), [("5170", "not possible"), ("abc", "not a number"), ("", "needed")]
)
def test_a_wrong_temperature_is_said_beside_the_box_and_nothing_is_written(
    book, make_page, degrees, word
):
    night = last_night(book)
    page = make_page()
    type_reading(page, f"{a_minute_ago().astimezone():%H%M}", degrees)
    assert word in page.run_view.entry.temperature_field.error
    assert page.run_view.entry.said.text == ""
    assert len(book.readings(night.run.id)) == 0


def test_the_same_time_twice_and_times_to_come_are_refused(qtbot, studio, book, make_page):
    night = last_night(book)
    page = make_page()
    clock = f"{a_minute_ago().astimezone():%H%M}"
    type_reading(page, clock, "500")
    rest(qtbot, studio)
    type_reading(page, clock, "501")
    assert "already" in page.run_view.entry.time_field.error
    entry = page.run_view.entry
    entry.clock.set_moment(datetime.now(UTC) + timedelta(hours=3))
    entry.commit()
    assert "still to come" in entry.time_field.error
    assert len(book.readings(night.run.id)) == 1


def test_a_mistyped_reading_is_removed_and_can_be_put_back(qtbot, studio, book, make_page):
    night = last_night(book)
    fill(book, night)
    book.add_reading(night.run.id, night.run.started_at + timedelta(seconds=30), 900.0)
    page = make_page()
    readings = page.run_view.readings
    imported = readings.table.rows_model.rows[0]
    readings.table.select(imported)
    assert not readings.remove.isEnabled()
    (typed,) = [line for line in readings.table.rows_model.rows if line.typed]
    readings.table.select(typed)
    page.run_view.tabs.setCurrentWidget(readings)
    before = len(book.readings(night.run.id))
    qtbot.mouseClick(readings.remove, Qt.MouseButton.LeftButton)
    assert len(book.readings(night.run.id)) == before - 1
    assert "Removed" in page.banner.text
    page.banner.acted.emit()
    rest(qtbot, studio)
    (back,) = [r for r in book.reading_records(night.run.id) if r.source == "typed"]
    assert back.temperature == 900.0


def test_a_files_readings_are_taken_out_only_when_confirmed(qtbot, studio, book, make_page):
    night = last_night(book)
    fill(book, night)
    page = make_page()
    page.run_view.readings.file_removal_wanted.emit(page.run_view.sheet.imports[0])
    assert len(book.readings(night.run.id)) > 0
    page.banner.acted.emit()
    rest(qtbot, studio)
    assert len(book.readings(night.run.id)) == 0
    assert page.run_view.sheet.imports == ()


def test_of_very_many_readings_the_newest_are_listed_and_all_are_drawn(
    qtbot, studio, book, make_page, monkeypatch
):
    monkeypatch.setattr("app.logbook.run_sheet.MOST_LISTED", 50)
    night = last_night(book)
    readings = fill(book, night)
    page = make_page()
    view = page.run_view
    assert len(view.sheet.readings) == len(readings) > 50
    assert len(view.sheet.lines) == 50
    newest = view.sheet.lines[0]
    assert newest.time.timestamp() == pytest.approx(readings.time[-1])
    assert newest.temperature == pytest.approx(readings.temperature[-1])
    assert newest.deviation == pytest.approx(view.sheet.comparison.deviation[-1])
    assert f"newest 50 of {len(readings)}" in view.readings.told.text()
    # With one typed reading among them each has to say where it came from.
    book.add_reading(night.run.id, night.run.started_at, 800.0)
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert len(view.sheet.lines) == len(readings) + 1
    assert view.sheet.lines[-1].typed
    assert view.readings.told.isHidden()


# -- end, card -----------------------------------------------------------------------


def test_a_run_is_finished_and_not_before_its_start(qtbot, studio, book, make_page):
    night = last_night(book)
    page = make_page()
    view = page.run_view
    qtbot.mouseClick(view.finish, Qt.MouseButton.LeftButton)
    assert view.strips.currentWidget() is view.finishing
    view.finishing.clock.set_moment(night.run.started_at - timedelta(hours=1))
    qtbot.mouseClick(view.finishing.finish, Qt.MouseButton.LeftButton)
    assert "before it was started" in view.finishing.field.error
    assert not book.run(night.run.id).finished
    view.finishing.clock.set_moment(studio.now() + timedelta(hours=2))
    qtbot.mouseClick(view.finishing.finish, Qt.MouseButton.LeftButton)
    assert "still to come" in view.finishing.field.error
    view.finishing.clock.set_moment(night.plan.ready_at)
    qtbot.mouseClick(view.finishing.finish, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert book.run(night.run.id).finished
    assert view.strips.currentWidget() is view.entry
    assert "finished" in view.facts.text()
    assert page.runs.lines[0].run.finished


def test_the_card_is_shown_with_the_runs_plan_load_and_readings(
    qtbot, studio, book, make_page, monkeypatch
):
    night = last_night(book)
    readings = fill(book, night)
    page = make_page()
    handed = []
    monkeypatch.setattr("app.card.lehr_card.show_card", lambda *args: handed.append(args))
    qtbot.mouseClick(page.run_view.card, Qt.MouseButton.LeftButton)
    ((_, plan, load, given, with_studio),) = handed
    assert plan == night.plan
    assert load == book.load(night.run.load_id)
    assert given.time.tolist() == pytest.approx(readings.time.tolist())
    assert with_studio is studio


def test_everything_is_there_after_opening_again(qtbot, studio, book, make_page):
    night = last_night(book)
    page = make_page()
    type_reading(page, f"{a_minute_ago().astimezone():%H%M}", "517.5")
    rest(qtbot, studio)
    page.close()
    again = make_page()
    assert [line.temperature for line in again.run_view.sheet.lines] == [
        pytest.approx(ZERO_CELSIUS + 517.5)
    ]
    assert again.runs.lines[0].run.id == night.run.id


def test_a_book_that_fails_is_told_in_the_page(qtbot, studio, book, make_page):
    last_night(book)
    page = make_page()
    book.close()
    type_reading(page, f"{a_minute_ago().astimezone():%H%M}", "517")
    assert "closed" in page.banner.text
