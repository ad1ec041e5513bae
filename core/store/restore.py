"""A backup put in the book's place; the book as it was is kept aside, so nothing is lost by it."""

from __future__ import annotations

import os
import shutil
from contextlib import closing
from pathlib import Path

from core.errors import BookDamagedError, BookError, BookLockedError, BookTooNewError
from core.store.backup import is_file, stamped, sync_folder
from core.store.engine import connect
from core.store.faults import TROUBLE, UNREADABLE, book_error, damaged, is_busy, not_a_book
from core.store.migrate import APPLICATION_ID, LAYOUT, layout_of

_RESTORING = ".restoring"


def restore(path: Path, backup: Path, *, busy_timeout: float = 5.0) -> Path | None:
    """Put a copy of a backup in the place of the book, which must be closed in this program.

    The backup is checked from end to end first and stays where it is. The book as it was, damaged
    or not, is kept beside it under another name. Whenever this is interrupted there is a file in
    the book's place, the old one or the restored one.

    Parameters
    ----------
    path : Path
        The book.
    backup : Path
        A backup of it, or any other book.
    busy_timeout : float
        Seconds to wait for another program's lock.

    Returns
    -------
    Path or None
        Where the book as it was is now; ``None`` if there was none.

    Raises
    ------
    BookTooNewError, BookDamagedError
        The backup is of a newer program, damaged, or no book; nothing was changed.
    BookLockedError
        Another program holds the book; nothing was changed.
    BookError
        There is no room or no permission; nothing was changed.
    """
    path, backup = Path(path), Path(backup)
    if not is_file(backup):
        raise BookError(
            f"There is no file “{backup.name}” in “{backup.parent}”.",
            field="backup",
            remedy="Choose another backup.",
        )
    if is_file(path) and path.samefile(backup):
        raise BookError(
            "This is the book itself, not a backup of it.",
            field="backup",
            remedy="Choose a backup.",
        )
    check_backup(backup)
    fresh = path.with_name(f".{path.name}{_RESTORING}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        fresh.unlink(missing_ok=True)
        try:
            _copy(backup, fresh)
            aside = _set_aside(path, busy_timeout) if is_file(path) else None
            fresh.replace(path)
            sync_folder(path.parent)
        finally:
            fresh.unlink(missing_ok=True)
    except TROUBLE as error:
        cause = book_error(error, path)
        raise type(cause)(
            f"The backup could not be put in place: {cause.message}", remedy=cause.remedy
        ) from error
    return aside


def check_backup(backup: Path) -> None:
    """Read a backup from end to end; raises BookDamagedError or BookTooNewError."""
    try:
        with closing(connect(backup, busy_timeout=1.0, mode="ro")) as file:
            (application,) = file.execute("PRAGMA application_id").fetchone()
            if application != APPLICATION_ID:
                raise not_a_book(backup)
            (finding,) = file.execute("PRAGMA integrity_check(1)").fetchone()
            if finding != "ok":
                raise damaged(backup, str(finding))
            loose = file.execute("PRAGMA foreign_key_check").fetchall()
            if loose:
                raise damaged(backup, f"{len(loose)} entries refer to something missing")
            found = layout_of(file, backup)
    except UNREADABLE as error:
        cause = book_error(error, backup)
        raise BookDamagedError(
            f"This backup cannot be used: {cause.message}", remedy="Choose another backup."
        ) from error
    if int(found) > int(LAYOUT):
        raise BookTooNewError(
            f"“{backup.name}” was written by a newer version of this program "
            f"(layout {found}; this version knows {LAYOUT}).",
            remedy="Update the program, or choose an older backup. Nothing was changed.",
        )


def _copy(backup: Path, fresh: Path) -> None:
    with (
        closing(connect(backup, busy_timeout=1.0, mode="ro")) as source,
        closing(connect(fresh, busy_timeout=1.0, mode="rwc")) as target,
    ):
        source.backup(target)
        (finding,) = target.execute("PRAGMA integrity_check(1)").fetchone()
        if finding != "ok":
            raise damaged(fresh, str(finding))


def _set_aside(path: Path, busy_timeout: float) -> Path:
    """Keep the book under another name as well, with its journal; the first name stays too."""
    aside = stamped(path, "before restoring")
    journal, kept = path.with_name(path.name + "-journal"), aside.with_name(aside.name + "-journal")
    try:
        if is_file(journal):
            # Something was interrupted. Asked about locks, SQLite will play the journal in, and
            # how that ends in a damaged file nobody knows: keep both as they are first.
            shutil.copy2(journal, kept)
            _copied(path, aside)
        _require_unused(path, busy_timeout)
        if not aside.exists():
            try:
                os.link(path, aside)
            except OSError:  # no second names here, as on a stick
                _copied(path, aside)
    except BaseException:
        aside.unlink(missing_ok=True)
        kept.unlink(missing_ok=True)
        raise
    sync_folder(path.parent)
    # It belongs to the old file: left there, it would be played into the restored one.
    journal.unlink(missing_ok=True)
    return aside


def _copied(path: Path, aside: Path) -> None:
    shutil.copy2(path, aside)
    with aside.open("rb+") as file:
        os.fsync(file.fileno())


def _require_unused(path: Path, busy_timeout: float) -> None:
    """Let SQLite finish what was interrupted, and refuse if somebody is using the book just now.

    A damaged file cannot be asked, and needs not: nobody else can use it either.
    """
    try:
        with closing(connect(path, busy_timeout=busy_timeout)) as file:
            file.execute("BEGIN EXCLUSIVE")
            file.execute("ROLLBACK")
    except UNREADABLE as error:
        cause = book_error(error, path)
        if isinstance(cause, BookLockedError) and is_busy(error):
            raise cause from error
