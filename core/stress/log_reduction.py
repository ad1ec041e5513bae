"""Long logs brought to the few corners that leave the same stress."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from core.errors import StressError
from core.stress.history import ChamberHistory, check_history
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS, format_duration

FloatArray = NDArray[np.float64]


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
    check_history(times, kelvin)
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
