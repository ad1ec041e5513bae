"""Reading the rows of a logger's file, and saying of each bad one what is wrong with it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

import numpy as np

from core.equipment.thermocouple import break_reason
from core.run.log_cells import CellError, is_comment, read_temperature, split_cells, split_lines
from core.run.log_format import LogFormat, TimeKind
from core.run.log_times import read_clock, read_lapse, read_stamp

_SHORT_THOUSANDS = re.compile(r"[1-3][.,][0-9]{3}")
_LONGEST_VALUE = 40


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


def read_rows(
    text: str, log_format: LogFormat, problems: list[RowProblem], notes: list[str]
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
    """
    rows = Rows()
    lines = split_lines(text)
    delimiter, mark = log_format.delimiter, log_format.decimal_mark
    column, times = log_format.temperature_column, log_format.time_columns
    unit = log_format.unit.value
    needed = max(column, *times) + 1
    most = len(log_format.column_names)
    header = {line.strip() for line in lines[: log_format.header_lines] if line.strip()}
    days: dict[str, int] = {}
    headers_again = 0
    for number, line in enumerate(lines[log_format.header_lines :], log_format.header_lines + 1):
        if is_comment(line):
            continue
        cells = split_cells(line, delimiter)
        if line.strip() in header:
            headers_again += 1
            continue
        if len(cells) < needed:
            message = f"The row has too few columns: {len(cells)}, where {needed} are needed."
            problems.append(row_problem(number, log_format.column_name(len(cells)), line, message))
            continue
        if 0 < most < len(cells) and delimiter == "," and any(c.strip() for c in cells[most:]):
            message = (
                f"The row has {len(cells)} columns where the header has {most}; "
                "a decimal comma may have cut a number in two."
            )
            problems.append(row_problem(number, log_format.column_name(most), line, message))
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
        if (reason := _break(value, unit)) is not None:
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


def refuse_thousands(rows: Rows, log_format: LogFormat, problems: list[RowProblem]) -> None:
    """Leave out 1,024 among 998 and 1010: it could be 1024 as well as 1.024."""
    if not rows.thousands:
        return
    others = [t for i, t in enumerate(rows.temperature) if i not in rows.thousands]
    if others and float(np.median(others)) < 50:
        return
    column = log_format.column_name(log_format.temperature_column)
    for index, shown in rows.thousands.items():
        message = f"“{shown}” could be {shown[0] + shown[2:]} with a thousands mark."
        problems.append(row_problem(rows.line[index], column, shown, message))
    keep = [i for i in range(len(rows.line)) if i not in rows.thousands]
    for name in ("line", "time", "offset", "temperature", "written_time"):
        values = getattr(rows, name)
        setattr(rows, name, [values[i] for i in keep])
