"""From tonight's pieces to the curve, as somebody in the studio uses the page."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt, QTimer
from pytestqt.qtbot import QtBot
from tonight_nights import (
    BIG_LEHR,
    BUTTON,
    DECANTER,
    FLOAT,
    LITTLE_LEHR,
    NOON,
    Clock,
    fill_studio,
    tonight,
    type_into,
    type_length,
    wait_for_plan,
)

from app.plots.curves import LineRole
from app.settings import Settings
from app.studio import Studio
from app.theme import Appearance, ThemeChoice
from app.tonight import planner_desk
from app.tonight.page import TonightPage
from app.tonight.verdict_panel import Tone
from core.equipment.lehr import Controller, Entry
from core.load.load import Load, StressLimits
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.plan.words import verdict_sentence
from core.store.book import Book
from core.units import LengthUnit, TemperatureUnit, UnitChoice

LISBON = ZoneInfo("Europe/Lisbon")


@pytest.fixture
def clock(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Clock:
    wall = Clock()
    monkeypatch.setattr(studio, "now", wall)
    studio.zone = LISBON
    return wall


@pytest.fixture
def open_page(
    studio: Studio, clock: Clock, appearance: Appearance, qtbot: QtBot
) -> Callable[[], TonightPage]:
    def make() -> TonightPage:
        page = TonightPage(studio)
        page.resize(1050, 720)
        qtbot.addWidget(page)
        page.show()
        return page

    return make


@pytest.fixture
def page(open_page: Callable[[], TonightPage], book: Book, qtbot: QtBot) -> Iterator[TonightPage]:
    fill_studio(book)
    made = open_page()
    wait_for_plan(qtbot, made)
    yield made
    made.hide()


def test_a_new_book_asks_for_the_glass_then_for_the_lehr(
    open_page: Callable[[], TonightPage], studio: Studio, book: Book, qtbot: QtBot
) -> None:
    page = open_page()
    assert page.beginning.isVisible()
    assert "glass" in page.beginning.state.heading.text()
    with qtbot.waitSignal(studio.page_wanted) as wanted:
        qtbot.mouseClick(page.beginning.state.button, Qt.MouseButton.LeftButton)
    assert wanted.args == ["glass"]
    fill_studio(book, load=False)
    book.delete_lehr(BIG_LEHR.name)
    book.delete_lehr(LITTLE_LEHR.name)
    studio.tell_changed("glasses")
    assert "lehr" in page.beginning.state.heading.text()
    book.save_lehr(BIG_LEHR)
    studio.tell_changed("lehrs")
    qtbot.waitUntil(page.work.no_pieces.isVisible)


def test_a_first_decanter_is_typed_and_its_curve_appears(
    open_page: Callable[[], TonightPage], book: Book, qtbot: QtBot
) -> None:
    fill_studio(book, load=False)
    page = open_page()
    qtbot.mouseClick(page.work.no_pieces.button, Qt.MouseButton.LeftButton)
    pieces = page.load_panel.pieces
    assert page.load_panel.hours.button_time.moment == BUTTON  # today's half past five
    type_into(qtbot, pieces.form.name, "Ship's decanter")
    type_into(qtbot, pieces.form.count, "6")
    assert "needs a wall thickness" in pieces.note.text()
    qtbot.waitUntil(lambda: "sizes" in page.work.no_pieces.heading.text())
    assert not page.work.no_pieces.button.isVisible()  # one is being added already
    type_length(qtbot, page, "wall_thickness", "4")
    type_length(qtbot, page, "base_thickness", "22")
    qtbot.mouseClick(pieces.form.faces["base_cooled_from"], Qt.MouseButton.LeftButton)
    wait_for_plan(qtbot, page)
    assert pieces.pieces == (DECANTER,)
    assert not pieces.note.isVisible()
    assert page.plan == make_plan(replace(tonight(DECANTER), lehr=BIG_LEHR, out_by=None))
    assert page.work.verdict.tone is Tone.PLAIN
    assert page.work.verdict.sentence.text().startswith("Ready ")


def test_a_thick_base_becomes_the_governing_piece_and_says_why(
    page: TonightPage, qtbot: QtBot
) -> None:
    assert page.plan is not None
    assert page.plan.governing_piece == FLOAT.name
    pieces = page.load_panel.pieces
    qtbot.mouseClick(pieces.add_button, Qt.MouseButton.LeftButton)
    type_into(qtbot, pieces.form.name, "Captain's decanter")
    type_length(qtbot, page, "wall_thickness", "4")
    type_length(qtbot, page, "base_thickness", "30")
    wait_for_plan(qtbot, page)
    assert page.plan.governing_piece == "Captain's decanter"
    reason = page.work.verdict.reason.text()
    assert "Captain's decanter" in reason
    assert "30 mm base" in reason
    assert page.work.verdict.reason.isVisible()


def test_an_hour_that_cannot_be_met_is_said_in_a_sentence(page: TonightPage, qtbot: QtBot) -> None:
    page.load_panel.folds.open("hours")
    assert page.work.verdict.tone is Tone.GOOD
    out_by = page.load_panel.hours.out_by
    out_by.set_moment(datetime(2026, 11, 25, 22, 0, tzinfo=UTC))
    type_into(qtbot, out_by.time, "2130")
    wait_for_plan(qtbot, page)
    verdict = page.work.verdict
    assert verdict.tone is Tone.LATE
    assert verdict.sentence.text().startswith(
        "Will not be ready by Wednesday 21:30: ready Thursday "
    )
    assert verdict.sentence.text().endswith(" late.")
    assert page.plan is not None
    assert verdict.sentence.text() == verdict_sentence(page.plan, LISBON)


def test_a_thickness_that_cannot_be_is_refused_beside_its_box(
    page: TonightPage, qtbot: QtBot
) -> None:
    before = page.plan
    type_length(qtbot, page, "wall_thickness", "900")
    field = page.load_panel.pieces.form.form.field("wall_thickness")
    assert field.error == "Use 0.3 mm to 300 mm."
    assert field.message.isVisible()
    assert "counts as it was before" in page.load_panel.pieces.note.text()
    assert page.load_panel.pieces.pieces == (FLOAT,)  # neither 9 nor 90 mm on the way was meant
    # The rest of the page goes on working.
    page.load_panel.folds.open("hours")
    type_into(qtbot, page.load_panel.hours.button_time.time, "18:00")
    wait_for_plan(qtbot, page)
    assert page.plan is not None
    assert before is not None
    assert page.plan.start == before.start + timedelta(minutes=30)
    type_length(qtbot, page, "wall_thickness", "6,5")
    assert field.error == ""
    wait_for_plan(qtbot, page)
    assert page.load_panel.pieces.pieces[0].wall_thickness == pytest.approx(0.0065)


def test_a_height_that_is_no_number_does_not_count_as_none(page: TonightPage, qtbot: QtBot) -> None:
    form = page.load_panel.pieces.form
    form.shape.set_value(Shape.CYLINDER)
    type_length(qtbot, page, "diameter", "60")
    type_length(qtbot, page, "height", "20")
    type_length(qtbot, page, "height", "20x")
    assert page.load_panel.pieces.pieces[0].height == pytest.approx(0.020)
    assert "is not a unit" in form.form.field("height").error


def test_only_the_boxes_a_shape_needs_are_there(page: TonightPage) -> None:
    form = page.load_panel.pieces.form

    def shown() -> set[str]:
        return {n for n, f in form.form.fields.items() if n in form.lengths and f.isVisible()}

    form.shape.set_value(Shape.SPHERE)
    assert shown() == {"diameter"}
    form.shape.set_value(Shape.CYLINDER)
    assert shown() == {"diameter", "height"}
    form.shape.set_value(Shape.VESSEL)
    assert shown() == {"wall_thickness", "base_thickness"}
    form.shape.set_value(Shape.PLATE)
    assert shown() == {"wall_thickness"}
    assert form.lengths["wall_thickness"].value_si == pytest.approx(0.003)  # as it was


def test_an_out_by_before_the_button_is_told_beside_it_and_the_old_curve_stays(
    page: TonightPage, qtbot: QtBot
) -> None:
    page.load_panel.folds.open("hours")
    before = page.plan
    hours = page.load_panel.hours
    hours.out_by.set_moment(BUTTON - timedelta(hours=1))
    hours.out_by.edited.emit()
    field = hours.form.field("out_by")
    qtbot.waitUntil(lambda: "not after the button" in field.error)
    assert page.work.verdict.is_stale
    assert "Out of date" in page.work.verdict.reason.text()
    assert page.plan is before
    assert LineRole.PLAN in page.work.view.plot.roles()
    assert not page.work.start_button.isEnabled()
    hours.out_by.set_moment(BUTTON + timedelta(hours=20))
    hours.out_by.edited.emit()
    wait_for_plan(qtbot, page)
    assert field.error == ""
    assert not page.work.verdict.is_stale


def test_the_window_never_waits_for_the_curve(
    page: TonightPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While a curve is being drawn up the window goes on: its heart beats all the time."""
    planning: list[tuple[int, float, float]] = []

    def slow(load: Load, units: UnitChoice) -> Plan:
        begin = time.monotonic()
        time.sleep(0.5)
        planning.append((threading.get_ident(), begin, time.monotonic()))
        return make_plan(load, units)

    monkeypatch.setattr(planner_desk, "make_plan", slow)
    beats: list[float] = []
    heart = QTimer()
    heart.setInterval(10)
    heart.timeout.connect(lambda: beats.append(time.monotonic()))
    heart.start()
    before = page.plan
    type_length(qtbot, page, "wall_thickness", "7")
    assert page.work.verdict.is_stale
    assert page.plan is before
    assert LineRole.PLAN in page.work.view.plot.roles()
    wait_for_plan(qtbot, page)
    heart.stop()
    assert page.plan is not before
    thread, begin, end = planning[0]
    assert thread != threading.get_ident()
    # One beat would do to show that nothing waits; fifty fit in on an idle machine.
    assert sum(begin < beat < end for beat in beats) >= 3


