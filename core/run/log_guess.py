"""Finding out how a logger's file is laid out by looking at it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import pairwise

from core.errors import LogFileError, Place
from core.run.log_cells import (
    decode,
    is_comment,
    number_mark,
    read_number,
    split_cells,
)
from core.run.log_clock import wall_seconds, zone_of
from core.run.log_dates import date_order
from core.run.log_format import (
    DELIMITERS,
    Channel,
    Doubt,
    GuessedFormat,
    LapseUnit,
    LogFormat,
    LogUnit,
    Option,
    TimeKind,
)
from core.run.log_header import column_names, lapse_unit, names_a_unit, stated_unit
from core.run.log_lines import Lines
from core.run.log_times import DateOrder, date_in, is_date, is_stamp, is_time

_NOT_CHAMBER = re.compile(
    r"set\s?point|^sp\b|\bsp$|target|power|output|%|humid|\brh\b|batt|volt|\bm?[va]\b|index|^no\.?$|"
    r"^nr\.?$|record|sample|^id$|^#$|^line|segment|status|alarm|event|ambient|room|cold junction",
    re.IGNORECASE,
)
_TIME_NAME = re.compile(
    r"time|date|elapsed|lapse|zeit|tempo|hora|^t$|\b(?:s|sec|secs|seconds|min|mins|minutes|h|hr|hrs|hours)\b",
    re.IGNORECASE,
)


_HEAD, _TAIL = 400, 200
"""Lines looked at from the beginning and from the end."""


@dataclass(frozen=True)
class _Layout:
    """One way of cutting the sample into cells, and what then stands where."""

    delimiter: str
    kind: TimeKind
    time_columns: tuple[int, ...]
    rows: tuple[tuple[int, list[str]], ...]
    """Line index and cells of the lines that look like readings."""
    temperature_columns: tuple[int, ...]
    readings: int


def guess_format(
    data: bytes, *, timezone: str = "", near: datetime | None = None, file_name: str | None = None
) -> GuessedFormat:
    """Lay out of a logger's file, and what it does not say.

    Parameters
    ----------
    data : bytes
        The whole file.
    timezone : str
        Zone of its clock, IANA name or ``""`` for the machine's own.
    near : datetime, optional
        When the log should begin (aware), such as the plan's start; settles an ambiguous date.
    file_name : str, optional
        For messages.

    Raises
    ------
    LogFileError
        If it is empty, too large, not text, or holds no times with temperatures.
    """
    text, encoding = decode(data, None, file_name)
    return guess_layout(Lines(text), encoding, timezone=timezone, near=near, file=file_name)


def guess_layout(
    lines: Lines,
    encoding: str,
    *,
    timezone: str = "",
    near: datetime | None = None,
    file: str | None = None,
) -> GuessedFormat:
    """Lay out of a file already cut into lines, as :func:`guess_format` does."""
    zone_of(timezone)
    sample = _sample(lines)
    layouts = [_layout([(i, lines[i]) for i in sample], delimiter) for delimiter in DELIMITERS]
    found = [layout for layout in layouts if layout is not None]
    if not found:
        raise LogFileError(
            "No line has a time and a temperature.",
            place=Place(file or None),
            remedy="Export the log with a time and a temperature in each line.",
        )
    layout = max(found, key=lambda one: one.readings)
    return _settle(layout, lines, encoding, timezone, near)


def _sample(lines: Lines) -> list[int]:
    """Places of the lines looked at, passing over blank ones and comments.

    The end is looked at too: a date that is ambiguous at first may not be at the last.
    """
    head: list[int] = []
    place = 0
    while place < len(lines) and len(head) < _HEAD:
        if not is_comment(lines[place]):
            head.append(place)
        place += 1
    tail: list[int] = []
    back = len(lines) - 1
    while back >= place and len(tail) < _TAIL:
        if not is_comment(lines[back]):
            tail.append(back)
        back -= 1
    return head + tail[::-1]


def _layout(sample: list[tuple[int, str]], delimiter: str) -> _Layout | None:
    rows = [(i, split_cells(line, delimiter)) for i, line in sample]
    signatures = [_time_columns(cells) for _, cells in rows]
    counted = Counter(signature for signature in signatures if signature is not None)
    numeric = [(i, cells) for i, cells in rows if _count_numbers(cells) >= 2]
    if counted and max(counted.values()) * 2 >= len(numeric):
        kind, columns = max(counted, key=lambda one: counted[one])
        chosen = [
            row
            for row, signature in zip(rows, signatures, strict=True)
            if signature == (kind, columns)
        ]
    elif numeric:
        column = _lapse_column(rows, numeric)
        if column is None:
            return None
        kind, columns = TimeKind.ELAPSED, (column,)
        chosen = [row for row in numeric if _is_number(row[1], column)]
    else:
        return None
    temperatures = _temperature_columns(chosen, columns)
    if not temperatures:
        return None
    readings = sum(
        1 for _, cells in chosen if any(_is_number(cells, column) for column in temperatures)
    )
    return _Layout(delimiter, kind, columns, tuple(chosen), temperatures, readings)


def _is_number(cells: Sequence[str], column: int) -> bool:
    return column < len(cells) and number_mark(cells[column]) is not None


def _count_numbers(cells: Sequence[str]) -> int:
    return sum(1 for cell in cells if number_mark(cell) is not None)


def _time_columns(cells: Sequence[str]) -> tuple[TimeKind, tuple[int, ...]] | None:
    """Where a line's time stands, if it has one that is not a bare number."""
    for i, cell in enumerate(cells):
        if is_stamp(cell):
            return TimeKind.DATE_AND_TIME, (i,)
        following = cells[i + 1] if i + 1 < len(cells) else ""
        if is_date(cell) and is_time(following):
            half = cells[i + 2].strip().lower().replace(".", "") if i + 2 < len(cells) else ""
            more = (i + 2,) if half in ("am", "pm") else ()
            return TimeKind.DATE_AND_TIME, (i, i + 1, *more)
        if is_time(cell) and is_date(following):
            return TimeKind.DATE_AND_TIME, (i + 1, i)
    for i, cell in enumerate(cells):
        if is_time(cell):
            return TimeKind.CLOCK, (i,)
    return None


