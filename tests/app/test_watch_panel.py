"""A running night recorded from a source: set up, tried, recorded, watched, ended, kept."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
import shiboken6
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QDialog
from pytestqt.qtbot import QtBot
from tonight_nights import BIG_LEHR, BUTTON, LITTLE_LEHR, Clock, fill_studio, tonight

from app.studio import Studio
from app.theme import Appearance
from app.tonight.run_night import RunNight, fetch_night
from app.watch import watch_desk, watched_run
from app.watch.kept_settings import keep_watch_settings, watch_settings
from app.watch.limits_dialog import LimitsDialog
from app.watch.source_dialog import SourceDialog
from app.watch.watch_desk import WatchDesk
from app.watch.watch_panel import WatchPanel
from core.errors import BookLockedError, RunError
from core.live import events, recorder
from core.live.events import EventKind, LiveEvent, LiveReading, Poll, Signal, SignalKind
from core.live.open_source import line_of, register_of
from core.live.register import Coding, NetworkLine, WordOrder
from core.live.watch_types import AlarmKind, WatchSettings
from core.plan.planner import make_plan
from core.run.live_source import LiveSource, SourceKind
from core.store.book import Book
from core.units import kelvin_from

LEFT = Qt.MouseButton.LeftButton
SOURCE = LiveSource("Controller", BIG_LEHR.name, SourceKind.FILE, {"path": "/nowhere.csv"})


class Told:
    """A source that tells what a test puts into it."""

    name = "Controller"
    wait = 0.02

    def __init__(self) -> None:
        self.polls: list[Poll] = []
        self.closed = False
        self.signal = Signal(SignalKind.GOOD)

    def poll(self, clock: events.Clock) -> Poll:
        return self.polls.pop(0) if self.polls else Poll(signal=self.signal)

    def close(self) -> None:
        self.closed = True

    def tell(self, moment: datetime, celsius: float, *told: LiveEvent) -> None:
        reading = LiveReading(moment, kelvin_from(celsius))
        self.polls.append(Poll((reading,), told, self.signal))


@pytest.fixture
def clock(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Clock:
    wall = Clock(BUTTON + timedelta(minutes=5))
    monkeypatch.setattr(studio, "now", wall)
    studio.zone = ZoneInfo("Europe/Lisbon")
    return wall


@pytest.fixture
def night(book: Book) -> RunNight:
    fill_studio(book)
    load = tonight()
    plan_id = book.save_plan(make_plan(load), book.save_load(load))
    return fetch_night(book, book.start_run(plan_id, BUTTON).id)


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Told:
    source = Told()
    monkeypatch.setattr(watched_run, "open_source", lambda *_, **__: source)
    return source


@pytest.fixture
def panel(
    studio: Studio, clock: Clock, appearance: Appearance, night: RunNight, qtbot: QtBot
) -> Iterator[WatchPanel]:
    studio.book.save_live_source(SOURCE)
    made = WatchPanel(studio)
    made.resize(760, 320)
    qtbot.addWidget(made)
    made.show()
    made.show_night(night)
    yield made
    studio.watch.close()


def begin(panel: WatchPanel, qtbot: QtBot) -> None:
    qtbot.mouseClick(panel.begin, LEFT)
    qtbot.waitUntil(panel.end.isVisible)


def run_of(panel: WatchPanel, night: RunNight) -> watched_run.WatchedRun:
    run = panel._studio.watch.run(night.run_id)
    assert run is not None
    return run


def test_before_recording_it_says_that_it_only_reads(panel: WatchPanel) -> None:
    assert "never writes to a device" in panel.state.text()
    assert panel.sources.value == "Controller"
    assert not panel.end.isVisible()
    assert not panel.hear.isVisible()


def test_readings_come_into_the_book_by_themselves(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, qtbot: QtBot
) -> None:
    begin(panel, qtbot)
    soak = night.plan.soak_temperature - 273.15
    for second in range(3):
        told.tell(BUTTON + timedelta(seconds=300 + 5 * second), soak + second)
    qtbot.waitUntil(lambda: len(run_of(panel, night).readings) == 3)
    assert len(book.readings(night.run_id)) == 3
    assert panel.last.text() == f"{soak + 2:.0f} °C"
    assert "Last reading 17:35" in panel.state.text()
    qtbot.mouseClick(panel.end, LEFT)
    qtbot.waitUntil(lambda: "Recording has ended" in panel.state.text())
    assert told.closed
    assert panel.begin.isVisible()


def test_what_the_source_tells_is_shown_and_kept_with_the_run(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    begin(panel, qtbot)
    lost = LiveEvent(clock.now, EventKind.LOST, "The line is dead.", "Look at the cable.")
    told.tell(clock.now, 500.0, lost)
    qtbot.waitUntil(lambda: "The line is dead. Look at the cable." in panel.news.text())
    assert [
        "The line is dead" in record.event.text for record in book.run_events(night.run_id)
    ] == [True]


def alarm(panel: WatchPanel, night: RunNight, told: Told, clock: Clock, qtbot: QtBot) -> None:
    """Far too hot for long enough."""
    clock.now = BUTTON + timedelta(minutes=15)
    too_hot = night.plan.soak_temperature - 273.15 + 60.0
    for minute in range(6, 16):
        told.tell(BUTTON + timedelta(minutes=minute), too_hot)
    qtbot.waitUntil(lambda: len(run_of(panel, night).readings) == 10)
    panel._studio.watch.look()


def test_an_alarm_is_listed_worded_heard_and_kept(
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    book: Book,
    clock: Clock,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sounded: list[bool] = []
    monkeypatch.setattr(QApplication, "beep", lambda: sounded.append(True))
    desk = panel._studio.watch
    begin(panel, qtbot)
    with qtbot.waitSignal(desk.alarmed) as raised:
        alarm(panel, night, told, clock, qtbot)
    assert raised.args[0] == night.run_id
    assert "hotter than planned" in raised.args[1]
    assert "Fire" in raised.args[1]
    assert panel.table.rows_model.rowCount() == 1
    assert "hotter than planned" in panel.words.text()
    desk._sound()
    assert sounded == [True]
    qtbot.waitUntil(lambda: len(book.alarms(night.run_id)) == 1)

    qtbot.mouseClick(panel.hear, LEFT)
    assert not panel.hear.isVisible()
    desk._sound()
    assert sounded == [True]
    qtbot.waitUntil(lambda: book.alarms(night.run_id)[0].acknowledged_at is not None)
    (kept,) = book.alarms(night.run_id)
    assert kept.kind == AlarmKind.TOO_HOT.value
    assert kept.cleared_at is None


def test_alarms_left_open_are_over_when_the_watch_begins_anew(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, qtbot: QtBot
) -> None:
    book.raise_alarm(night.run_id, AlarmKind.TOO_COLD.value, BUTTON, "Too cold.")
    begin(panel, qtbot)
    qtbot.waitUntil(lambda: book.alarms(night.run_id)[0].cleared_at is not None)


def test_a_book_that_cannot_be_written_keeps_readings_waiting_and_says_so(
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    book: Book,
    clock: Clock,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def locked(*_: object) -> None:
        raise BookLockedError("The book is held by another program.")

    with monkeypatch.context() as patch:
        patch.setattr(book, "log_readings", locked)
        begin(panel, qtbot)
        told.tell(clock.now, 500.0)
        qtbot.waitUntil(lambda: "wait in memory" in panel.state.text())
        assert "held by another program" in panel.state.text()
    qtbot.mouseClick(panel.end, LEFT)
    qtbot.waitUntil(lambda: len(book.readings(night.run_id)) == 1)


def test_a_source_that_cannot_be_opened_is_told(
    panel: WatchPanel, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise RunError("There is no such file.", remedy="Choose another.")

    monkeypatch.setattr(watched_run, "open_source", refuse)
    qtbot.mouseClick(panel.begin, LEFT)
    qtbot.waitUntil(lambda: "There is no such file." in panel.state.text())
    assert panel.begin.isVisible()


def test_a_growing_file_is_followed_into_the_book(
    panel: WatchPanel, night: RunNight, book: Book, tmp_path: Path, qtbot: QtBot
) -> None:
    log = tmp_path / "lehr.csv"
    lines = [f"2026-11-25 17:3{minute}:00,{515 - minute}.0" for minute in range(5)]
    log.write_text("Time,Temperature °C\n" + "\n".join(lines[:3]) + "\n", encoding="utf-8")
    source = replace(SOURCE, settings={"path": str(log), "interval": 0.1})
    book.save_live_source(source)
    panel._fill_sources()
    begin(panel, qtbot)
    qtbot.waitUntil(lambda: len(book.readings(night.run_id)) == 3, timeout=10_000)
    with log.open("a", encoding="utf-8") as file:
        file.write("\n".join(lines[3:]) + "\n")
    qtbot.waitUntil(lambda: len(book.readings(night.run_id)) == 5, timeout=10_000)


def test_only_this_night_is_taken_from_a_file_with_many(
    panel: WatchPanel, night: RunNight, book: Book, tmp_path: Path, qtbot: QtBot
) -> None:
    log = tmp_path / "lehr.csv"
    rows = [
        f"2026-11-{day} 17:{minute}:00,512.0" for day in (23, 24, 25) for minute in range(26, 36)
    ]
    log.write_text("Time,Temperature °C\n" + "\n".join(rows) + "\n", encoding="utf-8")
    # Typed for a wrong hour: what the logger tells before it is taken all the same.
    book.add_reading(night.run_id, BUTTON + timedelta(hours=2), 700.0)
    book.save_live_source(replace(SOURCE, settings={"path": str(log), "interval": 0.1}))
    panel._fill_sources()
    begin(panel, qtbot)
    qtbot.waitUntil(lambda: len(book.readings(night.run_id)) == 7, timeout=10_000)
    assert book.readings(night.run_id).time[0] == BUTTON.timestamp()


@pytest.mark.parametrize("how", ["finished", "removed", "finished elsewhere"])
def test_recording_ends_with_the_run(
    how: str,
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    book: Book,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(watched_run, "_ASK_EVERY", 0.1 if how == "finished elsewhere" else 1e6)
    begin(panel, qtbot)
    told.tell(BUTTON + timedelta(minutes=5), 510.0)
    qtbot.waitUntil(lambda: len(book.readings(night.run_id)) == 1)
    if how == "removed":
        book.delete_run(night.run_id)
    else:
        book.finish_run(night.run_id, BUTTON + timedelta(minutes=6))
    if how != "finished elsewhere":
        panel._studio.tell_changed("run")
    told.tell(BUTTON + timedelta(minutes=7), 509.0)
    qtbot.waitUntil(lambda: told.closed and panel.begin.isVisible(), timeout=10_000)
    if how != "removed":
        assert len(book.readings(night.run_id)) == 1
    timers = panel._studio.watch._timers
    qtbot.waitUntil(lambda: not any(timer.isActive() for timer in timers))


def test_alarms_are_over_in_the_book_when_recording_ends(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    begin(panel, qtbot)
    alarm(panel, night, told, clock, qtbot)
    qtbot.mouseClick(panel.end, LEFT)
    qtbot.waitUntil(lambda: [a.cleared_at for a in book.alarms(night.run_id)] == [clock.now])
    qtbot.waitUntil(lambda: "Recording has ended" in panel.state.text())
    assert not panel.hear.isVisible()
    assert "when recording ended" in panel.table.rows_model.index(0, 2).data()


def test_alarms_of_earlier_recordings_stay_listed(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    number = book.raise_alarm(night.run_id, AlarmKind.TOO_COLD.value, BUTTON, "Far too cold.").id
    book.clear_alarm(number, BUTTON + timedelta(minutes=3))
    book.raise_alarm(night.run_id, "of a later program", BUTTON, "Something else.")
    again = WatchPanel(studio)
    qtbot.addWidget(again)
    again.show()
    again.show_night(night)
    rows = again.table.rows_model
    assert [rows.index(0, column).data() for column in (1, 3)] == ["too cold", "Far too cold."]
    assert rows.index(0, 2).data().startswith("over")
    assert rows.rowCount() == 1
    begin(again, qtbot)
    assert rows.rowCount() == 1
    again.table.selectRow(0)
    assert again.words.text() == "Far too cold."
    assert not again.hear.isVisible()


def test_what_is_typed_while_the_source_is_silent_is_watched(
    panel: WatchPanel, night: RunNight, told: Told, book: Book, clock: Clock, qtbot: QtBot
) -> None:
    desk = panel._studio.watch
    begin(panel, qtbot)
    told.tell(clock.now, 514.0)
    qtbot.waitUntil(lambda: len(run_of(panel, night).readings) == 1)
    clock.now += timedelta(minutes=10)
    desk.look()
    assert [a.kind for a in run_of(panel, night).watch.active] == [AlarmKind.STALE]
    # One for an hour that has yet to come hides nothing.
    book.add_reading(night.run_id, clock.now + timedelta(hours=3), kelvin_from(514.0))
    for minute in (5, 0):
        moment = clock.now - timedelta(minutes=minute)
        book.add_reading(night.run_id, moment, kelvin_from(620.0))
    panel._studio.tell_changed("run")
    qtbot.waitUntil(lambda: len(run_of(panel, night).readings) == 3)
    desk.look()
    kinds = {a.kind for a in run_of(panel, night).watch.active}
    assert AlarmKind.TOO_HOT in kinds
    assert AlarmKind.STALE not in kinds


def test_what_the_book_does_not_take_is_watched_all_the_same(
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    book: Book,
    clock: Clock,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def full(*_: object) -> None:
        raise BookLockedError("The disk is full.")

    with monkeypatch.context() as patch:
        patch.setattr(book, "log_readings", full)
        begin(panel, qtbot)
        with qtbot.waitSignal(panel._studio.watch.alarmed) as raised:
            alarm(panel, night, told, clock, qtbot)
    assert raised.args[1].startswith(f"{BIG_LEHR.name}: ")
    assert len(book.readings(night.run_id)) == 0


def test_a_long_night_is_drawn_anew_rarely_and_once_more_at_its_end(
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    clock: Clock,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(watch_desk, "_PER_READING", 30.0)
    desk = panel._studio.watch
    drawn: list[int] = []
    desk.recorded.connect(drawn.append)
    begin(panel, qtbot)
    for second in range(2):
        told.tell(clock.now + timedelta(seconds=second), 500.0)
        qtbot.waitUntil(lambda: bool(desk._news))
        desk._tell_news()
    assert drawn == [night.run_id]
    qtbot.mouseClick(panel.end, LEFT)
    qtbot.waitUntil(lambda: len(drawn) == 2)


def test_what_happened_while_the_book_was_full_is_written_later(
    panel: WatchPanel,
    night: RunNight,
    told: Told,
    book: Book,
    clock: Clock,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def full(*_: object) -> None:
        raise BookLockedError("The disk is full.")

    monkeypatch.setattr(recorder, "_FIRST_PAUSE", 0.05)
    with monkeypatch.context() as patch:
        patch.setattr(book, "log_readings", full)
        begin(panel, qtbot)
        told.tell(clock.now, 500.0)
        qtbot.waitUntil(lambda: "wait in memory" in panel.state.text())
    qtbot.waitUntil(lambda: len(book.run_events(night.run_id)) == 2)
    first, second = (record.event.text for record in book.run_events(night.run_id))
    assert "The disk is full" in first
    assert "stored again" in second


def test_a_logger_with_a_wrong_clock_is_no_silent_one(
    panel: WatchPanel, night: RunNight, told: Told, clock: Clock, qtbot: QtBot
) -> None:
    clock.now = BUTTON + timedelta(hours=2)
    begin(panel, qtbot)
    told.tell(clock.now - timedelta(hours=1), 505.0)
    told.tell(clock.now - timedelta(hours=1, seconds=-5), 505.0)
    qtbot.waitUntil(lambda: len(run_of(panel, night).readings) == 2)
    panel._studio.watch.look()
    assert not [a for a in run_of(panel, night).watch.alarms if a.kind is AlarmKind.STALE]
    assert "1:00 (h:mm) behind the computer's" in panel.state.text()
    clock.now += timedelta(minutes=4)
    panel._studio.watch.look()
    (stale,) = (a for a in run_of(panel, night).watch.alarms if a.kind is AlarmKind.STALE)
    assert stale.worst == pytest.approx(240.0, abs=1.0)


def test_a_source_that_hangs_holds_up_the_closing_no_longer_than_agreed(
    studio: Studio,
    clock: Clock,
    night: RunNight,
    told: Told,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    asked, answer = threading.Event(), threading.Event()

    def hang(_: events.Clock) -> Poll:
        asked.set()
        answer.wait(20.0)
        return Poll((LiveReading(clock.now, 800.0),), (), told.signal)

    monkeypatch.setattr(told, "poll", hang)
    monkeypatch.setattr(watch_desk, "_PATIENCE", 0.05)
    desk = WatchDesk(studio)
    desk.begin(night.record, night.plan, night.load, night.readings, SOURCE)
    run = desk.run(night.run_id)
    assert run is not None
    thread = run.thread
    assert thread is not None
    assert asked.wait(10.0)
    desk.close()
    shiboken6.delete(desk)
    answer.set()
    # Nobody is there to be told any more: it ends all the same, without a fault.
    thread.join(10.0)
    assert not thread.is_alive()
    assert told.closed


# -- setting up ---------------------------------------------------------------------------------


@pytest.fixture
def dialog(studio: Studio, appearance: Appearance, night: RunNight, qtbot: QtBot) -> SourceDialog:
    made = SourceDialog(studio, BIG_LEHR.name)
    qtbot.addWidget(made)
    made.show()
    return made


def test_a_controller_on_the_network_is_set_up_and_found_again(
    dialog: SourceDialog, studio: Studio, qtbot: QtBot
) -> None:
    dialog.name.setText("Quay controller")
    dialog.kinds.set_value(SourceKind.MODBUS_TCP)
    form = dialog.form
    form.host.setText("192.168.1.40")
    form.address.set_value_si(288.0)
    form.coding.set_value(Coding.FLOAT32)
    form.word_order.set_value(WordOrder.LOW_FIRST)
    qtbot.mouseClick(dialog.keep, LEFT)
    assert dialog.result() == QDialog.DialogCode.Accepted
    (record,) = studio.book.live_sources()
    assert line_of(record.source) == NetworkLine("192.168.1.40", 502)
    assert register_of(record.source).coding is Coding.FLOAT32

    again = SourceDialog(studio, BIG_LEHR.name, record.source)
    qtbot.addWidget(again)
    assert again.form.settings() == dict(record.source.settings)


def test_what_is_missing_is_told_beside_its_box(dialog: SourceDialog, qtbot: QtBot) -> None:
    dialog.kinds.set_value(SourceKind.MODBUS_TCP)
    qtbot.mouseClick(dialog.keep, LEFT)
    assert dialog.source is None
    assert "no address" in dialog.form.form.field("host").error
    dialog.kinds.set_value(SourceKind.MODBUS_SERIAL)
    qtbot.mouseClick(dialog.keep, LEFT)
    assert "serial port" in dialog.form.form.field("port").error


def test_a_new_source_takes_no_other_s_place(
    dialog: SourceDialog, studio: Studio, qtbot: QtBot
) -> None:
    dialog.form.path.setText("/logs/lehr.csv")
    qtbot.mouseClick(dialog.keep, LEFT)
    assert dialog.source is not None
    again = SourceDialog(studio, LITTLE_LEHR.name)
    qtbot.addWidget(again)
    again.form.path.setText("/logs/other.csv")
    again.name.setText(dialog.source.name)
    again._keep()
    assert "another source" in again.head.field("name").error
    assert [record.source for record in studio.book.live_sources()] == [dialog.source]
    third = SourceDialog(studio, BIG_LEHR.name)
    qtbot.addWidget(third)
    assert third.name.text() == f"{BIG_LEHR.name}, controller 2"


def test_a_file_is_tried(
    dialog: SourceDialog, studio: Studio, tmp_path: Path, qtbot: QtBot
) -> None:
    log = tmp_path / "lehr.csv"
    log.write_text("Time,Temperature °C\n2026-11-25 17:31:00,512.0\n2026-11-25 17:32:00,511.0\n")
    dialog.form.path.setText(str(log))
    qtbot.mouseClick(dialog.attempt, LEFT)
    qtbot.waitUntil(lambda: "It reads 511 °C" in dialog.banner.text, timeout=10_000)
    dialog.form.path.setText(str(tmp_path / "gone.csv"))
    qtbot.mouseClick(dialog.attempt, LEFT)
    qtbot.waitUntil(lambda: "gone.csv" in dialog.banner.text, timeout=10_000)


def test_limits_are_asked_kept_and_used(
    studio: Studio, appearance: Appearance, qtbot: QtBot
) -> None:
    made = LimitsDialog(studio)
    qtbot.addWidget(made)
    made.edits["too_hot"].set_value_si(6.0)
    made.begin.set_value(made.end.value)
    made._keep()
    assert "begin and end at the same time" in (made.form.field("quiet").error or made.banner.text)
    made.begin.set_value(None)
    made._keep()
    assert studio.watch.limits.too_hot == pytest.approx(6.0)
    assert watch_settings(studio.settings) == studio.watch.limits


def test_limits_that_cannot_be_read_are_the_usual_ones(studio: Studio) -> None:
    studio.settings.set_text("watch/limits", '{"too_hot": -5}')
    assert watch_settings(studio.settings) == WatchSettings()
    studio.settings.set_text("watch/limits", "[]")
    assert watch_settings(studio.settings) == WatchSettings()
    wished = replace(WatchSettings(), too_cold=21.0)
    keep_watch_settings(studio.settings, wished)
    assert watch_settings(studio.settings) == wished
