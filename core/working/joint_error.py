"""How the errors of two temperatures of one viscosity curve go together.

A glass the model takes for stiffer than it is, it takes for stiffer at every viscosity: working and
softening points err together, and their difference is surer than either. With a and b the slopes of
the two temperatures to the curve's numbers and C the covariance of these, the errors correlate by

    r = a C b / (sa sb),

sa and sb being the full standard deviations of the two points, each with the scatter of its own
kind of measurement.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from core.glass.fitted_curve import FittedCurve, point_log_viscosity
from core.glass.property_fit.fitted_viscosity import temperature_at
from core.glass.viscosity_curve import ViscosityCurve

FloatArray = NDArray[np.float64]

_HALF_WIDTH = 1.645
"""Half width of a 90 % interval of a normal distribution in standard deviations. Wider stored
intervals make r come out smaller, on the safe side."""
_STEP = 1e-4
_MOST = 0.95


def error_correlation(curve: ViscosityCurve | None, hot: str, cold: str) -> float:
    """Correlation [-], 0 to 0.95, of the errors of two points of a curve, by their names.

    0 for curves that carry no covariance.
    """
    if not isinstance(curve, FittedCurve):
        return 0.0
    p, covariance = curve.fitted.slopes_at[0], curve.fitted.covariance[0]
    slopes = [_slope(point_log_viscosity(name), p) for name in (hot, cold)]
    shared = float(slopes[0] @ covariance @ slopes[1])
    points = curve.points()
    product = 1.0
    for name in (hot, cold):
        _, low, high = points[name]
        product *= 0.5 * (high - low) / _HALF_WIDTH
    return float(np.clip(shared / product, 0.0, _MOST)) if product > 0.0 else 0.0


def difference_error(one: float, other: float, correlation: float) -> float:
    """Half width of the difference of two estimates from theirs."""
    return math.sqrt(max(one * one + other * other - 2.0 * correlation * one * other, 0.0))


def _slope(log_viscosity: float, p: FloatArray) -> FloatArray:
    """Slope of the temperature at a viscosity to the curve's numbers, by central differences."""
    slopes = []
    for index, number in enumerate(p):
        step = np.zeros_like(p)
        step[index] = _STEP * max(abs(float(number)), 1e-3)
        ends = (temperature_at(log_viscosity, p + sign * step) for sign in (1.0, -1.0))
        up, down = (float(end) for end in ends)
        slopes.append((up - down) / (2.0 * step[index]))
    return np.array(slopes)
