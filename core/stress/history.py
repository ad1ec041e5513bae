"""The chamber's temperature history: checked once, and long logs brought to few corners."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import StressError
from core.stress.section import COLDEST, HOTTEST
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS, format_duration

FloatArray = NDArray[np.float64]

LONGEST = 400 * 24 * SECONDS_PER_HOUR
"""Longest history [s]."""


@dataclass(frozen=True, eq=False)
class ChamberHistory:
    """True chamber temperature (not controller readings); straight lines between corners.

    Attributes
    ----------
    time : ndarray, shape (n,)
        [s] on any clock, strictly rising, n at least 2.
    temperature : ndarray, shape (n,)
        [K], -100 to 1500 °C.

    Raises
    ------
    StressError
        If times go back or repeat, a value is not a number or not possible, or it is longer than
        400 days.
    """

    time: FloatArray
    temperature: FloatArray

    def __post_init__(self) -> None:
        time = np.array(self.time, dtype=np.float64)
        temperature = np.array(self.temperature, dtype=np.float64)
        _check(time, temperature)
        time.setflags(write=False)
        temperature.setflags(write=False)
        object.__setattr__(self, "time", time)
        object.__setattr__(self, "temperature", temperature)

    @property
    def duration(self) -> float:
        """Seconds from first to last corner."""
        return float(self.time[-1] - self.time[0])


def _check(time: FloatArray, temperature: FloatArray) -> None:
    if time.ndim != 1 or time.shape != temperature.shape:
        raise StressError("Times and temperatures differ in number.", field="time")
    if time.size < 2:
        raise StressError(
            "A history of one temperature says nothing of cooling.",
            field="time",
            remedy="Give at least two times.",
        )
    for name, values in (("time", time), ("temperature", temperature)):
        bad = np.flatnonzero(~np.isfinite(values))
        if bad.size:
            raise StressError(
                f"The {name} at place {int(bad[0]) + 1} of {time.size} is not a number.",
                field=name,
                remedy="Leave such readings out.",
            )
    back = np.flatnonzero(np.diff(time) <= 0)
    if back.size:
        raise StressError(
            f"Time steps back or stands still after place {int(back[0]) + 1} of {time.size}.",
            field="time",
            remedy="Put the readings in order of time, each time once.",
        )
    outside = np.flatnonzero((temperature < COLDEST) | (temperature > HOTTEST))
    if outside.size:
        value = float(temperature[outside[0]]) - ZERO_CELSIUS
        raise StressError(
            f"A chamber temperature of {value:.0f} °C is not possible.",
            field="temperature",
            remedy="Use -100 to 1500 °C; check the unit of the log.",
        )
    if time[-1] - time[0] > LONGEST:
        raise StressError(
            "The history is longer than 400 days.", field="time", remedy="Check the dates."
        )


def history_from_log(
    time: ArrayLike,
    temperature: ArrayLike,
    *,
    tolerance: float = 0.25,
    window: float = 30.0,
    longest_gap: float = SECONDS_PER_HOUR,
    gap_change: float = 30.0,
) -> ChamberHistory:
    """A logged run as few corners that leave the same stress.

    Readings closer together than ``window`` are averaged over it (times and temperatures alike,
    so that ramps stay exact and noise falls out), then corners are left out wherever a straight
    line passes every average within ``tolerance``. Thin walls follow the chamber within minutes,
    so neither touches the gradient that makes stress by more than 1 % (checked in the tests).

    Parameters
    ----------
    time : array_like, shape (n,)
        [s], strictly rising.
    temperature : array_like, shape (n,)
        True chamber temperature [K].
    tolerance : float
        Largest distance of the line from an average [K].
    window : float
        [s].
    longest_gap : float
        Longest stretch without readings that may hide a change above ``gap_change`` [s].
    gap_change : float
        [K].

    Raises
    ------
    StressError
        As :class:`ChamberHistory`, and for a gap across which the temperature changed so much that
        the stress depends on what happened in it.
    """
    times = np.asarray(time, dtype=np.float64)
    kelvin = np.asarray(temperature, dtype=np.float64)
    _check(times, kelvin)
    spacing = np.diff(times)
    lost = np.flatnonzero((spacing > longest_gap) & (np.abs(np.diff(kelvin)) > gap_change))
    if lost.size:
        i = int(lost[0])
        raise StressError(
            f"For {format_duration(float(spacing[i]))} hours there is no reading while the chamber "
            f"went from {kelvin[i] - ZERO_CELSIUS:.0f} to {kelvin[i + 1] - ZERO_CELSIUS:.0f} °C: "
            "the stress depends on what happened then.",
            field="time",
            remedy="Add readings from memory, or allow a longer gap.",
        )
    origin = float(times[0])
    averaged = _averages(times - origin, kelvin, window)
    corners = _corners(*averaged, tolerance)
    return ChamberHistory(averaged[0][corners] + origin, averaged[1][corners])


def _averages(
    time: FloatArray, temperature: FloatArray, window: float
) -> tuple[FloatArray, FloatArray]:
    """Means over windows; first and last times are kept, on the line of their neighbours."""
    if time.size < 4 or float(np.median(np.diff(time))) > 0.5 * window:
        return time, temperature
    number = np.floor(time / window).astype(np.int64)
    starts = np.concatenate(([0], np.flatnonzero(np.diff(number)) + 1))
    counts = np.diff(np.concatenate((starts, [time.size])))
    mean_time = np.add.reduceat(time, starts) / counts
    mean = np.add.reduceat(temperature, starts) / counts
    if mean.size < 2:
        return time[[0, -1]], temperature[[0, -1]]
    first = mean[0] + (mean[1] - mean[0]) / (mean_time[1] - mean_time[0]) * (time[0] - mean_time[0])
    last = mean[-1] + (mean[-1] - mean[-2]) / (mean_time[-1] - mean_time[-2]) * (
        time[-1] - mean_time[-1]
    )
    inside = (mean_time > time[0]) & (mean_time < time[-1])
    return (
        np.concatenate(([time[0]], mean_time[inside], [time[-1]])),
        np.concatenate(([first], mean[inside], [last])),
    )


def _corners(time: FloatArray, temperature: FloatArray, tolerance: float) -> NDArray[np.intp]:
    """Indices of corners: from each, the longest line that passes every point within tolerance.

    The lines that pass all points so far form a wedge; a corner is set at the last point that
    lay in it.
    """
    t, v = time.tolist(), temperature.tolist()
    kept = [0]
    start, low, high = 0, -np.inf, np.inf
    i = 1
    last = len(t) - 1
    best = 1
    while i <= last:
        run = t[i] - t[start]
        rise = v[i] - v[start]
        slope = rise / run
        if low <= slope <= high:
            best = i
        low = max(low, (rise - tolerance) / run)
        high = min(high, (rise + tolerance) / run)
        if low > high:
            kept.append(best)
            start, low, high = best, -np.inf, np.inf
            i = best + 1
            best = i
            continue
        i += 1
    if kept[-1] != last:
        if best != last:
            kept.append(best)
        kept.append(last)
    return np.array(sorted(set(kept)), dtype=np.intp)
