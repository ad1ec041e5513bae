"""How long a million readings take into the book; times are told, the ratio to the driver held."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from core.run.log_file import read_log
from core.run.readings import Readings
from core.store.book import Book

FROZEN = Path(__file__).parents[1] / "migrations" / "layout_0003.sql"
START = datetime(2026, 1, 1, tzinfo=UTC)
MILLION = 1_000_000


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    path = tmp_path / "book.sqlite"
    with closing(sqlite3.connect(path)) as file:
        file.executescript(FROZEN.read_text(encoding="utf-8"))
    with Book.open(path) as opened:
        yield opened


@pytest.fixture
def run(book: Book) -> int:
    return book.start_run(1, START).id


def made(count: int) -> Readings:
    return Readings(START.timestamp() + np.arange(float(count)), np.full(count, 800.0))


@pytest.fixture(scope="module")
def million_rows() -> bytes:
    days = [f"{START + timedelta(days=day):%Y-%m-%d}" for day in range(12)]
    clock = [f"{s // 3600:02}:{s // 60 % 60:02}:{s % 60:02}" for s in range(86_400)]
    rows = (
        f"{day} {hour},{520 - i % 4000 / 10:.1f}" for day in days for i, hour in enumerate(clock)
    )
    return (
        "time,lehr C\n" + "\n".join([row for row, _ in zip(rows, range(MILLION), strict=False)])
    ).encode()


def test_a_million_rows_from_file_to_book(benchmark, book, run, million_rows):
    def take_in():
        log = read_log(million_rows, timezone="UTC")
        return book.add_readings(run, log.readings, "logger", "million.csv", "0" * 64)

    outcome = benchmark.pedantic(take_in, rounds=1)
    assert outcome.added == MILLION


def test_taking_in_is_no_slower_than_the_driver_alone(benchmark, book, run, tmp_path):
    readings = made(200_000)
    benchmark.pedantic(book.add_readings, (run, readings, "logger", "n.csv", "0" * 64), rounds=1)
    ours = benchmark.stats.stats.min
    with closing(sqlite3.connect(book.path, isolation_level=None)) as file:
        file.executescript(
            "PRAGMA foreign_keys=ON; PRAGMA synchronous=EXTRA; DELETE FROM readings;"
        )
        (lehr,) = file.execute("SELECT equipment_id FROM runs WHERE id = ?", (run,)).fetchone()
        began = time.perf_counter()
        file.execute("BEGIN IMMEDIATE")
        file.executemany(
            "INSERT INTO readings (equipment_id, run_id, source, note, time, temperature_k)"
            " VALUES (?, ?, 'logger', '', ?, ?)",
            [
                (lehr, run, moment, kelvin)
                for moment, kelvin in zip(
                    (readings.time * 1e6).astype(int).tolist(),
                    readings.temperature.tolist(),
                    strict=True,
                )
            ],
        )
        file.execute("COMMIT")
        plain = time.perf_counter() - began
    assert ours < plain


def test_a_reading_typed(benchmark, book, run):
    seconds = iter(range(MILLION))

    def type_one():
        book.add_reading(run, START + timedelta(seconds=next(seconds)), 800.0)

    benchmark(type_one)


def test_read_a_hundred_thousand(benchmark, book, run):
    book.add_readings(run, made(100_000), "logger", "n.csv", "0" * 64)
    assert len(benchmark(book.readings, run)) == 100_000