def _lapse_column(
    rows: list[tuple[int, list[str]]], numeric: list[tuple[int, list[str]]]
) -> int | None:
    """Column of numbers that rise all the way; one whose name speaks of time is preferred."""
    width = max(len(cells) for _, cells in numeric)
    rising = []
    for column in range(width):
        values = [
            value
            for _, cells in numeric
            if column < len(cells)
            and (value := read_number(cells[column].replace(",", "."), ".")) is not None
        ]
        ups = sum(1 for a, b in pairwise(values) if b > a)
        if len(values) * 2 >= len(numeric) and ups >= 0.8 * (len(values) - 1):
            rising.append(column)
    first = numeric[0][0]
    names = [cells for i, cells in rows if i < first]
    for column in rising:
        if any(column < len(cells) and _TIME_NAME.search(cells[column]) for cells in names):
            return column
    return rising[0] if rising else None


def _temperature_columns(
    rows: list[tuple[int, list[str]]], times: tuple[int, ...]
) -> tuple[int, ...]:
    width = max(len(cells) for _, cells in rows)
    counts = {
        column: sum(1 for _, cells in rows if _is_number(cells, column))
        for column in range(width)
        if column not in times
    }
    most = max(counts.values(), default=0)
    return tuple(column for column, count in counts.items() if count * 2 >= most > 0)


def _settle(
    layout: _Layout, lines: Lines, encoding: str, timezone: str, near: datetime | None
) -> GuessedFormat:
    first = _first_reading(layout, lines)
    header = lines[:first]
    width, needed = len(layout.rows[0][1]), max(layout.temperature_columns) + 1
    names = column_names(header, layout.delimiter, width, needed)
    names = names or _too_few_names(header, layout, width)
    chambers = _chambers(layout, names)
    kind = layout.kind
    if kind is TimeKind.CLOCK and _starts_at_nought(layout):
        kind = TimeKind.ELAPSED
    base = LogFormat(
        encoding=encoding,
        delimiter=layout.delimiter,
        decimal_mark=_decimal_mark(layout, chambers[0]),
        header_lines=first,
        time_kind=kind,
        time_columns=layout.time_columns,
        temperature_column=chambers[0],
        timezone=timezone,
        column_names=names,
    )
    base, doubts = _settle_time(layout, base, near)
    base, unit_doubts = _settle_unit(layout, base, header)
    channels = tuple(Channel(one, base.column_name(one)) for one in chambers)
    doubts += unit_doubts + _channel_doubt(layout, base, channels, header)
    return GuessedFormat(base, tuple(doubts), channels)


def _too_few_names(header: list[str], layout: _Layout, width: int) -> tuple[str, ...]:
    """Names right above rows that are wider, as when decimal commas cut every number in two."""
    last = next((line for line in reversed(header) if line.strip()), "")
    names = tuple(cell.strip() for cell in split_cells(last, layout.delimiter))
    if layout.delimiter != "," or not max(layout.time_columns) + 1 < len(names) < width:
        return ()
    return names if _TIME_NAME.search(names[layout.time_columns[0]]) else ()


