"""Numbers out of many cells of the same shape at once, as exactly as one by one."""

from __future__ import annotations

import re

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.int64]
ByteArray = NDArray[np.uint8]

LONGEST_CELL = 40
_MOST_DIGITS = 15
"""Whole numbers of so many digits, divided by a power of ten, round as float() does."""
_MOST_SHAPES = 24
_NOUGHT, _NINE = ord("0"), ord("9")


def gather(buffer: ByteArray, start: IntArray, width: int) -> ByteArray:
    """Cells of one width, shape (n, width)."""
    return np.asarray(buffer[start[:, None] + np.arange(width)])


def are_digits(cells: ByteArray) -> BoolArray:
    """Which rows are nothing but digits."""
    return np.asarray(((cells >= _NOUGHT) & (cells <= _NINE)).all(axis=1))


def whole_numbers(digits: ByteArray) -> IntArray:
    """Digits, shape (n, m), m up to 18, as whole numbers."""
    value = np.zeros(digits.shape[0], dtype=np.int64)
    for column in range(digits.shape[1]):
        value = value * 10 + (digits[:, column].astype(np.int64) - _NOUGHT)
    return value


def strip_blanks(buffer: ByteArray, start: IntArray, end: IntArray) -> tuple[IntArray, IntArray]:
    """Move the ends of cells inward over blanks."""
    start, end = start.copy(), end.copy()
    for _ in range(LONGEST_CELL):
        led = start < end
        led[led] = buffer[start[led]] == ord(" ")
        if not led.any():
            break
        start[led] += 1
    for _ in range(LONGEST_CELL):
        trailed = start < end
        trailed[trailed] = buffer[end[trailed] - 1] == ord(" ")
        if not trailed.any():
            break
        end[trailed] -= 1
    return start, end


def groups(key: IntArray, among: BoolArray) -> list[IntArray]:
    """Rows that share a key, the most frequent keys first; rare shapes are left out."""
    rows = np.flatnonzero(among)
    if rows.size == 0:
        return []
    _, inverse, count = np.unique(key[rows], return_inverse=True, return_counts=True)
    order = np.argsort(count)[::-1][:_MOST_SHAPES]
    return [rows[inverse == index] for index in order.tolist()]


def read_numbers(
    buffer: ByteArray, start: IntArray, end: IntArray, mark: str, among: BoolArray
) -> tuple[FloatArray, BoolArray]:
    """Plain decimal numbers in cells; exponents, words and long numbers are left to others.

    Parameters
    ----------
    buffer : ndarray of uint8
    start, end : ndarray, shape (n,)
        Of the cells, blanks stripped.
    mark : str
        Decimal mark.
    among : ndarray of bool, shape (n,)
        Cells to look at.

    Returns
    -------
    value : ndarray, shape (n,)
        The very numbers ``float`` gives; NaN elsewhere.
    read : ndarray of bool, shape (n,)
    """
    value = np.full(start.size, np.nan)
    length = end - start
    fits = among & (length >= 1) & (length <= _MOST_DIGITS + 2)
    for rows in groups(length, fits):
        cells = gather(buffer, start[rows], int(length[rows[0]]))
        signed = (cells[:, 0] == ord("-")) | (cells[:, 0] == ord("+"))
        marks = cells == ord(mark)
        place = np.where(marks.any(axis=1), marks.argmax(axis=1), -1)
        shape = place * 2 + signed
        for part in groups(shape.astype(np.int64), np.ones(rows.size, dtype=bool)):
            value[rows[part]] = _one_shape(cells[part], int(place[part[0]]), bool(signed[part[0]]))
    return value, np.isfinite(value)


def _one_shape(cells: ByteArray, mark: int, signed: bool) -> FloatArray:  # noqa: FBT001
    kept = [c for c in range(int(signed), cells.shape[1]) if c != mark]
    result = np.full(cells.shape[0], np.nan)
    if not 1 <= len(kept) <= _MOST_DIGITS:
        return result
    digits = cells[:, kept]
    good = are_digits(digits)
    decimals = cells.shape[1] - 1 - mark if mark >= 0 else 0
    number = whole_numbers(digits[good]) / 10.0**decimals
    negative = cells[good, 0] == ord("-")
    result[good] = np.where(negative, -number, number)
    return result


def without_suffix(
    buffer: ByteArray, start: IntArray, end: IntArray, among: BoolArray, suffix: re.Pattern[str]
) -> IntArray:
    """Move the ends of cells over what the first of them has behind its number, if all do.

    Parameters
    ----------
    suffix : re.Pattern
        Matches a whole cell; its first group is the number.
    """
    rows = np.flatnonzero(among)
    if rows.size == 0:
        return end
    first = bytes(buffer[start[rows[0]] : end[rows[0]]]).decode("utf-8", "replace")
    match = suffix.fullmatch(first)
    if match is None:
        return end
    tail = first[match.end(1) :].encode("utf-8")
    long = among & (end - start > len(tail))
    long[long] = (gather(buffer, end[long] - len(tail), len(tail)) == list(tail)).all(axis=1)
    return np.where(long, end - len(tail), end)
