"""Keeps tonight's load in the book while it is being put together."""

from __future__ import annotations

import threading

from PySide6.QtCore import QObject, QTimer, Signal

from app.studio import Studio
from core.errors import LehrkeeperError
from core.load.load import Load

_PAUSE = 500
"""Milliseconds after the last edit."""


class LoadKeeper(QObject):
    """Saves the newest load a little after the last edit, off the GUI thread, or at once.

    Signals
    -------
    failed(object)
        The LehrkeeperError that kept it from being saved.
    """

    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._lock = threading.Lock()
        self._load_id: int | None = None
        self._latest: Load | None = None
        self._number = 0
        self._written = 0
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_PAUSE)
        self._timer.timeout.connect(self._save)

    @property
    def load_id(self) -> int | None:
        """Number of the load in the book, ``None`` until it was saved first."""
        return self._load_id

    def take(self, load_id: int | None) -> None:
        """From now on the load of this number is being worked on (``None``: a new one)."""
        self.flush()
        self._load_id = load_id

    def keep(self, load: Load) -> None:
        """Save a load soon."""
        self._latest = load
        self._number += 1
        self._timer.start()

    def flush(self) -> None:
        """Save now what waits to be saved, before the page goes."""
        self._timer.stop()
        if self._latest is None or self._written >= self._number:
            return
        try:
            self.write(self._latest, self._number)
        except LehrkeeperError as error:
            self.failed.emit(error)

    def write_now(self, load: Load) -> int:
        """Write a load in its place in the book and return its number; any thread."""
        with self._lock:
            self._load_id = self._studio.book.save_load(load, replacing=self._load_id)
            self._written = self._number
            return self._load_id

    def write(self, load: Load, number: int) -> None:
        """Write the load of the edit with this running number, unless a later one was written.

        Any thread; whichever comes last, the newest edit stays.
        """
        with self._lock:
            if number > self._written:
                self._load_id = self._studio.book.save_load(load, replacing=self._load_id)
                self._written = number

    def _save(self) -> None:
        if self._latest is None:
            return
        self._studio.jobs.submit(
            self.write,
            self._latest,
            self._number,
            on_done=lambda _: self._studio.tell_changed("load"),
            on_failed=self.failed.emit,
            kind="book",
            owner=self,
            supersede=False,
        )
