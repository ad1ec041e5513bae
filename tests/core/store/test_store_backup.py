"""Backups on a schedule, thinned out; put back without losing what is there; books salvaged."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import (
    BookDamagedError,
    BookError,
    BookLockedError,
    BookTooNewError,
    StoppedError,
)
from core.run.readings import Readings
from core.store import restore as restoring
from core.store.backup import (
    DAILY,
    back_up,
    back_up_if_due,
    back_up_now,
    backup_folder,
    backups,
    kept,
)
from core.store.book import Book
from core.store.check import check_book
from core.store.restore import restore
from core.store.salvage import salvage

NOON = datetime(2026, 3, 14, 12, tzinfo=UTC)
DAY = timedelta(days=1)


def written(path: Path, at: datetime) -> None:
    """Make the book look as if it had last been changed then."""
    os.utime(path, (at.timestamp(), at.timestamp()))


def test_a_backup_is_due_once_a_day_and_only_after_a_change(book: Book) -> None:
    written(book.path, NOON)
    first = back_up_if_due(book.path, now=NOON + DAY)
    assert first is not None
    assert (first.label, first.taken_at) == (DAILY, NOON + DAY)
    assert first.path.parent == backup_folder(book.path)
    assert backups(book.path) == (first,)
    with Book.open(first.path) as copy:
        assert copy.furnaces() == ()
    assert back_up_if_due(book.path, now=NOON + 3 * DAY) is None  # nothing was changed
    written(book.path, NOON + 1.5 * DAY)
    assert back_up_if_due(book.path, now=NOON + 1.9 * DAY) is None  # not a day old yet
    second = back_up_if_due(book.path, now=NOON + 2.1 * DAY)
    assert second is not None
    assert backups(book.path) == (second, first)


def test_a_clock_put_right_does_not_stop_the_backups(book: Book) -> None:
    written(book.path, NOON)
    assert back_up_if_due(book.path, now=NOON + 4000 * DAY) is not None
    assert back_up_if_due(book.path, now=NOON + DAY) is not None


def test_of_a_year_of_days_a_few_are_kept(book: Book) -> None:
    other = back_up(book.path, "layout 0001", now=NOON - 900 * DAY)
    for day in range(400):
        now = NOON + day * DAY
        written(book.path, now)
        if day % 9 == 0 or day > 380:
            assert back_up_if_due(book.path, now=now) is not None
    daily = [one for one in backups(book.path) if one.label == DAILY]
    ages = [(NOON + 399 * DAY - one.taken_at).days for one in daily]
    assert ages[:7] == list(range(7))
    assert 11 <= len([age for age in ages if age >= 7]) <= 16
    assert max(ages) >= 330
    assert other.exists()


@given(st.lists(st.integers(0, 3000), max_size=60))
def test_thinning_keeps_the_newest_and_is_settled_at_once(hours: list[int]) -> None:
    taken = {NOON - timedelta(hours=hour) for hour in hours}
    stay = kept(taken, NOON)
    assert stay <= taken
    assert len(stay) <= 7 + 5 + 13
    assert kept(stay, NOON) == stay
    if taken:
        assert max(taken) in stay


def test_what_is_left_of_an_interrupted_backup_is_none_and_goes(book: Book) -> None:
    folder = backup_folder(book.path)
    folder.mkdir()
    left = folder / f"{book.path.stem} backup daily 2026-01-01 000000.000000 UTC.sqlite.unfinished"
    left.write_bytes(b"half")
    assert backups(book.path) == ()
    back_up_if_due(book.path)
    assert not left.exists()
    assert len(backups(book.path)) == 1


def test_a_backup_that_cannot_be_made_says_so(book: Book) -> None:
    backup_folder(book.path).write_text("a file where the folder should be")
    with pytest.raises(BookError, match="could not be backed up"):
        back_up_if_due(book.path)
    backup_folder(book.path).unlink()
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(BookError, match="in use by another program"):
            back_up_if_due(book.path, busy_timeout=0.05)
    assert list(backup_folder(book.path).iterdir()) == []


def test_a_restored_book_is_the_backup_and_the_other_is_kept(book: Book) -> None:
    book.save_furnace("as it was")
    copy = back_up(book.path, "test")
    book.save_furnace("since then")
    before = book.path.read_bytes()
    aside = restore(book.path, copy)
    assert aside is not None
    assert "before restoring" in aside.name
    assert aside.read_bytes() == before
    assert book.furnaces() == ("as it was",)
    with Book.open(aside) as old:
        assert old.furnaces() == ("as it was", "since then")
    assert copy.exists()
    names = {file.name for file in book.path.parent.iterdir()}
    assert names == {book.path.name, copy.name, aside.name}


def test_a_lost_book_is_restored(book: Book) -> None:
    copy = back_up(book.path, "test")
    book.path.unlink()
    assert restore(book.path, copy) is None
    assert book.furnaces() == ()


def test_a_damaged_book_is_restored_with_its_journal_kept_aside(book: Book) -> None:
    copy = back_up(book.path, "test")
    book.path.write_bytes(b"\xa5" * 50_000)
    journal = book.path.with_name(book.path.name + "-journal")
    journal.write_bytes(b"\xd9\xd5\x05\xf9\x20\xa1\x63\xd7" + bytes(600))
    aside = restore(book.path, copy)
    assert aside is not None
    assert aside.read_bytes() == b"\xa5" * 50_000
    assert aside.with_name(aside.name + "-journal").exists()
    assert not journal.exists()
    assert book.furnaces() == ()


def test_what_is_no_sound_book_is_not_restored(book: Book, tmp_path: Path) -> None:
    book.save_furnace("as it was")
    before = book.path.read_bytes()
    letter = tmp_path / "letter.sqlite"
    letter.write_bytes(b"Dear harbour master, " * 200)
    photos = tmp_path / "photos.sqlite"
    with closing(sqlite3.connect(photos)) as file:
        file.execute("CREATE TABLE photos (id INTEGER)")
    cut = back_up(book.path, "cut")
    cut.write_bytes(cut.read_bytes()[:-8192])
    newer = back_up(book.path, "newer")
    with closing(sqlite3.connect(newer)) as file, file:
        file.execute("UPDATE alembic_version SET version_num = '9999'")
    loose = back_up(book.path, "loose")
    with closing(sqlite3.connect(loose)) as file, file:
        file.execute("INSERT INTO pots VALUES (1, 77, 'left', NULL, NULL)")
    for wrong in (letter, photos, cut, loose):
        with pytest.raises(BookDamagedError):
            restore(book.path, wrong)
    with pytest.raises(BookTooNewError):
        restore(book.path, newer)
    for absent in (tmp_path / "no such file", tmp_path, book.path):
        with pytest.raises(BookError):
            restore(book.path, absent)
    assert book.path.read_bytes() == before
    assert not list(tmp_path.glob("*before restoring*"))
    assert not list(tmp_path.glob(".*"))


def test_a_book_in_use_is_not_restored(book: Book) -> None:
    copy = back_up(book.path, "test")
    before = book.path.read_bytes()
    with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookLockedError, match="in use"):
            restore(book.path, copy, busy_timeout=0.05)
    assert book.path.read_bytes() == before
    assert not list(book.path.parent.glob("*before restoring*"))


def test_a_restore_that_fails_half_way_leaves_the_book(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.save_furnace("as it was")
    copy = back_up(book.path, "test")

    def full(path: Path, busy_timeout: float) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(restoring, "_set_aside", full)
    with pytest.raises(BookError, match="could not be put in place"):
        restore(book.path, copy)
    assert book.furnaces() == ("as it was",)
    assert not list(book.path.parent.glob(".*"))


def test_where_files_have_one_name_only_the_book_is_copied_aside(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    book.save_furnace("as it was")
    copy = back_up(book.path, "test")

    def refuse(source: object, target: object) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(os, "link", refuse)
    before = book.path.read_bytes()
    aside = restore(book.path, copy)
    assert aside is not None
    assert aside.read_bytes() == before


@pytest.fixture
def full_book(book: Book, run_id: int, evening: datetime) -> Book:
    times = evening.timestamp() + np.arange(20_000.0)
    book.add_readings(run_id, Readings(times, np.full(20_000, 800.0)), "logger", "n.csv", "h")
    for number in range(20):
        book.save_furnace(f"furnace {number}")
    return book


def damage(path: Path, table: str, share: float = 0.5) -> None:
    """Overwrite a page in the middle of a table, found by what SQLite says of its pages."""
    with closing(sqlite3.connect(path)) as file:
        (root,) = file.execute(
            "SELECT rootpage FROM sqlite_master WHERE name = ?", (table,)
        ).fetchone()
    data = bytearray(path.read_bytes())

    def children(page: int) -> list[int]:
        start = (page - 1) * 4096
        if data[start] != 5:  # an inner page of a table (fileformat2, section 1.6)
            return []
        count = int.from_bytes(data[start + 3 : start + 5])
        cells = [
            int.from_bytes(data[start + 12 + 2 * n : start + 14 + 2 * n]) for n in range(count)
        ]
        return [int.from_bytes(data[start + cell : start + cell + 4]) for cell in cells]

    leaves = children(root) or [root]
    page = leaves[int(share * len(leaves))]
    data[(page - 1) * 4096 : page * 4096] = b"\xa5" * 4096
    path.write_bytes(data)


def test_a_sound_book_passes_and_a_damaged_one_is_described(full_book: Book) -> None:
    report = check_book(full_book.path)
    assert report.sound
    with pytest.raises(StoppedError):
        check_book(full_book.path, cancelled=lambda: True)
    damage(full_book.path, "readings")
    report = check_book(full_book.path)
    assert not report.sound
    assert report.findings
    full_book.path.write_bytes(b"Dear harbour master, " * 200)
    assert not check_book(full_book.path).sound
    with pytest.raises(BookError):
        check_book(full_book.path.with_name("no such book"))


def test_a_check_finds_what_only_we_can_read(book: Book, run_id: int) -> None:
    with closing(sqlite3.connect(book.path)) as file, file:
        file.execute("UPDATE loads SET snapshot = '{'")
        file.execute("INSERT INTO pots VALUES (1, 77, 'left', NULL, NULL)")
    findings = " ".join(check_book(book.path).findings)
    assert "entry 1 of loads: its snapshot cannot be read" in findings
    assert "entry 1 of pots refers to a missing entry of equipment" in findings


def test_what_can_be_read_is_saved_into_a_new_book(
    full_book: Book, run_id: int, tmp_path: Path
) -> None:
    damage(full_book.path, "readings")
    broken = full_book.path.read_bytes()
    with pytest.raises(BookDamagedError):
        Book.open(full_book.path)
    shares: list[float] = []
    report = salvage(full_book.path, tmp_path / "saved.sqlite", progress=shares.append)
    assert full_book.path.read_bytes() == broken
    assert report.lost == ("readings",)
    (readings,) = (table for table in report.tables if table.name == "readings")
    assert not readings.whole
    # One page of 4096 bytes is lost: at the very most the rows that fit, at 25 bytes or more each.
    assert 20_000 - 4096 / 25 < readings.saved < 20_000
    assert shares[-1] == 1.0
    assert check_book(report.book).sound
    with Book.open(report.book) as saved:
        assert len(saved.furnaces()) == 20
        kept_readings = saved.readings(run_id)
        assert len(kept_readings) == readings.saved
        assert set(kept_readings.temperature) == {800.0}
        saved.save_furnace("goes on")
    left = {file.name for file in tmp_path.iterdir()}
    assert left == {full_book.path.name, "saved.sqlite"}


@pytest.mark.parametrize("share", [0.0, 0.99])
def test_the_ends_of_a_table_may_be_lost(full_book: Book, tmp_path: Path, share: float) -> None:
    damage(full_book.path, "readings", share)
    report = salvage(full_book.path, tmp_path / "saved.sqlite")
    saved = {table.name: table.saved for table in report.tables}
    assert 20_000 - 4096 / 25 < saved["readings"] < 20_000


def test_rows_whose_parents_are_lost_are_counted(full_book: Book, tmp_path: Path) -> None:
    damage(full_book.path, "runs")
    report = salvage(full_book.path, tmp_path / "saved.sqlite")
    saved = {table.name: table for table in report.tables}
    assert (saved["runs"].saved, saved["runs"].whole) == (0, False)
    assert (saved["readings"].saved, saved["readings"].orphaned) == (0, 20_000)
    assert set(report.lost) == {"runs", "readings", "imports"}
    with Book.open(report.book) as book:
        assert book.runs() == ()
        assert len(book.loads()) == 1


def test_a_header_overwritten_is_made_good(full_book: Book, run_id: int, tmp_path: Path) -> None:
    data = bytearray(full_book.path.read_bytes())
    data[:16] = b"Dear harbour mas"
    full_book.path.write_bytes(data)
    report = salvage(full_book.path, tmp_path / "saved.sqlite")
    assert report.lost == ()
    with Book.open(report.book) as saved:
        assert len(saved.readings(run_id)) == 20_000


def test_what_cannot_be_salvaged_says_so_and_leaves_nothing(
    full_book: Book, tmp_path: Path
) -> None:
    target = tmp_path / "saved.sqlite"
    letter = tmp_path / "letter.sqlite"
    letter.write_bytes(b"Dear harbour master, " * 2000)
    with pytest.raises(BookDamagedError):
        salvage(letter, target)
    with pytest.raises(StoppedError):
        salvage(full_book.path, target, cancelled=lambda: True)
    with pytest.raises(BookError, match="no file"):
        salvage(tmp_path / "no such book", target)
    with pytest.raises(BookError, match="already"):
        salvage(full_book.path, letter)
    assert {file.name for file in tmp_path.iterdir()} == {full_book.path.name, letter.name}


def test_a_backup_asked_for_is_never_thinned_out(book: Book) -> None:
    asked = back_up_now(book.path, "by hand")
    assert asked.path.parent == backup_folder(book.path)
    assert backups(book.path) == (asked,)
    for day in range(500, 512):
        written(book.path, NOON + day * DAY)
        back_up_if_due(book.path, now=NOON + day * DAY)
    assert asked in backups(book.path)
    backup_folder(book.path).rename(book.path.with_name("moved"))
    backup_folder(book.path).write_text("a file where the folder should be")
    with pytest.raises(BookError, match="could not be backed up"):
        back_up_now(book.path, "by hand")
