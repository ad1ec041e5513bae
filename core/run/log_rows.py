"""Reading the rows of a logger's file, and saying of each bad one what is wrong with it."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from core.equipment.thermocouple import FILLERS_IN_RANGE, break_reason
from core.errors import StoppedError
from core.run.log_cells import CellError, is_comment, read_temperature, split_cells, split_lines
from core.run.log_format import LogFormat, TimeKind
from core.run.log_times import read_clock, read_lapse, read_stamp

_SHORT_THOUSANDS = re.compile(r"[1-3][.,][0-9]{3}")
_LONGEST_VALUE = 40
_LOOK_UP_EVERY = 2000
"""Lines between two looks at whether to go on."""


@dataclass(frozen=True)
class RowProblem:
    """Why one row was left out.

    Attributes
    ----------
    line : int
        Line of the file, from 1.
    column : str
        Name of the column as in the header, or its number from 1.
    value : str
        What stands there.
    message : str
        What is wrong, as a sentence.
    """

    line: int
    column: str
    value: str
    message: str

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.message}"


@dataclass
class Rows:
    """Rows whose cells could be read, in file order."""

    line: list[int] = field(default_factory=list)
    time: list[float] = field(default_factory=list)
    offset: list[float] = field(default_factory=list)
    """From UTC as written [s]; NaN where the zone decides."""
    temperature: list[float] = field(default_factory=list)
    written_time: list[str] = field(default_factory=list)
    thousands: dict[int, str] = field(default_factory=dict)
    """Rows whose number may hold a thousands mark, as written."""
    fillers: list[int] = field(default_factory=list)
    """Rows whose number may be a filler, but also a temperature."""


def read_rows(
    text: str,
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
    text : str
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
    rows = Rows()
    lines = split_lines(text)
    delimiter, mark = log_format.delimiter, log_format.decimal_mark
    column, times = log_format.temperature_column, log_format.time_columns
    unit = log_format.unit.value
    header = {line.strip() for line in lines[: log_format.header_lines] if line.strip()}
    days: dict[str, int] = {}
    headers_again = 0
    for number, line in enumerate(lines[log_format.header_lines :], log_format.header_lines + 1):
        if number % _LOOK_UP_EVERY == 0:
            _look_up(number / len(lines), progress, cancelled)
        if is_comment(line):
            continue
        cells = split_cells(line, delimiter)
        if line.strip() in header:
            headers_again += 1
            continue
        if (ill_shaped := _shape_problem(number, line, cells, log_format)) is not None:
            problems.append(ill_shaped)
            continue
        written = cells[times[0]] if len(times) == 1 else " ".join(cells[i] for i in times)
        try:
            time, offset = _read_time(written, log_format, days)
        except CellError as error:
            problems.append(
                row_problem(number, log_format.column_name(times[0]), written, str(error))
            )
            continue
        cell = cells[column]
        try:
            value = read_temperature(cell, mark, unit)
        except CellError as error:
            problems.append(row_problem(number, log_format.column_name(column), cell, str(error)))
            continue
        if value in FILLERS_IN_RANGE:
            rows.fillers.append(len(rows.line))
        elif (reason := _break(value, unit)) is not None:
            message = f"{cell.strip()} {log_format.unit.symbol} is {reason}."
            problems.append(row_problem(number, log_format.column_name(column), cell, message))
            continue
        if _SHORT_THOUSANDS.fullmatch(cell.strip()):
            rows.thousands[len(rows.line)] = cell.strip()
        rows.line.append(number)
        rows.time.append(time)
        rows.offset.append(offset)
        rows.temperature.append(value)
        rows.written_time.append(written)
    if headers_again:
        notes.append(
            f"The header stands in the file again ({headers_again}x), as when a logger was "
            "restarted; those lines were passed over."
        )
    return rows


def _look_up(
    done: float, progress: Callable[[float], None] | None, cancelled: Callable[[], bool] | None
) -> None:
    if cancelled is not None and cancelled():
        raise StoppedError("Reading the file was stopped.")
    if progress is not None:
        progress(done)


def _shape_problem(
    number: int, line: str, cells: list[str], log_format: LogFormat
) -> RowProblem | None:
    needed = max(log_format.temperature_column, *log_format.time_columns) + 1
    most = len(log_format.column_names)
    if len(cells) < needed:
        message = f"The row has too few columns: {len(cells)}, where {needed} are needed."
        return row_problem(number, log_format.column_name(len(cells)), line, message)
    if 0 < most < len(cells) and log_format.delimiter == "," and any(map(str.strip, cells[most:])):
        message = (
            f"The row has {len(cells)} columns where the header has {most}; "
            "a decimal comma may have cut a number in two."
        )
        return row_problem(number, log_format.column_name(most), line, message)
    return None


def _break(value: float, unit: str) -> str | None:
    # Ordinary readings are let through without looking at the list (most rows are).
    if 0.0 < value < 990.0 and unit != "K":
        return None
    return break_reason(value, unit)


def row_problem(line: int, column: str, value: str, message: str) -> RowProblem:
    """Make a problem of a row, its value cut to a length that can be shown."""
    shown = value.strip()
    if len(shown) > _LONGEST_VALUE:
        shown = shown[: _LONGEST_VALUE - 1] + "…"
        message = message.replace(value.strip(), shown)
    return RowProblem(line, column, shown, message)


def _read_time(cell: str, log_format: LogFormat, days: dict[str, int]) -> tuple[float, float]:
    if log_format.time_kind is TimeKind.DATE_AND_TIME:
        time, offset = read_stamp(cell, log_format.date_order, days)
        return time, math.nan if offset is None else offset
    if log_format.time_kind is TimeKind.CLOCK:
        return read_clock(cell), math.nan
    return read_lapse(cell, log_format.decimal_mark, log_format.lapse_unit.seconds), 0.0


def refuse_doubtful(rows: Rows, log_format: LogFormat, problems: list[RowProblem]) -> None:
    """Leave out numbers that only their neighbours show to be wrong.

    1,024 among 998 and 1010 could be 1024 as well as 1.024; 999 among 520 and 521 is a filler,
    but among 998 and 1001 a temperature (of a log in °F, say).
    """
    refused: dict[int, str] = {}
    others = [t for i, t in enumerate(rows.temperature) if i not in rows.thousands]
    if rows.thousands and (not others or float(np.median(others)) >= 50):
        for index, shown in rows.thousands.items():
            other = shown[0] + shown[2:]
            refused[index] = f"“{shown}” could be {other} with a thousands mark."
    doubtful = set(rows.fillers)
    for index in rows.fillers:
        value = rows.temperature[index]
        if not _has_company(rows.temperature, index, doubtful):
            reason = break_reason(value, "C")
            refused[index] = f"{value:g} {log_format.unit.symbol} is {reason}."
    if not refused:
        return
    column = log_format.column_name(log_format.temperature_column)
    for index, message in refused.items():
        shown = rows.thousands.get(index, f"{rows.temperature[index]:g}")
        problems.append(row_problem(rows.line[index], column, shown, message))
    for name in ("line", "time", "offset", "temperature", "written_time"):
        values = getattr(rows, name)
        setattr(rows, name, [value for i, value in enumerate(values) if i not in refused])


def _has_company(temperature: list[float], index: int, doubtful: set[int]) -> bool:
    """Tell whether the nearest reading that is beyond doubt, on either side, is about as hot."""
    for step in (-1, 1):
        other = index + step
        while 0 <= other < len(temperature) and other in doubtful:
            other += step
        if 0 <= other < len(temperature) and abs(temperature[other] - temperature[index]) < 60:
            return True
    return False
