"""What the book hands out of runs and loggers: frozen copies, with the number of each."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from core.run.equipment_fit import EquipmentFit
from core.run.live_source import LiveSource
from core.run.log_format import LogFormat
from core.run.run_event import Outcome, RunEvent


@dataclass(frozen=True)
class RunEventRecord:
    """Something that happened in a run."""

    id: int
    run_id: int
    event: RunEvent


@dataclass(frozen=True)
class OutcomeRecord:
    """What was found of a piece after a run."""

    id: int
    run_id: int
    outcome: Outcome


@dataclass(frozen=True)
class LogPatternRecord:
    """How files whose names fit a pattern are read; ``saved_at`` in UTC."""

    id: int
    pattern: str
    format: LogFormat
    saved_at: datetime


@dataclass(frozen=True)
class LiveSourceRecord:
    """Where temperatures are read from as they come."""

    id: int
    source: LiveSource


@dataclass(frozen=True)
class AlarmRecord:
    """An alarm of a run.

    Attributes
    ----------
    id, run_id : int
    kind : str
        In the words of the watch that raised it.
    raised_at : datetime
        UTC, as the others.
    text : str
    value : float or None
        What set it off, in SI units.
    cleared_at : datetime or None
        When what it warns of was over.
    acknowledged_at : datetime or None
        When somebody said they had seen it.
    """

    id: int
    run_id: int
    kind: str
    raised_at: datetime
    text: str
    value: float | None
    cleared_at: datetime | None
    acknowledged_at: datetime | None

    @property
    def is_open(self) -> bool:
        """True while what it warns of goes on."""
        return self.cleared_at is None


@dataclass(frozen=True)
class FitRecord:
    """Parameters fitted to a lehr or furnace."""

    id: int
    fit: EquipmentFit


class HitKind(StrEnum):
    """Where a searched word was found."""

    NOTE = "note"
    EVENT = "event"
    OUTCOME = "outcome"
    RUN = "run"
    LOAD = "load"
    CHARGE = "charge"
    POT_ENTRY = "pot entry"
    FURNACE_READING = "furnace temperature"
    ALARM = "alarm"


@dataclass(frozen=True)
class Hit:
    """Something found.

    Attributes
    ----------
    kind : HitKind
    id : int
        Number of what was found: the note, the event, the run ...
    time : datetime
        UTC: when it was written, found or begun.
    text : str
        The words it was found by, on one line.
    run_id : int or None
        The run it belongs to, if any: for a load its last run.
    subject : str
        What it stands on, as shown: name of the load, pot, glass ...
    """

    kind: HitKind
    id: int
    time: datetime
    text: str
    run_id: int | None
    subject: str
