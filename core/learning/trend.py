"""A straight line through values of many nights, each with its own error.

Beside their own errors nights differ by more than that (another load, a warmer room). The variance
between them is the one with which the weighted residuals are as large as they should be (Paule
R.C., Mandel J. 1982, J. Res. Natl. Bur. Stand. 87, 377).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.stats import t as student

from core.learning.proportion import LEVEL

FloatArray = NDArray[np.float64]

FEWEST = 4
"""Nights below which no trend is drawn; common practice, no source."""
_CHANCE = 0.02
"""How often a trend may be called sure where there is none: somebody will take a lehr apart."""


@dataclass(frozen=True, eq=False)
class Line:
    """A line through values.

    Attributes
    ----------
    time, value, error : ndarray, shape (n,)
        [s], rising; values, and their standard errors.
    level : float
        At the mean time.
    slope, low, high : float
        Per second; the true one lies between nine times in ten.
    between : float
        Standard deviation between nights beside their own errors.
    sure : bool
        Chance alone would make such a slope less than one time in fifty.
    """

    time: FloatArray
    value: FloatArray
    error: FloatArray
    level: float
    slope: float
    low: float
    high: float
    between: float
    sure: bool

    def at(self, time: FloatArray) -> FloatArray:
        """The line at times [s]."""
        weight = _weights(self.error, self.between**2)
        middle = float(np.average(self.time, weights=weight))
        return np.asarray(self.level + self.slope * (time - middle))


def line_through(time: FloatArray, value: FloatArray, error: FloatArray) -> Line | None:
    """The line, its slope's interval and the scatter between nights.

    Parameters
    ----------
    time, value, error : ndarray, shape (n,)
        [s]; values and their standard errors, not negative.

    Returns
    -------
    Line or None
        ``None`` of fewer than four nights, or all at one time.
    """
    order = np.argsort(time, kind="stable")
    t, v, e = time[order], value[order], error[order]
    if t.size < FEWEST or float(np.ptp(t)) <= 0.0:
        return None
    # No night is known without any error at all; this is far below any real one.
    least = max(1e-9 * float(np.ptp(v)), 1e-12 * float(np.abs(v).max()), 1e-100)
    e = np.maximum(e, least)
    between = _between(t, v, e)
    weight = _weights(e, between)
    level, slope, spread = _fit(t, v, weight)
    rest = v - level - slope * (t - float(np.average(t, weights=weight)))
    # With no scatter left over, the errors alone count; never less than what is seen.
    seen = float((weight * rest * rest).sum()) / (t.size - 2)
    error_of_slope = math.sqrt(max(1.0, seen) / spread)
    half = float(student.ppf(0.5 + LEVEL / 2.0, t.size - 2)) * error_of_slope
    sure = abs(slope) > float(student.ppf(1.0 - _CHANCE / 2.0, t.size - 2)) * error_of_slope
    return Line(t, v, e, level, slope, slope - half, slope + half, math.sqrt(between), sure)


def _weights(error: FloatArray, between: float) -> FloatArray:
    return np.asarray(1.0 / (error**2 + between))


def _fit(t: FloatArray, v: FloatArray, weight: FloatArray) -> tuple[float, float, float]:
    """Level at the weighted mean time, slope, and the weighted spread of times."""
    middle = float(np.average(t, weights=weight))
    level = float(np.average(v, weights=weight))
    x = t - middle
    spread = float((weight * x * x).sum())
    return level, float((weight * x * v).sum()) / spread, spread


def _between(t: FloatArray, v: FloatArray, e: FloatArray) -> float:
    """Variance between nights."""

    def excess(between: float) -> float:
        weight = _weights(e, between)
        level, slope, _ = _fit(t, v, weight)
        rest = v - level - slope * (t - float(np.average(t, weights=weight)))
        return float((weight * rest * rest).sum()) - (t.size - 2)

    most = 10.0 * float(np.var(v)) + 1e-200
    if excess(0.0) <= 0.0 or excess(most) >= 0.0:
        return 0.0 if excess(0.0) <= 0.0 else most
    return float(brentq(excess, 0.0, most, xtol=1e-200, rtol=1e-12))
