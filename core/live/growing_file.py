"""New whole lines of a file that another program writes, whatever becomes of the file."""

from __future__ import annotations

import codecs
import contextlib
import os
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import BinaryIO

_HEAD, _SEAM = 1024, 64
"""Bytes of the beginning, and before where reading stopped, by which a file is known again."""
_AT_ONCE = 4 * 1024 * 1024
"""Bytes taken at one look."""


class FileState(StrEnum):
    """What became of the file."""

    SAME = "same"
    """As it was, perhaps longer."""
    ANEW = "begun anew"
    """Another file in its place, or emptied and written again."""
    GONE = "gone"
    UNREADABLE = "unreadable"


@dataclass(frozen=True)
class NewLines:
    """What one look at the file brought.

    Attributes
    ----------
    state : FileState
    before : tuple of str
        Last whole lines of a file that was replaced.
    lines : tuple of str
        Whole lines, without their ends.
    more : bool
        True when more may be there already.
    reason : str
        Why it cannot be read.
    """

    state: FileState
    before: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    more: bool = False
    reason: str = ""


class GrowingFile:
    """Reads a file from its beginning and then whatever is added; holds back half lines.

    On systems where an open file may be renamed it is kept open, so that what was written before
    a replacement is still read.

    Parameters
    ----------
    path : Path
    encoding : str
        Python name; what cannot be decoded becomes U+FFFD.
    """

    def __init__(self, path: Path, encoding: str) -> None:
        self._path = path
        self._encoding = encoding
        self._stream: BinaryIO | None = None
        self._begin_anew()

    def _begin_anew(self) -> None:
        self._decoder = codecs.getincrementaldecoder(self._encoding)("replace")
        self._offset = 0
        self._head = b""
        self._seam = b""
        self._half = ""
        self._seen: tuple[int, int, int] | None = None

    def look(self) -> NewLines:
        """Read what is new; nothing the file or its disk does is raised."""
        try:
            return self._look()
        except FileNotFoundError:
            before = self._rest()
            self.close()
            return NewLines(FileState.GONE, before)
        except (OSError, ValueError) as error:
            self.close()
            return NewLines(
                FileState.UNREADABLE, reason=getattr(error, "strerror", None) or str(error)
            )

    def _look(self) -> NewLines:
        found = self._path.stat()
        seen = (found.st_ino, found.st_size, found.st_mtime_ns)
        if seen == self._seen:
            return NewLines(FileState.SAME)
        before: tuple[str, ...] = ()
        state = FileState.SAME
        other = self._seen is not None and found.st_ino != self._seen[0]
        if other or self._stream is None:
            fresh = self._path.open("rb")
            try:
                is_other = self._is_other(fresh, found.st_size)
            except BaseException:
                fresh.close()
                raise
            if is_other:
                before, state = self._rest(), FileState.ANEW
            self.close()
            self._stream = fresh
        elif self._is_other(self._stream, found.st_size):
            state = FileState.ANEW
        if state is FileState.ANEW:
            self._begin_anew()
        lines, more = self._read(self._stream)
        if not more:
            self._seen = seen
        if os.name != "posix":
            # Elsewhere an open file could not be renamed by the logger.
            self.close()
        return NewLines(state, before, lines, more)

    def _is_other(self, stream: BinaryIO, size: int) -> bool:
        """Tell whether a file does not begin as the one read so far."""
        if size < self._offset:
            return True
        stream.seek(0)
        if stream.read(len(self._head)) != self._head:
            return True
        stream.seek(self._offset - len(self._seam))
        return stream.read(len(self._seam)) != self._seam

    def _read(self, stream: BinaryIO) -> tuple[tuple[str, ...], bool]:
        stream.seek(self._offset)
        data = stream.read(_AT_ONCE)
        if not data:
            return (), False
        self._offset += len(data)
        if len(self._head) < _HEAD:
            self._head += data[: _HEAD - len(self._head)]
        self._seam = (self._seam + data)[-_SEAM:]
        text = self._half + self._decoder.decode(data)
        # A logger that lost its power leaves the rest of a block as zeros.
        text = text.replace("\0", "").replace("\r\n", "\n")
        # A carriage return at the end may be half of a line's end.
        kept = text.removesuffix("\r")
        cut = max(kept.rfind("\n"), kept.rfind("\r"))
        if cut < 0:
            self._half = text
            return (), len(data) == _AT_ONCE
        self._half = text[cut + 1 :]
        whole = text[:cut].replace("\r", "\n").split("\n")
        return tuple(line.removeprefix("\ufeff") for line in whole), len(data) == _AT_ONCE

    def _rest(self) -> tuple[str, ...]:
        """Read the last whole lines of a file that is no longer at its place."""
        if self._stream is None:
            return ()
        lines: tuple[str, ...] = ()
        with contextlib.suppress(OSError, ValueError):
            more = True
            while more:
                new, more = self._read(self._stream)
                lines += new
        return lines

    def close(self) -> None:
        """Let go of the file."""
        if self._stream is not None:
            with contextlib.suppress(OSError):
                self._stream.close()
        self._stream = None
