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
    to be out at the same clock time as many days later as before, and what was gathered or put in
    at a clock time is so tonight.

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
    days = button.astimezone(zone).date() - before.date()

    def moved(moment: datetime) -> datetime:
        return min(_days_later(moment, days, zone), button)

    return replace(
        load,
        button_time=button,
        out_by=None if load.out_by is None else _out_by(load, load.out_by, button, zone),
        gathered={
            name: replace(gather, time=moved(gather.time)) for name, gather in load.gathered.items()
        },
        placings={
            name: replace(placing, put_in=None if placing.put_in is None else moved(placing.put_in))
            for name, placing in load.placings.items()
        },
    )


def _out_by(load: Load, out_by: datetime, button: datetime, zone: tzinfo | None) -> datetime:
    wanted = out_by.astimezone(zone)
    nights = wanted.date() - load.button_time.astimezone(zone).date()
    day = button.astimezone(zone).date() + nights
    try:
        moved = instant(datetime.combine(day, wanted.time()), zone, "out_by")
        return moved if moved > button else next_time(wanted.time(), button, zone, "out_by")
    except LoadError:  # the clocks go forward over it: keep the span instead
        return button + (out_by - load.button_time)


def _days_later(moment: datetime, days: timedelta, zone: tzinfo | None) -> datetime:
    wanted = moment.astimezone(zone)
    try:
        return instant(datetime.combine(wanted.date() + days, wanted.time()), zone, "time")
    except LoadError:  # the clocks go forward over it
        return moment + days


def moved_to(load: Load, button_time: datetime) -> Load:
    """The same load with another button time.

    An hour it must be out by then past is dropped; what was to go in later is in by then.
    """
    out_by = load.out_by
    if out_by is not None and out_by <= button_time:
        out_by = None
    placings = {
        name: placing
        if placing.put_in is None
        else replace(placing, put_in=min(placing.put_in, button_time))
        for name, placing in load.placings.items()
    }
    return replace(load, button_time=button_time, out_by=out_by, placings=placings)


def _today_at(clock_time: time, now: datetime, zone: tzinfo | None) -> datetime:
    this_minute = now.astimezone(UTC).replace(second=0, microsecond=0)
    try:
        usual = instant(
            datetime.combine(now.astimezone(zone).date(), clock_time), zone, "button_time"
        )
    except LoadError:  # the clocks go forward over it today
        return this_minute
    return max(usual.replace(second=0, microsecond=0), this_minute)
