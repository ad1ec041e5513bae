"""Curves that stop where the readings do, for drawing."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from core.run.gaps import Gap

FloatArray = NDArray[np.float64]


def with_breaks(
    time: FloatArray, values: FloatArray, gaps: Iterable[Gap]
) -> tuple[FloatArray, FloatArray]:
    """Put a NaN into the middle of every gap, so that no line is drawn across it.

    Parameters
    ----------
    time, values : ndarray, shape (n,)
        Times rising.
    gaps : iterable of Gap

    Returns
    -------
    time, values : ndarray, shape (n + number of gaps,)
    """
    middles = np.array([(gap.start + gap.end) / 2 for gap in gaps], dtype=np.float64)
    places = np.searchsorted(time, middles)
    return np.insert(time, places, middles), np.insert(values, places, np.nan)
