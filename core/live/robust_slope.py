"""Rates of change that a few wild readings do not bend."""

from __future__ import annotations

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

BIN = 30.0
"""Readings within the same half minute are one point, their mean [s]."""
_LONGEST = 7200.0
"""Three points further apart than this tell no rate [s]."""


def slopes(
    time: FloatArray,
    temperature: FloatArray,
    window: float,
    after: float = -np.inf,
    between: tuple[float, float] = (-np.inf, np.inf),
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Median of the slopes between all pairs of points in a window that ends at each point.

    Up to 29 % of the points of a window may be wild without carrying the median away. The last
    half minute is left out until it is over, so that later readings change nothing.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Rising [s].
    temperature : ndarray, shape (n,)
        [K].
    window : float
        Its length [s]; of sparse readings it takes the last three, however long that is, up to
        two hours.
    after : float
        Points up to this time are only looked back on.
    between : tuple of float
        Temperatures [K] where slopes are wanted.

    Returns
    -------
    time, temperature, slope, error : ndarray, shape (m,)
        Of the points: time of the last reading in each, mean, slope there [K/s] and its standard
        error from the median scatter of the points about it; NaN where there are too few points
        or it is not wanted.

    References
    ----------
    Theil (1950), Indagationes Mathematicae 12, 85; Sen (1968), J. Am. Stat. Assoc. 63, 1379.
    """
    number = np.floor(time / BIN)
    edges = np.flatnonzero(np.concatenate(([True], np.diff(number) > 0)))[: time.size]
    if edges.size < 2:
        empty = np.zeros(0)
        return empty, empty, empty, empty
    counts = np.diff(np.append(edges, time.size))
    centre = np.add.reduceat(time - time[0], edges) / counts + time[0]
    level = np.add.reduceat(temperature, edges) / counts
    last = time[edges + counts - 1]
    centre, level, last = centre[:-1], level[:-1], last[:-1]  # the last point is not over yet
    reach = max(3, int(window / BIN) + 1)
    first = max(0, int(np.searchsorted(last, after, side="right")))
    at = np.arange(first, last.size)
    slope, error = np.full(at.size, np.nan), np.full(at.size, np.nan)
    wanted = np.flatnonzero((level[at] >= between[0]) & (level[at] <= between[1]))
    if wanted.size:
        pad = np.full(reach - 1, np.nan)
        rows = at[wanted]
        times = sliding_window_view(np.concatenate((pad, centre)), reach)[rows]
        levels = sliding_window_view(np.concatenate((pad, level)), reach)[rows]
        used = times >= times[:, -1:] - window
        # Of sparse readings the last three, unless they lie too far apart.
        used[:, -3:] = np.isfinite(times[:, -3:])
        used[:, -3] &= times[:, -3] >= times[:, -1] - _LONGEST
        enough = used.sum(axis=1) >= 3
        times, levels, used = times[enough], levels[enough], used[enough]
        slope[wanted[enough]] = found = _median_slope(times, levels, used)
        error[wanted[enough]] = _error(times, levels, used, found)
    return last[at], level[at], slope, error


def _median_slope(times: FloatArray, levels: FloatArray, used: NDArray[np.bool_]) -> FloatArray:
    later, earlier = np.triu_indices(times.shape[1], 1)
    valid = used[:, later] & used[:, earlier]
    step = times[:, earlier] - times[:, later]
    rise = levels[:, earlier] - levels[:, later]
    slope = np.where(valid, rise / np.where(valid, step, 1.0), np.nan)
    return _median_of(slope)


def _median_of(rows: FloatArray) -> FloatArray:
    """Median of each row without its NaN; rows that have none are many times faster."""
    full = np.isfinite(rows).all(axis=1)
    result = np.empty(rows.shape[0])
    if full.any():
        result[full] = np.median(rows[full], axis=1)
    if not full.all():
        result[~full] = np.nanmedian(rows[~full], axis=1)
    return result


def _error(
    times: FloatArray, levels: FloatArray, used: NDArray[np.bool_], slope: FloatArray
) -> FloatArray:
    """Standard error of a slope, the scatter taken as 1.48 times the median residual.

    1.4826 makes the median absolute deviation of a normal scatter its standard deviation
    (Rousseeuw & Croux 1993, J. Am. Stat. Assoc. 88, 1273).
    """
    if slope.size == 0:
        return slope
    time = np.where(used, times - times[:, -1:], np.nan)
    off = np.where(used, levels, np.nan) - slope[:, None] * time
    residual = np.abs(off - _median_of(off)[:, None])
    scatter = 1.4826 * _median_of(residual)
    spread = np.nansum((time - np.nanmean(time, axis=1)[:, None]) ** 2, axis=1)
    return np.asarray(scatter / np.sqrt(spread))
