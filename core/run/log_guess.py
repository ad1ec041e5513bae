"""Finding out how a logger's file is laid out by looking at it."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace
from datetime import datetime
from itertools import pairwise

from core.errors import LogFileError, Place
from core.run.log_cells import (
    decode,
    number_mark,
    read_number,
    split_cells,
)
from core.run.log_clock import wall_seconds, zone_of
from core.run.log_dates import date_order
from core.run.log_format import (
    DELIMITERS,
    Channel,
    Corrections,
    Doubt,
    GuessedFormat,
    LapseUnit,
    LogFormat,
    LogUnit,
    Option,
    TimeKind,
)
from core.run.log_header import column_names, lapse_unit, names_a_unit, stated_unit
from core.run.log_layout import TIME_NAME, Layout, is_number, layout_of, sample
from core.run.log_lines import Lines
from core.run.log_times import DateOrder, date_in

_PREVIEW = 8
"""First cells of a column that are shown."""
_NOT_CHAMBER = re.compile(
    r"set\s?point|^set\b|\bsv\b|^sp\b|\bsp$|target|power|output|%|humid|\brh\b|batt|volt|\bm?[va]\b|index|^no\.?$|"
    r"^nr\.?$|record|sample|^id$|^#$|^line|segment|status|alarm|event|ambient|room|cold junction",
    re.IGNORECASE,
)


def guess_format(
    data: bytes,
    *,
    timezone: str = "",
    near: datetime | None = None,
    file_name: str | None = None,
    corrections: Corrections | None = None,
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
    corrections : Corrections, optional
        What is known already; the rest is found to fit.

    Raises
    ------
    LogFileError
        If it is empty, too large, not text, or holds no times with temperatures.
    """
    known = corrections or Corrections()
    text, encoding = decode(data, known.encoding, file_name)
    return guess_layout(
        Lines(text), encoding, timezone=timezone, near=near, file=file_name, corrections=known
    )


def guess_layout(
    lines: Lines,
    encoding: str,
    *,
    timezone: str = "",
    near: datetime | None = None,
    file: str | None = None,
    corrections: Corrections | None = None,
) -> GuessedFormat:
    """Lay out of a file already cut into lines, as :func:`guess_format` does."""
    known = corrections or Corrections()
    zone_of(timezone)
    looked_at = [(i, lines[i]) for i in sample(lines, known.header_lines or 0)]
    delimiters = DELIMITERS if known.delimiter is None else (known.delimiter,)
    layouts = [layout_of(looked_at, delimiter) for delimiter in delimiters]
    found = [layout for layout in layouts if layout is not None]
    if not found:
        raise LogFileError(
            "No line has a time and a temperature.",
            field=None if known.delimiter is None else "delimiter",
            place=Place(file or None),
            remedy="Export the log with a time and a temperature in each line."
            if known.delimiter is None
            else "Choose another mark between the columns.",
        )
    layout = max(found, key=lambda one: one.readings)
    guess = _settle(layout, lines, encoding, timezone, near, known)
    settled = {
        field: value for field, value in known.given.items() if field != "temperature_column"
    }
    return replace(
        guess,
        format=replace(guess.format, **settled),  # type: ignore[arg-type]
        doubts=tuple(doubt for doubt in guess.doubts if doubt.field not in known.given),
    )


def _settle(
    layout: Layout,
    lines: Lines,
    encoding: str,
    timezone: str,
    near: datetime | None,
    known: Corrections,
) -> GuessedFormat:
    first = known.header_lines
    if first is None:
        first = _first_reading(layout, lines)
    header = lines[:first]
    width, needed = len(layout.rows[0][1]), max(layout.temperature_columns) + 1
    names = column_names(header, layout.delimiter, width, needed)
    names = names or _too_few_names(header, layout, width)
    chambers = _chambers(layout, names)
    chosen = chambers[0] if known.temperature_column is None else known.temperature_column
    kind = layout.kind
    if kind is TimeKind.CLOCK and _starts_at_nought(layout):
        kind = TimeKind.ELAPSED
    base = LogFormat(
        encoding=encoding,
        delimiter=layout.delimiter,
        decimal_mark=_decimal_mark(layout, chosen),
        header_lines=first,
        time_kind=kind,
        time_columns=layout.time_columns,
        temperature_column=chosen,
        timezone=timezone,
        column_names=names,
        cuts=layout.cuts,
        width=layout.width,
    )
    base, doubts = _settle_time(layout, base, near)
    base, unit_doubts = _settle_unit(layout, base, header)
    columns = {
        one: _channel(layout, base, one, header, likely=one in chambers)
        for one in layout.temperature_columns
    }
    channels = tuple(columns[one] for one in chambers)
    doubts += unit_doubts + _channel_doubt(layout, base, channels)
    return GuessedFormat(base, tuple(doubts), channels, tuple(columns.values()))


