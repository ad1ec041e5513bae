"""Long logs brought to the few corners that leave the same stress.

Three steps, each quick for millions of readings:

1. Readings are averaged over windows of up to half a minute, but only where those of a window lie
   on a straight line as well as their noise allows; where the chamber did something quick (a door,
   a burner), windows are halved down to single readings.
2. Corners are set where no straight line passes all averages within a tolerance, and halfway.
3. The corners' temperatures are fitted to the averages by least squares, so that neither noise nor
   the steps of a coarse read-out bias the rate of cooling between them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.linalg import solveh_banded

from core.errors import StressError
from core.stress.history import ChamberHistory, check_history
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS, format_duration

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

_USUAL_SPACINGS = 5.0
"""A stretch without readings is a gap when it is so many times the usual spacing."""
_NOTED_GAP = 600.0
"""[s] A gap shorter than this hides nothing; common practice, no source."""
_STRAIGHT = 1.5
"""Scatter about a straight line, over that of the noise, up to which a window is straight."""
_ENOUGH = 6
"""Averages between two corners from which one more is set between them."""
_LEAST_NOISE = 0.02
"""[K] Noise no log is better than."""


def history_from_log(
    time: ArrayLike,
    temperature: ArrayLike,
    *,
    tolerance: float = 0.02,
    window: float = 30.0,
    longest_gap: float = SECONDS_PER_HOUR,
    gap_change: float = 30.0,
) -> ChamberHistory:
    """A logged run as few corners that leave the same stress, within 1 % (checked in the tests).

    Parameters
    ----------
    time : array_like, shape (n,)
        [s], strictly rising.
    temperature : array_like, shape (n,)
        True chamber temperature [K].
    tolerance : float
        Largest distance of the line from an average [K]; more where the log itself is coarser.
    window : float
        Longest window [s].
    longest_gap : float
        Longest stretch without readings that may hide a change above ``gap_change`` [s], unless
        readings are usually as far apart.
    gap_change : float
        [K].

    Raises
    ------
    StressError
        As :class:`~core.stress.history.ChamberHistory`, and for a gap across which the temperature
        changed so much that the stress depends on what happened in it.
    """
    times = np.asarray(time, dtype=np.float64)
    kelvin = np.asarray(temperature, dtype=np.float64)
    check_history(times, kelvin)
    spacing = np.diff(times)
    usual = float(np.median(spacing))
    _refuse_gaps(spacing, kelvin, max(longest_gap, _USUAL_SPACINGS * usual), gap_change)
    if times.size < 4:
        return ChamberHistory(times, kelvin)
    noise, grain = noise_of(kelvin)
    origin = float(times[0])
    starts = _windows(times - origin, kelvin, window, max(noise, 0.3 * grain, _LEAST_NOISE))
    counts = np.diff(np.append(starts, times.size))
    mean_time = np.add.reduceat(times - origin, starts) / counts
    mean = np.add.reduceat(kelvin, starts) / counts
    within = max(tolerance, 0.6 * grain, 2.0 * noise / np.sqrt(float(np.median(counts))))
    corners = _with_middles(_corners(mean_time, mean, within))
    fitted = _fitted(mean_time, mean, counts.astype(np.float64), corners)
    return _to_the_ends(mean_time[corners], fitted, float(times[-1]) - origin, origin)


def bridged_gaps(time: ArrayLike) -> list[tuple[float, float]]:
    """Stretches without readings across which a straight line is taken: start and end [s].

    Longer than ten minutes and than five usual spacings.
    """
    times = np.asarray(time, dtype=np.float64)
    spacing = np.diff(times)
    if not spacing.size:
        return []
    long = spacing > max(_NOTED_GAP, _USUAL_SPACINGS * float(np.median(spacing)))
    return [(float(times[i]), float(times[i + 1])) for i in np.flatnonzero(long)]


def _refuse_gaps(
    spacing: FloatArray, kelvin: FloatArray, longest: float, gap_change: float
) -> None:
    lost = np.flatnonzero((spacing > longest) & (np.abs(np.diff(kelvin)) > gap_change))
    if not lost.size:
        return
    i = int(lost[0])
    raise StressError(
        f"For {format_duration(float(spacing[i]))} hours there is no reading while the chamber "
        f"went from {kelvin[i] - ZERO_CELSIUS:.0f} to {kelvin[i + 1] - ZERO_CELSIUS:.0f} °C: "
        "the stress depends on what happened then.",
        field="time",
        remedy="Add readings from memory between them.",
    )


def noise_of(kelvin: FloatArray) -> tuple[float, float]:
    """Standard deviation of a log's noise, and the step of its read-out [K].

    The noise is that of second differences, in which slow changes cancel; their median size
    leaves quick changes out. Of fewer than 4 readings nothing can be said: 0.
    """
    if kelvin.size < 4:
        return 0.0, 0.0
    second = np.abs(kelvin[2:] - 2.0 * kelvin[1:-1] + kelvin[:-2])
    steps = np.abs(np.diff(kelvin))
    steps = steps[steps > 1e-6]
    # A read-out in whole degrees repeats few values; a fine one repeats hardly any.
    grain = float(steps.min()) if steps.size else 0.0
    return 1.4826 * float(np.median(second)) / np.sqrt(6.0), min(grain, 1.5)


def _windows(time: FloatArray, kelvin: FloatArray, longest: float, noise: float) -> IntArray:
    """Where each window starts, the longest first tried, halved where it is not straight."""
    number = np.floor(time / longest)
    starts = np.concatenate(([0], np.flatnonzero(np.diff(number)) + 1)).astype(np.intp)
    settled: list[IntArray] = []
    ends = np.append(starts[1:], time.size)
    while starts.size:
        bent = (ends - starts > 1) & (_scatter(time, kelvin, starts, ends) > _STRAIGHT * noise)
        settled.append(starts[~bent])
        starts, ends = starts[bent], ends[bent]
        middle = (starts + ends) // 2
        starts, ends = np.concatenate((starts, middle)), np.concatenate((middle, ends))
    return np.sort(np.concatenate(settled))


def _scatter(time: FloatArray, kelvin: FloatArray, starts: IntArray, ends: IntArray) -> FloatArray:
    """Root mean square distance of each window's readings from their own straight line."""
    counts = ends - starts
    first = np.concatenate(([0], np.cumsum(counts)[:-1]))
    which = np.repeat(starts - first, counts) + np.arange(int(counts.sum()))
    t = time[which] - np.repeat(time[starts], counts)
    v = kelvin[which] - np.repeat(kelvin[starts], counts)
    t -= np.repeat(np.add.reduceat(t, first) / counts, counts)
    v -= np.repeat(np.add.reduceat(v, first) / counts, counts)
    tt, tv, vv = (np.add.reduceat(p, first) for p in (t * t, t * v, v * v))
    left = vv - tv * tv / np.where(tt > 0, tt, 1.0)
    return np.asarray(np.sqrt(np.maximum(left, 0.0) / np.maximum(counts - 2, 1)))


