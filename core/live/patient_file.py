"""Looks at a file that never take longer than one is willing to wait."""

from __future__ import annotations

import threading
from pathlib import Path

from core.live.growing_file import FileState, GrowingFile, NewLines


class PatientFile:
    """A growing file looked at from a thread of its own.

    A network folder that has gone may hold up whoever asks for it for minutes; that is then its
    thread, and the recording goes on to tell of it and can be stopped.

    Parameters
    ----------
    path : Path
    encoding : str
    patience : float
        Longest wait for one look [s].
    """

    def __init__(self, path: Path, encoding: str, patience: float = 5.0) -> None:
        self._file = GrowingFile(path, encoding)
        self._patience = patience
        self._thread: threading.Thread | None = None
        self._found: NewLines | None = None

    def look(self) -> NewLines:
        """Take what the look brings, or say that the file does not answer."""
        if self._thread is None:
            self._thread = threading.Thread(target=self._look, name="file look", daemon=True)
            self._thread.start()
        self._thread.join(self._patience)
        if self._thread.is_alive():
            return NewLines(FileState.UNREADABLE, reason="the disk or network does not answer")
        self._thread = None
        found, self._found = self._found, None
        # None only if the look itself failed in a way that is a defect of ours.
        assert found is not None  # noqa: S101
        return found

    def _look(self) -> None:
        self._found = self._file.look()

    def close(self) -> None:
        """Let go of the file, unless a look still hangs; that one keeps it until it ends."""
        if self._thread is not None:
            self._thread.join(0.0)
        if self._thread is None or not self._thread.is_alive():
            self._file.close()
