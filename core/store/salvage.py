"""What can still be read of a damaged book, saved into a new one; the damaged one stays as it is.

Rows are read in the order of their numbers; what cannot be read is stepped over, at the cost of
the rows on the same page of the file. Rows whose parents are lost go too, but are counted, and the
damaged file still has them.
"""

from __future__ import annotations

import contextlib
import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from core.errors import BookDamagedError, BookError, StoppedError
from core.store.backup import is_file
from core.store.engine import connect
from core.store.faults import TROUBLE, UNREADABLE, book_error, damaged
from core.store.migrate import APPLICATION_ID, prepare

_STRETCH = 4096
"""Rows read at a time."""
_HEADER = b"SQLite format 3\0"
_FARTHEST = 2**48
"""No row has a higher number."""
_SINGLY = 300
"""Rows tried one by one behind the first that cannot be read: more do not fit on a page."""
_MOST_GAPS = 20_000
"""Places in one table after which it is given up."""

Row = tuple[object, ...]


@dataclass(frozen=True)
class TableSaved:
    """What became of a table.

    Attributes
    ----------
    name : str
    saved : int
        Rows in the new book.
    orphaned : int
        Rows that were read, but what they belong to is lost.
    whole : bool
        False when part of it could not be read.
    """

    name: str
    saved: int
    orphaned: int
    whole: bool


@dataclass(frozen=True)
class SalvageReport:
    """What was saved.

    Attributes
    ----------
    damaged, book : Path
        The damaged file, as it was, and the new book.
    tables : tuple of TableSaved
        Those that had or may have had rows.
    """

    damaged: Path
    book: Path
    tables: tuple[TableSaved, ...]

    @property
    def lost(self) -> tuple[str, ...]:
        """Tables of which something is missing."""
        return tuple(table.name for table in self.tables if not table.whole or table.orphaned)


