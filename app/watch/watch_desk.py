"""Runs that are recorded from a live source: begun, watched, ended; goes on whatever page shows."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Qt, QTimer, Signal, Slot
from PySide6.QtWidgets import QApplication
from shiboken6 import isValid

from app.watch.kept_settings import sound_wanted, watch_settings
from app.watch.watched_run import (
    WatchedRun,
    all_kept,
    close_old_alarms,
    keep_alarms,
    read_until,
    record,
    written_since,
)
from core.errors import LehrkeeperError
from core.live.recorder import Step
from core.live.watch import watch
from core.live.watch_types import WatchSettings, WatchState, alarm_news, silenced
from core.live.watch_words import alarm_words
from core.load.load import Load
from core.plan.plan import Plan
from core.run.live_source import LiveSource
from core.run.readings import Readings
from core.store.book import RunRecord

if TYPE_CHECKING:
    from app.studio import Studio

_LOOK_EVERY = 1_000
_SOUND_EVERY = 3_000
_TELL_EVERY = 10_000
"""Milliseconds between looks at the watch, sounds, and news of readings for the pages."""
_RAREST, _PER_READING = 60.0, 0.001
"""Seconds between news of a long night, and for each reading it has: all are drawn anew."""
_PATIENCE = 5.0
"""Seconds all recordings have to end in."""
_KEEP_AGAIN = 10.0
"""Seconds until alarms are written again that could not be."""
_DEFECT = (
    "recording has ended by a fault of the program. Read the controller's display, and begin to "
    "record again."
)


class WatchDesk(QObject):
    """Records runs and watches over them.

    Signals
    -------
    changed(int)
        What is known of a run that is recorded has changed.
    recorded(int)
        Readings of a run are in the book; every few seconds at most.
    alarmed(int, str)
        An alarm of a run was raised; in words.
    heard(int)
        Somebody has heard a run's alarms.
    ended(int)
        A run is no longer recorded.
    """

    changed = Signal(int)
    recorded = Signal(int)
    alarmed = Signal(int, str)
    heard = Signal(int)
    ended = Signal(int)
    _arrived = Signal(int, str, object)

    def __init__(self, studio: Studio) -> None:
        super().__init__(studio)
        self._studio = studio
        self._runs: dict[int, WatchedRun] = {}
        self._news: set[int] = set()
        self.limits: WatchSettings = watch_settings(studio.settings)
        # From the recording's own thread: queued, so that it is taken on this one.
        self._arrived.connect(self._take, Qt.ConnectionType.QueuedConnection)
        studio.changed.connect(self._on_written)
        self._timers = (
            self._timer(_LOOK_EVERY, self.look),
            self._timer(_SOUND_EVERY, self._sound),
            self._timer(_TELL_EVERY, self._tell_news),
        )

    def _timer(self, every: int, act: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setInterval(every)
        timer.timeout.connect(act)
        return timer

    # -- begin and end ----------------------------------------------------------------------

    def run(self, run_id: int | None) -> WatchedRun | None:
        """What is known of a run that is or was recorded since the program was opened."""
        return None if run_id is None else self._runs.get(run_id)

    @property
    def recording(self) -> tuple[WatchedRun, ...]:
        """Runs that are being recorded."""
        return tuple(run for run in self._runs.values() if run.recording)

    def begin(
        self, record_of: RunRecord, plan: Plan, load: Load, readings: Readings, source: LiveSource
    ) -> None:
        """Record a run from a source, and watch over it."""
        before = self._runs.get(record_of.id)
        if before is not None and before.thread is not None and before.thread.is_alive():
            return
        now = self._studio.now()
        past = read_until(readings, now)
        run = WatchedRun(record_of.id, plan, load, record_of.started_at, source, past)
        run.arrived = now
        # What was wrong before has been told before.
        run.watch = WatchState(checked_until=float(past.time[-1]) if len(past) else float("-inf"))
        self._runs[run.run_id] = run
        self._close_alarms(run)
        run.thread = threading.Thread(
            target=self._record, args=(run,), name=f"recording {run.run_id}", daemon=True
        )
        run.thread.start()
        for timer in self._timers:
            timer.start()
        self.changed.emit(run.run_id)

    def _record(self, run: WatchedRun) -> None:
        """On the recording's thread."""

        def tell(what: str, payload: object) -> None:
            # The window may have been closed while a disk or a device did not answer.
            if isValid(self):
                self._arrived.emit(run.run_id, what, payload)

        try:
            record(
                self._studio.book,
                run,
                lambda step: tell("step", step),
                lambda error: tell("failed", error),
            )
        except Exception as error:  # noqa: BLE001 -- a defect must reach the GUI thread's hook
            tell("defect", error)
        else:
            tell("ended", None)

    def _close_alarms(self, run: WatchedRun) -> None:
        """Let no alarm stay open in the book that nobody watches over."""
        self._studio.jobs.submit(
            close_old_alarms,
            self._studio.book,
            run.run_id,
            self._studio.now(),
            on_failed=lambda _: None,  # the next thing written tells what is wrong
            kind="book",
            supersede=False,
        )

    def _on_written(self, kind: str) -> None:
        """End the recording of runs that were finished or removed; watch what was typed."""
        if kind != "run":
            return
        for run in self.recording:
            last = float(run.readings.time[-1]) if len(run.readings) else None
            self._studio.jobs.submit(
                written_since,
                self._studio.book,
                run.run_id,
                None if last is None else datetime.fromtimestamp(last, UTC),
                on_done=lambda found, run=run: self._take_written(run, found),
                on_failed=lambda _: None,  # the recording looks by itself again
                kind="book",
                supersede=False,
            )

    def _take_written(self, run: WatchedRun, found: Readings | None) -> None:
        if found is None:
            self.stop(run.run_id)
        else:
            run.take_typed(found, self._studio.now())

    def stop(self, run_id: int) -> None:
        """End recording a run; what waits is stored first, as far as it goes."""
        run = self._runs.get(run_id)
        if run is not None:
            run.stop.set()
            self.changed.emit(run_id)

    def close(self) -> None:
        """End all recording."""
        for timer in self._timers:
            timer.stop()
        for run in self._runs.values():
            run.stop.set()
        end = time.monotonic() + _PATIENCE
        for run in self._runs.values():
            if run.thread is not None:
                run.thread.join(max(0.0, end - time.monotonic()))

    # -- what comes -------------------------------------------------------------------------

    @Slot(int, str, object)
    def _take(self, run_id: int, what: str, payload: Any) -> None:
        run = self._runs.get(run_id)
        if run is None:
            return
        if what == "step" and isinstance(payload, Step):
            run.take(payload, self._studio.now())
            if payload.stored:
                self._news.add(run_id)
        elif what == "failed" and isinstance(payload, LehrkeeperError):
            run.problem = payload
            run.stop.set()
        elif what in {"ended", "defect"}:
            run.stop.set()
            run.thread = None
            run.tell_again = 0.0
            self._tell_news()
            self._keep_alarms(run)
            self._close_alarms(run)
            self.ended.emit(run_id)
            self._studio.tell_changed("run")
            self._rest()
        self.changed.emit(run_id)
        if what == "defect":
            self.alarmed.emit(run_id, f"{run.load.lehr.name}: {_DEFECT}")
            sys.excepthook(type(payload), payload, payload.__traceback__)

    def _rest(self) -> None:
        if not self.recording:
            for timer in self._timers:
                timer.stop()

    def look(self) -> None:
        """Look whether anything is wrong with what is recorded."""
        now = self._studio.now()
        for run in self.recording:
            before = run.watch
            signal = None if run.state is None else run.state.signal
            if run.arrived is not None:
                run.arrived = min(run.arrived, now)  # the clock may have been set back
            run.watch = watch(
                run.plan,
                run.readings,
                now,
                self.limits,
                run.watch,
                signal=signal,
                arrived=run.arrived,
            )
            for alarm in alarm_news(before, run.watch).raised:
                # Over already: found in what a logger wrote before it was followed.
                if alarm.active:
                    words = alarm_words(alarm, self._studio.units)
                    self.alarmed.emit(run.run_id, f"{run.load.lehr.name}: {words}")
            self._keep_alarms(run)
            self.changed.emit(run.run_id)

    def hear(self, run_id: int) -> None:
        """Note that somebody has heard a run's alarms: they sound no more."""
        run = self._runs.get(run_id)
        if run is not None:
            run.watch = silenced(run.watch, self._studio.now())
            self._keep_alarms(run)
            self.heard.emit(run_id)
            self.changed.emit(run_id)

    def set_limits(self, limits: WatchSettings) -> None:
        """Watch by other limits from now on."""
        self.limits = limits

    def _keep_alarms(self, run: WatchedRun) -> None:
        if run.keeping or all_kept(run.watch.alarms, run.kept):
            return
        if time.monotonic() < run.keep_again:
            return
        run.keeping = True

        def kept(standing: dict[Any, Any]) -> None:
            run.keeping = False
            run.kept = standing
            if not all_kept(alarms, standing):
                run.keep_again = time.monotonic() + _KEEP_AGAIN

        alarms = run.watch.alarms
        self._studio.jobs.submit(
            keep_alarms,
            self._studio.book,
            run.run_id,
            alarms,
            run.kept,
            self._studio.units,
            on_done=kept,
            kind="book",
            supersede=False,
        )

    def _sound(self) -> None:
        if sound_wanted(self._studio.settings) and any(
            run.watch.sounding for run in self.recording
        ):
            QApplication.beep()

    def _tell_news(self) -> None:
        """Let the pages show what was recorded: a long night, where a minute is a pixel, rarely."""
        now = time.monotonic()
        due = {number for number in self._news if now >= self._runs[number].tell_again}
        self._news -= due
        for number in due:
            run = self._runs[number]
            run.tell_again = now + min(_RAREST, len(run.readings) * _PER_READING)
            self.recorded.emit(number)
