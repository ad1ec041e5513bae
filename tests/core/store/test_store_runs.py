"""Runs and readings in the book."""

from __future__ import annotations

import time as clock
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.errors import BookError, PlanInUseError, RunError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings
from core.store.book import Book


def evenly(evening: datetime, count: int, step: float = 60.0) -> Readings:
    time = evening.timestamp() + step * np.arange(count)
    return Readings(time, 820.0 - 0.01 * np.arange(count) % 300)


def test_a_run_keeps_what_it_was_started_with(book: Book, plan_id: int, evening: datetime) -> None:
    first = book.start_run(plan_id, evening, "door seal new")
    later = book.start_run(plan_id, evening + timedelta(days=1))
    assert [run.id for run in book.runs()] == [later.id, first.id]
    found = book.run(first.id)
    assert found == first
    assert (found.load_name, found.lehr_name) == ("decanters", "net loft lehr")
    assert (found.plan_id, found.note, found.started_at) == (plan_id, "door seal new", evening)
    assert not found.finished


def test_finishing(book: Book, run_id: int, evening: datetime) -> None:
    with pytest.raises(RunError) as caught:
        book.finish_run(run_id, evening - timedelta(minutes=1))
    assert caught.value.field == "finished_at"
    assert not book.run(run_id).finished
    done = book.finish_run(run_id, evening + timedelta(hours=9))
    assert done.finished
    assert book.run(run_id) == done


def test_the_note_on_a_run_can_be_changed(book: Book, run_id: int) -> None:
    changed = book.set_run_note(run_id, "thermocouple moved")
    assert changed.note == "thermocouple moved"
    assert book.runs() == (changed,)


def test_starting_a_run_enters_a_lehr_the_book_lacks(book: Book, run_id: int) -> None:
    assert [lehr.name for lehr in book.lehrs()] == ["net loft lehr"]


def test_starting_a_run_leaves_the_present_lehr_alone(
    book: Book, plan_id: int, evening: datetime
) -> None:
    changed = replace(book.load(book.loads()[0].id).lehr, thermocouple_offset=7.0)
    book.save_lehr(changed)
    book.start_run(plan_id, evening)
    assert book.lehrs() == (changed,)


def test_a_lehr_renamed_after_planning_is_still_the_same_one(
    book: Book, load: Load, plan: Plan, evening: datetime
) -> None:
    book.save_lehr(load.lehr)
    plan_id = book.save_plan(plan, book.save_load(load))
    book.save_lehr(replace(load.lehr, name="old lehr"), renamed_from=load.lehr.name)
    assert book.start_run(plan_id, evening).lehr_name == "old lehr"
    assert [lehr.name for lehr in book.lehrs()] == ["old lehr"]


def test_typed_readings_come_back_in_order(book: Book, run_id: int, evening: datetime) -> None:
    for minutes, temperature in ((20, 815.5), (0, 820.0), (10, 818.25)):
        book.add_reading(run_id, evening + timedelta(minutes=minutes), temperature)
    found = book.readings(run_id)
    assert found.temperature.tolist() == [820.0, 818.25, 815.5]
    assert found.time.tolist() == [evening.timestamp() + s for s in (0, 600, 1200)]
    assert book.run(run_id).reading_count == 3


def test_no_readings_yet(book: Book, run_id: int) -> None:
    assert len(book.readings(run_id)) == 0


def test_two_readings_at_one_time_are_refused(book: Book, run_id: int, evening: datetime) -> None:
    book.add_reading(run_id, evening, 820.0)
    with pytest.raises(RunError) as caught:
        book.add_reading(run_id, evening, 821.0)
    assert caught.value.field == "time"
    book.delete_reading(run_id, evening)
    book.add_reading(run_id, evening, 821.0)
    assert book.readings(run_id).temperature.tolist() == [821.0]
    with pytest.raises(BookError):
        book.delete_reading(run_id, evening + timedelta(seconds=1))


@pytest.mark.parametrize("temperature", [float("nan"), float("inf"), -5.0, 0.0, 2500.0])
def test_impossible_temperatures_are_refused(
    book: Book, run_id: int, evening: datetime, temperature: float
) -> None:
    with pytest.raises(RunError) as caught:
        book.add_reading(run_id, evening, temperature)
    assert caught.value.field == "temperature"


def test_a_file_is_taken_in_once(book: Book, run_id: int, evening: datetime) -> None:
    whole = evenly(evening, 100)
    half = Readings(whole.time[:60], whole.temperature[:60])
    first = book.add_readings(run_id, half, "logger", "night.csv", "a1")
    again = book.add_readings(run_id, half, "logger", "night.csv", "a1")
    longer = book.add_readings(run_id, whole, "logger", "night 2.csv", "b2")
    assert (first.added, first.skipped) == (60, 0)
    assert (again.added, again.skipped) == (0, 60)
    assert (longer.added, longer.skipped) == (40, 60)
    found = book.readings(run_id)
    assert found.time.tolist() == whole.time.tolist()
    assert found.temperature.tolist() == whole.temperature.tolist()
    assert [(i.file_name, i.added, i.skipped) for i in book.imports(run_id)] == [
        ("night.csv", 60, 0),
        ("night.csv", 0, 60),
        ("night 2.csv", 40, 60),
    ]


