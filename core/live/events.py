"""What comes from a live source: readings, and what is to be told about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Protocol

import numpy as np

from core.run.readings import Readings
from core.run.run_event import EventKind as RunEventKind
from core.run.run_event import RunEvent


class EventKind(StrEnum):
    """What has happened to a live source, the clock, or the storing of its readings."""

    CONNECTED = "connected"
    LOST = "connection lost"
    GAP = "gap in the readings"
    BROKEN = "no temperature"
    """The source answers, but not with a temperature of a lehr."""
    MENDED = "temperature again"
    REPLACED = "file begun anew"
    BAD_ROWS = "rows left out"
    ASLEEP = "computer asleep"
    HELD_UP = "program held up"
    CLOCK_FORWARD = "clock set forward"
    CLOCK_BACK = "clock set back"
    NOT_STORED = "readings not stored"
    STORED_AGAIN = "readings stored again"
    THINNED = "waiting readings thinned"
    REFUSED = "reading refused"


@dataclass(frozen=True)
class LiveReading:
    """One temperature [K] and the aware time it was taken."""

    time: datetime
    temperature: float


@dataclass(frozen=True)
class LiveEvent:
    """Something to tell and to keep with the run.

    Attributes
    ----------
    time : datetime
        When it was noticed, aware.
    kind : EventKind
    sentence : str
    remedy : str
        What to do about it; ``""`` when nothing is.
    since : datetime or None
        When it began, for what lasted a while (a gap, a sleep).
    """

    time: datetime
    kind: EventKind
    sentence: str
    remedy: str = ""
    since: datetime | None = None

    def __str__(self) -> str:
        return f"{self.sentence} {self.remedy}" if self.remedy else self.sentence


def as_run_event(event: LiveEvent) -> RunEvent:
    """Make a note of an event, to be kept with the run where it began."""
    begun = event.time if event.since is None else event.since
    return RunEvent(begun, RunEventKind.NOTE, event.sentence)


class SignalKind(StrEnum):
    """What a live source says at present."""

    WAITING = "waiting"
    """Nothing has come yet."""
    GOOD = "good"
    BROKEN = "no temperature"
    SILENT = "no answer"


@dataclass(frozen=True)
class Signal:
    """State of a live source.

    Attributes
    ----------
    kind : SignalKind
    since : datetime or None
        Since when it has been so, aware.
    sentence : str
        Why, when it is not good.
    """

    kind: SignalKind = SignalKind.WAITING
    since: datetime | None = None
    sentence: str = ""


@dataclass(frozen=True)
class Poll:
    """What one look at a source brought, readings in order of time."""

    readings: tuple[LiveReading, ...] = ()
    events: tuple[LiveEvent, ...] = ()
    signal: Signal = Signal()


def readings_of(readings: Sequence[LiveReading]) -> Readings:
    """Join live readings, in order of time, to arrays."""
    return Readings(
        np.array([one.time.timestamp() for one in readings], dtype=np.float64),
        np.array([one.temperature for one in readings], dtype=np.float64),
    )


class Clock(Protocol):
    """Tells the time that readings are stamped with."""

    def now(self) -> datetime:
        """The present, aware, UTC."""


class Source(Protocol):
    """Where live readings come from."""

    @property
    def name(self) -> str:
        """What it is called on screen."""

    @property
    def wait(self) -> float:
        """Seconds until it should be looked at again."""

    def poll(self, clock: Clock) -> Poll:
        """Look for new readings; never raises for what the outside world does."""

    def close(self) -> None:
        """Let go of files and connections."""
