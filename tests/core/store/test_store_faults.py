"""SQLite's result codes (https://www.sqlite.org/rescode.html) in words, each with a remedy."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy.exc import OperationalError

from core.errors import BookDamagedError, BookError, BookLockedError
from core.store.faults import book_error

PATH = Path("/somewhere/studio book.sqlite")


def failure(code: int, text: str = "technical words") -> sqlite3.Error:
    error = sqlite3.OperationalError(text)
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("code", "kind", "words"),
    [
        (5, BookLockedError, "in use by another program"),
        (5 | 1 << 8, BookLockedError, "in use by another program"),  # SQLITE_BUSY_RECOVERY
        (8, BookLockedError, "read-only"),
        (8 | 4 << 8, BookLockedError, "read-only"),  # SQLITE_READONLY_DBMOVED
        (10, BookError, "disk failed"),
        (10 | 12 << 8, BookError, "disk failed"),  # SQLITE_IOERR_NOMEM
        (11, BookDamagedError, "damaged"),
        (13, BookError, "is full"),
        (14, BookError, "cannot be opened"),
        (19, BookError, "refused this entry"),
        (26, BookDamagedError, "not a book"),
        (1, BookError, "could not be read or written"),
    ],
)
def test_result_codes(code: int, kind: type[BookError], words: str) -> None:
    for error in (
        failure(code),
        OperationalError("INSERT ...", {}, failure(code)),
    ):
        found = book_error(error, PATH)
        assert type(found) is kind
        assert words in found.message
        assert "studio book.sqlite" in found.message or code == 19
        assert found.remedy


def test_an_error_without_a_code() -> None:
    found = book_error(sqlite3.ProgrammingError("odd"), PATH)
    assert type(found) is BookError
    assert "odd" in found.message


def test_our_own_error_passes_through() -> None:
    ours = BookError("ours")
    wrapped = OperationalError("INSERT ...", {}, ours)
    assert book_error(wrapped, PATH) is ours
    assert book_error(ours, PATH) is ours


def test_permissions_and_other_trouble_of_the_system() -> None:
    assert "cannot be opened" in book_error(PermissionError(13, "denied"), PATH).message
    assert "could not be read" in book_error(OSError(5, "i/o"), PATH).message
