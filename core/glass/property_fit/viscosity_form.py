"""The viscosity curve by four numbers, and what each kind of measurement reads on it.

T(L) = T12 + E (g(L) + c h(L)) with g(L) = (12 - L)(2 - A) / (10 (L - A)), L = log10(viscosity /
Pa s): the Vogel-Fulcher-Tammann curve written through its temperatures at 10^12 (T12) and 10^2 Pa s
(T12 + E), E > 0 and A < 0.4 for any p. Towards thin melts it may bend as the composition has it:
h(L) = (5.5 - L)^2 / 10 below 10^5.5 Pa s, nought above, with |c| < 0.1. g falls by more than
0.1 for each decade wherever h bends it so far, so temperatures fall with L above 0.4 and the fixed
points keep their order. Above 10^12 a term -kappa E b^2/(b + 0.5), b = L - 12, makes the curve
flatter: in the fibre test the glass no longer reaches equilibrium there, and measured strain
points lie lower than an equilibrium curve has them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from core.glass.property_fit.mixed_fit import Measurements

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

KINDS: tuple[str, ...] = (
    *(f"T_log{level}_C" for level in range(1, 13)),
    *("anneal_C", "strain_C", "littleton_C", "Tg_C", "soft_other_C"),
)
_LEVEL = np.array([*range(1, 13), 12.0, 13.5, 6.6, 12.15, 6.6])
_STRAIN = KINDS.index("strain_C")
_ADJUSTED = {KINDS.index("littleton_C"): 50.0, KINDS.index("Tg_C"): 22.0}
_ADJUSTED |= {KINDS.index("soft_other_C"): 50.0}
"""Kinds whose level is fitted, with a typical slope [K per decade] to step by."""


_HIGHEST_LOW = 0.4
"""A stays below this, so that curves are whole from 10^0.5 Pa s on."""
_THROUGH = 2.0
"""log10(viscosity / Pa s) at which T12 + E is the temperature, but for the bend."""
_THIN, _THINNEST = 5.5, 0.5
_MOST_BEND = 0.1
"""The bend begins below 10^5.5 Pa s and goes on straight below 10^0.5."""
_STEPS = 60


def curve(log_viscosity: FloatArray, p: FloatArray, kappa: float) -> tuple[FloatArray, FloatArray]:
    """Temperatures [°C] of shape (...) and their derivatives to p (..., 4), broadcast.

    Parameters
    ----------
    log_viscosity : ndarray, shape (...)
        log10(viscosity / Pa s), above 0.4.
    p : ndarray, shape (..., 4)
    kappa : float
        How much flatter all curves are beyond 10^12 Pa s.
    """
    rise, rise_slope, low, low_slope = _shape(p)
    bend, bend_slope = _bend(p)
    beyond = np.maximum(log_viscosity - 12.0, 0.0)
    below = (12.0 - log_viscosity) / (12.0 - _THROUGH)
    span = 1.0 / (log_viscosity - low)
    thin, _ = _thinness(log_viscosity)
    g = below * (_THROUGH - low) * span - kappa * beyond**2 / (beyond + 0.5) + bend * thin
    temperature = p[..., 0] + rise * g
    slope = np.empty((*temperature.shape, 4))
    slope[..., 0] = 1.0
    slope[..., 1] = g * rise_slope
    slope[..., 2] = rise * low_slope * (below * (_THROUGH - log_viscosity) * span**2)
    slope[..., 3] = rise * bend_slope * thin
    return temperature, slope


def inverse(celsius: FloatArray, p: FloatArray, kappa: float) -> FloatArray:
    """log10(viscosity / Pa s) at temperatures [°C], broadcast against p (..., 4)."""
    rise, _, low, _ = _shape(p)
    bend, _ = _bend(p)
    u = (celsius - p[..., 0]) / rise
    hot = np.maximum(u, 0.0)
    result = _unbent(hot, low)
    if np.any(result < _THIN):
        result = np.where(result < _THIN, _thin_inverse(hot, result, low, bend), result)
    cold = np.maximum(-u, 0.0)
    if np.any(cold > 0.0):
        # Newton steps on a curve that bends one way only: they come from one side and stay there.
        first, span = (_THROUGH - low) / (12.0 - _THROUGH), 12.0 - low
        beyond = np.zeros_like(cold)
        for _ in range(_STEPS):
            value = first * beyond / (span + beyond) + kappa * beyond**2 / (beyond + 0.5)
            slope = first * span / (span + beyond) ** 2
            slope += kappa * beyond * (beyond + 1.0) / (beyond + 0.5) ** 2
            step = (cold - value) / slope
            beyond = np.maximum(beyond + step, 0.0)
            if np.all(np.abs(step) < 1e-10 * (1.0 + beyond)):
                break
        result = np.where(cold > 0.0, 12.0 + beyond, result)
    return result


def _unbent(u: FloatArray, low: FloatArray) -> FloatArray:
    """L where g(L) = u, for u >= 0."""
    decades, first = 12.0 - _THROUGH, _THROUGH - low
    result: FloatArray = (12.0 * first + decades * u * low) / (decades * u + first)
    return result


def _thin_inverse(
    u: FloatArray, start: FloatArray, low: FloatArray, bend: FloatArray
) -> FloatArray:
    """L below 10^5.5 Pa s where g(L) + c h(L) = u: Newton steps kept between shrinking bounds."""
    log, thin_end, thick_end = start, np.broadcast_to(low, start.shape), np.full_like(start, _THIN)
    first = (_THROUGH - low) / (12.0 - _THROUGH)
    for _ in range(_STEPS):
        above = np.maximum(log - low, 1e-12)
        thin, thin_slope = _thinness(log)
        missing = first * (12.0 - log) / above + bend * thin - u
        slope = -first * (12.0 - low) / above**2 - bend * thin_slope
        thin_end = np.where(missing > 0.0, log, thin_end)
        thick_end = np.where(missing > 0.0, thick_end, log)
        new = log - missing / slope
        new = np.where((new > thin_end) & (new < thick_end), new, 0.5 * (thin_end + thick_end))
        done = np.all(np.abs(new - log) < 1e-12 * (1.0 + np.abs(log)))
        log = new
        if done:
            break
    return log


def _shape(p: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    rise = 100.0 * np.logaddexp(0.0, p[..., 1] / 100.0)
    rise_slope = expit(p[..., 1] / 100.0)
    low = _HIGHEST_LOW - 0.5 * np.logaddexp(0.0, 2.0 * p[..., 2])
    return rise, rise_slope, low, -expit(2.0 * p[..., 2])


def _bend(p: FloatArray) -> tuple[FloatArray, FloatArray]:
    part = np.tanh(p[..., 3] / _MOST_BEND)
    return _MOST_BEND * part, 1.0 - part**2


def _thinness(log_viscosity: FloatArray) -> tuple[FloatArray, FloatArray]:
    """h, and how it grows as L falls."""
    thin = np.maximum(_THIN - log_viscosity, 0.0)
    span = _THIN - _THINNEST
    bent = np.minimum(thin, span)
    slope = bent / span
    return slope * (thin - 0.5 * bent), slope


class ViscosityForm:
    """Values of p = (T12 [°C], E, A, c before their transforms) as measured; levels adapt in a fit.

    Attributes
    ----------
    level : ndarray, shape (17,)
        log10(viscosity / Pa s) each kind reads.
    kappa : float
        Of :func:`curve`.
    """

    def __init__(self) -> None:
        self.level = _LEVEL.copy()
        self.kappa = 0.0

    def __call__(self, kind: IntArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Temperatures [°C], shape (n,), and their derivatives to p, shape (n, 4)."""
        return curve(self.level[kind], p, self.kappa)

    def recentre(self, data: Measurements, residual: FloatArray) -> None:
        """Move levels and kappa so that the middle laboratory has no residual in their kinds."""
        for kind, step in {**_ADJUSTED, _STRAIN: 0.0}.items():
            chosen = (data.kind == kind) & (data.weight > 0.5)
            if not chosen.any():
                continue
            group, own = data.group[data.row[chosen]], residual[chosen]
            names, number = np.unique(group, return_counts=True)
            middle = np.array([np.median(own[group == name]) for name in names])
            order = np.argsort(middle)
            total = np.cumsum(np.minimum(number, 10)[order])
            offset = float(middle[order][np.searchsorted(total, total[-1] / 2)])
            if kind == _STRAIN:
                self.kappa = max(self.kappa - offset / (500.0 * 1.125), 0.0)
            else:
                self.level[kind] -= offset / step
