"""Clock times as people read them, from and to UTC, correct when the clocks change.

``zone`` is a :class:`datetime.tzinfo` (usually ``zoneinfo.ZoneInfo``) or ``None`` for the
machine's own time zone.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from enum import StrEnum

from PySide6.QtCore import QDate, QLocale

from core.errors import UnitError


class Occurs(StrEnum):
    """How often a clock time comes round on its day."""

    ONCE = "once"
    NEVER = "never"
    """Skipped when the clocks go forward."""
    TWICE = "twice"
    """Repeated when the clocks go back."""


@dataclass(frozen=True)
class Instant:
    """A clock time turned into UTC, and how often it comes round that day."""

    moment: datetime
    occurs: Occurs


def to_local(moment: datetime | float, zone: tzinfo | None = None) -> datetime:
    """Local clock time of an aware datetime or of UTC epoch seconds."""
    if isinstance(moment, datetime):
        if moment.tzinfo is None:
            raise ValueError("A time without a zone cannot be shown as clock time.")
        return moment.astimezone(zone)
    return datetime.fromtimestamp(float(moment), UTC).astimezone(zone)


def _attach(naive: datetime, zone: tzinfo | None) -> datetime:
    return (naive.replace(tzinfo=zone) if zone is not None else naive).astimezone(UTC)


def from_local(day: date, at: time, zone: tzinfo | None = None, *, second: bool = False) -> Instant:
    """UTC of a clock time on a day.

    A time skipped when the clocks go forward is read as if they had not (02:30 becomes 03:30);
    of a time that comes twice the first is meant unless ``second``.
    """
    naive = datetime.combine(day, at.replace(tzinfo=None, fold=0))
    first = _attach(naive, zone)
    last = _attach(naive.replace(fold=1), zone)
    if to_local(first, zone).replace(tzinfo=None, fold=0) != naive:
        return Instant(first, Occurs.NEVER)
    if first != last:
        return Instant(last if second else first, Occurs.TWICE)
    return Instant(first, Occurs.ONCE)


_CLOCK = re.compile(r"(\d{1,2})(?:[:.h ]?(\d{2}))?\s*([ap])?\.?m?\.?", re.IGNORECASE)


def read_clock(text: str, *, field: str | None = None) -> time:
    """Read a typed clock time: ``17:30``, ``1730``, ``17.30``, ``8``, ``8 pm``.

    Raises
    ------
    UnitError
        If it is no time of day.
    """
    match = _CLOCK.fullmatch(text.strip())
    wrong = UnitError(
        f"“{text.strip()}” is not a time of day.", field=field, remedy="Write it as 17:30 or 1730."
    )
    if not match:
        raise wrong
    hour, minute = int(match[1]), int(match[2] or 0)
    half = (match[3] or "").lower()
    if half:
        if not 1 <= hour <= 12:
            raise wrong
        hour = hour % 12 + (12 if half == "p" else 0)
    if hour > 23 or minute > 59:
        raise wrong
    return time(hour, minute)


def _today(now: datetime | None, zone: tzinfo | None) -> date:
    return to_local(now if now is not None else datetime.now(UTC), zone).date()


def short_day(day: date) -> str:
    """A day as ``Thu 26 Nov``, in the words of the machine's language."""
    return QLocale().toString(QDate(day.year, day.month, day.day), "ddd d MMM")


def day_word(day: date, *, now: datetime | None = None, zone: tzinfo | None = None) -> str:
    """``today``, ``tomorrow``, ``yesterday``, else ``Thu 26 Nov`` (with the year if another)."""
    today = _today(now, zone)
    words = {0: "today", 1: "tomorrow", -1: "yesterday"}
    apart = (day - today).days
    if apart in words:
        return words[apart]
    text = short_day(day)
    return text if day.year == today.year else f"{text} {day.year}"


def clock_text(moment: datetime | float, zone: tzinfo | None = None) -> str:
    """Clock time alone, ``17:30``."""
    return f"{to_local(moment, zone):%H:%M}"


def day_and_clock(
    moment: datetime | float, *, now: datetime | None = None, zone: tzinfo | None = None
) -> str:
    """Day and clock time in words, ``tomorrow 08:00`` or ``Thu 26 Nov 08:00``."""
    local = to_local(moment, zone)
    return f"{day_word(local.date(), now=now, zone=zone)} {local:%H:%M}"


def weekday_clock(moment: datetime | float, zone: tzinfo | None = None) -> str:
    """Weekday and clock time, ``Wed 17:30``, in the words of the machine's language."""
    local = to_local(moment, zone)
    return f"{QLocale().toString(QDate(local.year, local.month, local.day), 'ddd')} {local:%H:%M}"


def whole_minutes(moment: datetime) -> datetime:
    """The moment with its seconds dropped."""
    return moment - timedelta(seconds=moment.second, microseconds=moment.microsecond)
