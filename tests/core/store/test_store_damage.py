"""Books damaged anywhere: refused or read, and salvaged into a sound book or plainly given up."""

from __future__ import annotations

import os
import random
import sqlite3
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from core.errors import BookError, LehrkeeperError
from core.run.readings import Readings
from core.store.book import Book
from core.store.check import check_book
from core.store.salvage import SalvageReport, salvage

DAMAGES = int(os.environ.get("LEHRKEEPER_DAMAGES", "12"))
"""How many ways of damaging are tried; set the variable to try more."""
FROZEN = Path(__file__).parents[2] / "migrations" / "layout_0003.sql"


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """A book with something in every table, and 5000 readings."""
    path = tmp_path_factory.mktemp("whole") / "book.sqlite"
    with closing(sqlite3.connect(path)) as file:
        file.executescript(FROZEN.read_text(encoding="utf-8"))
    with Book.open(path) as book:
        run = book.start_run(1, book.runs()[0].started_at).id
        times = 1.8e9 + np.arange(5000.0)
        book.add_readings(run, Readings(times, np.full(5000, 800.0)), "l", "n.csv", "h")
    return path.read_bytes()


def damaged(data: bytes, seed: int) -> bytes:
    """The same with pages overwritten, bytes flipped, a piece cut out or the end cut off."""
    chance = random.Random(seed)  # noqa: S311 - where a disk fails, no secrets
    spoilt = bytearray(data)
    pages = len(spoilt) // 4096
    match seed % 4:
        case 0:
            for _ in range(chance.randint(1, 6)):
                page = chance.randrange(pages)
                spoilt[page * 4096 : (page + 1) * 4096] = chance.randbytes(4096)
        case 1:
            for _ in range(chance.randint(1, 400)):
                spoilt[chance.randrange(len(spoilt))] = chance.randrange(256)
        case 2:
            first = chance.randrange(len(spoilt))
            spoilt[first : first + chance.randint(1, 60_000)] = bytes(chance.randint(0, 60_000))
        case _:
            del spoilt[chance.randint(100, len(spoilt)) :]
    return bytes(spoilt)


def read_all(path: Path) -> None:
    """Go through everything as the pages of the window do."""
    with Book.open(path) as book:
        for run in book.runs():
            book.readings(run.id)
            book.run_events(run.id)
        book.outcomes(), book.loads(), book.glasses(), book.lehrs(), book.materials()
        book.batches(), book.charges(), book.pot_entries(), book.charge_lists()
        book.log_formats(), book.live_sources(), book.alarms(), book.search("prism")
        for load in book.loads():
            book.plans(load.id)


def saved(path: Path, target: Path) -> SalvageReport | None:
    try:
        return salvage(path, target)
    except BookError as caught:
        error = caught
    assert error.remedy
    return None


@pytest.mark.parametrize("seed", range(DAMAGES))
def test_a_damaged_book_is_never_more_than_an_error_we_know(
    whole: bytes, tmp_path: Path, seed: int
) -> None:
    path = tmp_path / "book.sqlite"
    spoilt = damaged(whole, seed)
    path.write_bytes(spoilt)
    report = saved(path, tmp_path / "saved.sqlite")
    assert path.read_bytes() == spoilt
    if report is not None:
        assert check_book(report.book).sound or not_our_fault(report.book)
        with Book.open(report.book) as book:
            assert len(book.runs()) <= 2
    error: LehrkeeperError | None = None
    try:
        read_all(path)
    except LehrkeeperError as caught:
        error = caught
    assert error is None or error.remedy
    assert not list(tmp_path.glob(".*"))


def not_our_fault(path: Path) -> bool:
    """Tell whether the only findings are texts that were garbled where no check could tell."""
    findings = check_book(path).findings
    return all("cannot be read" in finding for finding in findings)
