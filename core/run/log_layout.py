"""Ways of cutting a logger's lines into cells, and what then stands where."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from core.run.log_cells import is_comment, number_mark, read_number, split_cells
from core.run.log_format import TimeKind
from core.run.log_lines import Lines
from core.run.log_times import is_date, is_stamp, is_time

TIME_NAME = re.compile(
    r"time|date|elapsed|lapse|zeit|tempo|hora|^t$|\b(?:s|sec|secs|seconds|min|mins|minutes|h|hr|hrs|hours)\b",
    re.IGNORECASE,
)


_HEAD, _TAIL = 400, 200
"""Lines looked at from the beginning and from the end."""


@dataclass(frozen=True)
class Layout:
    """One way of cutting the sample into cells, and what then stands where.

    Attributes
    ----------
    delimiter : str
    kind : TimeKind
    time_columns : tuple of int
    rows : tuple of (int, list of str)
        Line index and cells of the lines that look like readings.
    temperature_columns : tuple of int
        Columns with numbers in at least half of the rows.
    readings : int
        Rows with a number in one of them.
    cuts : tuple of int
        As in :class:`core.run.log_format.LogFormat`.
    width : int
        As there.
    """

    delimiter: str
    kind: TimeKind
    time_columns: tuple[int, ...]
    rows: tuple[tuple[int, list[str]], ...]
    temperature_columns: tuple[int, ...]
    readings: int
    cuts: tuple[int, ...] = ()
    width: int = 0


def sample(lines: Lines, first: int = 0) -> list[int]:
    """Places of the lines looked at from ``first`` on, passing over blank ones and comments.

    The end is looked at too: a date that is ambiguous at first may not be at the last.
    """
    head: list[int] = []
    place = first
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


def layout_of(looked_at: list[tuple[int, str]], delimiter: str) -> Layout | None:
    """Cut lines at a delimiter and see where times and numbers stand; ``None`` if they do not."""
    layout = _layout(looked_at, delimiter, ())
    if layout is None or delimiter not in (" ", ","):
        return layout
    counts = Counter(len(cells) for _, cells in layout.rows)
    usual, times = counts.most_common(1)[0]
    if delimiter == " " and times < len(layout.rows):
        text = dict(looked_at)
        cuts = _fixed_cuts([text[i] for i, _ in layout.rows], max(counts))
        fixed = _layout(looked_at, delimiter, cuts) if cuts else None
        if fixed is not None and fixed.readings >= layout.readings:
            return fixed
    return replace(layout, width=usual if times * 2 >= len(layout.rows) else 0)


def _fixed_cuts(texts: list[str], most: int) -> tuple[int, ...]:
    """Where columns of fixed widths part: behind each one, where no row has anything.

    Parameters
    ----------
    texts : list of str
        Rows, some with empty cells.
    most : int
        Cells of the fullest row.
    """
    if any("\t" in text for text in texts):
        return ()
    length = max(map(len, texts))
    filled = [any(len(text) > i and text[i] != " " for text in texts) for i in range(length)]
    ends = [i for i in range(1, length) if filled[i - 1] and not filled[i]]
    if filled and filled[-1]:
        ends.append(length)
    if len(ends) == most > 1 and any(len(text.rstrip()) <= ends[-2] for text in texts):
        # A row that ends early may have lost any of its cells.
        return ()
    return (0, *ends[: most - 1]) if len(ends) == most > 1 else ()


def _layout(
    looked_at: list[tuple[int, str]], delimiter: str, cuts: tuple[int, ...]
) -> Layout | None:
    rows = [(i, split_cells(line, delimiter, cuts)) for i, line in looked_at]
    signatures = [_time_columns(cells, delimiter) for _, cells in rows]
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
        chosen = [row for row in numeric if is_number(row[1], column)]
    else:
        return None
    temperatures = _temperature_columns(chosen, columns)
    if not temperatures:
        return None
    readings = sum(
        1 for _, cells in chosen if any(is_number(cells, column) for column in temperatures)
    )
    return Layout(delimiter, kind, columns, tuple(chosen), temperatures, readings, cuts)


def is_number(cells: Sequence[str], column: int) -> bool:
    """Tell whether a row has a number in a column."""
    return column < len(cells) and number_mark(cells[column]) is not None


def _count_numbers(cells: Sequence[str]) -> int:
    return sum(1 for cell in cells if number_mark(cell) is not None)


def _time_columns(cells: Sequence[str], delimiter: str) -> tuple[TimeKind, tuple[int, ...]] | None:
    """Where a line's time stands, if it has one that is not a bare number."""
    for i, cell in enumerate(cells):
        # 24 Nov 2026 17:30, cut at its blanks.
        apart = delimiter == " " and i + 3 < len(cells) and cells[i + 1].isalpha()
        if apart and is_date(" ".join(cells[i : i + 3])) and is_time(cells[i + 3]):
            return TimeKind.DATE_AND_TIME, (i, i + 1, i + 2, i + 3)
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
        if any(column < len(cells) and TIME_NAME.search(cells[column]) for cells in names):
            return column
    return rising[0] if rising else None


def _temperature_columns(
    rows: list[tuple[int, list[str]]], times: tuple[int, ...]
) -> tuple[int, ...]:
    width = max(len(cells) for _, cells in rows)
    counts = {
        column: sum(1 for _, cells in rows if is_number(cells, column))
        for column in range(width)
        if column not in times
    }
    most = max(counts.values(), default=0)
    return tuple(column for column, count in counts.items() if count * 2 >= most > 0)
