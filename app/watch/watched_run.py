"""One run that is being recorded, and its alarms in the book; no Qt."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from core.errors import LehrkeeperError
from core.live.events import LiveEvent, as_run_event, readings_of
from core.live.open_source import open_source
from core.live.recorder import LiveRecorder, RecorderState, Step
from core.live.watch_types import Alarm, AlarmKind, WatchState
from core.live.watch_words import alarm_words
from core.load.load import Load
from core.plan.plan import Plan
from core.run.live_source import LiveSource, SourceKind
from core.run.readings import Readings
from core.store.book import Book
from core.units import UnitChoice

_MOST_EVENTS = 200
"""So many of the last are shown, or wait to be written; all are in the book."""
_ASK_EVERY = 5.0
"""Seconds between looks whether the run still goes on: another window may have ended it."""


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
    keep_again: float = 0.0
    """Not before this on the running clock are alarms written again that could not be."""
    tell_again: float = 0.0
    """Not before this on the running clock are the pages told of new readings."""
    problem: LehrkeeperError | None = None
    arrived: datetime | None = None
    """When the last reading came, or the recording began, by the studio's clock."""

    @property
    def recording(self) -> bool:
        """True until the recording has ended, or was told to."""
        return self.thread is not None and self.thread.is_alive() and not self.stop.is_set()

    @property
    def ending(self) -> bool:
        """True while it was told to end and has not yet."""
        return self.thread is not None and self.thread.is_alive() and self.stop.is_set()

    def take(self, step: Step, now: datetime) -> None:
        """Add what a step of the recording brought; what is not stored yet is watched as well."""
        self.state = step.state
        self.events = (self.events + list(step.events))[-_MOST_EVENTS:]
        if step.came:
            self.arrived = now
            self.readings = _joined(self.readings, readings_of(step.came))

    def take_typed(self, readings: Readings, now: datetime) -> None:
        """Watch what was typed while the source was silent as well."""
        more = _joined(self.readings, read_until(readings, now))
        if len(more) > len(self.readings):
            self.readings, self.arrived = more, now


@dataclass(frozen=True)
class KeptAlarm:
    """How far an alarm stands in the book."""

    number: int
    cleared: bool = False
    heard: bool = False


def read_until(readings: Readings, now: datetime) -> Readings:
    """Readings up to now: one typed for a wrong hour must not hide what comes before it."""
    past = readings.time <= now.timestamp()
    return Readings(readings.time[past], readings.temperature[past])


def record(
    book: Book,
    run: WatchedRun,
    told: Callable[[Step], None],
    failed: Callable[[LehrkeeperError], None],
) -> None:
    """Record until the run's ``stop`` is set; runs on a thread of its own.

    Every event goes into the book with the run, beside being told. A file may hold nights before
    this one: only what was read since the run was begun is taken. Recording ends when the run is
    finished or removed, here or in another window.
    """
    try:
        log_format = None
        if run.source.kind is SourceKind.FILE:
            known = book.log_format_for(Path(str(run.source.settings.get("path", ""))).name)
            log_format = None if known is None else known.format
        logged = book.logged_until(run.run_id, run.source.name)
        after = run.begun - timedelta(seconds=1) if logged is None else logged
        source = open_source(run.source, log_format=log_format, start=run.begun, after=after)
    except LehrkeeperError as error:
        failed(error)
        return

    def store(readings: Readings) -> None:
        book.log_readings(run.run_id, readings, run.source.name)

    if logged is not None and logged > datetime.now(UTC) and run.source.kind is not SourceKind.FILE:
        # By a clock that has been set back since: nothing would be taken until then.
        logged = None
    events: deque[LiveEvent] = deque(maxlen=_MOST_EVENTS)
    asked = 0.0

    def keep_and_tell(step: Step) -> None:
        nonlocal asked
        events.extend(step.events)
        # While readings cannot be stored, what happened cannot either; it is kept until then.
        if not step.state.trouble:
            _keep_events(book, run.run_id, events)
        if time.monotonic() >= asked:
            asked = time.monotonic() + _ASK_EVERY
            if not _goes_on(book, run.run_id):
                run.stop.set()
        told(step)

    LiveRecorder(source, store, after=logged).run(run.stop, keep_and_tell)


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

    What cannot be written is left for a later time: the recorder tells what is wrong.
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
                # The clock may have been set back meanwhile.
                book.clear_alarm(now[key].number, max(alarm.cleared, alarm.raised))
                now[key] = replace(now[key], cleared=True)
            if alarm.heard is not None and not now[key].heard:
                book.acknowledge_alarm(now[key].number, alarm.heard)
                now[key] = replace(now[key], heard=True)
        except LehrkeeperError:
            break
    return now


def kept_alarms(book: Book, run_id: int) -> tuple[Alarm, ...]:
    """Alarms of a run as the book has them, their sentences as notes; those known by now."""
    known = {kind.value: kind for kind in AlarmKind}
    return tuple(
        Alarm(known[one.kind], one.raised_at, one.cleared_at, one.acknowledged_at, note=one.text)
        for one in book.alarms(run_id)
        if one.kind in known
    )


def close_old_alarms(book: Book, run_id: int, now: datetime) -> None:
    """End alarms that are open in the book: the watch over them has ended."""
    for alarm in book.alarms(run_id):
        if alarm.cleared_at is None:
            book.clear_alarm(alarm.id, max(now, alarm.raised_at))


def written_since(book: Book, run_id: int, last: datetime | None) -> Readings | None:
    """What a run has in the book after a time; ``None`` when the run was finished or removed."""
    return book.readings(run_id, since=last) if book.goes_on(run_id) else None


def _keep_events(book: Book, run_id: int, events: deque[LiveEvent]) -> None:
    """Write events with the run, the first first; what cannot be written stays."""
    while events:
        try:
            book.add_run_event(run_id, as_run_event(events[0]))
        except LehrkeeperError:
            return
        events.popleft()


def _goes_on(book: Book, run_id: int) -> bool:
    try:
        return book.goes_on(run_id)
    except LehrkeeperError:
        return True  # a book that cannot be read is told by the recorder


def _joined(before: Readings, more: Readings) -> Readings:
    newer = more.time > (before.time[-1] if len(before) else -np.inf)
    return Readings(
        np.concatenate([before.time, more.time[newer]]),
        np.concatenate([before.temperature, more.temperature[newer]]),
    )
