"""A disk that is full: said plainly, and nothing acknowledged is lost."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from core.errors import BookError, BookLockedError
from core.run.readings import Readings
from core.store import engine
from core.store.backup import back_up_if_due, backup_folder
from core.store.book import Book
from core.store.check import check_book
from core.store.export import export_book
from core.store.faults import book_error


@pytest.fixture
def no_room(book: Book, run_id: int, monkeypatch: pytest.MonkeyPatch) -> Book:
    """A book that may grow by eight pages of 4096 bytes and no more."""
    most = book.path.stat().st_size // 4096 + 8
    ordinary = engine.connect

    def limited(path: Path, **options: Any) -> sqlite3.Connection:
        connection = ordinary(path, **options)
        connection.execute(f"PRAGMA max_page_count={most}")
        return connection

    monkeypatch.setattr(engine, "connect", limited)
    return book


def log_until_refused(book: Book, run_id: int, evening: datetime) -> tuple[int, BookError]:
    """How many readings were acknowledged before the first that was refused, and how it was."""
    for part in range(1000):
        times = evening.timestamp() + part * 100 + np.arange(100.0)
        try:
            book.log_readings(run_id, Readings(times, np.full(100, 800.0)), "live")
        except BookError as error:
            return part * 100, error
    raise AssertionError("the disk never was full")


def test_readings_are_refused_when_the_disk_is_full(
    no_room: Book, run_id: int, evening: datetime
) -> None:
    acknowledged, error = log_until_refused(no_room, run_id, evening)
    assert "is full; nothing was written" in error.message
    assert error.remedy
    assert acknowledged > 0
    assert len(no_room.readings(run_id)) == acknowledged
    assert check_book(no_room.path).sound


def test_an_import_that_does_not_fit_leaves_nothing(
    no_room: Book, run_id: int, evening: datetime
) -> None:
    no_room.add_reading(run_id, evening - timedelta(hours=1), 790.0)
    times = evening.timestamp() + np.arange(100_000.0)
    with pytest.raises(BookError, match="is full"):
        no_room.add_readings(run_id, Readings(times, times * 0 + 800), "l", "n.csv", "h")
    assert len(no_room.readings(run_id)) == 1
    assert no_room.imports(run_id) == ()
    assert check_book(no_room.path).sound
    # And goes on with what fits.
    no_room.add_reading(run_id, evening, 791.0)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A real file system of one megabyte, where one may be made."""
    folder = tmp_path / "small"
    folder.mkdir()
    command = shutil.which("mount")
    if sys.platform != "linux" or os.geteuid() != 0 or command is None:
        pytest.skip("no file system can be mounted here")
    made = subprocess.run(
        [command, "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)],
        capture_output=True,
        check=False,
    )
    if made.returncode != 0:
        pytest.skip("no file system can be mounted here")
    yield folder
    subprocess.run([shutil.which("umount") or "umount", str(folder)], check=True)


def test_a_real_disk_full_and_freed_again(
    small_disk: Path, book: Book, run_id: int, evening: datetime
) -> None:
    filler = small_disk / "pictures"
    filler.write_bytes(bytes(300_000))
    path = Path(shutil.copyfile(book.path, small_disk / "book.sqlite"))
    with Book.open(path) as small:
        acknowledged, error = log_until_refused(small, run_id, evening)
        assert "is full" in error.message
        assert acknowledged > 0
        assert len(small.readings(run_id)) == acknowledged
        with pytest.raises(BookError, match="could not be backed up"):
            back_up_if_due(path)
        assert list(backup_folder(path).iterdir()) == []
        with pytest.raises(BookError, match="could not be written into"):
            export_book(small, small_disk / "all")
        assert not (small_disk / "all").exists()
        filler.unlink()
        small.add_reading(run_id, evening - timedelta(hours=1), 790.0)
        assert len(small.readings(run_id)) == acknowledged + 1
    assert check_book(path).sound


@pytest.mark.parametrize(
    ("number", "kind", "words"),
    [
        (errno.ENOSPC, BookError, "is full"),
        (errno.EDQUOT, BookError, "is full"),
        (errno.EROFS, BookLockedError, "read-only"),
        (errno.EACCES, BookError, "cannot be opened"),
    ],
)
def test_the_systems_own_words(number: int, kind: type[BookError], words: str) -> None:
    found = book_error(OSError(number, os.strerror(number)), Path("book.sqlite"))
    assert type(found) is kind
    assert words in found.message
