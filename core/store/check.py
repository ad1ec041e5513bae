"""The whole book read from end to end: structure, references, and every snapshot in it."""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from core.errors import StoppedError
from core.store.backup import is_file
from core.store.engine import connect
from core.store.faults import UNREADABLE, book_error
from core.store.tables import JSON_COLUMNS

_MOST = 50
"""Findings listed of each kind."""


@dataclass(frozen=True)
class CheckReport:
    """What a check found.

    Attributes
    ----------
    path : Path
    findings : tuple of str
        What is wrong, in SQLite's words or ours; empty when all is well.
    """

    path: Path
    findings: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """True when nothing is wrong."""
        return not self.findings


def check_book(
    path: Path,
    *,
    cancelled: Callable[[], bool] | None = None,
    busy_timeout: float = 5.0,
) -> CheckReport:
    """Read a book, or a backup of one, from end to end; no entry is changed.

    Parameters
    ----------
    path : Path
    cancelled : callable, optional
        Asked now and then whether to stop.
    busy_timeout : float
        Seconds to wait for another program's lock.

    Raises
    ------
    StoppedError
        When ``cancelled`` says so.
    BookLockedError
        Another program holds the file.
    BookError
        There is no such file, or it cannot be opened.
    """
    path = Path(path)
    findings: list[str] = []
    try:
        # Writable if it can be, so that an entry cut off half way is first taken back.
        mode = "rw" if os.access(path, os.W_OK) else "ro"
        with closing(connect(path, busy_timeout=busy_timeout, mode=mode)) as file:
            if cancelled is not None:
                file.set_progress_handler(cancelled, 10_000)
            rows = file.execute(f"PRAGMA integrity_check({_MOST})").fetchall()
            findings += [str(text) for (text,) in rows if text != "ok"]
            loose = file.execute("PRAGMA foreign_key_check").fetchmany(_MOST)
            findings += [
                f"entry {row} of {table} refers to a missing entry of {parent}"
                for table, row, parent, _ in loose
            ]
            findings += _unreadable(file)
    except UNREADABLE as error:
        code = getattr(error, "sqlite_errorcode", 0) & 0xFF
        if code == sqlite3.SQLITE_INTERRUPT:
            raise StoppedError("The check was stopped.") from error
        known = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)
        unreadable = code in known or isinstance(error, UnicodeDecodeError)
        if not unreadable or not is_file(path):
            raise book_error(error, path) from error
        findings.append(str(error))
    return CheckReport(path, tuple(dict.fromkeys(findings)))


def _unreadable(file: sqlite3.Connection) -> list[str]:
    found: list[str] = []
    tables = {name for (name,) in file.execute("SELECT name FROM sqlite_master")}
    for table, column in JSON_COLUMNS.items():
        if table not in tables:  # of an older layout
            continue
        query = f'SELECT rowid, "{column}" FROM "{table}"'  # noqa: S608 - our own names
        try:
            rows = file.execute(query)
        except sqlite3.OperationalError:  # glasses of the first layout had theirs elsewhere
            continue
        for row, text in rows:
            if len(found) >= _MOST:
                return found
            try:
                if text is not None:
                    json.loads(text)
            except (ValueError, TypeError):
                found.append(f"entry {row} of {table}: its {column} cannot be read")
    return found
