"""What the terminal gets: whole and harmless lines, whatever stands at the other end."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from core.errors import LehrkeeperError, Place

LONGEST_LINE = 2000
"""Characters of a message; what is longer quotes something absurd from the input."""

# Control characters but the line feed, and marks that turn the reading direction: a name from a
# file must not move the cursor or reorder a line.
_UNPRINTABLE = re.compile(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028-\u202e\u2066-\u2069]")


@contextmanager
def faults_placed_in(path: Path) -> Iterator[None]:
    """Give an error that names no place at least the file it comes from."""
    try:
        yield
    except LehrkeeperError as error:
        if error.place is None:
            error.place = Place(str(path))
        raise


def one_line(text: str) -> str:
    """A message as a single line of bearable length, its end (what to do) kept."""
    line = _UNPRINTABLE.sub("\ufffd", " ".join(text.split()))
    if len(line) <= LONGEST_LINE:
        return line
    return f"{line[: LONGEST_LINE // 2]} … {line[-LONGEST_LINE // 4 :]}"


def print_out(text: str) -> str | None:
    """Print a result; returns what went wrong, ``None`` if nothing did.

    A reader that has gone (``head``, ``less``) is nothing wrong.
    """
    if sys.stdout is None:
        return "There is nowhere to print to."
    shown = _UNPRINTABLE.sub("\ufffd", text)
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        print(shown.encode(encoding, "replace").decode(encoding))
        sys.stdout.flush()
    except BrokenPipeError:
        _forget_output()
    except OSError as error:
        _forget_output()
        return f"The result cannot be printed: {error.strerror}."
    return None


def print_error(text: str) -> None:
    """Print one line on standard error, if there is one."""
    if sys.stderr is not None:
        print(one_line(text), file=sys.stderr)


def _forget_output() -> None:
    """Let what is still buffered go nowhere, or Python complains of it when it ends."""
    with Path(os.devnull).open("w") as nowhere:
        os.dup2(nowhere.fileno(), sys.stdout.fileno())
