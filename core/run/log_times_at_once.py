"""The times of many rows of the same shape at once, by the rules of one row's time."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.run.log_bytes import LONGEST_CELL, are_digits, gather, groups, read_numbers, whole_numbers
from core.run.log_cells import CellError
from core.run.log_format import LogFormat, TimeKind
from core.run.log_times import (
    LAPSE,
    LONGEST_LAPSE,
    SECONDS_PER_DAY,
    STAMP,
    TIME_ONLY,
    day_number,
    utc_offset,
)

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
ByteArray = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Times:
    """Times of rows, shape (n,); ``read`` is False where a row must be read by itself."""

    time: FloatArray
    offset: FloatArray
    read: BoolArray


def read_times(
    buffer: ByteArray,
    cells: Sequence[tuple[IntArray, IntArray]],
    log_format: LogFormat,
    days: dict[str, int],
    among: BoolArray,
) -> Times:
    """Read the times of rows.

    Parameters
    ----------
    buffer : ndarray of uint8
    cells : sequence of (start, end)
        The columns that together hold the time, blanks stripped.
    log_format : LogFormat
    days : dict
        Dates already looked up; added to.
    among : ndarray of bool, shape (n,)
        Rows to look at.
    """
    count = among.size
    times = Times(np.zeros(count), np.full(count, np.nan), np.zeros(count, dtype=bool))
    elapsed = log_format.time_kind is TimeKind.ELAPSED
    if elapsed:
        _numbers(buffer, cells, log_format, among, times)
    pattern = {
        TimeKind.DATE_AND_TIME: STAMP, TimeKind.CLOCK: TIME_ONLY, TimeKind.ELAPSED: LAPSE
    }[log_format.time_kind]  # fmt: skip
    key = np.zeros(count, dtype=np.int64)
    fits = among & ~times.read
    for start, end in cells:
        length = end - start
        fits &= (length > 0) & (length <= LONGEST_CELL)
        key = key * (LONGEST_CELL + 1) + np.where(fits, length, 0)
    for rows in groups(key, fits):
        matrix = _joined(buffer, cells, rows)
        _one_shape(matrix, rows, pattern, log_format, days, times)
    if elapsed:
        times.offset[times.read] = 0.0
    return times


def _joined(
    buffer: ByteArray, cells: Sequence[tuple[IntArray, IntArray]], rows: IntArray
) -> ByteArray:
    """Cells of the time columns side by side with a blank between, shape (m, width)."""
    parts: list[ByteArray] = []
    for start, end in cells:
        if parts:
            parts.append(np.full((rows.size, 1), ord(" "), dtype=np.uint8))
        parts.append(gather(buffer, start[rows], int(end[rows[0]] - start[rows[0]])))
    return parts[0] if len(parts) == 1 else np.concatenate(parts, axis=1)


def _numbers(
    buffer: ByteArray,
    cells: Sequence[tuple[IntArray, IntArray]],
    log_format: LogFormat,
    among: BoolArray,
    times: Times,
) -> None:
    """Elapsed times written as plain numbers."""
    if len(cells) != 1:
        return
    start, end = cells[0]
    value, read = read_numbers(buffer, start, end, log_format.decimal_mark, among)
    seconds = value * log_format.lapse_unit.seconds
    read &= np.abs(np.where(read, seconds, 0.0)) <= LONGEST_LAPSE
    times.time[read] = seconds[read]
    times.read[read] = True


def _one_shape(
    matrix: ByteArray,
    rows: IntArray,
    pattern: re.Pattern[str],
    log_format: LogFormat,
    days: dict[str, int],
    times: Times,
) -> None:
    """Read rows whose digits and marks stand where those of the first do."""
    try:
        sample = bytes(matrix[0]).decode("ascii")
    except UnicodeDecodeError:
        return
    match = pattern.fullmatch(sample)
    if match is None:
        return
    stamp = log_format.time_kind is TimeKind.DATE_AND_TIME
    lapse = log_format.time_kind is TimeKind.ELAPSED
    # Groups of the stamp begin with the date and its three parts.
    first = 5 if stamp else 1
    spans = [match.span(group) for group in range(first, match.re.groups + 1)]
    figures = spans if lapse else spans[:4]
    date_end = match.end(1) if stamp else 0
    tail = max(end for _, end in figures)
    if lapse:
        tail = len(sample)
    columns = [c for begin, end in figures for c in range(max(begin, 0), max(end, 0))]
    marks = [c for c in range(date_end, tail) if c not in columns]
    good = are_digits(matrix[:, columns])
    good &= (matrix[:, marks] == matrix[0, marks]).all(axis=1)
    day = np.zeros(rows.size)
    if stamp:
        _each_text(
            matrix[:, :date_end],
            good,
            lambda text: float(_day(text, log_format, days)),
            day,
        )
    if lapse:
        seconds = _lapse(matrix, figures)
        offset = np.zeros(rows.size)
    else:
        seconds, offset = _clock(matrix, figures, tail, pattern, sample, good)
    good &= np.isfinite(seconds) & np.isfinite(day)
    times.time[rows[good]] = (
        (day[good] * SECONDS_PER_DAY + seconds[good]) if stamp else seconds[good]
    )
    times.offset[rows[good]] = offset[good]
    times.read[rows[good]] = True


def _day(text: str, log_format: LogFormat, days: dict[str, int]) -> int:
    day = days.get(text)
    if day is None:
        day = days[text] = day_number(text, log_format.date_order)
    return day


def _each_text(
    cells: ByteArray, good: BoolArray, read: Callable[[str], float], into: FloatArray
) -> None:
    """Read each text once for the rows in a row that share it; what fails is no longer good."""
    if cells.shape[0] == 0:
        return
    changes = np.concatenate(([True], (cells[1:] != cells[:-1]).any(axis=1)))
    begins = np.flatnonzero(changes)
    ends = np.append(begins[1:], cells.shape[0])
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        try:
            into[begin:end] = read(bytes(cells[begin]).decode("utf-8"))
        except (CellError, UnicodeDecodeError):
            good[begin:end] = False


def _figure(matrix: ByteArray, span: tuple[int, int]) -> FloatArray:
    begin, end = span
    if begin < 0:
        return np.zeros(matrix.shape[0])
    return whole_numbers(matrix[:, begin:end]).astype(np.float64)


def _fraction(matrix: ByteArray, span: tuple[int, int]) -> FloatArray:
    begin, end = span
    return _figure(matrix, span) / 10.0 ** (end - begin) if begin >= 0 else _figure(matrix, span)


def _lapse(matrix: ByteArray, spans: list[tuple[int, int]]) -> FloatArray:
    day, hour, minute, second = (_figure(matrix, span) for span in spans[:4])
    fraction = _fraction(matrix, spans[4])
    return np.asarray(day * SECONDS_PER_DAY + hour * 3600.0 + minute * 60.0 + second + fraction)


def _clock(
    matrix: ByteArray,
    spans: list[tuple[int, int]],
    tail: int,
    pattern: re.Pattern[str],
    sample: str,
    good: BoolArray,
) -> tuple[FloatArray, FloatArray]:
    """Seconds since midnight, NaN where there is no such time; offset from UTC, NaN if unsaid."""
    hour, minute, second = (_figure(matrix, span) for span in spans[:3])
    second = second + _fraction(matrix, spans[3])
    noon = np.zeros(matrix.shape[0])
    offset = np.full(matrix.shape[0], np.nan)
    if tail < matrix.shape[1]:

        def written(text: str) -> tuple[str | None, str | None]:
            found = pattern.fullmatch(sample[:tail] + text)
            groups = range(pattern.groups - 5, pattern.groups - 1)
            # Another ending may part the figures otherwise: 12:02 AM and 12:00:24 are as long.
            if found is None or [found.span(group) for group in groups] != spans[:4]:
                raise CellError(text)
            return found.group(pattern.groups - 1), found.group(pattern.groups)

        def half(text: str) -> float:
            letter, _ = written(text)
            return -1.0 if letter is None else 12.0 * (letter in "Pp")

        def zone(text: str) -> float:
            offset = utc_offset(written(text)[1])
            return np.nan if offset is None else offset

        _each_text(matrix[:, tail:], good, half, noon)
        _each_text(matrix[:, tail:], good, zone, offset)
        halved = noon >= 0
        wrong = halved & ~((hour >= 1) & (hour <= 12))
        hour = np.where(halved, hour % 12 + np.maximum(noon, 0.0), hour)
        hour[wrong] = np.nan
    possible = (hour <= 23) & (minute <= 59) & (second < 60)
    seconds = np.where(possible, hour * 3600.0 + minute * 60.0 + second, np.nan)
    return np.asarray(seconds), offset
