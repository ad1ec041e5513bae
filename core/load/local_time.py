"""Clock times as people write them, turned into instants; daylight-saving traps refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta, tzinfo
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from core.errors import LoadError

YEARS = range(1990, 2100)
"""Years in which a night can lie; others are slips of the pen, and strain the calendar."""


def zone_named(name: str, field: str = "timezone") -> tzinfo | None:
    """The IANA time zone, or ``None`` (the machine's own) for an empty name.

    Raises
    ------
    LoadError
        If there is no such zone.
    """
    if not name:
        return None
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise LoadError(
            f"“{name}” is not a known time zone.",
            field=field,
            remedy="Use a name such as Europe/Lisbon, or leave it out.",
        ) from error


def instant(local: datetime, zone: tzinfo | None, field: str) -> datetime:
    """The UTC instant of a local clock time (or of a time with its own offset).

    In the hour that autumn repeats, the first pass is meant.

    Raises
    ------
    LoadError
        If the clock skips that time in spring, or the year is not one of these.
    """
    if local.year not in YEARS:
        raise LoadError(
            f"The year {local.year} is not possible here.",
            field=field,
            remedy=f"Use {YEARS.start} to {YEARS.stop - 1}.",
        )
    if local.tzinfo is not None:
        return local.astimezone(UTC)
    aware = local.replace(tzinfo=zone) if zone else local.astimezone()
    utc = aware.astimezone(UTC)
    if utc.astimezone(zone).replace(tzinfo=None) != local:
        raise LoadError(
            f"The clock never shows {local:%H:%M} on {local:%Y-%m-%d}: it is put forward then.",
            field=field,
            remedy="Give a time an hour later.",
        )
    return utc


def next_time(clock_time: time, after: datetime, zone: tzinfo | None, field: str) -> datetime:
    """First instant after another at which the local clock shows a time.

    Parameters
    ----------
    clock_time : time
        Without zone.
    after : datetime
        Aware.
    """
    day: date = after.astimezone(zone).date()
    found = instant(datetime.combine(day, clock_time), zone, field)
    if found <= after:
        found = instant(datetime.combine(day + timedelta(days=1), clock_time), zone, field)
    return found