def _settle_time(
    layout: _Layout, base: LogFormat, near: datetime | None
) -> tuple[LogFormat, list[Doubt]]:
    if base.time_kind is TimeKind.DATE_AND_TIME:
        written, order, choices = _date_order(layout, base.timezone, near)
        base = replace(base, date_order=order)
        if not choices:
            return base, []
        options = tuple(Option(one.value, replace(base, date_order=one)) for one in choices)
        question = f"“{written}” could be either of two days. In which order are the dates?"
        return base, [Doubt("date_order", question, options)]
    doubts = [Doubt("start", "The file has no dates. When did the log begin?")]
    column = layout.time_columns[0]
    plain = number_mark(layout.rows[0][1][column]) is not None
    if base.time_kind is TimeKind.ELAPSED and plain:
        unit = lapse_unit(base.column_name(column))
        base = replace(base, lapse_unit=unit or LapseUnit.MINUTES)
        if unit is None:
            units = (LapseUnit.MINUTES, LapseUnit.SECONDS, LapseUnit.HOURS)
            options = tuple(Option(one.value, replace(base, lapse_unit=one)) for one in units)
            question = "Is the time since the start in minutes, seconds or hours?"
            doubts.append(Doubt("lapse_unit", question, options))
    return base, doubts


def _settle_unit(
    layout: _Layout, base: LogFormat, header: list[str]
) -> tuple[LogFormat, list[Doubt]]:
    column = base.temperature_column
    cells = [cells[column] for _, cells in layout.rows if column < len(cells)]
    unit = stated_unit(_name(base.column_names, column), cells, header)
    if unit is not None:
        return replace(base, unit=unit), []
    options = tuple(
        Option(one.symbol, replace(base, unit=one)) for one in (LogUnit.CELSIUS, LogUnit.FAHRENHEIT)
    )
    question = "The file does not say its unit. Are the temperatures in °C or °F?"
    return base, [Doubt("unit", question, options)]


def _channel_doubt(
    layout: _Layout, base: LogFormat, channels: tuple[Channel, ...], header: list[str]
) -> list[Doubt]:
    if len(channels) < 2:
        return []
    options = tuple(
        Option(
            one.name,
            replace(
                base,
                temperature_column=one.column,
                decimal_mark=_decimal_mark(layout, one.column),
                unit=stated_unit(_name(base.column_names, one.column), (), header) or base.unit,
            ),
        )
        for one in channels
    )
    question = f"The file has {len(channels)} temperature columns. Which is the chamber's?"
    return [Doubt("temperature_column", question, options)]


def _name(names: tuple[str, ...], column: int) -> str:
    return names[column] if column < len(names) else ""


def _first_reading(layout: _Layout, lines: Lines) -> int:
    """Line index of the first reading, also when its time is damaged."""
    first = layout.rows[0][0]
    column = layout.temperature_columns[0]
    while first > 0:
        cells = split_cells(lines[first - 1], layout.delimiter)
        if not (_is_number(cells, column) and len(cells) == len(layout.rows[0][1])):
            break
        first -= 1
    return first


def _chambers(layout: _Layout, names: tuple[str, ...]) -> tuple[int, ...]:
    """Columns that may be the chamber's temperature, the likeliest first."""
    columns = layout.temperature_columns
    named = [c for c in columns if not (c < len(names) and _NOT_CHAMBER.search(names[c]))]
    able = [c for c in named if not _is_counter(layout, c)] or named or list(columns)
    told = [c for c in able if c < len(names) and names_a_unit(names[c])]
    return tuple(told or able)


def _is_counter(layout: _Layout, column: int) -> bool:
    values = [
        read_number(cells[column], ".") for _, cells in layout.rows[:50] if column < len(cells)
    ]
    numbers = [value for value in values if value is not None]
    if len(numbers) < 3:
        return False
    return all(b - a == 1.0 for a, b in pairwise(numbers))


def _decimal_mark(layout: _Layout, column: int) -> str:
    marks = Counter(
        number_mark(cells[c])
        for _, cells in layout.rows
        for c in (column, layout.time_columns[0])
        if c < len(cells)
    )
    return "," if marks[","] > marks["."] else "."


def _starts_at_nought(layout: _Layout) -> bool:
    """Tell a lapse from a time of day: it starts within minutes of 0:00."""
    cell = layout.rows[0][1][layout.time_columns[0]].strip()
    return re.match(r"0?0:0[0-9]", cell) is not None or re.match(r"\d+\s*d", cell) is not None


def _date_order(
    layout: _Layout, timezone: str, near: datetime | None
) -> tuple[str, DateOrder, tuple[DateOrder, ...]]:
    """Find the first date as written, the order of dates, and the other orders it may be."""
    column = layout.time_columns[0]
    written = [date for _, cells in layout.rows if (date := date_in(cells[column])) is not None]
    dates = list(dict.fromkeys(written))
    half_days = any(
        re.search(r"[ap]\.?m\.?$", cells[layout.time_columns[-1]].strip(), re.IGNORECASE)
        for _, cells in layout.rows[:20]
    )
    near_day = wall_seconds(near, timezone) // 86400 if near is not None else None
    return dates[0], *date_order(dates, half_days=half_days, near_day=near_day)
