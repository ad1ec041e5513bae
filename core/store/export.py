"""The whole book as CSV and JSON files in a folder, for other programs and for good.

Every table is a file: those that hold documents (loads, plans, glasses, materials ...) are JSON,
all others CSV (RFC 4180, UTF-8). ``book.json`` says which files there are and what their columns
hold, so that :mod:`core.store.import_book` can make the same book of them, in this version or a
later one. Tables and columns are taken from the models: one added later is not forgotten.
"""

from __future__ import annotations

import csv
import json
import os
import shutil
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import Table, text

from core.errors import BookError, StoppedError
from core.store.backup import sync_folder
from core.store.migrate import LAYOUT
from core.store.tables import Column, ColumnKind, columns_of, tables
from core.store.written_values import Value, cells_of, member
from core.version import VERSION

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from core.store.book import Book

CONTENTS = "book.json"
EXPORT_FORMAT = 1
_AT_ONCE = 5000
Row = tuple[Value, ...]


def export_book(
    book: Book,
    folder: Path,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Path:
    """Write everything in the book into a new folder; returns it.

    Parameters
    ----------
    book : Book
    folder : Path
        Must not be there yet.
    progress, cancelled : callable, optional
        Told the share written (0 to 1); asked now and then whether to stop.

    Raises
    ------
    StoppedError
        When ``cancelled`` says so; nothing is left of the folder.
    BookError
        There is something of that name already, or it cannot be written.
    """
    folder = Path(folder)
    if folder.exists():
        raise BookError(
            f"There is something called “{folder.name}” already.",
            field="folder",
            remedy="Choose a new name: nothing is written over.",
        )
    unfinished = folder.with_name(f".{folder.name}.unfinished")
    try:
        shutil.rmtree(unfinished, ignore_errors=True)
        unfinished.mkdir(parents=True)
        try:
            with book.whole_view() as session:
                _write(session, unfinished, progress, cancelled)
            unfinished.rename(folder)
            sync_folder(folder.parent)
        finally:
            shutil.rmtree(unfinished, ignore_errors=True)
    except OSError as error:
        raise BookError(
            f"The book could not be written into “{folder.name}” ({error.strerror}).",
            field="folder",
            remedy="Make room, or choose another place.",
        ) from error
    return folder


def _write(
    session: Session,
    folder: Path,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> None:
    counts = {
        table.name: int(session.execute(text(f"SELECT count(*) FROM {table.name}")).scalar_one())  # noqa: S608 - our own names
        for table in tables()
    }
    whole, done = max(1, sum(counts.values())), 0
    contents: dict[str, object] = {}

    def parts(table: Table, columns: tuple[Column, ...]) -> Iterator[list[Row]]:
        nonlocal done
        names = ", ".join(f'"{column.name}"' for column in columns)
        (key, *_) = table.primary_key.columns
        # The driver's own rows: a million objects more would take longer than the writing.
        cursor = session.connection().connection.cursor()
        cursor.execute(f'SELECT {names} FROM "{table.name}" ORDER BY "{key.name}"')  # noqa: S608 - our own names
        while part := cursor.fetchmany(_AT_ONCE):
            if cancelled is not None and cancelled():
                raise StoppedError("Writing was stopped; nothing of it is left.")
            if progress is not None:
                progress(done / whole)
            done += len(part)
            yield list(part)

    for table in tables():
        columns = columns_of(table)
        documents = any(column.kind is ColumnKind.JSON for column in columns)
        file = folder / f"{table.name}.{'json' if documents else 'csv'}"
        write = _write_json if documents else _write_csv
        write(file, columns, parts(table, columns))
        contents[table.name] = {
            "file": file.name,
            "rows": counts[table.name],
            "columns": [
                {"name": c.name, "kind": c.kind.value, "nullable": c.nullable} for c in columns
            ],
        }
    head = {
        "export_format": EXPORT_FORMAT,
        "layout": LAYOUT,
        "program_version": VERSION,
        "written_at": datetime.now(UTC).isoformat(),
        "tables": contents,
    }
    with (folder / CONTENTS).open("w", encoding="utf-8", newline="\n") as stream:
        json.dump(head, stream, indent=1, ensure_ascii=False)
        stream.flush()
        os.fsync(stream.fileno())
    if progress is not None:
        progress(1.0)


def _write_csv(file: Path, columns: tuple[Column, ...], parts: Iterator[list[Row]]) -> None:
    with file.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow([column.name for column in columns])
        for part in parts:
            by_column = zip(columns, zip(*part, strict=True), strict=True)
            cells = [cells_of(column, values) for column, values in by_column]
            writer.writerows(zip(*cells, strict=True))
        stream.flush()
        os.fsync(stream.fileno())


def _write_json(file: Path, columns: tuple[Column, ...], parts: Iterator[list[Row]]) -> None:
    with file.open("w", encoding="utf-8", newline="\n") as stream:
        stream.write("[")
        between = "\n"
        for row in chain.from_iterable(parts):
            members = dict(member(c, value) for c, value in zip(columns, row, strict=True))
            stream.write(between)
            json.dump(members, stream, ensure_ascii=False)
            between = ",\n"
        stream.write("\n]\n")
        stream.flush()
        os.fsync(stream.fileno())
