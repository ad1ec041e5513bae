"""Bring a book's file to the present layout, or say plainly why it cannot be used.

The layout's number is the newest file in ``migrations/versions``. A new book is made by the same
migrations as an old one is brought forward by, so there is one description of the layout in use.

A migration that rebuilds ``plans``, ``runs`` or ``glass_versions`` has to make the triggers on
that table again: they go with the old one.
"""

from __future__ import annotations

import sqlite3
import stat
from contextlib import closing
from pathlib import Path

from sqlalchemy import text

from core.errors import BookError, BookTooNewError
from core.store.backup import back_up, quick_check
from core.store.engine import WRITES, book_engine, connect
from core.store.faults import TROUBLE, book_error, damaged, not_a_book

LAYOUT = "0003"
"""Newest layout this program knows; the last revision in ``migrations/versions``."""
APPLICATION_ID = 0x4C656872
"""Written into the file's header ("Lehr"): tells a book from other programs' SQLite files."""
LONGEST_CHECK = 1.5
"""[s] That the check of the file's structure may hold up the opening; larger books are checked
in full when asked (:mod:`core.store.check`)."""
SHORTEST_FILE = 100
"""Bytes of an SQLite file's header (https://www.sqlite.org/fileformat2.html, section 1.3)."""
MIGRATIONS = Path(__file__).parent / "migrations"


def prepare(
    path: Path,
    *,
    busy_timeout: float = 5.0,
    migrations: Path = MIGRATIONS,
    layout: str = LAYOUT,
) -> Path | None:
    """Make the book at ``path`` if it is not there, check it, and bring it to the present layout.

    Parameters
    ----------
    path : Path
        A missing folder is made.
    busy_timeout : float
        Seconds to wait for another program's lock.
    migrations, layout : Path, str
        The migrations to use and the number of the last one; others only in tests.

    Returns
    -------
    Path or None
        The backup that was put beside the file before its layout was changed.

    Raises
    ------
    BookTooNewError
        The book has a later layout.
    BookLockedError
        It is read-only, or another program holds it.
    BookDamagedError
        It is damaged, or not a book.
    BookError
        It cannot be opened or made for another reason.
    """
    try:
        if not _has_content(path):
            _make_folder(path)
            _migrate(path, busy_timeout, migrations, create=True)
            return None
        found = _check(path, busy_timeout)
        if found is None:  # a sound, empty database: the making of a book was interrupted
            _migrate(path, busy_timeout, migrations, create=False)
            return None
        if int(found) > int(layout):
            raise BookTooNewError(
                f"“{path.name}” was written by a newer version of this program "
                f"(layout {found}; this version knows {layout}).",
                remedy="Update the program. The book was left as it is.",
            )
        _try_writing(path, busy_timeout)
        if int(found) == int(layout):
            return None
        backup = back_up(path, f"layout {found}", busy_timeout=busy_timeout)
        try:
            _migrate(path, busy_timeout, migrations, create=False)
        except (BookError, *TROUBLE) as error:
            cause = book_error(error, path)
            raise type(cause)(
                f"The book could not be brought to the present layout: {cause.message} "
                f"It was left as it was; a backup is in “{backup.name}”.",
                remedy=cause.remedy,
            ) from error
    except TROUBLE as error:
        raise book_error(error, path) from error
    return backup


def prepare_at(path: Path, layout: str) -> None:
    """Make an empty book in an earlier layout, to be filled and then prepared.

    Raises
    ------
    BookError
        It cannot be made.
    """
    try:
        _migrate(path, 5.0, MIGRATIONS, create=True, layout=layout)
    except TROUBLE as error:
        raise book_error(error, path) from error


def _has_content(path: Path) -> bool:
    """Say whether there is anything at ``path``; refuse what could not be a book."""
    try:
        str(path).encode()  # SQLite wants UTF-8
        found = path.stat()
    except FileNotFoundError:
        return False
    except ValueError as error:
        raise BookError(
            "The book's name has characters in it that no file can have.",
            remedy="Choose another name.",
        ) from error
    if stat.S_ISDIR(found.st_mode):
        raise BookError(
            f"“{path}” is a folder, not a book.",
            remedy="Choose a file in it, or a name for a new one.",
        )
    if not stat.S_ISREG(found.st_mode):
        raise BookError(
            f"“{path}” is a device or a pipe, not a book.",
            remedy="Choose a file, or a name for a new one.",
        )
    if 0 < found.st_size < SHORTEST_FILE:
        # SQLite takes a file of one byte for an empty one and would write over it.
        raise damaged(path, "file is not a database")
    # A book of no bytes is left when its making is interrupted.
    return found.st_size > 0


def _make_folder(path: Path) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BookError(
            f"The folder “{path.parent}” for the book cannot be made ({error.strerror}).",
            remedy="Choose another folder, or ask whoever looks after this computer.",
        ) from error


def _check(path: Path, busy_timeout: float) -> str | None:
    """Find the layout's number; ``None`` in a database without any table."""
    with closing(connect(path, busy_timeout=busy_timeout)) as connection:
        tables = {
            name
            for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type='table'")
        }
        (application,) = connection.execute("PRAGMA application_id").fetchone()
        if not tables and application == 0:
            return None
        if application != APPLICATION_ID or "alembic_version" not in tables:
            raise not_a_book(path)
        quick_check(connection, path, seconds=LONGEST_CHECK)
        return layout_of(connection, path)


def layout_of(connection: sqlite3.Connection, path: Path) -> str:
    """Number of a book's layout; raises BookDamagedError if it has none."""
    numbers = connection.execute("SELECT version_num FROM alembic_version").fetchall()
    if len(numbers) != 1 or not str(numbers[0][0]).isdigit():
        raise damaged(path, "the number of its layout is missing")
    return str(numbers[0][0])


def _try_writing(path: Path, busy_timeout: float) -> None:
    """Find out now, not at the first reading of the night, that nothing can be written."""
    with closing(connect(path, busy_timeout=busy_timeout)) as connection:
        # Undo write-ahead logging that another program may have switched on; it would stay so.
        connection.execute("PRAGMA journal_mode=DELETE")
        connection.execute("BEGIN IMMEDIATE")
        try:
            connection.execute("UPDATE alembic_version SET version_num = version_num")
        finally:
            if connection.in_transaction:
                connection.execute("ROLLBACK")


def _migrate(
    path: Path, busy_timeout: float, migrations: Path, *, create: bool, layout: str = "head"
) -> None:
    """Run what is due, all in one transaction: whole or not at all.

    Foreign keys are off, since rebuilding a table drops the old one and would take its children
    along; SQLite heeds the switch only outside a transaction, hence an engine of its own.
    Another program doing the same at the same time is waited for, and finds nothing left to do.
    """
    # 0.3 s to import, and hardly ever needed.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415
    from alembic.util import CommandError  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    engine = book_engine(
        path,
        busy_timeout=busy_timeout,
        mode="rwc" if create else "rw",
        rebuilding=True,
    ).execution_options(**{WRITES: True})
    try:
        with engine.begin() as connection:
            config.attributes["connection"] = connection
            try:
                command.upgrade(config, layout)
            except CommandError as error:
                raise damaged(path, str(error)) from error
            loose = connection.execute(text("PRAGMA foreign_key_check")).fetchall()
            if loose:
                raise damaged(path, f"{len(loose)} entries refer to something missing")
    finally:
        engine.dispose()
