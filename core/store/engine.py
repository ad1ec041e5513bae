"""Connections to the book's file, each set up the same way.

Journal
    The rollback journal (``DELETE``), not write-ahead logging. Studios copy this one file to a
    stick or keep it in a synced folder; with WAL the newest entries would lie in a second file
    beside it, and WAL does not work on network drives.
Durability
    ``synchronous=EXTRA``. With ``FULL`` a power cut just after a commit can bring the deleted
    journal back and with it undo the commit; ``EXTRA`` also syncs the folder. A reading shown as
    saved is saved. (https://www.sqlite.org/pragma.html#pragma_synchronous)
Transactions
    Python's sqlite3 opens transactions late and only for some statements; it is switched off
    (``isolation_level=None``, which works in every version) and SQLAlchemy's ``begin`` event says
    BEGIN itself. A writer says BEGIN IMMEDIATE: taking the lock only at the first write would fail
    at once, without waiting, if somebody else wrote in between.
Connections
    One per transaction, none kept (``NullPool``): any thread may ask, a stick can be pulled out
    between two entries, and nobody else is shut out for longer than an entry takes.
"""

from __future__ import annotations

import sqlite3
from pathlib import Path
from urllib.parse import quote

from sqlalchemy import Connection, Engine, NullPool, create_engine, event

WRITES = "book_writes"
"""Execution option that makes a transaction take the write lock at its start."""


def file_uri(path: Path, mode: str) -> str:
    """SQLite URI of a file; ``mode`` is ``ro``, ``rw`` or ``rwc``.

    With ``rw`` a missing file is an error. Without it, SQLite would put an empty database in the
    place of a book on a stick that was pulled out.
    """
    name = path.absolute().as_posix()
    if not name.startswith("/"):  # C:/...
        name = f"/{name}"
    elif name.startswith("//"):  # a Windows share: SQLite allows no host name
        name = f"//{name}"
    return f"file:{quote(name)}?mode={mode}"


def connect(
    path: Path, *, busy_timeout: float, mode: str = "rw", rebuilding: bool = False
) -> sqlite3.Connection:
    """Open a connection in autocommit mode, set up as the module describes.

    Parameters
    ----------
    path : Path
    busy_timeout : float
        Seconds to wait for another program's lock.
    mode : str
        ``ro``, ``rw``, or ``rwc`` to create the file.
    rebuilding : bool
        True only while migrations rebuild tables: foreign keys are off, since dropping the old
        table would delete its children, and a table may be gone for a moment although a trigger
        names it.
    """
    connection = sqlite3.connect(
        file_uri(path, mode),
        uri=True,
        timeout=busy_timeout,
        isolation_level=None,
        check_same_thread=False,
    )
    try:
        connection.execute(f"PRAGMA foreign_keys={'OFF' if rebuilding else 'ON'}")
        connection.execute(f"PRAGMA legacy_alter_table={'ON' if rebuilding else 'OFF'}")
        connection.execute("PRAGMA synchronous=EXTRA")
        connection.execute("PRAGMA fullfsync=ON")  # macOS: a plain fsync stops at the drive's cache
        connection.execute("PRAGMA trusted_schema=OFF")  # the file may come from somebody else
    except (sqlite3.Error, UnicodeDecodeError):
        connection.close()
        raise
    return connection


def book_engine(
    path: Path, *, busy_timeout: float, mode: str = "rw", rebuilding: bool = False
) -> Engine:
    """Engine over :func:`connect`; dispose of it when done."""

    def creator() -> sqlite3.Connection:
        return connect(path, busy_timeout=busy_timeout, mode=mode, rebuilding=rebuilding)

    engine = create_engine("sqlite://", creator=creator, poolclass=NullPool)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get(WRITES, False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine
