"""Reading a logger's file and taking it into the book, off the GUI thread."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from core.errors import BookError, RunError
from core.plan.plan import Plan
from core.run.compare import compare
from core.run.file_pattern import file_pattern
from core.run.log_file import LogImport, file_bytes, read_log
from core.run.log_format import Corrections, Doubt, LogFormat, LogUnit, Option
from core.run.log_sample import LogSample, first_rows
from core.run.unit_check import fahrenheit_suspected
from core.store.book import Book, ImportOutcome

SOURCE = "logger"
"""What is written beside readings taken from a file."""

_SHOWN = 40
"""First rows of the file that are shown."""

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]


@dataclass(frozen=True)
class LogContext:
    """What is known of the run a file belongs to.

    Attributes
    ----------
    plan : Plan
    near : datetime
        When the run was begun (aware); settles ambiguous dates.
    start : datetime
        When a log without dates began (aware).
    timezone : str
        IANA name of the logger's zone, ``""`` for this computer's own.
    """

    plan: Plan
    near: datetime
    start: datetime
    timezone: str


@dataclass(frozen=True, eq=False)
class FileRead:
    """A logger's file as read; its ``log`` is both shown and stored.

    Attributes
    ----------
    data : bytes
        The file, so that another reading sees the same.
    log : LogImport
    sample : LogSample
    unit_doubt : Doubt or None
        Asked when the temperatures look like the other degrees.
    comparable : bool
        Some of it falls into the hours of the run's plan.
    """

    data: bytes
    log: LogImport
    sample: LogSample
    unit_doubt: Doubt | None
    comparable: bool


def open_file(
    path: Path, book: Book, context: LogContext, progress: Progress, cancelled: Cancelled
) -> FileRead:
    """Read a file from the disk, finding out how it is laid out.

    What was answered about a file of the same pattern before is not asked again.
    """
    data = file_bytes(path)
    record = book.log_format_for(path.name)
    remembered = None if record is None else record.format
    return _read(data, path.name, None, context, progress, cancelled, remembered=remembered)


def correct_file(
    data: bytes,
    file_name: str,
    corrections: Corrections,
    context: LogContext,
    progress: Progress,
    cancelled: Cancelled,
) -> FileRead:
    """Find out anew how the same bytes are laid out, with what a person set right."""
    return _read(data, file_name, None, context, progress, cancelled, corrections=corrections)


def read_again(
    data: bytes,
    file_name: str,
    log_format: LogFormat,
    context: LogContext,
    progress: Progress,
    cancelled: Cancelled,
) -> FileRead:
    """Read the same bytes with the answers given since."""
    return _read(data, file_name, log_format, context, progress, cancelled)


def _read(
    data: bytes,
    file_name: str,
    log_format: LogFormat | None,
    context: LogContext,
    progress: Progress,
    cancelled: Cancelled,
    *,
    corrections: Corrections | None = None,
    remembered: LogFormat | None = None,
) -> FileRead:
    log = read_log(
        data,
        log_format,
        file_name=file_name,
        corrections=corrections,
        remembered=remembered,
        start=context.start,
        timezone=context.timezone,
        near=context.near,
        progress=progress,
        cancelled=cancelled,
    )
    return FileRead(
        data,
        log,
        first_rows(data, log.format, _SHOWN),
        _unit_doubt(log, context.plan),
        _is_comparable(log, context.plan),
    )


def _is_comparable(log: LogImport, plan: Plan) -> bool:
    try:
        compare(plan, log.readings)
    except RunError:
        return False
    return True


def _unit_doubt(log: LogImport, plan: Plan) -> Doubt | None:
    question = fahrenheit_suspected(log.readings, plan, log.format.unit.value)
    if question is None:
        return None
    units = (LogUnit.CELSIUS, LogUnit.FAHRENHEIT)
    options = tuple(Option(unit.symbol, replace(log.format, unit=unit)) for unit in units)
    return Doubt("unit", question, options)


def store_log(
    book: Book,
    run_id: int,
    log: LogImport,
    stop: threading.Event,
    progress: Progress,
    cancelled: Cancelled,
) -> ImportOutcome:
    """Take the good rows into the run, all of them or none, and remember how they were read.

    ``stop`` and not the job is asked for stopping: whoever stops must still hear whether the
    rows had been written by then.
    """
    outcome = book.add_readings(
        run_id,
        log.readings,
        SOURCE,
        log.file_name,
        log.digest,
        progress=progress,
        cancelled=lambda: stop.is_set() or cancelled(),
    )
    # The readings are in; a name that says nothing, or a book held elsewhere, must not undo that.
    with suppress(BookError):
        book.remember_log_format(file_pattern(log.file_name), log.format)
    return outcome
