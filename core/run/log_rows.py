"""Reading the rows of a logger's file, and saying of each bad one what is wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from core.equipment.thermocouple import FILLERS_IN_RANGE, break_reason
from core.errors import StoppedError
from core.run.log_cells import (
    BrokenCellError,
    CellError,
    is_comment,
    read_temperature,
    split_cells,
)
from core.run.log_format import LogFormat, TimeKind
from core.run.log_lines import Lines
from core.run.log_problem import RowProblem, row_problem
from core.run.log_rows_at_once import read_regular
from core.run.log_shape import may_be_halves, shape_problem
from core.run.log_times import read_clock, read_lapse, read_stamp

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

_SHORT_THOUSANDS = re.compile(r"[1-3][.,][0-9]{3}")
_LONGEST_QUOTE = 5
"""Lines over which a quoted cell may go on."""
_LOOK_UP_EVERY = 2000
"""Lines read one by one between two looks at whether to go on."""
_AT_ONCE = 65_536
"""Lines read together."""


@dataclass(frozen=True, eq=False)
class Rows:
    """Rows whose cells could be read, in file order; arrays of shape (n,).

    Attributes
    ----------
    line : ndarray of int
        Line of the file, from 1.
    time : ndarray
        [s], as the kind of time has it.
    offset : ndarray
        From UTC as written [s]; NaN where the zone decides.
    temperature : ndarray
        As logged.
    thousands : dict of int to str
        Lines whose number may hold a thousands mark, as written.
    fillers : frozenset of int
        Lines whose number may be a filler, but also a temperature.
    halves : ndarray of int
        Lines whose number may be the first half of one cut at its decimal comma.
    """

    line: IntArray
    time: FloatArray
    offset: FloatArray
    temperature: FloatArray
    thousands: dict[int, str]
    fillers: frozenset[int]
    halves: IntArray

    def part(self, kept: NDArray[np.bool_]) -> Rows:
        """Only some of the rows."""
        return replace(
            self,
            line=self.line[kept],
            time=self.time[kept],
            offset=self.offset[kept],
            temperature=self.temperature[kept],
        )


@dataclass
class _Reader:
    """Reads rows one by one."""

    log_format: LogFormat
    header: frozenset[str]
    problems: list[RowProblem]
    days: dict[str, int] = field(default_factory=dict)
    line: list[int] = field(default_factory=list)
    time: list[float] = field(default_factory=list)
    offset: list[float] = field(default_factory=list)
    temperature: list[float] = field(default_factory=list)
    thousands: dict[int, str] = field(default_factory=dict)
    fillers: set[int] = field(default_factory=set)
    halves: list[int] = field(default_factory=list)
    headers_again: int = 0

    def read(self, number: int, line: str) -> None:
        """Read one line, counted from 1."""
        log_format = self.log_format
        column, times = log_format.temperature_column, log_format.time_columns
        unit = log_format.unit.value
        if is_comment(line):
            return
        if line.strip() in self.header:
            self.headers_again += 1
            return
        cells = split_cells(line, log_format.delimiter, log_format.cuts)
        if (ill_shaped := shape_problem(number, line, cells, log_format)) is not None:
            self.problems.append(ill_shaped)
            return
        written = _written_time(cells, log_format)
        try:
            time, offset = _read_time(written, log_format, self.days)
        except CellError as error:
            name = log_format.column_name(times[0])
            self.problems.append(row_problem(number, name, written, str(error)))
            return
        cell = cells[column]
        name = log_format.column_name(column)
        try:
            value = read_temperature(cell, log_format.decimal_mark, unit)
        except CellError as error:
            broken = isinstance(error, BrokenCellError)
            self.problems.append(row_problem(number, name, cell, str(error), broken=broken))
            return
        if value in FILLERS_IN_RANGE:
            self.fillers.add(number)
        elif (reason := _break(value, unit)) is not None:
            message = f"{cell.strip()} {log_format.unit.symbol} is {reason}."
            self.problems.append(row_problem(number, name, cell, message, broken=True))
            return
        if _SHORT_THOUSANDS.fullmatch(cell.strip()):
            self.thousands[number] = cell.strip()
        if log_format.delimiter == "," and may_be_halves(cells, column):
            self.halves.append(number)
        self.line.append(number)
        self.time.append(time)
        self.offset.append(offset)
        self.temperature.append(value)


def read_rows(
    lines: Lines,
    log_format: LogFormat,
    problems: list[RowProblem],
    notes: list[str],
    *,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Rows:
    """Read the cells of every row; what is wrong goes to ``problems``, line by line.

    Parameters
    ----------
    lines : Lines
        The whole file.
    log_format : LogFormat
    problems : list of RowProblem
        Added to.
    notes : list of str
        Added to.
    progress, cancelled : callable, optional
        Told the share that is done (0 to 1); asked whether to stop.

    Raises
    ------
    StoppedError
        When ``cancelled`` says so.
    """
    first = min(log_format.header_lines, len(lines))
    header = frozenset(line.strip() for line in lines[:first] if line.strip())
    reader = _Reader(log_format, header, problems)
    at_once = not _header_holds_rows(header, log_format)
    parts: list[tuple[IntArray, FloatArray, FloatArray, FloatArray]] = []
    halves: list[IntArray] = []
    for begin in range(first, len(lines), _AT_ONCE):
        end = min(begin + _AT_ONCE, len(lines))
        left: range | list[int] = range(begin, end)
        if at_once:
            found = read_regular(lines, begin, end, log_format, reader.days)
            rows = np.flatnonzero(found.read)
            values = (found.time[rows], found.offset[rows], found.temperature[rows])
            parts.append((rows + begin + 1, *values))
            halves.append(np.flatnonzero(found.halves) + begin + 1)
            left = (np.flatnonzero(~found.read) + begin).tolist()
        joined = 0
        for count, place in enumerate(left, 1):
            if count % _LOOK_UP_EVERY == 0:
                _look_up(place / len(lines), progress, cancelled)
            if place < joined:
                continue
            line, joined = quoted_line(lines, place, log_format)
            reader.read(place + 1, line)
        _look_up(end / len(lines), progress, cancelled)
    if reader.headers_again:
        notes.append(
            f"The header stands in the file again ({reader.headers_again}x), as when a logger was "
            "restarted; those lines were passed over."
        )
    return _joined(reader, parts, np.concatenate((reader.halves, *halves)).astype(np.int64))


def _header_holds_rows(header: frozenset[str], log_format: LogFormat) -> bool:
    """Tell whether a line of the header could be read as a row; it must not be when it recurs."""
    trial = _Reader(log_format, frozenset(), [])
    for line in header:
        trial.read(1, line)
    return bool(trial.line)


def _joined(
    reader: _Reader,
    parts: list[tuple[IntArray, FloatArray, FloatArray, FloatArray]],
    halves: IntArray,
) -> Rows:
    single = (
        np.array(reader.line, dtype=np.int64),
        np.array(reader.time, dtype=np.float64),
        np.array(reader.offset, dtype=np.float64),
        np.array(reader.temperature, dtype=np.float64),
    )
    line, time, offset, temperature = (
        np.concatenate([part[i] for part in (single, *parts)]) for i in range(4)
    )
    if reader.line and parts:
        order = np.argsort(line, kind="stable")
        line, time, offset, temperature = (
            line[order],
            time[order],
            offset[order],
            temperature[order],
        )
    fillers = frozenset(reader.fillers)
    return Rows(line.astype(np.int64), time, offset, temperature, reader.thousands, fillers, halves)


def _look_up(
    done: float, progress: Callable[[float], None] | None, cancelled: Callable[[], bool] | None
) -> None:
    if cancelled is not None and cancelled():
        raise StoppedError("Reading the file was stopped.")
    if progress is not None:
        progress(done)


def _break(value: float, unit: str) -> str | None:
    # Ordinary readings are let through without looking at the list (most rows are).
    if 0.0 < value < 990.0 and unit != "K":
        return None
    return break_reason(value, unit)


def quoted_line(lines: Lines, place: int, log_format: LogFormat) -> tuple[str, int]:
    """One row, with the lines that follow where a quoted cell goes on over the line's end.

    A quote that is not closed again within a few lines, or only behind another row, is a slip and
    joins nothing.

    Parameters
    ----------
    lines : Lines
    place : int
        Of its first line.
    log_format : LogFormat

    Returns
    -------
    line : str
    following : int
        Place of the next row.

    References
    ----------
    RFC 4180 (2005), section 2, rules 5 and 6.
    """
    line = lines[place]
    delimiter = log_format.delimiter
    if delimiter == " " or line.count('"') % 2 == 0 or not _opens_a_cell(line, delimiter):
        return line, place + 1
    joined = line
    for following in range(place + 1, min(place + 1 + _LONGEST_QUOTE, len(lines))):
        if _begins_a_row(lines[following], log_format):
            break
        joined += "\n" + lines[following]
        if lines[following].count('"') % 2:
            return joined, following + 1
    return line, place + 1


def _opens_a_cell(line: str, delimiter: str) -> bool:
    last = line.rfind('"')
    return last == 0 or line[last - 1] == delimiter


def _begins_a_row(line: str, log_format: LogFormat) -> bool:
    cells = split_cells(line, log_format.delimiter, log_format.cuts)
    if len(cells) <= max(log_format.time_columns):
        return False
    try:
        _read_time(_written_time(cells, log_format), log_format, {})
    except CellError:
        return False
    return True


def written_time(line: str, log_format: LogFormat) -> str:
    """Cut the time out of a row as it is written there."""
    return _written_time(split_cells(line, log_format.delimiter, log_format.cuts), log_format)


def _written_time(cells: list[str], log_format: LogFormat) -> str:
    times = log_format.time_columns
    return cells[times[0]] if len(times) == 1 else " ".join(cells[i] for i in times)


def _read_time(cell: str, log_format: LogFormat, days: dict[str, int]) -> tuple[float, float]:
    if log_format.time_kind is TimeKind.DATE_AND_TIME:
        time, offset = read_stamp(cell, log_format.date_order, days)
        return time, math.nan if offset is None else offset
    if log_format.time_kind is TimeKind.CLOCK:
        return read_clock(cell), math.nan
    return read_lapse(cell, log_format.decimal_mark, log_format.lapse_unit.seconds), 0.0
