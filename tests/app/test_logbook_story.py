"""Events, outcomes and notes of a run, written down and found again as a person does it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from logbook_nights import last_night
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QFileDialog

from app.logbook.page import LogBookPage
from app.plots.curves import MarkerRole
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import NoteSubject


@pytest.fixture
def night(book):
    made = last_night(book)
    moments = made.moments()
    readings = Readings(moments, made.plan.temperature_at(moments) + 2.0)
    book.add_readings(made.run.id, readings, "logger", "a.csv", "0" * 64)
    return made


@pytest.fixture
def page(qtbot, studio, night):
    made = LogBookPage(studio)
    qtbot.addWidget(made)
    made.resize(1100, 760)
    made.show()
    rest(qtbot, studio)
    return made


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=5000)


def write(box, text):
    box.selectAll()
    QTest.keyClicks(box, text)


def story(page):
    page.run_view.tabs.setCurrentWidget(page.run_view.story)
    return page.run_view.story


def test_alarms_of_the_watch_are_told_among_the_events_and_stay(qtbot, studio, book, night):
    raised = night.run.started_at + timedelta(hours=2)
    book.raise_alarm(night.run.id, "too hot", raised, "It is 30 °C hotter than planned.")
    page = LogBookPage(studio)
    qtbot.addWidget(page)
    page.show()
    rest(qtbot, studio)
    panel = story(page)
    (line,) = panel.list.lines
    assert line.what == "alarm: too hot"
    assert "hotter than planned" in line.words
    panel.list.table.select(line)
    assert not panel.list.remove.isEnabled()


def test_an_event_is_logged_with_the_time_filled_in(qtbot, studio, book, night, page):
    panel = story(page)
    qtbot.mouseClick(panel.list.add_event, Qt.MouseButton.LeftButton)
    form = panel.event_form
    assert form.kind.value is EventKind.DOOR_OPEN
    QTest.keyClicks(form.text, "for a float")
    QTest.keyClick(form.text, Qt.Key.Key_Return)
    rest(qtbot, studio)
    (record,) = book.run_events(night.run.id)
    assert record.event.kind is EventKind.DOOR_OPEN
    assert record.event.text == "for a float"
    assert abs(record.event.time - studio.now()) < timedelta(seconds=20)
    # Ready for the next; the list has it.
    assert form.text.text() == ""
    qtbot.mouseClick(form.leave, Qt.MouseButton.LeftButton)
    assert panel.currentWidget() is panel.list
    assert [line.what for line in panel.list.lines] == ["door open"]
    tabs = page.run_view.tabs
    assert tabs.tabText(tabs.indexOf(panel)) == "Events (1)"


def test_a_note_without_words_and_a_time_to_come_are_refused(qtbot, studio, book, night, page):
    panel = story(page)
    panel.ask_event(EventKind.NOTE)
    form = panel.event_form
    qtbot.mouseClick(form.log, Qt.MouseButton.LeftButton)
    assert "empty" in form.text_field.error
    QTest.keyClicks(form.text, "hot")
    form.clock.set_moment(studio.now() + timedelta(hours=2))
    form.clock.edited.emit()
    form.commit()
    assert "still to come" in form.time_field.error
    assert book.run_events(night.run.id) == ()


def test_events_stand_on_the_curve_and_a_line_chosen_goes_there(qtbot, studio, book, night, page):
    moment = night.run.started_at + timedelta(hours=3, minutes=10)
    book.add_run_event(night.run.id, RunEvent(moment, EventKind.POWER_CUT, "the whole street"))
    found = night.plan.ready_at + timedelta(days=2)
    if found < studio.now():
        book.add_outcome(night.run.id, Outcome("Fishing float", found, OutcomeKind.CRACKED))
    studio.tell_changed("run")
    rest(qtbot, studio)
    plot = page.run_view.plot
    marks = [mark for mark in plot._markers if mark.label == "power cut"]
    assert [mark.role for mark in marks] == [MarkerRole.EVENT]
    panel = story(page)
    line = next(line for line in panel.list.lines if line.what == "power cut")
    assert line.bad
    panel.list.table.select(line)
    assert plot.crosshair.moment == pytest.approx(moment.timestamp())
    low, high = plot.upper.view.viewRange()[0]
    assert low < moment.timestamp() < high
    assert high - low < 2.5 * 3600
    assert "power cut" in plot.read_out.text()


def test_what_was_found_is_entered_per_piece(qtbot, studio, book, night, page):
    panel = story(page)
    qtbot.mouseClick(panel.list.add_outcome, Qt.MouseButton.LeftButton)
    form = panel.outcome_form
    assert form.count.value_si == 8  # all floats of the load
    assert not form.retardation.isEnabled()
    form.kind.set_value(OutcomeKind.STRAIN_SEEN)
    write(form.count, "2")
    write(form.retardation, "140")
    write(form.path, "15")
    QTest.keyClicks(form.text, "at the rim")
    QTest.keyClick(form.text, Qt.Key.Key_Return)
    rest(qtbot, studio)
    (record,) = book.outcomes(night.run.id)
    outcome = record.outcome
    assert (outcome.piece, outcome.count) == ("Fishing float", 2)
    assert outcome.retardation == pytest.approx(140e-9)
    assert outcome.light_path == pytest.approx(0.015)
    panel.show_list()
    # 140 nm over 1.5 cm of glass.
    assert panel.list.lines[-1].words == (
        "2 × Fishing float: 140 nm through 15.0 mm (93 nm/cm). at the rim"
    )
    panel.ask_outcome()
    form.kind.set_value(OutcomeKind.CRACKED)
    write(form.count, "0")
    form.commit()
    assert form._fields["count"].error
    assert len(book.outcomes(night.run.id)) == 1


def test_photos_are_kept_by_where_they_lie(
    qtbot, studio, book, night, page, tmp_path: Path, monkeypatch
):
    picture = tmp_path / "float.jpg"
    picture.write_bytes(b"not looked into")
    monkeypatch.setattr(QFileDialog, "getOpenFileNames", lambda *_: ([str(picture)], ""))
    panel = story(page)
    panel.ask_event(EventKind.PHOTO)
    form = panel.event_form
    form.commit()
    assert "no photo" in form.text_field.error
    qtbot.mouseClick(form.photos, Qt.MouseButton.LeftButton)
    assert "1" in form.photos.text()
    qtbot.mouseClick(form.log, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    (record,) = book.run_events(night.run.id)
    assert record.event.photos == (str(picture),)
    panel.show_list()
    (line,) = panel.list.lines
    picture.unlink()
    panel.list.table.select(line)
    qtbot.mouseClick(panel.list.photos, Qt.MouseButton.LeftButton)
    assert "cannot be found" in page.banner.text


def test_a_line_is_removed_whatever_stands_behind_it(qtbot, studio, book, night, page):
    at = night.run.started_at + timedelta(hours=1)
    book.add_run_event(night.run.id, RunEvent(at, EventKind.NOTE, "an event"))
    book.add_note(NoteSubject.RUN, night.run.id, at, "an old note")
    book.add_outcome(night.run.id, Outcome("Fishing float", at, OutcomeKind.SOUND, 8))
    studio.tell_changed("run")
    rest(qtbot, studio)
    panel = story(page)
    while panel.list.lines:
        before = len(panel.list.lines)
        panel.list.table.select(panel.list.lines[0])
        qtbot.mouseClick(panel.list.remove, Qt.MouseButton.LeftButton)
        rest(qtbot, studio)
        assert len(panel.list.lines) == before - 1
    assert book.notes(NoteSubject.RUN, night.run.id) == ()
    assert book.run_events(night.run.id) == book.outcomes(night.run.id) == ()
