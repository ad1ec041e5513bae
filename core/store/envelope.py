"""The wrapping every snapshot in the book has: its kind and the version of its form."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import TypeVar

from core.errors import BookDamagedError, BookError, BookTooNewError, LehrkeeperError
from core.store.fields import Fields

FORMAT_VERSION = 2
T = TypeVar("T")


def write_enveloped(kind: str, content: object) -> str:
    """Write a JSON value as a snapshot of a kind.

    Raises
    ------
    BookError
        If something in it is not a number.
    """
    envelope = {"format_version": FORMAT_VERSION, "kind": kind, kind: content}
    try:
        return json.dumps(envelope, ensure_ascii=False, allow_nan=False)
    except ValueError as error:
        raise BookError(
            f"This {kind} holds something that is not a number, and cannot be written down.",
            remedy="Look for an empty or impossible value in it.",
        ) from error


def read_enveloped(kind: str, text: str, take: Callable[[Fields], T]) -> T:
    """Read a snapshot of a kind with ``take``.

    Raises
    ------
    BookTooNewError
        A newer version of the program wrote it.
    BookDamagedError
        It is not such a snapshot, or holds what is not possible.
    """
    try:
        content = json.loads(text)
    except ValueError as error:
        raise BookDamagedError(
            f"A {kind} in the book cannot be read (no JSON).",
            remedy="Go back to a backup of the book.",
        ) from error
    envelope = Fields(content, kind)
    version = envelope.whole("format_version")
    if version > FORMAT_VERSION:
        raise BookTooNewError(
            f"A {kind} in the book was written by a newer version of this program.",
            remedy="Update the program.",
        )
    if envelope.text("kind") != kind:
        raise BookDamagedError(f"Where a {kind} should stand in the book is something else.")
    try:
        return take(envelope.inner(kind))
    except BookError:
        raise
    except LehrkeeperError as error:
        raise BookDamagedError(
            f"A {kind} in the book is not possible: {error.message}",
            remedy="Go back to a backup of the book.",
        ) from error
