"""What was acknowledged is on the disk, whatever happens to the program; threads may share a book.

A killed process is what can be tried here; a power cut is left to SQLite's own promise for
``synchronous=EXTRA``.
"""

from __future__ import annotations

import subprocess
import sys
import threading
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from core.furnace.ledger import FurnaceReading
from core.run.readings import Readings
from core.store.book import Book

ROOT = Path(__file__).parents[3]
TYPING = """
import sys
from datetime import datetime, timedelta
from pathlib import Path
from core.store.book import Book
book = Book.open(Path(sys.argv[1]))
start = datetime.fromisoformat(sys.argv[3])
for second in range(100_000):
    book.add_reading(int(sys.argv[2]), start + timedelta(seconds=second), 800.0)
    print(second, flush=True)
"""
IMPORTING = """
import sys
from datetime import datetime
from pathlib import Path
import numpy as np
from core.run.readings import Readings
from core.store.book import Book
book = Book.open(Path(sys.argv[1]))
start = datetime.fromisoformat(sys.argv[3]).timestamp()
for number in range(100_000):
    time = start + 3000.0 * number + np.arange(3000.0)
    print("start", flush=True)
    book.add_readings(int(sys.argv[2]), Readings(time, time * 0 + 800), "l", str(number), "h")
"""


def kill_after(code: str, book: Book, run_id: int, start: datetime, lines: int) -> list[str]:
    """Lines the program had printed before it was killed."""
    with subprocess.Popen(
        [sys.executable, "-c", code, str(book.path), str(run_id), start.isoformat()],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
    ) as program:
        assert program.stdout is not None
        seen = [program.stdout.readline() for _ in range(lines)]
        program.kill()
        return seen + program.stdout.readlines()


@pytest.mark.parametrize("lines", [7])
def test_acknowledged_readings_outlive_the_program(
    book: Book, run_id: int, evening: datetime, lines: int
) -> None:
    acknowledged = len(kill_after(TYPING, book, run_id, evening, lines))
    assert acknowledged >= lines
    with Book.open(book.path) as again:
        kept = again.readings(run_id)
    # One more may have been written whose acknowledgement was not printed any more.
    assert len(kept) in {acknowledged, acknowledged + 1}
    assert kept.time.tolist() == [evening.timestamp() + s for s in range(len(kept))]


@pytest.mark.parametrize("lines", [3])
def test_a_file_cut_off_by_the_end_of_the_program_is_whole_or_absent(
    book: Book, run_id: int, evening: datetime, lines: int
) -> None:
    kill_after(IMPORTING, book, run_id, evening, lines)
    with Book.open(book.path) as again:
        kept, files = again.readings(run_id), again.imports(run_id)
    assert len(files) >= lines - 1
    assert all((file.added, file.skipped) == (3000, 0) for file in files)
    assert len(kept) == 3000 * len(files)


def test_several_threads_share_a_book(book: Book, run_id: int, evening: datetime) -> None:
    book.save_furnace("f")
    failures: list[BaseException] = []

    def type_readings(lane: int) -> None:
        try:
            for second in range(15):
                moment = evening + timedelta(seconds=second * 4 + lane)
                book.add_furnace_reading(FurnaceReading(moment, "f", 1400.0))
                book.furnace_readings("f")
        except BaseException as error:  # noqa: BLE001 - handed to the test's own thread
            failures.append(error)

    lanes = [threading.Thread(target=type_readings, args=(lane,)) for lane in range(4)]
    for thread in lanes:
        thread.start()
    book.add_readings(
        run_id,
        Readings(evening.timestamp() + np.arange(5000.0), np.full(5000, 800.0)),
        "logger",
        "n.csv",
        "h",
    )
    for thread in lanes:
        thread.join()
    assert failures == []
    assert len(book.furnace_readings("f")) == 60
    assert len(book.readings(run_id)) == 5000
