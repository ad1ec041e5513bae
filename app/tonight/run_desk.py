"""What happens to runs in the book, off the GUI thread, one write after the other."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

from PySide6.QtCore import QObject, Signal

from app.studio import Studio
from app.tonight.load_keeper import LoadKeeper
from app.tonight.run_night import (
    RunNight,
    open_nights,
    remove_reading,
    start_night,
)
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan


class RunDesk(QObject):
    """The runs going on, and everything that can be done with them.

    Signals
    -------
    changed()
        The runs going on, or one's readings, are others than before.
    started(RunNight)
    finished(str)
        A run was ended; the name of its lehr.
    failed(LehrkeeperError)
    """

    changed = Signal()
    started = Signal(object)
    finished = Signal(str)
    failed = Signal(object)

    def __init__(self, studio: Studio, keeper: LoadKeeper, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._keeper = keeper
        self._telling = False
        self.nights: dict[int, RunNight] = {}
        studio.watch.recorded.connect(lambda _: self.refresh())

    def read(self) -> None:
        """Read the runs going on now, at once (when the page opens)."""
        self._take(open_nights(self._studio.book))

    def refresh(self) -> None:
        """Read the runs again, after another page wrote to them."""
        if not self._telling:
            self._submit(open_nights, self._studio.book, done=self._take)

    def in_lehr(self, name: str) -> RunNight | None:
        """The run going on in a lehr, if there is one."""
        return next((n for n in self.nights.values() if n.record.lehr_name == name), None)

    def start(self, load: Load, plan: Plan | None, started_at: datetime) -> None:
        """Enter load and plan in the book and start the run; without a plan draw one up."""

        def done(night: RunNight) -> None:
            self.nights = {night.run_id: night, **self.nights}
            self.changed.emit()
            self.started.emit(night)
            self._tell()

        book, units = self._studio.book, self._studio.units
        self._submit(start_night, book, self._keeper, load, plan, units, started_at, done=done)

    def written(self) -> None:
        """A reading was written: read the runs again, and tell the other pages."""
        self.refresh()
        self._tell()

    def remove(self, run_id: int, moment: datetime) -> None:
        """Take a reading out again."""

        def done(night: RunNight) -> None:
            self._put(night)
            self._tell()

        self._submit(remove_reading, self._studio.book, run_id, moment, done=done)

    def finish(self, run_id: int) -> None:
        """End a run now."""
        self._submit(
            self._studio.book.finish_run,
            run_id,
            self._studio.now(),
            done=lambda record: self._drop(run_id, record.lehr_name),
        )

    def forget(self, run_id: int) -> None:
        """Remove a run that was started by mistake."""
        self._submit(self._studio.book.delete_run, run_id, done=lambda _: self._drop(run_id, ""))

    def _drop(self, run_id: int, lehr: str) -> None:
        self.nights.pop(run_id, None)
        self.changed.emit()
        if lehr:
            self.finished.emit(lehr)
        self._tell()

    def _put(self, night: RunNight) -> None:
        self.nights[night.run_id] = night
        self.changed.emit()

    def _take(self, nights: tuple[RunNight, ...]) -> None:
        self.nights = {night.run_id: night for night in nights}
        self.changed.emit()

    def _tell(self) -> None:
        self._telling = True
        self._studio.tell_changed("run")
        self._telling = False

    def _submit(
        self, function: Callable[..., Any], *args: object, done: Callable[[Any], None]
    ) -> None:
        def failed(error: LehrkeeperError) -> None:
            self.failed.emit(error)

        self._studio.jobs.submit(
            function,
            *args,
            on_done=done,
            on_failed=failed,
            kind="book",
            owner=self,
            supersede=False,
        )