def _corners(time: FloatArray, temperature: FloatArray, tolerance: float) -> IntArray:
    """Indices of corners: from each, the longest line that passes every point within tolerance.

    The lines that pass all points so far form a wedge; a corner is set at the last point that
    lay in it.
    """
    t, v = time.tolist(), temperature.tolist()
    last = len(t) - 1
    kept = [0]
    start, best, i = 0, 1, 1
    low, high = -np.inf, np.inf
    while i <= last:
        run, rise = t[i] - t[start], v[i] - v[start]
        if low <= rise / run <= high:
            best = i
        low = max(low, (rise - tolerance) / run)
        high = min(high, (rise + tolerance) / run)
        if low > high:
            kept.append(best)
            start, low, high = best, -np.inf, np.inf
            best = i = best + 1
            continue
        i += 1
    kept += [best, last]
    return np.unique(np.minimum(kept, last))


def _with_middles(corners: IntArray) -> IntArray:
    """Corners and one more between those with enough points between to place it.

    Halving them halves the error of the rate of cooling that straight lines leave of a curve, where
    the tolerance alone would have to be four times finer, finer than the noise.
    """
    far = np.diff(corners) >= _ENOUGH
    return np.sort(np.concatenate((corners, (corners[:-1][far] + corners[1:][far]) // 2)))


def _fitted(
    time: FloatArray, temperature: FloatArray, weight: FloatArray, corners: IntArray
) -> FloatArray:
    """Temperatures of corners whose straight lines pass the points best, by least squares."""
    if corners.size < 3:
        return temperature[corners]
    place = np.clip(
        np.searchsorted(corners, np.arange(time.size), "right") - 1, 0, corners.size - 2
    )
    knots = time[corners]
    share = (time - knots[place]) / np.diff(knots)[place]
    near, far = weight * (1.0 - share), weight * share
    size = corners.size

    def gathered(low: FloatArray, high: FloatArray) -> FloatArray:
        return np.asarray(np.bincount(place, low, size) + np.bincount(place + 1, high, size))

    band = np.zeros((2, size))
    band[1] = gathered(near * (1.0 - share), far * share)
    band[0, 1:] = np.bincount(place, near * share, size)[:-1]
    right = gathered(near * temperature, far * temperature)
    return np.asarray(solveh_banded(band, right))


def _to_the_ends(
    time: FloatArray, temperature: FloatArray, end: float, origin: float
) -> ChamberHistory:
    """Carry the first and last lines on to the log's own ends."""
    if time.size < 2:
        return ChamberHistory(np.array([0.0, end]) + origin, np.repeat(temperature, 2))
    t, v = time.copy(), temperature.copy()
    v[0] -= (v[1] - v[0]) / (t[1] - t[0]) * t[0]
    v[-1] += (v[-1] - v[-2]) / (t[-1] - t[-2]) * (end - t[-1])
    t[0], t[-1] = 0.0, end
    return ChamberHistory(t + origin, v)
