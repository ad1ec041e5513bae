"""From a live source into the book: every reading stored, or kept until it can be."""

from __future__ import annotations

import statistics
import threading
import time
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from core.errors import BookError, LehrkeeperError
from core.live.events import (
    EventKind,
    LiveEvent,
    LiveReading,
    Signal,
    Source,
    readings_of,
)
from core.live.steady_clock import SteadyClock
from core.run.readings import Readings
from core.units import format_duration

Store = Callable[[Readings], object]
"""Stores readings, all of them or none; they are acknowledged when it returns."""

_FIRST_PAUSE, _LONGEST_PAUSE = 1.0, 30.0
"""Pause after storing failed, doubled with each failure more [s]."""
_SHORTEST_GAP = 60.0
"""A shorter pause of the readings is none [s]; common practice, no source."""
_SPACINGS = 9
"""As many of the last spacings tell the usual one; it changes soon when a logger is set anew."""


@dataclass(frozen=True)
class RecorderState:
    """How the recording stands.

    Attributes
    ----------
    signal : Signal
        What the source says.
    stored : int
        Readings stored since recording began.
    waiting : int
        Readings that could not be stored yet; they are kept in memory.
    last : LiveReading or None
        The newest, stored or not.
    trouble : str
        Why storing fails; ``""`` when it does not.
    """

    signal: Signal
    stored: int = 0
    waiting: int = 0
    last: LiveReading | None = None
    trouble: str = ""


@dataclass(frozen=True)
class Step:
    """What one step brought.

    Attributes
    ----------
    stored : tuple of LiveReading
        Acknowledged in this step.
    events : tuple of LiveEvent
    state : RecorderState
    wait : float
        Seconds until the next step.
    came : tuple of LiveReading
        New in this step, stored or not: what is watched must not depend on the book.
    """

    stored: tuple[LiveReading, ...]
    events: tuple[LiveEvent, ...]
    state: RecorderState
    wait: float
    came: tuple[LiveReading, ...] = ()


