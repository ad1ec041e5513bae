"""A growing file recorded into the book, also while somebody else holds it."""

import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.live.events import EventKind
from core.live.followed_file import FollowedFile
from core.live.recorder import LiveRecorder
from core.run.log_file import read_log
from core.run.log_format import LogFormat
from core.run.readings import Readings
from core.store.book import Book

START = datetime(2026, 3, 14, 21, 30, tzinfo=UTC)


def rows(first, last):
    return "".join(
        f"{START + timedelta(seconds=10 * i):%Y-%m-%d %H:%M:%S},{540 + i / 10:.1f}\n"
        for i in range(first, last)
    )


@pytest.fixture
def impatient(tmp_path, empty_book):
    """A book that does not wait for others."""
    with Book.open(
        shutil.copyfile(empty_book, tmp_path / "book.sqlite"), busy_timeout=0.01
    ) as opened:
        yield opened


def test_readings_wait_for_a_held_book_and_none_is_lost(
    impatient, load, plan, tmp_path, monkeypatch
):
    monkeypatch.setattr("core.live.recorder._FIRST_PAUSE", 0.0)
    run = impatient.start_run(impatient.save_plan(plan, impatient.save_load(load)), START).id
    log = tmp_path / "lehr.csv"
    log.write_text("time,lehr °C\n" + rows(0, 5), encoding="utf-8")
    source = FollowedFile(log, LogFormat(timezone="UTC"))
    recorder = LiveRecorder(source, lambda new: impatient.log_readings(run, new, "logger"))
    recorder.step()
    assert len(impatient.readings(run)) == 5
    with closing(sqlite3.connect(tmp_path / "book.sqlite", isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with log.open("a", encoding="utf-8") as stream:
            stream.write(rows(5, 12))
        held = recorder.step()
        assert [event.kind for event in held.events] == [EventKind.NOT_STORED]
        assert held.state.waiting == 7
        other.execute("ROLLBACK")
    freed = recorder.step()
    assert [event.kind for event in freed.events] == [EventKind.STORED_AGAIN]
    recorder.finish()
    kept, whole = impatient.readings(run), read_log(log, LogFormat(timezone="UTC")).readings
    assert np.array_equal(kept.time, whole.time)
    assert np.array_equal(kept.temperature, whole.temperature)


def test_a_recording_begun_again_enters_nothing_twice(impatient, load, plan, tmp_path):
    run = impatient.start_run(impatient.save_plan(plan, impatient.save_load(load)), START).id
    log = tmp_path / "lehr.csv"
    log.write_text("time,lehr °C\n" + rows(0, 5), encoding="utf-8")
    for last in (5, 9):
        log.write_text("time,lehr °C\n" + rows(0, last), encoding="utf-8")
        source = FollowedFile(log, LogFormat(timezone="UTC"))
        recorder = LiveRecorder(source, lambda new: impatient.log_readings(run, new, "logger"))
        recorder.step()
        recorder.finish()
    assert len(impatient.readings(run)) == 9


def test_a_run_that_was_finished_takes_nothing_read_later(book, load, plan):
    run = book.start_run(book.save_plan(plan, book.save_load(load)), START).id
    assert book.goes_on(run)
    assert book.logged_until(run, "logger") is None
    book.add_reading(run, START + timedelta(hours=5), 700.0)
    seconds = START.timestamp() + 10.0 * np.arange(4)
    book.log_readings(run, Readings(seconds[:2], np.full(2, 800.0)), "logger")
    assert book.logged_until(run, "logger") == START + timedelta(seconds=10)
    book.finish_run(run, START + timedelta(seconds=20))
    assert not book.goes_on(run)
    assert book.log_readings(run, Readings(seconds, np.full(4, 800.0)), "logger").added == 1
    assert book.logged_until(run, "logger") == START + timedelta(seconds=20)
    book.delete_run(run)
    assert not book.goes_on(run)