def test_a_typed_reading_is_not_overwritten_by_a_file(
    book: Book, run_id: int, evening: datetime
) -> None:
    book.add_reading(run_id, evening, 700.0)
    outcome = book.add_readings(run_id, evenly(evening, 3), "logger", "n.csv", "h")
    assert (outcome.added, outcome.skipped) == (2, 1)
    assert book.readings(run_id).temperature[0] == 700.0


def test_a_file_in_the_wrong_run_can_go_to_the_right_one(
    book: Book, plan_id: int, run_id: int, evening: datetime
) -> None:
    right = book.start_run(plan_id, evening + timedelta(minutes=1)).id
    file = evenly(evening, 50)
    book.add_readings(run_id, file, "logger", "n.csv", "h")
    assert book.add_readings(right, file, "logger", "n.csv", "h").added == 50
    book.delete_import(book.imports(run_id)[0].id)
    assert len(book.readings(run_id)) == 0
    assert book.imports(run_id) == ()
    assert len(book.readings(right)) == 50
    with pytest.raises(BookError):
        book.delete_import(999)


def test_a_file_is_whole_or_absent(
    book: Book, run_id: int, evening: datetime, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The last row breaks the schema's own check, behind the check made beforehand.
    monkeypatch.setattr("core.store.reading_rows.HIGHEST", 1e9)
    good = evenly(evening, 2000)
    bad = Readings(good.time, np.append(good.temperature[:-1], 4000.0))
    with pytest.raises(BookError):
        book.add_readings(run_id, bad, "logger", "n.csv", "h")
    assert len(book.readings(run_id)) == 0
    assert book.imports(run_id) == ()


def test_a_file_with_an_impossible_reading_or_none_is_refused(
    book: Book, run_id: int, evening: datetime
) -> None:
    time = evening.timestamp() + np.arange(3.0)
    with pytest.raises(RunError, match="3000"):
        book.add_readings(
            run_id, Readings(time, np.array([800.0, 3273.15, 801.0])), "l", "n.csv", "h"
        )
    with pytest.raises(RunError):
        book.add_readings(run_id, Readings(np.array([]), np.array([])), "l", "n.csv", "h")
    with pytest.raises(RunError, match="calendar"):
        book.add_readings(run_id, Readings(np.array([1e15]), np.array([800.0])), "l", "n.csv", "h")
    assert book.imports(run_id) == ()


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(st.lists(st.integers(-(10**15), 4 * 10**15), min_size=1, max_size=40, unique=True))
def test_times_come_back_to_the_microsecond(
    book: Book, plan_id: int, microseconds: list[int]
) -> None:
    run = book.start_run(plan_id, datetime(2026, 1, 1, tzinfo=UTC)).id
    time = np.array(sorted(microseconds)) / 1e6
    given_readings = Readings(time, np.linspace(300.0, 900.0, len(time)))
    book.add_readings(run, given_readings, "logger", "n.csv", "h")
    found = book.readings(run)
    assert found.time.tolist() == time.tolist()
    assert found.temperature.tolist() == given_readings.temperature.tolist()


def test_a_long_log_is_quick(book: Book, run_id: int, evening: datetime) -> None:
    log = evenly(evening, 20_000, step=5.0)
    start = clock.perf_counter()
    assert book.add_readings(run_id, log, "logger", "n.csv", "h").added == 20_000
    taken = clock.perf_counter() - start
    # About 0.15 s on two cores; one object a row takes several times as long.
    assert taken < 1.5
    assert len(book.readings(run_id)) == 20_000


def test_a_plan_in_use_stays(book: Book, plan_id: int, run_id: int) -> None:
    plan = book.plan(plan_id)
    with pytest.raises(PlanInUseError):
        book.delete_plan(plan_id)
    with pytest.raises(PlanInUseError):
        book.replace_plan(plan_id, plan)
    with pytest.raises(PlanInUseError):
        book.delete_load(book.run(run_id).load_id)
    assert book.plan(plan_id) == plan
    book.delete_run(run_id)
    book.delete_plan(plan_id)
    with pytest.raises(BookError):
        book.plan(plan_id)


def test_deleting_a_run_takes_its_readings(book: Book, run_id: int, evening: datetime) -> None:
    book.add_reading(run_id, evening, 820.0)
    book.add_readings(run_id, evenly(evening, 5), "logger", "n.csv", "h")
    book.delete_run(run_id)
    assert book.runs() == ()
    for ask in (book.run, book.readings, book.delete_run):
        with pytest.raises(BookError):
            ask(run_id)


def test_naive_times_are_refused(book: Book, plan_id: int, run_id: int) -> None:
    naive = datetime(2026, 3, 14, 22, 0)  # noqa: DTZ001 - the point of the test
    with pytest.raises(BookError, match="no time zone"):
        book.start_run(plan_id, naive)
    with pytest.raises(BookError, match="no time zone"):
        book.finish_run(run_id, naive)
    with pytest.raises(BookError, match="no time zone"):
        book.add_reading(run_id, naive, 820.0)


def test_everything_is_there_after_reopening(
    book: Book, run_id: int, evening: datetime, tmp_path: Path
) -> None:
    book.add_readings(run_id, evenly(evening, 10), "logger", "n.csv", "h")
    before = book.runs(), book.loads(), book.lehrs(), book.imports(run_id)
    book.close()
    with Book.open(book.path) as again:
        assert (again.runs(), again.loads(), again.lehrs(), again.imports(run_id)) == before
        assert len(again.readings(run_id)) == 10
