"""Reading the regular rows of a logger's file many at a time.

Only rows that leave nothing to ask are read here: a whole row of the usual number of cells, a time
and a temperature written like their neighbours', no comment, no filler, no broken thermocouple,
no mark that could be one of thousands. All others are left to be read one by one, so that the
outcome is the same whichever way a row goes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.thermocouple import FILLERS, HIGHEST_READING, LOWEST_READING, RANGE_ENDS
from core.run.log_bytes import LONGEST_CELL, read_numbers, strip_blanks, without_suffix
from core.run.log_cells import NUMBER_AND_UNIT, number_unit
from core.run.log_format import LogFormat, TimeKind
from core.run.log_lines import Lines
from core.run.log_times_at_once import read_times

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
ByteArray = NDArray[np.uint8]

_NEAR_RANGE_END = 0.6
"""Within this of the end of a range a row is looked at by itself [°C]."""
_COMMENTS = tuple(ord(mark) for mark in "#/*")


@dataclass(frozen=True, eq=False)
class RegularRows:
    """Rows read at once; ``read`` says which of the lines looked at, the others hold their values.

    Attributes
    ----------
    read : ndarray of bool, shape (n,)
        For every line looked at.
    time, offset, temperature : ndarray, shape (n,)
        As in :class:`core.run.log_rows.Rows`, where ``read``.
    halves : ndarray of bool, shape (n,)
        Rows read whose number may be the first half of one.
    """

    read: BoolArray
    time: FloatArray
    offset: FloatArray
    temperature: FloatArray
    halves: BoolArray


def read_regular(
    lines: Lines, first: int, last: int, log_format: LogFormat, days: dict[str, int]
) -> RegularRows:
    """Read what is regular of the lines from ``first`` up to ``last`` (from 0)."""
    base = int(lines.start[first])
    buffer = lines.buffer[base : int(lines.end[last - 1])]
    start, end = lines.start[first:last] - base, lines.end[first:last] - base
    cells = _cells(buffer, start, end, log_format)
    if cells is None:
        return nothing_regular(last - first)
    bounds, good = cells
    times = tuple(bounds[column] for column in log_format.time_columns)
    place, place_end = bounds[log_format.temperature_column]
    good &= place_end > place
    if log_format.time_kind is TimeKind.DATE_AND_TIME:
        good &= _no_other_colons(buffer, start, end, times)
    found = read_times(buffer, times, log_format, days, good)
    good &= found.read
    with_unit = place_end
    place_end = _without_unit(buffer, place, place_end, log_format, good)
    value, read = read_numbers(buffer, place, place_end, log_format.decimal_mark, good)
    good &= read
    good &= ~_may_hold_thousands(buffer, place, place_end)
    good &= ~_may_be_broken(value, log_format.unit.value)
    behind = bounds.get(log_format.temperature_column + 1) if log_format.delimiter == "," else None
    halves = good & (place_end == with_unit)
    halves &= _may_be_halves(buffer, (place, place_end), behind, log_format.decimal_mark)
    return RegularRows(good, found.time, found.offset, value, halves)


def _no_other_colons(
    buffer: ByteArray, start: IntArray, end: IntArray, times: tuple[tuple[IntArray, IntArray], ...]
) -> BoolArray:
    """Lines with colons in their time only; others may hold the time of another row."""
    colons = np.flatnonzero(buffer == ord(":"))
    others = np.searchsorted(colons, end) - np.searchsorted(colons, start)
    for begin, stop in times:
        others -= np.searchsorted(colons, stop) - np.searchsorted(colons, begin)
    return np.asarray(others == 0)


def nothing_regular(count: int) -> RegularRows:
    """No row read of so many lines."""
    none = np.zeros(count)
    unread = np.zeros(count, dtype=bool)
    return RegularRows(unread, none, none, none, unread)


def _may_be_halves(
    buffer: ByteArray,
    cell: tuple[IntArray, IntArray],
    behind: tuple[IntArray, IntArray] | None,
    mark: str,
) -> BoolArray:
    """Whole numbers between commas with a digit first in the cell behind."""
    if behind is None:
        return np.zeros(cell[0].size, dtype=bool)
    marks = np.flatnonzero(buffer == ord(mark))
    whole = np.searchsorted(marks, cell[0]) == np.searchsorted(marks, cell[1])
    suspect: BoolArray = whole & (behind[0] < behind[1])
    first = buffer[behind[0][suspect]]
    suspect[suspect] = (first >= ord("0")) & (first <= ord("9"))
    return suspect


def _cells(
    buffer: ByteArray, start: IntArray, end: IntArray, log_format: LogFormat
) -> tuple[dict[int, tuple[IntArray, IntArray]], BoolArray] | None:
    """Where the columns that are needed stand, and which lines have the usual number of cells."""
    needed = (*log_format.time_columns, log_format.temperature_column)
    sound = np.ones(start.size, dtype=bool)
    if log_format.cuts:
        return _cut(buffer, start, end, log_format, needed)
    if log_format.delimiter == " ":
        control = (buffer < ord(" ")) & (buffer != ord("\t")) & (buffer != ord("\n"))
        if control.any() or (buffer >= 0x80).any():
            return None
        filled = np.concatenate(([False], (buffer > ord(" ")), [False]))
        edges = np.diff(filled.astype(np.int8))
        begins, ends = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1)
        opening, closing = begins.astype(np.int64), ends.astype(np.int64)
        at = np.searchsorted(opening, start)
        count = np.searchsorted(opening, end) - at
    else:
        delimiter = ord(log_format.delimiter)
        marks = np.flatnonzero(buffer == delimiter).astype(np.int64)
        quotes = np.flatnonzero(buffer == ord('"')).astype(np.int64)
        if quotes.size:
            marks, sound = _outside_quotes(buffer, start, end, marks, quotes, delimiter)
        at = np.searchsorted(marks, start)
        count = np.searchsorted(marks, end) - at + 1
        opening = closing = marks
    usual = _usual(count, max(needed) + 1)
    if usual is None or not _ordinary(usual, log_format):
        return None
    good = count == usual
    good &= _plain_lines(buffer, start, end) & sound
    at = np.where(good, at, 0)
    bounds: dict[int, tuple[IntArray, IntArray]] = {}
    behind = log_format.temperature_column + 1
    wanted = {*needed, behind} if log_format.delimiter == "," and behind < usual else {*needed}
    for column in sorted(wanted):
        if log_format.delimiter == " ":
            where = np.minimum(at + column, opening.size - 1)
            begin, stop = opening[where], closing[where]
        else:
            begin = start if column == 0 else _at(marks, at + column - 1, good) + 1
            stop = end if column == usual - 1 else _at(marks, at + column, good)
        begin = np.where(good, begin, 0)
        stop = np.where(good, stop, 0)
        if log_format.delimiter != " ":
            begin, stop = _unquoted(buffer, begin, stop)
        bounds[column] = strip_blanks(buffer, begin, stop)
    return bounds, good


def _ordinary(usual: int, log_format: LogFormat) -> bool:
    """Tell whether rows of so many cells are beyond suspicion of having lost or won one."""
    if log_format.delimiter == " ":
        return usual >= log_format.width
    most = [n for n in (len(log_format.column_names), log_format.width) if n > 0]
    return log_format.delimiter != "," or not most or usual <= min(most)


def _outside_quotes(
    buffer: ByteArray,
    start: IntArray,
    end: IntArray,
    marks: IntArray,
    quotes: IntArray,
    delimiter: int,
) -> tuple[IntArray, BoolArray]:
    """Delimiters that stand outside quotes, and lines whose quotes enclose whole cells."""
    before = np.searchsorted(quotes, start)
    line_of_mark = np.searchsorted(start, marks, side="right") - 1
    inside = (np.searchsorted(quotes, marks) - before[line_of_mark]) % 2 == 1
    line = np.searchsorted(start, quotes, side="right") - 1
    opening = (np.arange(quotes.size) - before[line]) % 2 == 0
    ahead = buffer[np.maximum(quotes - 1, 0)] == delimiter
    behind = buffer[np.minimum(quotes + 1, buffer.size - 1)] == delimiter
    right = np.where(opening, ahead | (quotes == start[line]), behind | (quotes + 1 == end[line]))
    sound = (np.searchsorted(quotes, end) - before) % 2 == 0
    sound[line[~right]] = False
    return marks[~inside], sound


def _unquoted(buffer: ByteArray, start: IntArray, end: IntArray) -> tuple[IntArray, IntArray]:
    """Move the ends of cells inward over the quotes that enclose them."""
    quoted = end - start >= 2
    quoted[quoted] = (buffer[start[quoted]] == ord('"')) & (buffer[end[quoted] - 1] == ord('"'))
    return start + quoted, end - quoted


def _at(marks: IntArray, where: IntArray, good: BoolArray) -> IntArray:
    found = np.zeros(where.size, dtype=np.int64)
    found[good] = marks[where[good]]
    return found


def _cut(
    buffer: ByteArray,
    start: IntArray,
    end: IntArray,
    log_format: LogFormat,
    needed: tuple[int, ...],
) -> tuple[dict[int, tuple[IntArray, IntArray]], BoolArray] | None:
    if (buffer >= 0x80).any() or (buffer == ord("\t")).any():
        return None
    cuts = (*log_format.cuts, None)
    if max(needed) >= len(log_format.cuts):
        return None
    bounds: dict[int, tuple[IntArray, IntArray]] = {}
    for column in needed:
        begin = np.minimum(start + int(cuts[column] or 0), end)
        until = cuts[column + 1]
        stop = end if until is None else np.minimum(start + until, end)
        bounds[column] = strip_blanks(buffer, begin, stop)
    good = _plain_lines(buffer, start, end)
    reach, reach_end = strip_blanks(buffer, np.minimum(start + log_format.cuts[-1], end), end)
    good &= reach < reach_end
    for cut in log_format.cuts[1:]:
        reaches = end - start > cut
        at = start[reaches] + cut
        good[reaches] &= (buffer[at] == ord(" ")) | (buffer[at - 1] == ord(" "))
    return bounds, good


def _usual(count: IntArray, needed: int) -> int | None:
    enough = count[(count >= needed) & (count < 1000)]
    return int(np.bincount(enough).argmax()) if enough.size else None


def _plain_lines(buffer: ByteArray, start: IntArray, end: IntArray) -> BoolArray:
    """Lines that do not begin as a comment."""
    plain = end > start
    begin, _ = strip_blanks(buffer, start, end)
    plain &= begin < end
    first = np.zeros(start.size, dtype=np.uint8)
    first[plain] = buffer[begin[plain]]
    plain &= (first > ord(" ")) & ~np.isin(first, _COMMENTS)
    plain &= begin - start < LONGEST_CELL
    return plain


def _without_unit(
    buffer: ByteArray, start: IntArray, end: IntArray, log_format: LogFormat, good: BoolArray
) -> IntArray:
    """Ends of the temperature's cells before the unit, if it is written behind and the file's."""
    rows = np.flatnonzero(good)
    if rows.size == 0:
        return end
    first = bytes(buffer[start[rows[0]] : end[rows[0]]]).decode("utf-8", "replace")
    if number_unit(first) != log_format.unit.value:
        return end
    return without_suffix(buffer, start, end, good, NUMBER_AND_UNIT)


def _may_hold_thousands(buffer: ByteArray, start: IntArray, end: IntArray) -> BoolArray:
    """Numbers such as 1.250 or 1,250 that their neighbours must explain."""
    short: BoolArray = end - start == 5
    short[short] = np.isin(buffer[start[short]], (ord("1"), ord("2"), ord("3")))
    short[short] = np.isin(buffer[start[short] + 1], (ord("."), ord(",")))
    return np.asarray(short)


def _may_be_broken(value: FloatArray, unit: str) -> BoolArray:
    """Numbers that a broken thermocouple may give."""
    if unit == "F":
        celsius = (value - 32.0) / 1.8
    elif unit == "K":
        celsius = value - 273.15
    else:
        celsius = value
    suspect = ~((celsius >= LOWEST_READING) & (celsius < HIGHEST_READING))
    for filler in FILLERS:
        suspect |= value == filler
    for one in RANGE_ENDS:
        suspect |= np.abs(celsius - one) < _NEAR_RANGE_END
    return np.asarray(suspect)
