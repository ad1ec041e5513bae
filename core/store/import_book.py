"""A book made again of the files that :mod:`core.store.export` wrote.

The book is made in the layout it was written in, filled, and then brought to the present one by
the same migrations as any other book.
"""

from __future__ import annotations

import csv
import glob
import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from core.errors import BookDamagedError, BookError, BookTooNewError, Place, StoppedError
from core.store.engine import connect
from core.store.export import CONTENTS, EXPORT_FORMAT
from core.store.faults import TROUBLE, book_error
from core.store.fields import Fields
from core.store.migrate import LAYOUT, prepare, prepare_at
from core.store.tables import Column, ColumnKind
from core.store.written_values import Value, cell_reader, member_value

_AT_ONCE = 5000
Row = tuple[Value, ...]
_LONGEST_CELL = 2**31 - 1


@dataclass(frozen=True)
class _Table:
    name: str
    file: Path
    rows: int
    columns: tuple[Column, ...]


def import_book(
    folder: Path,
    target: Path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Path:
    """Make a new book of an export; returns its path.

    Parameters
    ----------
    folder : Path
        As :func:`core.store.export.export_book` wrote it.
    target : Path
        The new book; nothing may be there yet.
    progress, cancelled : callable, optional
        Told the share read (0 to 1); asked now and then whether to stop.

    Raises
    ------
    BookTooNewError
        A newer version of the program wrote it.
    BookDamagedError
        A file is missing, cut short or cannot be read; ``place`` says where. Nothing was made.
    StoppedError
        When ``cancelled`` says so; nothing was made.
    BookError
        There is a file at ``target``, or it cannot be written.
    """
    folder, target = Path(folder), Path(target)
    if target.exists():
        raise BookError(
            f"There is a file “{target.name}” already.",
            field="target",
            remedy="Choose another name for the new book.",
        )
    layout, tables = _contents(folder)
    made = target.with_name(f".{target.name}.importing")
    try:
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
            made.unlink(missing_ok=True)
            prepare_at(made, layout)
            _fill(made, tables, progress, cancelled)
            prepare(made)
            for left in made.parent.glob(f"{glob.escape(made.stem)} backup *"):
                left.unlink()  # of the layout in between
            made.replace(target)
        finally:
            for name in (made, made.with_name(made.name + "-journal")):
                name.unlink(missing_ok=True)
    except TROUBLE as error:
        raise book_error(error, target) from error
    return target


def _wrong(
    file: Path, message: str, line: int | None = None, column: str | None = None
) -> BookError:
    return BookDamagedError(
        message,
        place=Place(str(file), line, column),
        remedy="Nothing was made. Write the book out again, or mend the file.",
    )


def _contents(folder: Path) -> tuple[str, list[_Table]]:
    file = folder / CONTENTS
    try:
        head = Fields(json.loads(file.read_text(encoding="utf-8")), CONTENTS)
        version, layout = head.whole("export_format"), head.text("layout")
        if version > EXPORT_FORMAT or not layout.isdigit() or int(layout) > int(LAYOUT):
            raise BookTooNewError(
                "This export was written by a newer version of this program.",
                place=Place(str(file)),
                remedy="Update the program.",
            )
        tables = []
        inner = head.inner("tables")
        for name in inner.names():
            table = inner.inner(name)
            columns = tuple(
                Column(
                    one.text("name"), one.choice("kind", ColumnKind), bool(one.content["nullable"])
                )
                for one in table.inners("columns")
            )
            path = folder / Path(table.text("file")).name
            tables.append(_Table(name, path, table.whole("rows"), columns))
    except OSError as error:
        raise _wrong(file, f"This is no export of a book ({error.strerror}).") from error
    except (ValueError, KeyError) as error:
        raise _wrong(file, f"The list of the export's files cannot be read ({error}).") from error
    return layout, tables


def _fill(
    made: Path,
    tables: list[_Table],
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> None:
    whole, done = max(1, sum(table.rows for table in tables)), 0
    with closing(connect(made, busy_timeout=1.0, rebuilding=True)) as file:
        file.execute("PRAGMA cache_size=-65536")
        file.execute("BEGIN IMMEDIATE")
        known = {
            name: {row[1] for row in file.execute(f'PRAGMA table_info("{name}")')}
            for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        }
        for table in tables:
            strange = {column.name for column in table.columns} - known.get(table.name, set())
            if strange:
                raise _wrong(
                    table.file,
                    f"A book has no {min(strange)} in {table.name}.",
                    column=min(strange),
                )
            names = ", ".join(f'"{column.name}"' for column in table.columns)
            marks = ", ".join("?" * len(table.columns))
            statement = f'INSERT INTO "{table.name}" ({names}) VALUES ({marks})'  # noqa: S608 - names of its own tables
            count = 0
            for rows in _read(table):
                if cancelled is not None and cancelled():
                    raise StoppedError("Reading was stopped; nothing was made.")
                try:
                    file.executemany(statement, rows)
                except sqlite3.IntegrityError as error:
                    raise _wrong(
                        table.file,
                        f"An entry after the first {count} is not possible ({error}).",
                    ) from error
                count += len(rows)
                if progress is not None:
                    progress(min(1.0, (done + count) / whole))
            if count != table.rows:
                raise _wrong(
                    table.file, f"The file has {count} entries; {table.rows} were written."
                )
            done += count
        loose = file.execute("PRAGMA foreign_key_check").fetchone()
        if loose:
            raise _wrong(
                made, f"Entry {loose[1]} of {loose[0]} refers to a missing entry of {loose[2]}."
            )
        file.execute("COMMIT")


def _read(table: _Table) -> Iterator[list[Row]]:
    try:
        if table.file.suffix == ".json":
            yield from _read_json(table)
        else:
            yield from _read_csv(table)
    except OSError as error:
        raise _wrong(table.file, f"The file cannot be read ({error.strerror}).") from error
    except (UnicodeDecodeError, csv.Error, json.JSONDecodeError) as error:
        raise _wrong(table.file, f"The file cannot be read ({error}).") from error


def _read_csv(table: _Table) -> Iterator[list[Row]]:
    readers = [cell_reader(column) for column in table.columns]
    before = csv.field_size_limit(_LONGEST_CELL)
    try:
        with table.file.open(encoding="utf-8-sig", newline="") as stream:
            reader = csv.reader(stream)
            header = next(reader, [])
            if header != [column.name for column in table.columns]:
                raise _wrong(table.file, "The columns are not those that were written.", 1)
            while part := list(islice(_numbered(reader), _AT_ONCE)):
                lines, rows = zip(*part, strict=True)
                try:
                    by_column = zip(readers, zip(*rows, strict=True), strict=True)
                    yield list(zip(*(map(read, cells) for read, cells in by_column), strict=True))
                except ValueError:
                    _name_wrong_row(table, lines, rows)
                    raise
    finally:
        csv.field_size_limit(before)


def _numbered(reader: Any) -> Iterator[tuple[int, list[str]]]:
    """Rows with the line each ends on."""
    for cells in reader:
        yield reader.line_num, cells


def _name_wrong_row(table: _Table, lines: Sequence[int], rows: Sequence[list[str]]) -> None:
    """Raise for the first cell that cannot be read, with its place."""
    for line, cells in zip(lines, rows, strict=True):
        if len(cells) != len(table.columns):
            message = f"There are {len(cells)} cells; {len(table.columns)} were written."
            raise _wrong(table.file, message, line)
        for column, cell in zip(table.columns, cells, strict=True):
            try:
                cell_reader(column)(cell)
            except ValueError as error:
                message = f"“{cell[:40]}” is no {column.kind.value}."
                raise _wrong(table.file, message, line, column.name) from error


def _read_json(table: _Table) -> Iterator[list[Row]]:
    rows = json.loads(table.file.read_text(encoding="utf-8-sig"))
    if not isinstance(rows, list):
        raise _wrong(table.file, "The file should hold a list.")
    found: list[Row] = []
    for number, row in enumerate(rows, start=1):
        if not isinstance(row, dict):
            raise _wrong(table.file, f"Entry {number} should be an object.")
        values = []
        for column in table.columns:
            try:
                values.append(member_value(column, row))
            except (ValueError, KeyError) as error:
                message = f"Entry {number} has no {column.kind.value} there."
                raise _wrong(table.file, message, column=column.name) from error
        found.append(tuple(values))
    yield found
