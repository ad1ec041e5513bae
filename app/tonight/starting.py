"""Starting a run: from the plan's button time, or from now when that is another time."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QObject, Signal

from app.local_time import day_and_clock
from app.studio import Studio
from app.tonight.run_desk import RunDesk
from app.tonight.start_question import StartQuestion
from core.errors import RunError
from core.load.evening import is_on_time, moved_to
from core.load.load import Load


class Starting(QObject):
    """Asks what has to be asked before a run begins.

    Signals
    -------
    begun(Load, datetime)
        A run is to be started: the load, moved to now if that was chosen, and when.
    refused(RunError)
        It cannot be started.
    """

    begun = Signal(object, object)
    refused = Signal(object)

    def __init__(
        self,
        studio: Studio,
        desk: RunDesk,
        question: StartQuestion,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self._desk = desk
        self._question = question
        self._load: Load | None = None
        question.from_now.connect(self._now)
        question.as_planned.connect(self._as_planned)

    def start(self, load: Load) -> None:
        """Begin a load's run, or ask when it was begun."""
        self._load = load
        if self._desk.in_lehr(load.lehr.name) is not None:
            self.refused.emit(
                RunError(
                    f"“{load.lehr.name}” has a run going.",
                    remedy="Finish that one first, or choose another lehr.",
                )
            )
            return
        now = self._studio.now()
        if is_on_time(load.button_time, now):
            self.begun.emit(load, now)
        else:
            zone = self._studio.zone
            self._question.ask(
                day_and_clock(load.button_time, now=now, zone=zone),
                day_and_clock(now, now=now, zone=zone),
            )

    def _now(self) -> None:
        if self._load is not None:
            now: datetime = self._studio.now().replace(second=0, microsecond=0)
            self.begun.emit(moved_to(self._load, now), now)

    def _as_planned(self) -> None:
        if self._load is not None:
            self.begun.emit(self._load, self._load.button_time)
