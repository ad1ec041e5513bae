"""SQLite's errors in words a person can act on."""

from __future__ import annotations

import errno
import sqlite3
from pathlib import Path

from sqlalchemy.exc import SQLAlchemyError

from core.errors import (
    BookDamagedError,
    BookError,
    BookLockedError,
    LehrkeeperError,
    PlanInUseError,
)

UNREADABLE = (sqlite3.DatabaseError, UnicodeDecodeError)
"""What reading a damaged file raises; the second where SQLite's message quotes garbled names."""
TROUBLE = (SQLAlchemyError, sqlite3.Error, OSError, UnicodeDecodeError)
"""What may go wrong with a file, to be told by :func:`book_error`."""
PLAN_IN_USE = "plan in use"
"""Text the triggers on ``plans`` and ``runs`` raise with."""
VERSION_STAYS = "glass version stays"
"""Text the triggers on ``glass_versions`` raise with."""


def plan_in_use() -> PlanInUseError:
    """Refuse to change a plan that a run was started from."""
    return PlanInUseError(
        "A run was started from this plan, so it stays as it is.",
        remedy="Draw up a new plan instead.",
    )


def book_error(error: Exception, path: Path) -> LehrkeeperError:
    """Translate an error of SQLite or SQLAlchemy met while using the book at ``path``.

    Parameters
    ----------
    error : Exception
        A :class:`sqlite3.Error`, or a :class:`sqlalchemy.exc.SQLAlchemyError` around one; an
        :class:`OSError`; a number too large or a text that is none.
    """
    cause: BaseException | None = error
    if isinstance(error, SQLAlchemyError):
        cause = getattr(error, "orig", None) or error.__cause__ or error
    if isinstance(cause, LehrkeeperError):
        return cause
    if isinstance(cause, sqlite3.Error):
        return _from_code(cause, path)
    if isinstance(cause, UnicodeDecodeError):
        return damaged(path, "names in it are garbled")
    if isinstance(cause, OSError) and cause.errno in (errno.ENOSPC, errno.EDQUOT):
        return _full(path)
    if isinstance(cause, OSError) and cause.errno == errno.EROFS:
        return _read_only(path)
    if isinstance(cause, PermissionError):
        return _cannot_open(path)
    if isinstance(cause, OverflowError | UnicodeEncodeError):
        return BookError(
            f"A number is too large, or a text has broken characters in it ({cause}); nothing "
            "was written.",
            remedy="Look for what was pasted last and type it instead.",
        )
    return BookError(
        f"“{path.name}” could not be read or written ({cause}).",
        remedy="Nothing was changed. Close the book, open it again and repeat the step.",
    )


def _from_code(cause: sqlite3.Error, path: Path) -> BookError:
    code = getattr(cause, "sqlite_errorcode", None)
    name = f"“{path.name}”"
    # Extended result codes keep the plain one in their low byte.
    match None if code is None else code & 0xFF:
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return BookLockedError(
                f"{name} is in use by another program.",
                remedy="Close the other window or wait for its copying to end, then try again.",
            )
        case sqlite3.SQLITE_READONLY:
            return _read_only(path)
        case sqlite3.SQLITE_FULL:
            return _full(path)
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB:
            return damaged(path, str(cause))
        case sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_PERM | sqlite3.SQLITE_AUTH:
            return _cannot_open(path)
        case sqlite3.SQLITE_IOERR:
            return BookError(
                f"The disk failed while reading or writing {name}; nothing was changed.",
                remedy="Check the disk or its cable, and copy the book somewhere safe.",
            )
        case sqlite3.SQLITE_CONSTRAINT:
            if PLAN_IN_USE in str(cause):
                return plan_in_use()
            if VERSION_STAYS in str(cause):
                return BookError(
                    "An earlier version of a glass stays as it was entered; nothing was written.",
                    remedy="Save the glass to make a new version of it.",
                )
            return BookError(
                f"The book refused this entry ({cause}); nothing was written.",
                remedy="Something else in the book depends on it, or holds the same name or time.",
            )
        case _:
            return BookError(
                f"{name} could not be read or written ({cause}); nothing was changed.",
                remedy="Close the book, open it again and repeat the step.",
            )


def _full(path: Path) -> BookError:
    return BookError(
        f"The disk with “{path.name}” is full; nothing was written.",
        remedy="Make room on it and try again.",
    )


def _read_only(path: Path) -> BookLockedError:
    return BookLockedError(
        f"“{path.name}” or its folder is read-only.",
        remedy="Copy it to a folder you may write in, or lift the write protection.",
    )


def is_busy(error: Exception) -> bool:
    """Tell whether another program holds the file."""
    code = getattr(error, "sqlite_errorcode", None)
    return code is not None and code & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)


def _cannot_open(path: Path) -> BookError:
    return BookError(
        f"“{path.name}” cannot be opened in “{path.parent}”.",
        remedy="Check that it is still there (a stick pulled out, a folder renamed) and that you "
        "may read and write the file and its folder.",
    )


def damaged(path: Path, finding: str) -> BookDamagedError:
    """Name a file that is no sound SQLite file, with what the check found."""
    # SQLite's own headline, "*** in database main ***", says nothing to anybody.
    found = " ".join(line for line in finding.splitlines() if not line.startswith("***"))
    return BookDamagedError(
        f"“{path.name}” is damaged or is not a book of this program ({found or finding}).",
        remedy="Go back to a backup, save what can still be read into a new book, or choose "
        "another file. Nothing was changed in this one.",
    )


def not_a_book(path: Path) -> BookDamagedError:
    """Name a sound SQLite file that somebody else's program keeps."""
    return BookDamagedError(
        f"“{path.name}” is a database of another program, not a book of this one.",
        remedy="Choose another file; this one was left as it is.",
    )
