"""Stretches of a log without readings."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

SHORTEST_GAP = 600.0
"""Below this spacing of readings nothing is called a gap [s]; common practice, no source."""
LONGEST_SPACING = 7200.0
"""However few the readings, a longer stretch than this is a gap [s]; common practice, no source."""


@dataclass(frozen=True)
class Gap:
    """A stretch without readings, from the last one to the next; UTC epoch seconds."""

    start: float
    end: float

    @property
    def duration(self) -> float:
        """Seconds without readings."""
        return self.end - self.start


def gap_limit(time: FloatArray) -> float:
    """Spacing of readings [s] above which there is a gap.

    At most 2 hours; 10 minutes or three times the usual spacing, whichever is longer.

    Parameters
    ----------
    time : ndarray, shape (n,)
        [s], rising.
    """
    spacing = np.diff(time)
    if not spacing.size:
        return SHORTEST_GAP
    return min(LONGEST_SPACING, max(SHORTEST_GAP, 3.0 * float(np.median(spacing))))


def joined_steps(time: FloatArray, limit: float | None = None) -> BoolArray:
    """Which steps from one reading to the next are no gap, shape (n - 1,)."""
    return np.asarray(np.diff(time) <= (gap_limit(time) if limit is None else limit))


def gaps_of(time: FloatArray, limit: float | None = None) -> tuple[Gap, ...]:
    """All gaps between readings at times [s], rising."""
    lost = np.flatnonzero(~joined_steps(time, limit))
    return tuple(Gap(float(time[i]), float(time[i + 1])) for i in lost)
