"""Kills a process that writes into a book, again and again, and looks what is left each time.

Run as ``python killed_writer.py BOOK RUN TRIALS SEED``; prints one line of JSON with the sums.
The writers are forks of this program, so that a trial does not take a start of the interpreter.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np

from core.run.readings import Readings
from core.store.book import Book
from core.store.check import check_book

START = datetime(2026, 3, 14, 21, 30, tzinfo=UTC)
IN_A_FILE = 30_000
LONGEST = 0.25
"""[s] After which a writer is killed at the latest."""


def write_readings(book: Book, run: int, first: int, told: int) -> None:
    """One after the other, each told of once it is on the disk."""
    for number in range(first, first + 1_000_000):
        book.add_reading(run, START + timedelta(seconds=number), 800.0, "live")
        os.write(told, b".")


def write_polls(book: Book, run: int, first: int, told: int) -> None:
    """Three at a time, as after a gap."""
    for number in range(first, first + 1_000_000, 3):
        times = START.timestamp() + np.arange(number, number + 3.0)
        book.log_readings(run, Readings(times, np.full(3, 800.0)), "live")
        os.write(told, b"...")


def write_files(book: Book, run: int, first: int, told: int) -> None:
    """Whole files."""
    for number in range(first, first + 1_000_000 * IN_A_FILE, IN_A_FILE):
        times = START.timestamp() + np.arange(number, number + float(IN_A_FILE))
        book.add_readings(run, Readings(times, times * 0 + 800), "file", str(number), "h")
        os.write(told, b"f")


WRITERS = (write_readings, write_polls, write_files)


def killed(path: Path, run: int, first: int, writer: Any, after: float) -> tuple[int, bool]:
    """Bytes told before the end, and whether a journal was left: it was in the middle of it."""
    reading, telling = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        try:
            with Book.open(path) as book:
                writer(book, run, first, telling)
        finally:
            os._exit(1)
    os.close(telling)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    told = 0
    while part := os.read(reading, 65_536):
        told += len(part)
    os.close(reading)
    return told, path.with_name(path.name + "-journal").exists()


def main(path: Path, run: int, trials: int, seed: int) -> dict[str, int]:
    """Sums over all trials; raises AssertionError where something was lost."""
    chance = random.Random(seed)  # noqa: S311 - times of death, no secrets
    sums = {"trials": trials, "acknowledged": 0, "kept": 0, "in the middle": 0, "files": 0}
    first = files = 0
    for trial in range(trials):
        writer = WRITERS[trial % len(WRITERS)]
        told, middle = killed(path, run, first, writer, chance.uniform(0.02, LONGEST))
        report = check_book(path)
        assert report.sound, report.findings
        with Book.open(path) as book:
            kept = book.readings(run).time - START.timestamp()
            imports = book.imports(run)
        new = kept[kept >= first]
        # Without a gap from where this writer began.
        assert new.tolist() == list(range(first, first + len(new)))
        if writer is write_files:
            # Whole or absent; one more may be there than could still be told of.
            assert len(new) % IN_A_FILE == 0
            assert told <= len(new) // IN_A_FILE <= told + 1
            assert len(imports) == files + len(new) // IN_A_FILE
            assert all((one.added, one.skipped) == (IN_A_FILE, 0) for one in imports)
            files = len(imports)
            acknowledged = told * IN_A_FILE
        else:
            assert told <= len(new) <= told + (1 if writer is write_readings else 3)
            acknowledged = told
        sums["acknowledged"] += acknowledged
        sums["kept"] += len(new)
        sums["in the middle"] += middle
        first += len(new)
        if first > 600_000:  # so that a trial does not become slower and slower
            with Book.open(path) as book:
                book.delete_run(run)
                run = book.start_run(book.plans(1)[0].id, START).id
            first = files = 0
    sums["files"] = files
    return sums


if __name__ == "__main__":
    book_path, run_number, trial_count, number_seed = sys.argv[1:]
    print(json.dumps(main(Path(book_path), int(run_number), int(trial_count), int(number_seed))))