def _channel(
    layout: Layout, base: LogFormat, column: int, header: list[str], *, likely: bool
) -> Channel:
    cells = [cells[column].strip() for _, cells in layout.rows if column < len(cells)]
    unit = stated_unit(_name(base.column_names, column), cells, header)
    return Channel(column, base.column_name(column), tuple(cells[:_PREVIEW]), unit, likely)


def _too_few_names(header: list[str], layout: Layout, width: int) -> tuple[str, ...]:
    """Names right above rows that are wider, as when decimal commas cut every number in two."""
    last = next((line for line in reversed(header) if line.strip()), "")
    names = tuple(cell.strip() for cell in split_cells(last, layout.delimiter))
    if layout.delimiter != "," or not max(layout.time_columns) + 1 < len(names) < width:
        return ()
    return names if TIME_NAME.search(names[layout.time_columns[0]]) else ()


def _settle_time(
    layout: Layout, base: LogFormat, near: datetime | None
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
    layout: Layout, base: LogFormat, header: list[str]
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


def _channel_doubt(layout: Layout, base: LogFormat, channels: tuple[Channel, ...]) -> list[Doubt]:
    if len(channels) < 2:
        return []
    stated = any(one.unit is not None for one in channels)
    options = []
    for one in channels:
        # A column without a unit beside others with one is not silently given theirs.
        assumed = f" (taken as {base.unit.symbol})" if stated and one.unit is None else ""
        chosen = replace(
            base,
            temperature_column=one.column,
            decimal_mark=_decimal_mark(layout, one.column),
            unit=one.unit or base.unit,
        )
        options.append(Option(one.name + assumed, chosen))
    question = f"The file has {len(channels)} temperature columns. Which is the chamber's?"
    return [Doubt("temperature_column", question, tuple(options))]


def _name(names: tuple[str, ...], column: int) -> str:
    return names[column] if column < len(names) else ""


def _first_reading(layout: Layout, lines: Lines) -> int:
    """Line index of the first reading, also when its time is damaged."""
    first = layout.rows[0][0]
    column = layout.temperature_columns[0]
    while first > 0:
        cells = split_cells(lines[first - 1], layout.delimiter)
        if not (is_number(cells, column) and len(cells) == len(layout.rows[0][1])):
            break
        first -= 1
    return first


def _chambers(layout: Layout, names: tuple[str, ...]) -> tuple[int, ...]:
    """Columns that may be the chamber's temperature, the likeliest first."""
    columns = layout.temperature_columns
    named = [c for c in columns if not (c < len(names) and _NOT_CHAMBER.search(names[c]))]
    able = [c for c in named if not _is_counter(layout, c)] or named or list(columns)
    told = [c for c in able if c < len(names) and names_a_unit(names[c])]
    return tuple(told or able)


def _is_counter(layout: Layout, column: int) -> bool:
    values = [
        read_number(cells[column], ".") for _, cells in layout.rows[:50] if column < len(cells)
    ]
    numbers = [value for value in values if value is not None]
    if len(numbers) < 3:
        return False
    return all(b - a == 1.0 for a, b in pairwise(numbers))


def _decimal_mark(layout: Layout, column: int) -> str:
    marks = Counter(
        number_mark(cells[c])
        for _, cells in layout.rows
        for c in (column, layout.time_columns[0])
        if c < len(cells)
    )
    return "," if marks[","] > marks["."] else "."


def _starts_at_nought(layout: Layout) -> bool:
    """Tell a lapse from a time of day: it starts within minutes of 0:00."""
    cell = layout.rows[0][1][layout.time_columns[0]].strip()
    return re.match(r"0?0:0[0-9]", cell) is not None or re.match(r"\d+\s*d", cell) is not None


def _date_order(
    layout: Layout, timezone: str, near: datetime | None
) -> tuple[str, DateOrder, tuple[DateOrder, ...]]:
    """Find the first date as written, the order of dates, and the other orders it may be."""
    texts = [" ".join(cells[i].strip() for i in layout.time_columns) for _, cells in layout.rows]
    written = [date for text in texts if (date := date_in(text)) is not None]
    dates = list(dict.fromkeys(written))
    half_days = any(
        re.search(r"[ap]\.?m\.?$", cells[layout.time_columns[-1]].strip(), re.IGNORECASE)
        for _, cells in layout.rows[:20]
    )
    near_day = wall_seconds(near, timezone) // 86400 if near is not None else None
    return dates[0], *date_order(dates, half_days=half_days, near_day=near_day)
