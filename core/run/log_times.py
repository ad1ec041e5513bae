"""Times as loggers write them: dates, times of day, and times since the start."""

from __future__ import annotations

import re
from datetime import date
from enum import StrEnum

from core.run.log_cells import CellError, clean, read_number

FIRST_YEAR, LAST_YEAR = 1990, 2099
SECONDS_PER_DAY = 86400.0
LONGEST_LAPSE = 400 * SECONDS_PER_DAY
"""Longest time since the start [s]."""


class DateOrder(StrEnum):
    """Order of day, month and year in a date written with numbers."""

    YMD = "year, month, day"
    DMY = "day, month, year"
    MDY = "month, day, year"


_MONTHS = {
    "jan": 1, "feb": 2, "fev": 2, "fév": 2, "mar": 3, "mär": 3, "mrz": 3, "apr": 4, "abr": 4,
    "avr": 4, "may": 5, "mai": 5, "jun": 6, "jul": 7, "aug": 8, "ago": 8, "aoû": 8, "sep": 9,
    "set": 9, "oct": 10, "okt": 10, "out": 10, "nov": 11, "dec": 12, "dez": 12, "déc": 12,
}  # fmt: skip
_DATE = r"([0-9]{1,4})[-/. ]{1,2}([0-9]{1,2}|[^\W\d_]{3,9})\.?[-/. ]([0-9]{1,4})"
_REST_OF_TIME = (
    r"(?:[:.]([0-9]{2})(?:[.,:]([0-9]{1,9}))?)?"
    r"(?:\s*([AaPp])\.?[Mm]\.?)?(?:\s*(Z|z|UTC|[+-][0-9]{2}(?::?[0-9]{2})?))?"
)
_TIME = r"([0-9]{1,2})[:hH]([0-9]{2})" + _REST_OF_TIME
# Behind a date a dot too parts hours and minutes; alone, 17.30 is a number.
_TIME_AFTER_DATE = r"([0-9]{1,2})[:hH.]([0-9]{2})" + _REST_OF_TIME
_DATE_ONLY = re.compile(_DATE)
TIME_ONLY = re.compile(_TIME)
STAMP = re.compile(rf"({_DATE})(?:[Tt,_]\s*|\s+){_TIME_AFTER_DATE}")
STAMP_INSIDE = re.compile(rf"{_DATE}(?:[Tt,_]\s*|\s+)[0-9]{{1,2}}:[0-9]{{2}}")
"""A date and time, written with a colon, anywhere in a cell."""
LAPSE = re.compile(
    r"(?:([0-9]{1,3})\s*d\w*\s+)?([0-9]{1,4}):([0-9]{2})(?::([0-9]{2})(?:[.,]([0-9]{1,9}))?)?"
)


def is_date(cell: str) -> bool:
    """Tell whether a cell holds a date and nothing else."""
    return _DATE_ONLY.fullmatch(cell.strip()) is not None


def is_time(cell: str) -> bool:
    """Tell whether a cell holds a time of day (or a lapse) and nothing else."""
    text = cell.strip()
    return TIME_ONLY.fullmatch(text) is not None or LAPSE.fullmatch(text) is not None


def is_stamp(cell: str) -> bool:
    """Tell whether a cell holds a date and a time of day."""
    return STAMP.fullmatch(cell.strip()) is not None


def date_in(cell: str) -> str | None:
    """Cut the date out of a cell."""
    match = _DATE_ONLY.match(cell.strip())
    return match.group(0) if match else None


def day_number(text: str, order: DateOrder) -> int:
    """Days since 1970-01-01 of a written date.

    Raises
    ------
    CellError
        If there is no such date.
    """
    match = _DATE_ONLY.fullmatch(text)
    if match is None:
        raise CellError(f"“{text}” is not a date.")
    first, middle, last = match.groups()
    if not middle.isdigit():
        month = _MONTHS.get(middle[:3].lower(), 0)
        year, day = (int(first), int(last)) if len(first) == 4 else (int(last), int(first))
        year_text = first if len(first) == 4 else last
    elif len(first) == 4 or order is DateOrder.YMD:
        year, month, day, year_text = int(first), int(middle), int(last), first
    elif order is DateOrder.DMY:
        year, month, day, year_text = int(last), int(middle), int(first), last
    else:
        year, month, day, year_text = int(last), int(first), int(middle), last
    if len(year_text) == 2:
        year += 2000
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise CellError(f"“{text}” is not a date between {FIRST_YEAR} and {LAST_YEAR}.")
    try:
        return date(year, month, day).toordinal() - date(1970, 1, 1).toordinal()
    except ValueError:
        raise CellError(f"“{text}” is not a date that exists ({order}).") from None