class LiveRecorder:
    """Takes readings from a source and stores them.

    Parameters
    ----------
    source : Source
    store : callable
        Given readings in order of time, at most ``most_at_once``; they are acknowledged when it
        returns. When it raises a :class:`core.errors.BookError` or an ``OSError`` (disk full, book
        held by somebody else) it must have stored none, and is called again with the same later.
        Any other :class:`core.errors.LehrkeeperError` refuses a reading for good.
    after : datetime, optional
        Time (aware) of the last reading the run has; from there on a gap is marked.
    most_at_once : int
    most_waiting : int
        Readings kept while they cannot be stored; beyond it every second one is let go, so that
        the curve keeps its course.
    clock : SteadyClock, optional
    """

    def __init__(
        self,
        source: Source,
        store: Store,
        *,
        after: datetime | None = None,
        most_at_once: int = 500,
        most_waiting: int = 200_000,
        clock: SteadyClock | None = None,
    ) -> None:
        self._source, self._store = source, store
        self._most_at_once, self._most_waiting = most_at_once, most_waiting
        self._clock = SteadyClock() if clock is None else clock
        self._waiting: deque[LiveReading] = deque()
        self._signal = Signal()
        self._stored = 0
        self._last: LiveReading | None = None
        self._last_time = after
        self._spacings: deque[float] = deque(maxlen=_SPACINGS)
        self._trouble = ""
        self._failures = 0
        self._due = 0.0
        self._one_by_one = 0
        self._thinned = False
        self._expected = 0.0

    @property
    def waiting(self) -> tuple[LiveReading, ...]:
        """Readings that are not stored yet."""
        return tuple(self._waiting)

    def step(self) -> Step:
        """Look at the source once and store what it brought; does not wait."""
        events = list(self._clock.check(self._expected))
        poll = self._source.poll(self._clock)
        self._signal = poll.signal
        events += poll.events
        came = tuple(reading for reading in poll.readings if self._take(reading, events))
        self._thin(events)
        stored = self._store_waiting(events, force=False)
        self._expected = self._source.wait
        return Step(stored, tuple(events), self._state(), self._expected, came)

    def run(self, stop: threading.Event, told: Callable[[Step], None]) -> None:
        """Step until told to stop, then try once more to store what waits, and close the source.

        Parameters
        ----------
        stop : threading.Event
            Set from another thread; a wait ends at once.
        told : callable
            Given every step, on this thread.
        """
        try:
            while not stop.is_set():
                step = self.step()
                told(step)
                stop.wait(max(step.wait, 0.01))
        finally:
            told(self.finish())

    def finish(self) -> Step:
        """Store what waits, as far as it goes, and close the source."""
        events: list[LiveEvent] = []
        self._source.close()
        stored = self._store_waiting(events, force=True)
        return Step(stored, tuple(events), self._state(), 0.0)

    def _state(self) -> RecorderState:
        return RecorderState(
            self._signal, self._stored, len(self._waiting), self._last, self._trouble
        )

    def _take(self, reading: LiveReading, events: list[LiveEvent]) -> bool:
        """Let a reading wait to be stored; False when it is known already."""
        if self._last_time is not None:
            step = (reading.time - self._last_time).total_seconds()
            if step <= 0.0:
                return False
            first_step = self._last is not None and not self._spacings
            usual = statistics.median(self._spacings) if self._spacings else 0.0
            if not first_step and step > max(_SHORTEST_GAP, 3.0 * usual):
                events.append(
                    LiveEvent(
                        reading.time,
                        EventKind.GAP,
                        f"No reading came for {format_duration(step)} (h:mm).",
                        "What the lehr did meanwhile is not known; the curve is left open there.",
                        since=self._last_time,
                    )
                )
            if self._last is not None:
                self._spacings.append(step)
        self._last, self._last_time = reading, reading.time
        self._waiting.append(reading)
        return True

    def _thin(self, events: list[LiveEvent]) -> None:
        if len(self._waiting) <= self._most_waiting:
            return
        self._thinned = True
        before = len(self._waiting)
        kept = list(self._waiting)
        # The newest stays.
        self._waiting = deque(kept[(before - 1) % 2 :: 2])
        events.append(
            LiveEvent(
                self._clock.now(),
                EventKind.THINNED,
                f"{before} readings wait to be stored, more than can be kept: every second one "
                "was let go.",
                self._trouble,
            )
        )

    def _store_waiting(self, events: list[LiveEvent], *, force: bool) -> tuple[LiveReading, ...]:
        if not self._waiting or (not force and time.monotonic() < self._due):
            return ()
        stored: list[LiveReading] = []
        while self._waiting:
            count = 1 if self._one_by_one else min(self._most_at_once, len(self._waiting))
            batch = tuple(self._waiting[i] for i in range(count))
            try:
                self._store(readings_of(batch))
            except (BookError, OSError) as error:
                self._failed(error, events)
                return tuple(stored)
            except LehrkeeperError as error:
                if count > 1:
                    # One of them is at fault; the others must not suffer for it.
                    self._one_by_one = count
                    continue
                events.append(
                    LiveEvent(
                        self._clock.now(),
                        EventKind.REFUSED,
                        f"A reading of {batch[0].time:%H:%M:%S} UTC was not stored: {error}",
                    )
                )
            else:
                stored += batch
                self._stored += count
            for _ in range(count):
                self._waiting.popleft()
            self._one_by_one = max(0, self._one_by_one - count)
        if self._trouble:
            events.append(
                LiveEvent(
                    self._clock.now(),
                    EventKind.STORED_AGAIN,
                    "Readings are stored again"
                    + ("." if self._thinned else "; none that waited is lost."),
                )
            )
        self._thinned = False
        self._trouble, self._failures, self._due = "", 0, 0.0
        return tuple(stored)

    def _failed(self, error: Exception, events: list[LiveEvent]) -> None:
        pause = min(_LONGEST_PAUSE, _FIRST_PAUSE * 2.0 ** min(self._failures, 10))
        self._due = time.monotonic() + pause
        self._failures += 1
        reason = str(error)
        if not self._trouble:
            events.append(
                LiveEvent(
                    self._clock.now(),
                    EventKind.NOT_STORED,
                    f"Readings cannot be stored: {reason}",
                    "They are kept in memory and tried again; leave the program open.",
                )
            )
        self._trouble = reason
