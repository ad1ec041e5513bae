"""One run that is being recorded, and its alarms in the book; no Qt."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from core.errors import LehrkeeperError
from core.live.events import LiveEvent, LiveReading, as_run_event
from core.live.open_source import open_source
from core.live.recorder import LiveRecorder, RecorderState, Step
from core.live.watch_types import Alarm, WatchState
from core.live.watch_words import alarm_words
from core.load.load import Load
from core.plan.plan import Plan
from core.run.live_source import LiveSource, SourceKind
from core.run.readings import Readings
from core.store.book import Book
from core.units import UnitChoice

_MOST_EVENTS = 200
"""So many of the last are shown; all are in the book."""


@dataclass(eq=False)
class WatchedRun:
    """What is known of a run while it is recorded; changed on the GUI thread only."""

    run_id: int
    plan: Plan
    load: Load
    begun: datetime
    source: LiveSource
    readings: Readings
    stop: threading.Event = field(default_factory=threading.Event)
    thread: threading.Thread | None = None
    state: RecorderState | None = None
    watch: WatchState = field(default_factory=WatchState)
    events: list[LiveEvent] = field(default_factory=list)
    kept: dict[tuple[str, datetime], KeptAlarm] = field(default_factory=dict)
    keeping: bool = False
    problem: LehrkeeperError | None = None

    @property
    def recording(self) -> bool:
        """True until the recording has ended."""
        return self.thread is not None and self.thread.is_alive() and not self.stop.is_set()

    def take(self, step: Step) -> None:
        """Add what a step of the recording brought."""
        self.state = step.state
        self.events = (self.events + list(step.events))[-_MOST_EVENTS:]
        if step.stored:
            self.readings = _joined(self.readings, step.stored)


@dataclass(frozen=True)
class KeptAlarm:
    """How far an alarm stands in the book."""

    number: int
    cleared: bool = False
    heard: bool = False


def last_time(readings: Readings) -> datetime | None:
    """Time of the last reading, aware."""
    return datetime.fromtimestamp(float(readings.time[-1]), UTC) if len(readings) else None


def record(
    book: Book,
    run: WatchedRun,
    told: Callable[[Step], None],
    failed: Callable[[LehrkeeperError], None],
) -> None:
    """Record until the run's ``stop`` is set; runs on a thread of its own.

    Every event goes into the book with the run, beside being told.
    """
    try:
        log_format = None
        if run.source.kind is SourceKind.FILE:
            known = book.log_format_for(Path(str(run.source.settings.get("path", ""))).name)
            log_format = None if known is None else known.format
        after = last_time(run.readings)
        source = open_source(run.source, log_format=log_format, start=run.begun, after=after)
    except LehrkeeperError as error:
        failed(error)
        return

    def store(readings: Readings) -> None:
        book.log_readings(run.run_id, readings, run.source.name)

    def keep_and_tell(step: Step) -> None:
        for event in step.events:
            _keep_event(book, run.run_id, event)
        told(step)

    LiveRecorder(source, store, after=after).run(run.stop, keep_and_tell)


def all_kept(alarms: tuple[Alarm, ...], kept: dict[tuple[str, datetime], KeptAlarm]) -> bool:
    """Whether the book has all there is to say of the alarms."""
    for alarm in alarms:
        there = kept.get((alarm.kind.value, alarm.raised))
        if there is None or there.cleared != (not alarm.active):
            return False
        if there.heard != (alarm.heard is not None):
            return False
    return True


def keep_alarms(
    book: Book,
    run_id: int,
    alarms: tuple[Alarm, ...],
    kept: dict[tuple[str, datetime], KeptAlarm],
    units: UnitChoice,
) -> dict[tuple[str, datetime], KeptAlarm]:
    """Bring a run's alarms in the book up to date; returns how they stand there now.

    What cannot be written is left for the next time: the recorder tells what is wrong.
    """
    now = dict(kept)
    for alarm in alarms:
        key = (alarm.kind.value, alarm.raised)
        try:
            if key not in now:
                sentence = alarm_words(alarm, units).sentence
                value = None if np.isnan(alarm.temperature) else alarm.temperature
                entered = book.raise_alarm(run_id, key[0], alarm.raised, sentence, value)
                now[key] = KeptAlarm(entered.id)
            if alarm.cleared is not None and not now[key].cleared:
                book.clear_alarm(now[key].number, alarm.cleared)
                now[key] = replace(now[key], cleared=True)
            if alarm.heard is not None and not now[key].heard:
                book.acknowledge_alarm(now[key].number, alarm.heard)
                now[key] = replace(now[key], heard=True)
        except LehrkeeperError:
            break
    return now


def close_old_alarms(book: Book, run_id: int, now: datetime) -> None:
    """End alarms that were left open when the program was last closed: the watch begins anew."""
    for alarm in book.alarms(run_id):
        if alarm.cleared_at is None:
            book.clear_alarm(alarm.id, max(now, alarm.raised_at))


def _keep_event(book: Book, run_id: int, event: LiveEvent) -> None:
    # A full or locked book is told by the recorder itself, with every reading kept.
    try:
        book.add_run_event(run_id, as_run_event(event))
    except LehrkeeperError:
        return


def _joined(before: Readings, more: tuple[LiveReading, ...]) -> Readings:
    times = np.array([reading.time.timestamp() for reading in more])
    kelvin = np.array([reading.temperature for reading in more])
    newer = times > (before.time[-1] if len(before) else -np.inf)
    return Readings(
        np.concatenate([before.time, times[newer]]),
        np.concatenate([before.temperature, kelvin[newer]]),
    )
