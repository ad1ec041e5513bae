"""Nights on which the clocks change, against the zone database by way of ``datetime``."""

import time
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.run.log_file import read_log

LISBON = "Europe/Lisbon"


def local_log(first, steps, zone=LISBON):
    """A log on the wall clock of true UTC times, and those times."""
    moments = [first]
    for step in steps:
        moments.append(moments[-1] + timedelta(seconds=step))
    rows = [
        f"{moment.astimezone(ZoneInfo(zone)):%Y-%m-%d %H:%M:%S},{520 - i % 7}"
        for i, moment in enumerate(moments)
    ]
    text = "time,T °C\n" + "\n".join(rows)
    return text.encode(), np.array([moment.timestamp() for moment in moments])


LISBON_CHANGE = datetime(2026, 10, 25, 1, 0, tzinfo=UTC)
NEW_YORK_CHANGE = datetime(2026, 11, 1, 6, 0, tzinfo=UTC)
LORD_HOWE_CHANGE = datetime(2026, 4, 4, 15, 0, tzinfo=UTC)
"""By half an hour only."""


@pytest.mark.parametrize(
    ("zone", "change", "interval"),
    [
        *((LISBON, LISBON_CHANGE, interval) for interval in (60, 300, 900, 1800, 3600)),
        *(("America/New_York", NEW_YORK_CHANGE, interval) for interval in (10, 600, 3600)),
        *(("Australia/Lord_Howe", LORD_HOWE_CHANGE, interval) for interval in (60, 900)),
    ],
)
def test_the_hour_that_comes_twice_is_told_apart(zone, change, interval):
    count = 6 * 3600 // interval
    data, expected = local_log(change - timedelta(hours=3), [interval] * count, zone)
    log = read_log(data, timezone=zone)
    assert log.problems == ()
    assert log.readings.time.tolist() == expected.tolist()
    assert any("went back" in note for note in log.notes)


def test_the_hour_left_out_is_a_problem_of_its_rows():
    text = "time,T °C\n2026-03-29 00:59,520\n2026-03-29 01:30,519\n2026-03-29 02:00,518\n"
    log = read_log(text.encode(), timezone=LISBON)
    (problem,) = log.problems
    assert (problem.line, problem.value) == (3, "2026-03-29 01:30")
    assert "clocks went forward" in problem.message
    assert (log.readings.time[1] - log.readings.time[0]) == 60
    assert "UTC" in log.notes[0]


def test_a_true_spring_night_is_read_through():
    first = datetime(2026, 3, 28, 22, 0, tzinfo=UTC)
    data, expected = local_log(first, [60] * 360)
    log = read_log(data, timezone=LISBON)
    assert (log.problems, log.notes) == ((), ())
    assert log.readings.time.tolist() == expected.tolist()


def test_an_hour_passed_only_once_is_noted():
    """The logger was off for one of the two passes; which cannot be known."""
    text = "time,T °C\n2026-10-25 00:59,520\n2026-10-25 01:30,519\n2026-10-25 02:00,518\n"
    log = read_log(text.encode(), timezone=LISBON)
    assert log.problems == ()
    assert "only once" in log.notes[0]


def test_a_slip_of_the_clock_within_the_repeated_hour_is_no_change_of_clocks():
    rows = ["01:00", "01:01", "01:02", "01:01", "01:03", "01:04"]
    text = "time,T °C\n" + "".join(f"2026-10-25 {row},520\n" for row in rows)
    log = read_log(text.encode(), timezone=LISBON)
    (problem,) = log.problems
    assert (problem.line, problem.message) == (5, "The time goes backward.")


def test_utc_needs_no_change():
    text = "time,T °C\n2026-10-25 00:59,520\n2026-10-25 01:30,519\n2026-10-25 02:00,518\n"
    assert read_log(text.encode(), timezone="UTC").notes == ()


@settings(max_examples=60, deadline=None)
@given(
    start=st.integers(0, 365 * 24 * 60),
    steps=st.lists(st.integers(30, 600), min_size=3, max_size=120),
    zone=st.sampled_from([LISBON, "Europe/Berlin", "America/New_York", "Asia/Kathmandu"]),
)
def test_any_night_of_the_year_is_read_back(start, steps, zone):
    first = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=start)
    data, expected = local_log(first, steps, zone)
    log = read_log(data, timezone=zone)
    once = any("only once" in note for note in log.notes)
    if not once:
        assert log.problems == ()
        assert log.readings.time.tolist() == expected.tolist()


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="the zone can only be set on POSIX")
def test_the_machine_s_own_zone_does_as_its_name(monkeypatch):
    data, expected = local_log(LISBON_CHANGE - timedelta(hours=3), [600] * 36)
    monkeypatch.setenv("TZ", LISBON)
    time.tzset()
    try:
        log = read_log(data, timezone="")
    finally:
        monkeypatch.undo()
        time.tzset()
    assert log.readings.time.tolist() == expected.tolist()
    assert any("went back" in note for note in log.notes)
