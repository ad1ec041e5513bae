"""Putting a log's rows in order of time, losing as few of them as can be."""

from __future__ import annotations

import math
from bisect import bisect_left, bisect_right

import numpy as np
from numpy.typing import NDArray

from core.run.log_times import SECONDS_PER_DAY

FloatArray = NDArray[np.float64]


def with_days(clock: FloatArray, start: float) -> FloatArray:
    """Add the days to times of day: a fall by more than half a day is midnight.

    Parameters
    ----------
    clock : ndarray, shape (n,)
        Seconds since midnight, in file order.
    start : float
        About when the first row was logged: seconds since 1970-01-01 00:00 on the wall clock.
    """
    if clock.size == 0:
        return clock
    midnight = start - start % SECONDS_PER_DAY
    # The first row is the one nearest to the start that was given.
    nearest = round((start - midnight - clock[0]) / SECONDS_PER_DAY)
    falls = np.diff(clock) < -SECONDS_PER_DAY / 2
    days = np.concatenate(([0], np.cumsum(falls))) + nearest
    return np.asarray(midnight + days * SECONDS_PER_DAY + clock)


def longest_rising(times: list[float]) -> list[int]:
    """Find the longest strictly rising run of times, as indices into them.

    One row with a wild date then costs one row, not all that follow. NaN is left out, the first
    of equals kept, and of two runs as long the one whose rows stand first in the file.
    """
    # Patience sorting: pile k holds the ends of rising runs of length k + 1, falling in time.
    tails: list[float] = []
    pile_times: list[list[float]] = []  # negated, so that they rise
    pile_rows: list[list[int]] = []
    previous = [-1] * len(times)
    for index, time in enumerate(times):
        if math.isnan(time):
            continue
        at = len(tails) if not tails or time > tails[-1] else bisect_left(tails, time)
        if at == len(tails):
            tails.append(time)
            pile_times.append([])
            pile_rows.append([])
        tails[at] = time
        if at > 0:
            previous[index] = pile_rows[at - 1][bisect_right(pile_times[at - 1], -time)]
        pile_times[at].append(-time)
        pile_rows[at].append(index)
    chain: list[int] = []
    index = pile_rows[-1][0] if pile_rows else -1
    while index >= 0:
        chain.append(index)
        index = previous[index]
    return chain[::-1]


def rising_rows(time: FloatArray) -> NDArray[np.int64]:
    """Rows of the longest strictly rising run of times, as :func:`longest_rising` has it.

    A row later than all before and earlier than all after it belongs to every longest run, so
    only the stretches between such rows are searched.

    Parameters
    ----------
    time : ndarray, shape (n,)
        NaN is left out.
    """
    known = np.flatnonzero(np.isfinite(time))
    times = time[known]
    if times.size < 2 or bool((np.diff(times) > 0).all()):
        return known.astype(np.int64)
    highest = np.maximum.accumulate(times)
    lowest = np.minimum.accumulate(times[::-1])[::-1]
    sure = np.ones(times.size, dtype=bool)
    sure[1:] &= times[1:] > highest[:-1]
    sure[:-1] &= times[:-1] < lowest[1:]
    kept = sure.copy()
    edges = np.diff(np.concatenate(([False], ~sure, [False])).astype(np.int8))
    for begin, end in zip(
        np.flatnonzero(edges == 1).tolist(), np.flatnonzero(edges == -1).tolist(), strict=True
    ):
        kept[[begin + i for i in longest_rising(times[begin:end].tolist())]] = True
    return known[kept].astype(np.int64)


def order_message(time: float, last: float, ahead: float) -> str:
    """Say why a row was left out, given the times kept before and after it."""
    if math.isnan(time):
        return "The clocks went forward over this time, so it never was."
    if time == last:
        return "The time is the same as in the row before."
    if time < last:
        return "The time goes backward."
    return (
        "The time is the same as in a later row."
        if time == ahead
        else "The time runs ahead of the rows that follow."
    )