def test_typing_plans_once_after_the_last_key(
    page: TonightPage, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    planned: list[Load] = []

    def counted(load: Load, units: UnitChoice) -> Plan:
        planned.append(load)
        return make_plan(load, units)

    monkeypatch.setattr(planner_desk, "make_plan", counted)
    box = page.load_panel.pieces.form.lengths["wall_thickness"]
    box.selectAll()
    qtbot.keyClicks(box, "12.25")
    wait_for_plan(qtbot, page)
    assert [load.pieces[0].wall_thickness for load in planned] == [pytest.approx(0.01225)]


def test_pieces_are_copied_and_removed(page: TonightPage, qtbot: QtBot) -> None:
    pieces = page.load_panel.pieces
    qtbot.mouseClick(pieces.copy_button, Qt.MouseButton.LeftButton)
    assert pieces.pieces == (FLOAT, replace(FLOAT, name="Fishing float, copy"))
    assert pieces.table.selectionModel().selectedRows()[0].row() == 1
    type_into(qtbot, pieces.form.name, "Net float")
    assert [piece.name for piece in pieces.pieces] == ["Fishing float", "Net float"]
    pieces.table.selectRow(0)
    assert pieces.form.name.text() == "Fishing float"
    qtbot.mouseClick(pieces.remove_button, Qt.MouseButton.LeftButton)
    assert [piece.name for piece in pieces.pieces] == ["Net float"]
    qtbot.mouseClick(pieces.remove_button, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(page.work.no_pieces.isVisible)
    assert not pieces.form.isVisible()
    assert not page.work.card_button.isEnabled()


def test_a_piece_without_a_name_is_told_at_once(page: TonightPage, qtbot: QtBot) -> None:
    form = page.load_panel.pieces.form
    type_into(qtbot, form.name, " ")
    assert "has no name" in form.form.field("name").error
    assert page.load_panel.pieces.pieces == (FLOAT,)
    type_into(qtbot, form.name, "Float")
    assert form.form.field("name").error == ""


def test_the_limits_change_the_curve_and_go_back(page: TonightPage, qtbot: QtBot) -> None:
    limits = page.load_panel.limits
    page.load_panel.folds.open("limits")
    assert page.plan is not None
    rate = page.plan.segments[1].rate
    type_into(qtbot, limits.factor, "4")
    wait_for_plan(qtbot, page)
    assert page.load_panel.load().limits.safety_factor == 4.0
    assert page.plan.segments[1].rate >= rate  # not steeper
    assert limits.summary().startswith("your own")
    qtbot.mouseClick(limits.usual, Qt.MouseButton.LeftButton)
    wait_for_plan(qtbot, page)
    assert page.load_panel.load().limits == StressLimits()
    assert page.plan.segments[1].rate == rate
    assert "handbook" in limits.form.field("permanent_tension").message.text()


def test_segments_say_their_reason_without_hovering(page: TonightPage) -> None:
    panel = page.work.view.segments
    assert page.plan is not None
    for number, segment in enumerate(page.plan.segments):
        panel.table.selectRow(number)
        assert panel.why.text() == segment.reason
        assert panel.why.isVisible()


def test_a_night_longer_than_a_day_names_its_days(
    open_page: Callable[[], TonightPage], book: Book, qtbot: QtBot
) -> None:
    fill_studio(book, load=False)
    prism = Piece("Deck prism", 1, Shape.SPHERE, FLOAT.glass, diameter=0.09)
    fine = replace(BIG_LEHR, controller=Controller(Entry.TIME, max_segments=12))
    book.save_lehr(fine)
    book.save_load(replace(tonight(prism, lehr=fine), out_by=None))
    page = open_page()
    wait_for_plan(qtbot, page)
    table = page.work.view.segments.table.rows_model
    assert page.plan is not None
    titles = [column.title for column in table.columns]
    # 2026-11-25 is a Wednesday.
    assert table.index(0, titles.index("From")).data() == "Wed 17:30"
    ready = page.plan.ready_at.astimezone(LISBON)
    assert f"ready {ready:%a %H:%M}" in page.work.view.plot.description


def test_what_to_key_in_is_shown_either_way(page: TonightPage, qtbot: QtBot) -> None:
    program = page.work.view.segments.program
    page.work.view.segments.setCurrentWidget(program)
    assert program.ways[Entry.RATE].isChecked()  # the lehr's own
    assert "hold" in program.lines.text()
    program.ways[Entry.TIME].click()
    assert " in " in program.lines.text()
    assert "the other way" in program.note.text()
    assert program.lines.text().endswith("Then power off, door shut.")


def test_warnings_are_counted_and_listed(
    open_page: Callable[[], TonightPage], book: Book, qtbot: QtBot
) -> None:
    fill_studio(book, load=False)
    book.save_load(replace(tonight(), start_temperature=293.15))
    page = open_page()
    wait_for_plan(qtbot, page)
    panel = page.work.view.segments
    assert page.plan is not None
    assert panel.warnings.texts == page.plan.warnings
    assert any("below the strain point" in text for text in panel.warnings.texts)
    title = panel.tabText(panel.indexOf(panel.warnings))
    assert title == f"Warnings ({len(page.plan.warnings)})"


def test_a_lehr_that_cannot_reach_the_soak_is_told_and_mended(
    page: TonightPage, studio: Studio, book: Book, qtbot: QtBot
) -> None:
    book.save_lehr(replace(BIG_LEHR, max_temperature=273.15 + 450.0))
    studio.tell_changed("lehrs")
    verdict = page.work.verdict
    qtbot.waitUntil(lambda: verdict.sentence.text() == "No curve for this load.")
    assert "goes no higher than" in verdict.reason.text()
    assert page.work.view.plot.roles() == ()
    assert not page.work.start_button.isEnabled()
    book.save_lehr(BIG_LEHR)
    studio.tell_changed("lehrs")
    wait_for_plan(qtbot, page)
    assert verdict.tone is Tone.GOOD


def test_other_units_are_shown_and_typed(page: TonightPage, studio: Studio, qtbot: QtBot) -> None:
    studio.set_units(UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH))
    wait_for_plan(qtbot, page)
    assert "°F" in page.work.verdict.reason.text()
    titles = [column.title for column in page.work.view.segments.table.rows_model.columns]
    assert "To °F" in titles
    # 5 K are 9 degrees Fahrenheit (NIST SP 811, B.8).
    help_text = page.load_panel.limits.form.field("soak_above_annealing").message.text()
    assert "9 °F" in help_text
    type_length(qtbot, page, "wall_thickness", "0.25")
    wait_for_plan(qtbot, page)
    assert page.load_panel.pieces.pieces[0].wall_thickness == pytest.approx(0.00635)


def test_everything_is_there_after_closing_and_opening_again(
    page: TonightPage,
    studio: Studio,
    book: Book,
    settings: Settings,
    clock: Clock,
    qtbot: QtBot,
) -> None:
    pieces = page.load_panel.pieces
    qtbot.mouseClick(pieces.add_button, Qt.MouseButton.LeftButton)
    type_into(qtbot, pieces.form.name, "Deck prism")
    pieces.form.shape.set_value(Shape.SPHERE)
    type_length(qtbot, page, "diameter", "60")
    page.load_panel.hours.lehr.set_value(LITTLE_LEHR.name)
    page.load_panel.folds.open("hours")
    type_into(qtbot, page.load_panel.hours.start, "480")
    type_into(qtbot, page.load_panel.limits.hand_warm, "40")
    type_length(qtbot, page, "diameter", "x")  # half-typed: the last complete state counts
    wait_for_plan(qtbot, page)
    expected = page.load_panel.load()
    page.close()
    assert studio.jobs.shutdown(5.0)
    path = book.path
    book.close()
    with Book.open(path) as again:
        reopened = Studio(again, settings, zone=LISBON)
        reopened.now = clock
        other = TonightPage(reopened)
        qtbot.addWidget(other)
        wait_for_plan(qtbot, other)
        assert other.load_panel.load() == expected
        assert [piece.name for piece in expected.pieces] == ["Fishing float", "Deck prism"]
        assert expected.pieces[1].diameter == pytest.approx(0.060)
        assert expected.lehr == LITTLE_LEHR
        assert expected.start_temperature == pytest.approx(753.15)
        assert expected.hand_warm == pytest.approx(313.15)
        assert len(again.loads()) == 1  # kept in one place, not a row for every key
        assert reopened.jobs.shutdown(5.0)


def test_an_edit_just_before_the_window_goes_is_kept(
    page: TonightPage, studio: Studio, book: Book, qtbot: QtBot
) -> None:
    type_length(qtbot, page, "wall_thickness", "5")
    page.planner.plan_now()
    page.close()  # before the pause after typing is over
    latest = book.latest_load()
    assert latest is not None
    assert latest.load.pieces[0].wall_thickness == pytest.approx(0.005)


def test_opening_a_load_does_not_write_it_again(page: TonightPage, book: Book) -> None:
    latest = book.latest_load()
    page.close()
    assert book.latest_load() == latest


def test_last_weeks_load_is_moved_to_tonight(
    open_page: Callable[[], TonightPage], book: Book, clock: Clock, qtbot: QtBot
) -> None:
    fill_studio(book)
    clock.now = NOON + timedelta(days=7)
    page = open_page()
    assert "earlier night" in page.banner.text
    page.banner.acted.emit()
    wait_for_plan(qtbot, page)
    assert page.plan is not None
    assert page.plan.start == BUTTON + timedelta(days=7)
    assert page.plan.out_by == datetime(2026, 12, 3, 9, 0, tzinfo=UTC)


def test_the_page_follows_the_theme(
    page: TonightPage, appearance: Appearance, qtbot: QtBot
) -> None:
    appearance.choose(ThemeChoice.DARK)
    qtbot.waitExposed(page)
    assert page.grab().toImage().pixelColor(4, 4).lightness() < 100
    appearance.choose(ThemeChoice.LIGHT)
    assert page.grab().toImage().pixelColor(4, 4).lightness() > 150


def test_a_face_is_asked_only_where_it_matters(page: TonightPage) -> None:
    form = page.load_panel.pieces.form
    form.shape.set_value(Shape.SPHERE)
    assert not any(box.isVisible() for box in form.faces.values())
    form.shape.set_value(Shape.PLATE)
    assert form.faces["cooled_from"].isVisible()
    assert not form.faces["base_cooled_from"].isVisible()
    form.faces["cooled_from"].click()
    assert page.load_panel.pieces.pieces[0].cooled_from is CooledFrom.BOTH


def test_reasons_have_the_local_decimal_mark(
    page: TonightPage, choose_locale: Callable[[str], None], qtbot: QtBot
) -> None:
    choose_locale("de_DE")
    form = page.load_panel.pieces.form
    type_into(qtbot, form.name, "Float 2.5")
    type_length(qtbot, page, "wall_thickness", "12,5")  # thick enough to set the rate
    wait_for_plan(qtbot, page)
    reason = page.work.verdict.reason.text()
    assert "“Float 2.5”" in reason  # a name stays as it was typed
    assert "12,5 mm" in reason
    assert "12.5" not in reason