def read_stamp(cell: str, order: DateOrder, days: dict[str, int]) -> tuple[float, float | None]:
    """Seconds since 1970-01-01 00:00 on the wall clock, and the offset from UTC if written.

    Parameters
    ----------
    cell : str
        Date and time.
    order : DateOrder
    days : dict
        Dates already looked up; added to.

    Raises
    ------
    CellError
        If it is blank, no date and time, or an impossible one.
    """
    text = cell.strip()
    match = STAMP.fullmatch(text)
    if match is None:
        if not text:
            raise CellError("There is no time.")
        if is_date(text):
            raise CellError("There is a date but no time of day.")
        if is_time(text):
            raise CellError("There is a time of day but no date.")
        raise CellError(f"“{text}” is not a date and time.")
    written = match.group(1)
    day = days.get(written)
    if day is None:
        day = days[written] = day_number(written, order)
    seconds, offset = _clock(text, match.groups()[4:])
    return day * SECONDS_PER_DAY + seconds, offset


def read_clock(cell: str) -> float:
    """Seconds since midnight of a time of day.

    Raises
    ------
    CellError
        If it is blank or no time of day.
    """
    text = cell.strip()
    match = TIME_ONLY.fullmatch(text)
    if match is None:
        raise CellError(f"“{text}” is not a time of day." if text else "There is no time.")
    return _clock(text, match.groups())[0]


def _clock(text: str, parts: tuple[str | None, ...]) -> tuple[float, float | None]:
    hour_text, minute_text, second_text, fraction, half, zone = parts
    hour, minute = int(hour_text or 0), int(minute_text or 0)
    second = int(second_text or 0) + (float(f"0.{fraction}") if fraction else 0.0)
    if half:
        if not 1 <= hour <= 12:
            raise CellError(f"“{text}” is not a time of day.")
        hour = hour % 12 + (12 if half in "Pp" else 0)
    if hour > 23 or minute > 59 or second >= 60:
        raise CellError(f"“{text}” is not a time of day.")
    return hour * 3600.0 + minute * 60.0 + second, utc_offset(zone)


def utc_offset(zone: str | None) -> float | None:
    """Read a written offset from UTC [s]; ``None`` if there is none."""
    if zone is None:
        return None
    if zone in ("Z", "z", "UTC"):
        return 0.0
    digits = zone[1:].replace(":", "").ljust(4, "0")
    hours, minutes = int(digits[:2]), int(digits[2:])
    if hours > 14 or minutes > 59:
        raise CellError(f"“{zone}” is not an offset from UTC.")
    return (hours * 3600.0 + minutes * 60.0) * (-1 if zone[0] == "-" else 1)


def read_lapse(cell: str, mark: str, unit_seconds: float) -> float:
    """Seconds since the start: a number in the file's unit of time, or ``h:mm:ss``.

    Raises
    ------
    CellError
        If it is blank, neither, or more than 400 days.
    """
    text = clean(cell)
    value = read_number(text, mark)
    if value is not None:
        seconds = value * unit_seconds
        if abs(seconds) > LONGEST_LAPSE:
            raise CellError(f"“{text}” is more than a year after the start.")
        return seconds
    match = LAPSE.fullmatch(text)
    if match is None:
        raise CellError(f"“{text}” is not a time since the start." if text else "There is no time.")
    day, hour, minute, second, fraction = match.groups()
    return (
        int(day or 0) * SECONDS_PER_DAY
        + int(hour) * 3600.0
        + int(minute) * 60.0
        + int(second or 0)
        + (float(f"0.{fraction}") if fraction else 0.0)
    )
