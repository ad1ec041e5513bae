"""Clock times: quick typing, day words, and the two nights a year when the clocks change.

European summer time 2026 begins on 29 March and ends on 25 October at 01:00 UTC (Directive
2000/84/EC: last Sunday of March and October); in Berlin 02:00-03:00 is skipped or repeated.
"""

from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import QDate, Qt
from pytestqt.qtbot import QtBot

from app.local_time import (
    Occurs,
    clock_text,
    day_and_clock,
    day_word,
    from_local,
    read_clock,
    to_local,
)
from app.widgets.clock_edit import ClockEdit
from core.errors import UnitError

BERLIN = ZoneInfo("Europe/Berlin")
NOW = datetime(2026, 11, 25, 15, 0, tzinfo=UTC)


@pytest.fixture
def edit(qtbot: QtBot) -> ClockEdit:
    made = ClockEdit(zone=BERLIN, clock=lambda: NOW, name="out_by")
    qtbot.addWidget(made)
    made.show()
    return made


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("17:30", time(17, 30)),
        ("1730", time(17, 30)),
        ("17.30", time(17, 30)),
        ("17h30", time(17, 30)),
        ("8", time(8)),
        ("830", time(8, 30)),
        ("0000", time(0)),
        ("5:30 pm", time(17, 30)),
        ("12am", time(0)),
        ("12 p.m.", time(12)),
    ],
)
def test_ways_of_typing_a_time(typed: str, expected: time) -> None:
    assert read_clock(typed) == expected


@pytest.mark.parametrize(
    "typed", ["24:00", "17:60", "13 pm", "0 am", "soon", "17:3", "12345", "-1"]
)
def test_what_is_no_time(typed: str) -> None:
    with pytest.raises(UnitError):
        read_clock(typed)


def test_skipped_and_repeated_hours() -> None:
    skipped = from_local(date(2026, 3, 29), time(2, 30), BERLIN)
    assert skipped.occurs is Occurs.NEVER
    assert skipped.moment == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)
    assert clock_text(skipped.moment, BERLIN) == "03:30"
    first = from_local(date(2026, 10, 25), time(2, 30), BERLIN)
    second = from_local(date(2026, 10, 25), time(2, 30), BERLIN, second=True)
    assert first.occurs is second.occurs is Occurs.TWICE
    assert first.moment == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    assert second.moment == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    plain = from_local(date(2026, 11, 25), time(17, 0), BERLIN)
    assert (plain.moment, plain.occurs) == (datetime(2026, 11, 25, 16, 0, tzinfo=UTC), Occurs.ONCE)


def test_the_machines_own_zone(monkeypatch: pytest.MonkeyPatch) -> None:
    import time as clock

    if not hasattr(clock, "tzset"):
        pytest.skip("this system cannot change its zone for one process")
    monkeypatch.setenv("TZ", "Europe/Berlin")
    clock.tzset()
    try:
        assert from_local(date(2026, 3, 29), time(2, 30)).occurs is Occurs.NEVER
        assert from_local(date(2026, 10, 25), time(2, 30)).occurs is Occurs.TWICE
        assert to_local(NOW).hour == 16
    finally:
        monkeypatch.undo()
        clock.tzset()


def test_naive_times_are_refused() -> None:
    with pytest.raises(ValueError, match="zone"):
        to_local(datetime(2026, 1, 1))  # noqa: DTZ001 -- that is what is tested


def test_day_words() -> None:
    assert day_word(date(2026, 11, 25), now=NOW, zone=BERLIN) == "today"
    assert day_word(date(2026, 11, 26), now=NOW, zone=BERLIN) == "tomorrow"
    assert day_word(date(2026, 11, 24), now=NOW, zone=BERLIN) == "yesterday"
    assert day_word(date(2026, 11, 28), now=NOW, zone=BERLIN) == "Sat 28 Nov"
    assert day_word(date(2027, 1, 2), now=NOW, zone=BERLIN) == "Sat 2 Jan 2027"
    late = datetime(2026, 11, 25, 23, 30, tzinfo=UTC)
    assert day_and_clock(late, now=NOW, zone=BERLIN) == "tomorrow 00:30"


def test_quick_typing(qtbot: QtBot, edit: ClockEdit) -> None:
    edit.day.setDate(QDate(2026, 11, 26))
    qtbot.keyClicks(edit.time, "0800")
    qtbot.keyClick(edit.time, Qt.Key.Key_Return)
    assert edit.moment == datetime(2026, 11, 26, 7, 0, tzinfo=UTC)
    assert edit.moment.tzinfo is UTC
    assert edit.time.text() == "08:00"
    assert edit.word.text() == "tomorrow"
    assert edit.error == ""


def test_the_second_of_two_can_be_chosen(qtbot: QtBot, edit: ClockEdit) -> None:
    edit.day.setDate(QDate(2026, 10, 25))
    qtbot.keyClicks(edit.time, "230")
    assert edit.second.isVisible()
    assert "twice" in edit.note
    assert edit.moment == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    edit.second.setChecked(True)
    assert edit.moment == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    edit.set_moment(datetime(2026, 10, 25, 0, 30, tzinfo=UTC))
    assert not edit.second.isChecked()
    edit.set_moment(datetime(2026, 10, 25, 1, 30, tzinfo=UTC))
    assert edit.second.isChecked()
    assert edit.moment == datetime(2026, 10, 25, 1, 30, tzinfo=UTC)
    edit.set_moment(NOW)
    assert not edit.second.isVisible()
    assert edit.note == ""


def test_a_skipped_time_is_pointed_out(qtbot: QtBot, edit: ClockEdit) -> None:
    edit.day.setDate(QDate(2026, 3, 29))
    qtbot.keyClicks(edit.time, "2:30")
    assert "03:30" in edit.note
    assert edit.moment == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)


def test_wrong_and_missing_times(qtbot: QtBot, edit: ClockEdit) -> None:
    with pytest.raises(UnitError) as caught:
        edit.require()
    assert caught.value.field == "out_by"
    qtbot.keyClicks(edit.time, "25:99")
    qtbot.keyClick(edit.time, Qt.Key.Key_Return)
    assert "not a time" in edit.error
    assert edit.moment is None
    edit.time.selectAll()
    qtbot.keyClicks(edit.time, "17")
    assert edit.error == ""
    empty = ClockEdit(optional=True, clock=lambda: NOW)
    qtbot.addWidget(empty)
    assert empty.optional_moment() is None


def test_arrow_keys_move_by_a_quarter_over_midnight(qtbot: QtBot, edit: ClockEdit) -> None:
    edit.set_moment(datetime(2026, 11, 25, 22, 50, tzinfo=UTC))
    qtbot.keyClick(edit.time, Qt.Key.Key_Up)
    assert edit.time.text() == "00:05"
    assert edit.day.date() == QDate(2026, 11, 26)
    qtbot.keyClick(edit.time, Qt.Key.Key_Down)
    assert edit.moment == datetime(2026, 11, 25, 22, 50, tzinfo=UTC)
