"""Tonight's hours: the usual button time, and an earlier load moved to tonight."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, time, timedelta, tzinfo

from core.errors import LoadError
from core.load.load import Load
from core.load.local_time import instant, next_time

USUAL_BUTTON = time(17, 30)
"""Clock time at which the button is usually pressed; common practice, no source."""
LONG_AGO = timedelta(hours=16)
"""A button time as long ago as this belongs to an earlier night, unless its pieces are to be out
later still. Common practice, no source."""
NEAR = timedelta(minutes=10)
"""A run started this near to its button time was started on time; common practice, no source."""


def usual_button_time(now: datetime, zone: tzinfo | None = None) -> datetime:
    """Today's 17:30, or the present minute where that is past.

    Parameters
    ----------
    now : datetime
        Aware.
    zone : tzinfo, optional
        Of the clock on the wall; the machine's own when left out.

    Returns
    -------
    datetime
        UTC, whole minutes.
    """
    return _today_at(USUAL_BUTTON, now, zone)


def is_past(load: Load, now: datetime) -> bool:
    """True when a load was for an earlier night: its button time and its last hour are over."""
    last = max(load.button_time + LONG_AGO, load.out_by or load.button_time)
    return last < now


def is_on_time(button_time: datetime, now: datetime) -> bool:
    """True when the present is near enough to the button time to start the plan as it stands."""
    return abs(now - button_time) <= NEAR


def moved_to_tonight(load: Load, now: datetime, zone: tzinfo | None = None) -> Load:
    """The same load for the coming night.

    The button is pressed at the same clock time today, or now where that is past; the pieces are
    to be out at the same clock time as many days later as before.

    Parameters
    ----------
    load : Load
    now : datetime
        Aware.
    zone : tzinfo, optional
        Of the clock on the wall; the machine's own when left out.
    """
    before = load.button_time.astimezone(zone)
    button = _today_at(before.time(), now, zone)
    if load.out_by is None:
        return replace(load, button_time=button)
    wanted = load.out_by.astimezone(zone)
    nights = wanted.date() - before.date()
    day = button.astimezone(zone).date() + nights
    try:
        out_by = instant(datetime.combine(day, wanted.time()), zone, "out_by")
        if out_by <= button:
            out_by = next_time(wanted.time(), button, zone, "out_by")
    except LoadError:  # the clocks go forward over it: keep the span instead
        out_by = button + (load.out_by - load.button_time)
    return replace(load, button_time=button, out_by=out_by)


def moved_to(load: Load, button_time: datetime) -> Load:
    """The same load with another button time; an hour it must be out by then past is dropped."""
    out_by = load.out_by
    if out_by is not None and out_by <= button_time:
        out_by = None
    return replace(load, button_time=button_time, out_by=out_by)


def _today_at(clock_time: time, now: datetime, zone: tzinfo | None) -> datetime:
    this_minute = now.astimezone(UTC).replace(second=0, microsecond=0)
    try:
        usual = instant(
            datetime.combine(now.astimezone(zone).date(), clock_time), zone, "button_time"
        )
    except LoadError:  # the clocks go forward over it today
        return this_minute
    return max(usual.replace(second=0, microsecond=0), this_minute)
