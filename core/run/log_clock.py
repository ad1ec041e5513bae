"""A logger's wall clock to UTC, through the two nights a year when the clocks change."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, tzinfo

import numpy as np
from numpy.typing import NDArray

from core.errors import LoadError, LogFileError
from core.load.local_time import zone_named

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC).replace(tzinfo=None)
_BUCKET = 900.0
"""Clocks have changed on a quarter of an hour everywhere since 1990 [s]."""


@dataclass(frozen=True)
class LocalTimes:
    """Wall-clock times turned to UTC.

    Attributes
    ----------
    utc : ndarray, shape (n,)
        UTC epoch seconds; NaN where the time never was on that wall clock.
    skipped : ndarray of bool, shape (n,)
        True for times in the hour left out when clocks go forward.
    notes : tuple of str
    """

    utc: FloatArray
    skipped: BoolArray
    notes: tuple[str, ...]


def zone_of(timezone: str) -> tzinfo | None:
    """Look up the zone of an IANA name; ``None``, the machine's own, for ``""``.

    Raises
    ------
    LogFileError
        If there is no such zone.
    """
    try:
        return zone_named(timezone)
    except LoadError as error:
        raise LogFileError(error.message, field=error.field, remedy=error.remedy) from error


def wall_seconds(moment: datetime, timezone: str) -> float:
    """Wall-clock seconds since 1970-01-01 00:00 of an aware time in a zone."""
    return (moment.astimezone(zone_of(timezone)).replace(tzinfo=None) - _EPOCH).total_seconds()


def _to_utc(zone: tzinfo | None) -> Callable[[datetime, int], float]:
    def convert(naive: datetime, fold: int) -> float:
        return naive.replace(tzinfo=zone, fold=fold).timestamp()

    return convert


def utc_from_wall(wall: FloatArray, timezone: str) -> LocalTimes:
    """UTC of wall-clock times, in the order they stand in the file.

    The hour that comes twice in autumn is told apart by order: from where the clock falls back,
    times belong to its second pass. The hour left out in spring gives NaN.

    Parameters
    ----------
    wall : ndarray, shape (n,)
        Seconds since 1970-01-01 00:00 on the wall clock, finite, years 1990 to 2099.
    timezone : str
        IANA name, or ``""`` for the machine's own.

    Raises
    ------
    LogFileError
        If there is no such zone.
    """
    convert = _to_utc(zone_of(timezone))
    if wall.size == 0:
        return LocalTimes(wall.copy(), np.zeros(0, dtype=bool), ())
    buckets, place = np.unique(np.floor(wall / _BUCKET), return_inverse=True)
    first = np.empty(buckets.size)
    second = np.empty(buckets.size)
    for i, bucket in enumerate(buckets.tolist()):
        naive = _EPOCH + timedelta(seconds=bucket * _BUCKET)
        first[i] = bucket * _BUCKET - convert(naive, 0)
        second[i] = bucket * _BUCKET - convert(naive, 1)
    before, after = first[place], second[place]
    # PEP 495: fold 0 reads both the repeated and the skipped hour by the old offset.
    repeated = before > after
    skipped = before < after
    offset = before.copy()
    notes: list[str] = []
    if repeated.any():
        rows = np.flatnonzero(repeated)
        late = _second_pass(wall, rows, before - after)
        offset[rows[late]] = after[rows[late]]
        notes.append(_repeated_note(wall[rows], passes=2 if late.any() and not late.all() else 1))
    utc = wall - offset
    utc[skipped] = np.nan
    if skipped.any():
        notes.append(
            f"On {_clock(wall[skipped][0], '%d %B %Y')} the clocks go forward, so the times from "
            f"{_clock(wall[skipped].min())} never were. If the logger keeps winter time all year, "
            "choose a time zone without summer time, such as UTC."
        )
    return LocalTimes(utc, skipped, tuple(notes))


def _second_pass(wall: FloatArray, rows: NDArray[np.intp], shift: FloatArray) -> BoolArray:
    """For the rows in the repeated hour: True from where the clock has fallen back."""
    steps = np.diff(wall)
    forward = steps[steps > 0]
    interval = float(np.median(forward)) if forward.size else 0.0
    late = np.zeros(rows.size, dtype=bool)
    passed = False
    previous = -1
    for i, row in enumerate(rows.tolist()):
        if previous < 0 or wall[row] - wall[previous] > 2 * shift[row]:
            passed = False  # another year's change
        else:
            step = wall[row] - wall[previous]
            # A true change of clocks leaves an ordinary step; a slip of the clock does not.
            if not passed and step <= 0:
                real = step + shift[row]
                passed = bool(real > 0 and (step <= -shift[row] / 2 or real <= 3 * interval))
        late[i] = passed
        previous = row
    return late


def _repeated_note(wall: FloatArray, passes: int) -> str:
    day = _clock(wall[0], "%d %B %Y")
    if passes == 2:
        return (
            f"The clocks went back on {day}; times that come twice were told apart by their order."
        )
    return (
        f"The clocks went back on {day}, but the log passes {_clock(wall.min())} to "
        f"{_clock(wall.max())} only once; these rows were taken as before the change. If the "
        "logger's clock does not change, choose a time zone without summer time, such as UTC."
    )


def _clock(wall: float, form: str = "%H:%M") -> str:
    return (_EPOCH + timedelta(seconds=float(wall))).strftime(form)