def salvage(
    path: Path,
    target: Path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> SalvageReport:
    """Save what can be read of a damaged book into a new one.

    Parameters
    ----------
    path : Path
        The damaged book; it is only read.
    target : Path
        The new book; nothing may be there yet.
    progress, cancelled : callable, optional
        Told the share done (0 to 1); asked now and then whether to stop.

    Raises
    ------
    BookDamagedError
        Not even the list of its tables can be read.
    StoppedError
        When ``cancelled`` says so; nothing is left of the new book.
    BookError
        There is a file at ``target``, or it cannot be written.
    """
    path, target = Path(path), Path(target)
    if target.exists():
        raise BookError(
            f"There is a file “{target.name}” already.",
            field="target",
            remedy="Choose another name for the new book.",
        )
    if not is_file(path):
        raise BookError(f"There is no file “{path.name}” in “{path.parent}”.", field="path")
    copy = target.with_name(f".{target.name}.salvaging")
    made = target.with_name(f".{target.name}.salvaged")
    try:
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            _copy(path, copy)
            tables = _save(path, copy, made, progress, cancelled)
            prepare(made)
            made.replace(target)
        finally:
            for left in (copy, made):
                for name in (left, left.with_name(left.name + "-journal")):
                    name.unlink(missing_ok=True)
    except TROUBLE as error:
        raise book_error(error, target) from error
    return SalvageReport(path, target, tables)


def _copy(path: Path, copy: Path) -> None:
    shutil.copyfile(path, copy)
    journal = path.with_name(path.name + "-journal")
    if is_file(journal):
        shutil.copyfile(journal, copy.with_name(copy.name + "-journal"))
    with copy.open("rb+") as file:
        if file.read(16) != _HEADER:
            # The first bytes were overwritten: a book's are always these (fileformat2, section
            # 1.3: name, pages of 4096 bytes, rollback journal, no reserved bytes, fractions).
            file.seek(0)
            file.write(_HEADER + b"\x10\x00\x01\x01\x00\x40\x20\x20")


def _save(
    path: Path,
    copy: Path,
    made: Path,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> tuple[TableSaved, ...]:
    made.unlink(missing_ok=True)
    with (
        closing(_opened(path, copy)) as source,
        closing(connect(made, busy_timeout=1.0, mode="rwc", rebuilding=True)) as target,
    ):
        layout = _layout(source, path)
        target.execute(f"PRAGMA application_id={APPLICATION_ID}")
        target.execute("BEGIN IMMEDIATE")
        # Indexes before the rows: a garbled row that no sound book can have is refused singly.
        for wanted in ("table", "index"):
            for kind, _, statement in layout:
                if kind == wanted:
                    target.execute(statement)
        names = [name for kind, name, _ in layout if kind == "table"]
        whole = {}
        for number, name in enumerate(names):
            whole[name] = _save_table(source, target, name, cancelled)
            if progress is not None:
                progress((number + 1) / len(names))
        if not target.execute("SELECT 1 FROM alembic_version").fetchall():
            raise damaged(path, "the number of its layout is missing")
        read = {name: _count(target, name) for name in names}
        _drop_orphans(target)
        for kind, _, statement in layout:
            if kind == "trigger":
                target.execute(statement)
        kept = {name: _count(target, name) for name in names}
        target.execute("COMMIT")
    return tuple(
        TableSaved(name, kept[name], read[name] - kept[name], whole[name])
        for name in names
        if name != "alembic_version" and (read[name] or not whole[name])
    )


def _opened(path: Path, copy: Path) -> sqlite3.Connection:
    try:
        file = connect(copy, busy_timeout=1.0)
    except UNREADABLE as error:
        raise _nothing(path, error) from error
    file.text_factory = lambda raw: raw.decode("utf-8", "replace")
    return file


def _nothing(path: Path, error: Exception) -> BookDamagedError:
    return BookDamagedError(
        f"Nothing can be saved of “{path.name}”: not even the list of its tables can be read "
        f"({error}).",
        remedy="Go back to a backup.",
    )


def _layout(source: sqlite3.Connection, path: Path) -> list[tuple[str, str, str]]:
    try:
        layout = source.execute(
            "SELECT type, name, sql FROM sqlite_master"
            " WHERE sql IS NOT NULL AND name NOT LIKE 'sqlite_%'"
        ).fetchall()
    except UNREADABLE as error:
        raise _nothing(path, error) from error
    if "alembic_version" not in {name for _, name, _ in layout}:
        raise damaged(path, "the list of its tables is missing")
    return layout


def _save_table(
    source: sqlite3.Connection,
    target: sqlite3.Connection,
    name: str,
    cancelled: Callable[[], bool] | None,
) -> bool:
    """Copy what can be read; returns whether that was all."""
    marks = ", ".join("?" * len(target.execute(f'PRAGMA table_info("{name}")').fetchall()))
    reader = _TableReader(source, name)
    for rows in reader.stretches():
        if cancelled is not None and cancelled():
            raise StoppedError("Saving was stopped; nothing of the new book is left.")
        for row in rows:
            try:
                target.execute(f'INSERT INTO "{name}" VALUES ({marks})', row)  # noqa: S608 - its own names
            except sqlite3.IntegrityError:
                reader.whole = False  # a row that no sound book can have
    return reader.whole


class _TableReader:
    """Reads a table in the order of its row numbers, stepping over what cannot be read."""

    def __init__(self, source: sqlite3.Connection, name: str) -> None:
        self._source = source
        self._name = name
        self.whole = True

    def stretches(self) -> Iterator[list[Row]]:
        """Rows, some at a time."""
        last = -_FARTHEST
        for _ in range(_MOST_GAPS):
            rows: list[Row] = []
            try:
                for number, *row in self._source.execute(
                    f'SELECT rowid, * FROM "{self._name}" WHERE rowid > ? ORDER BY rowid',  # noqa: S608 - its own names
                    (last,),
                ):
                    rows.append(tuple(row))
                    if last < number < _FARTHEST:  # else garbled: the next may be right again
                        last = int(number)
                    if len(rows) >= _STRETCH:
                        yield rows
                        rows = []
            except UNREADABLE:
                self.whole = False
                yield rows
                behind = self._readable_behind(last)
                if behind is None:
                    return
                yield list(self._singly(last + 1, min(behind, last + _SINGLY)))
                last = behind
            else:
                yield rows
                return

    def _readable_behind(self, last: int) -> int | None:
        """Number behind which rows can be read again; ``None`` if there are none."""
        step = 1
        while not self._can_seek(last + step):
            step *= 2
            if step > 2 * _FARTHEST:
                return None
        low, high = step // 2, step
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self._can_seek(last + middle) else (middle, high)
        return last + high

    def _can_seek(self, number: int) -> bool:
        try:
            self._source.execute(
                f'SELECT * FROM "{self._name}" WHERE rowid > ? ORDER BY rowid LIMIT 1',  # noqa: S608 - its own names
                (number,),
            ).fetchone()
        except UNREADABLE:
            return False
        return True

    def _singly(self, first: int, last: int) -> Iterator[Row]:
        """Rows on a page of which some can be read."""
        for number in range(first, last + 1):
            with contextlib.suppress(*UNREADABLE):
                yield from self._source.execute(
                    f'SELECT * FROM "{self._name}" WHERE rowid = ?',  # noqa: S608 - its own names
                    (number,),
                )


def _count(file: sqlite3.Connection, name: str) -> int:
    (count,) = file.execute(f'SELECT count(*) FROM "{name}"').fetchone()  # noqa: S608 - its own names
    return int(count)


def _drop_orphans(target: sqlite3.Connection) -> None:
    """Let go of rows whose parents are lost, or only of the link where the row means something."""
    while True:
        loose = target.execute("PRAGMA foreign_key_check").fetchall()
        if not loose:
            return
        for table, row, _, number in loose:
            links = target.execute(f'PRAGMA foreign_key_list("{table}")').fetchall()
            those = [link for link in links if link[0] == number]
            columns = [link[3] for link in those]
            if those and those[0][6] == "SET NULL":
                nothing = ", ".join(f'"{column}" = NULL' for column in columns)
                target.execute(f'UPDATE "{table}" SET {nothing} WHERE rowid = ?', (row,))  # noqa: S608 - its own names
            else:
                target.execute(f'DELETE FROM "{table}" WHERE rowid = ?', (row,))  # noqa: S608 - its own names
