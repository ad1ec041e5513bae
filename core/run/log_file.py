"""Reading a logger's file: the good rows as readings, the bad ones by line and column."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import LogFileError, Place
from core.run.log_cells import LARGEST_FILE, check_size, decode
from core.run.log_clock import utc_from_wall, wall_seconds, zone_of
from core.run.log_cut_off import refuse_cut_off
from core.run.log_doubtful import refuse_doubtful
from core.run.log_format import (
    Channel,
    Corrections,
    Doubt,
    GuessedFormat,
    LogFormat,
    LogUnit,
    TimeKind,
)
from core.run.log_guess import guess_layout
from core.run.log_lines import Lines
from core.run.log_memory import is_alike, with_memory
from core.run.log_order import order_message, rising_rows, with_days
from core.run.log_problem import RowProblem, row_problem
from core.run.log_rows import Rows, read_rows, written_time
from core.run.readings import Readings
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LogImport:
    """A logger's file as read; preview and import both use this one result.

    Attributes
    ----------
    readings : Readings
        The good rows.
    problems : tuple of RowProblem
        The others, in order of line.
    notes : tuple of str
        What was settled without asking, such as a change of clocks.
    questions : tuple of Doubt
        What the file does not say; only when the format was guessed.
    format : LogFormat
        As used.
    channels : tuple of Channel
        Columns that may hold the temperature; only when the format was guessed.
    columns : tuple of Channel
        All columns with numbers, set points and counters too; only when the format was guessed.
    from_memory : tuple of str
        Fields of the format settled as for an earlier file of its kind.
    file_name : str
    digest : str
        SHA-256 of the file.
    """

    readings: Readings
    problems: tuple[RowProblem, ...]
    notes: tuple[str, ...]
    questions: tuple[Doubt, ...]
    format: LogFormat
    channels: tuple[Channel, ...]
    columns: tuple[Channel, ...]
    from_memory: tuple[str, ...]
    file_name: str
    digest: str


def read_log(
    data: bytes | Path,
    log_format: LogFormat | None = None,
    *,
    file_name: str = "",
    start: datetime | None = None,
    timezone: str = "",
    near: datetime | None = None,
    corrections: Corrections | None = None,
    remembered: LogFormat | None = None,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> LogImport:
    """Read a logger's file.

    Parameters
    ----------
    data : bytes or Path
        The file, or where it is.
    log_format : LogFormat, optional
        How it is laid out; found by looking at it when not given.
    file_name : str, optional
        For messages; the path's own by default.
    start : datetime, optional
        When the log began (aware); needed by files without dates.
    timezone : str
        Zone of the logger's clock when the format is guessed.
    near : datetime, optional
        When the log should begin (aware); settles an ambiguous date when the format is guessed.
    corrections : Corrections, optional
        What a person has set right; the rest of the format is guessed to fit.
    remembered : LogFormat, optional
        As a file of the same kind was read before; it answers what this one leaves open.
    progress, cancelled : callable, optional
        Told the share of rows read (0 to 1); asked now and then whether to stop.

    Raises
    ------
    LogFileError
        If the file cannot be read at all, has no readable row, or needs a start. Nothing else.
    StoppedError
        When ``cancelled`` says so.
    """
    content, name = _content(data, file_name)
    questions: tuple[Doubt, ...] = ()
    channels: tuple[Channel, ...] = ()
    columns: tuple[Channel, ...] = ()
    from_memory: tuple[str, ...] = ()
    for moment in (start, near):
        if moment is not None and moment.tzinfo is None:
            raise LogFileError("The start has no time zone.", field="start", remedy="Give it one.")
    lines: Lines | None = None
    if log_format is None:
        known = corrections or Corrections()
        text, encoding = decode(content, known.encoding, name or None)
        lines = Lines(text)
        guessed = guess_layout(
            lines, encoding, timezone=timezone, near=near or start, file=name, corrections=known
        )
        if remembered is not None and not is_alike(guessed.format, remembered):
            guessed = _guess_by_memory(lines, guessed, remembered, near or start)
        log_format, questions, channels = guessed.format, guessed.doubts, guessed.channels
        columns = guessed.columns
        if remembered is not None:
            memory = with_memory(guessed, remembered)
            log_format, questions, from_memory = memory.format, memory.doubts, memory.used
        if start is not None:
            questions = tuple(doubt for doubt in questions if doubt.field != "start")
    zone_of(log_format.timezone)
    if log_format.needs_start and start is None:
        raise LogFileError(
            "The file has no dates.",
            field="start",
            place=Place(name or None),
            remedy="Say when the log began.",
        )
    if lines is None:
        lines = Lines(decode(content, log_format.encoding, name or None)[0])
    taken = read_lines(lines, log_format, start, progress=progress, cancelled=cancelled)
    if len(taken.readings) == 0:
        raise _nothing_readable(name, taken.problems)
    return LogImport(
        readings=taken.readings,
        problems=taken.problems,
        notes=taken.notes,
        questions=questions,
        format=log_format,
        channels=channels,
        columns=columns,
        from_memory=from_memory,
        file_name=name,
        digest=hashlib.sha256(content).hexdigest(),
    )


@dataclass(frozen=True, eq=False)
class TakenRows:
    """What the lines of a log hold.

    Attributes
    ----------
    readings : Readings
        The good rows in order of time.
    line : ndarray of int, shape (n,)
        Line of each reading, from 1.
    problems : tuple of RowProblem
        The bad rows, in order of line.
    notes : tuple of str
    """

    readings: Readings
    line: NDArray[np.int64]
    problems: tuple[RowProblem, ...]
    notes: tuple[str, ...]


def read_lines(
    lines: Lines,
    log_format: LogFormat,
    start: datetime | None,
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> TakenRows:
    """Read lines as the format says, whether they are a whole file or the end of a growing one.

    Parameters
    ----------
    lines : Lines
    log_format : LogFormat
    start : datetime or None
        When the log began (aware), where ``log_format.needs_start``.
    progress, cancelled : callable, optional
        As for :func:`read_log`.

    Raises
    ------
    LogFileError
        If the format's zone does not exist.
    StoppedError
        When ``cancelled`` says so.
    """
    problems: list[RowProblem] = []
    notes: list[str] = []
    rows = read_rows(lines, log_format, problems, notes, progress=progress, cancelled=cancelled)
    rows = refuse_cut_off(rows, lines, log_format, problems)
    rows = refuse_doubtful(rows, log_format, problems)
    readings, line = _in_order(rows, lines, log_format, start, problems, notes)
    problems.sort(key=lambda problem: problem.line)
    return TakenRows(readings, line, tuple(problems), tuple(notes))


def _guess_by_memory(
    lines: Lines, guessed: GuessedFormat, before: LogFormat, near: datetime | None
) -> GuessedFormat:
    """Guess again with what a person once set right, if the file then is of that kind."""
    known = Corrections(delimiter=before.delimiter, header_lines=before.header_lines)
    encoding, timezone = guessed.format.encoding, guessed.format.timezone
    try:
        again = guess_layout(lines, encoding, timezone=timezone, near=near, corrections=known)
    except LogFileError:
        return guessed
    return again if is_alike(again.format, before) else guessed


def _content(data: bytes | Path, file_name: str) -> tuple[bytes, str]:
    if not isinstance(data, Path):
        return bytes(data), file_name
    return file_bytes(data, file_name), file_name or data.name


def file_bytes(path: Path, file_name: str = "") -> bytes:
    """Fetch a logger's file from the disk, so that all that follows sees the same bytes.

    Parameters
    ----------
    path : Path
    file_name : str, optional
        For messages; the path's own by default.

    Raises
    ------
    LogFileError
        If it cannot be read.
    """
    try:
        check_size(path.stat().st_size, file_name or path.name)
        # One byte more than accepted tells a file that is too large without reading it all.
        with path.open("rb") as stream:
            return stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise LogFileError(
            f"The file cannot be read: {reason}.",
            place=Place(file_name or path.name),
            remedy="Check that it is there and that you may read it.",
        ) from error


def _nothing_readable(name: str, problems: tuple[RowProblem, ...]) -> LogFileError:
    if not problems:
        return LogFileError(
            "The file has no row with a time and a temperature.",
            place=Place(name or None),
            remedy="Check the choice of columns.",
        )
    first = problems[0]
    return LogFileError(
        f"No row can be read; the first: {first.message}",
        place=Place(name or None, first.line, first.column),
        remedy="Check the choice of columns, date order and decimal mark.",
    )


def _in_order(
    rows: Rows,
    lines: Lines,
    log_format: LogFormat,
    start: datetime | None,
    problems: list[RowProblem],
    notes: list[str],
) -> tuple[Readings, NDArray[np.int64]]:
    utc = _utc(rows, log_format, start, notes)
    column = log_format.column_name(log_format.time_columns[0])
    kept = rising_rows(utc)
    left_out = np.ones(utc.size, dtype=bool)
    left_out[kept] = False
    for index in np.flatnonzero(left_out).tolist():
        following = int(np.searchsorted(kept, index))
        last = float(utc[kept[following - 1]]) if following > 0 else -math.inf
        ahead = float(utc[kept[following]]) if following < kept.size else math.inf
        message = order_message(float(utc[index]), last, ahead)
        line = int(rows.line[index])
        written = written_time(lines[line - 1], log_format)
        problems.append(row_problem(line, column, written, message))
    temperature = _kelvin(rows.temperature, log_format.unit)
    return Readings(utc[kept], temperature[kept]), rows.line[kept]


def _kelvin(values: FloatArray, unit: LogUnit) -> FloatArray:
    if unit is LogUnit.KELVIN:
        return values
    if unit is LogUnit.FAHRENHEIT:
        return np.asarray((values + 459.67) / 1.8)
    return values + ZERO_CELSIUS


def _utc(rows: Rows, log_format: LogFormat, start: datetime | None, notes: list[str]) -> FloatArray:
    time = rows.time
    if log_format.time_kind is TimeKind.ELAPSED:
        assert start is not None  # noqa: S101 - asked for by read_log
        return start.timestamp() + time
    if log_format.time_kind is TimeKind.CLOCK:
        assert start is not None  # noqa: S101 - asked for by read_log
        time = with_days(time, wall_seconds(start, log_format.timezone))
    offset = rows.offset
    local = np.isnan(offset)
    utc = time - np.where(local, 0.0, offset)
    if local.any():
        converted = utc_from_wall(time[local], log_format.timezone)
        utc[local] = converted.utc
        notes.extend(converted.notes)
    return utc
