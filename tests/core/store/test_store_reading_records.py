"""Where each reading came from, and imports that are stopped."""

from datetime import timedelta

import numpy as np
import pytest

from core.errors import StoppedError
from core.run.readings import Readings
from core.store.book import TYPED
from core.store.reading_rows import AT_ONCE


@pytest.fixture
def run(book, load, plan, evening):
    plan_id = book.save_plan(plan, book.save_load(load))
    return book.start_run(plan_id, evening)


def test_typed_and_imported_readings_are_told_apart(book, run, evening):
    times = evening.timestamp() + np.array([0.0, 60.0])
    book.add_readings(run.id, Readings(times, np.array([800.0, 801.0])), "logger", "a.csv", "0")
    book.add_reading(run.id, evening + timedelta(seconds=30), 800.5)
    records = book.reading_records(run.id)
    assert [record.source for record in records] == ["logger", TYPED, "logger"]
    assert [record.temperature for record in records] == [800.0, 800.5, 801.0]
    assert [record.time for record in records] == [
        evening + timedelta(seconds=seconds) for seconds in (0, 30, 60)
    ]
    only = book.imports(run.id)[0]
    assert [record.import_id for record in records] == [only.id, None, only.id]


def test_an_import_stopped_half_way_leaves_nothing(book, run, evening):
    count = 2 * AT_ONCE
    readings = Readings(evening.timestamp() + np.arange(count), np.full(count, 800.0))
    asked = iter([False, True])
    with pytest.raises(StoppedError):
        book.add_readings(run.id, readings, "logger", "a.csv", "0", cancelled=lambda: next(asked))
    assert len(book.readings(run.id)) == 0
    assert book.imports(run.id) == ()


def test_an_import_tells_how_far_it_is(book, run, evening):
    told: list[float] = []
    count = AT_ONCE + 7_050
    readings = Readings(evening.timestamp() + np.arange(count), np.full(count, 800.0))
    outcome = book.add_readings(run.id, readings, "logger", "a.csv", "0", progress=told.append)
    assert outcome.added == count
    assert told == [AT_ONCE / count, 1.0]
