"""Very many points as the few that can be seen: first, lowest, highest and last of every pixel."""

from __future__ import annotations

import numpy as np

from app.plots.curves import FloatArray

MANY = 20_000
"""Above this many points only what can be seen of a curve is drawn."""
_A_PIXEL = 4
"""Points that say all a pixel can show."""


def reduced(
    time: FloatArray, values: FloatArray, start: float, end: float, pixels: int
) -> tuple[FloatArray, FloatArray]:
    """Points of a curve between two moments, enough for so many pixels.

    No peak and no gap is lost, and where points are few they are left as they are. One point
    before and one after the span are kept, so that the line runs to the edges.

    Parameters
    ----------
    time, values : ndarray, shape (n,)
        Never decreasing; NaN in ``values`` breaks the line.
    start, end : float
        On the scale of ``time``.
    pixels : int
        1 or more.

    Returns
    -------
    tuple of ndarray
        At most 5 points a pixel, and two more.
    """
    first = max(int(np.searchsorted(time, start)) - 1, 0)
    last = min(int(np.searchsorted(time, end, side="right")) + 1, time.size)
    time, values = time[first:last], values[first:last]
    if time.size <= _A_PIXEL * pixels or not end > start:
        return time, values
    edges = np.linspace(start, end, pixels + 1)
    cuts = np.unique(np.append(0, np.searchsorted(time, edges)))
    cuts = cuts[cuts < time.size]
    ends = np.append(cuts[1:], time.size)
    crowded = ends - cuts > _A_PIXEL
    kept = np.flatnonzero(np.repeat(~crowded, ends - cuts))
    low = np.fmin.reduceat(values, cuts)[crowded]
    high = np.fmax.reduceat(values, cuts)[crowded]
    broken = np.logical_or.reduceat(np.isnan(values), cuts)[crowded]
    here, there = cuts[crowded], ends[crowded] - 1
    middle = 0.5 * (time[here] + time[there])
    gap = here[broken] + 3
    order = np.concatenate((kept, here, here + 1, here + 2, gap, here + 4)).argsort(kind="stable")
    at = np.concatenate((time[kept], time[here], middle, middle, middle[broken], time[there]))
    shown = np.concatenate(
        (values[kept], values[here], low, high, np.full(gap.size, np.nan), values[there])
    )
    return at[order], shown[order]
