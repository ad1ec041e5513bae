"""The viscosity curve by three numbers, and what each kind of measurement reads on it.

T(L) = T12 + E g(L) with g(L) = (12 - L)(3 - A) / (9 (L - A)), L = log10(viscosity / Pa s): the
Vogel-Fulcher-Tammann curve written through its temperatures at 10^12 (T12) and 10^3 Pa s
(T12 + E). E > 0 and A < 0.4 for any p, so temperatures fall with L wherever L > 0.4 and the fixed
points keep their order. Above 10^12 a term -kappa E b^2/(b + 0.5), b = L - 12, makes the curve
flatter: in the fibre test the glass no longer reaches equilibrium there, and measured strain
points lie lower than an equilibrium curve has them. Below 10^2.5 L is counted as
L + hot (2.5 - L)^2/2.25: melts at 10 Pa s are a few kelvin colder than three numbers can have them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

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
_STRAIN, _HOT = KINDS.index("strain_C"), KINDS.index("T_log1_C")
_MOST_HOT = 0.03
_ADJUSTED = {KINDS.index("littleton_C"): 50.0, KINDS.index("Tg_C"): 22.0}
_ADJUSTED |= {KINDS.index("soft_other_C"): 50.0}
"""Kinds whose level is fitted, with a typical slope [K per decade] to step by."""


_HIGHEST_LOW = 0.4
"""A stays below this, so that curves are whole from 10^0.5 Pa s on."""
_HOT_BELOW, _HOT_SPAN = 2.5, 2.25


@dataclass(frozen=True)
class Bends:
    """What all curves share: ``kappa`` beyond 10^12 Pa s, ``hot`` below 10^2.5."""

    kappa: float
    hot: float


def curve(log_viscosity: FloatArray, p: FloatArray, bends: Bends) -> tuple[FloatArray, FloatArray]:
    """Temperatures [°C] of shape (...) and their derivatives to p (..., 3), broadcast.

    Parameters
    ----------
    log_viscosity : ndarray, shape (...)
        log10(viscosity / Pa s), above 0.4.
    p : ndarray, shape (..., 3)
    bends : Bends
    """
    rise, rise_slope, low, low_slope = _shape(p)
    thin = np.maximum(_HOT_BELOW - log_viscosity, 0.0)  # of the size of the viscosities alone
    log_viscosity = log_viscosity + bends.hot / _HOT_SPAN * thin**2
    beyond = np.maximum(log_viscosity - 12.0, 0.0)
    below = (12.0 - log_viscosity) / 9.0
    span = 1.0 / (log_viscosity - low)
    g = below * (3.0 - low) * span - bends.kappa * beyond**2 / (beyond + 0.5)
    temperature = p[..., 0] + rise * g
    slope = np.empty((*temperature.shape, 3))
    slope[..., 0] = 1.0
    slope[..., 1] = g * rise_slope
    slope[..., 2] = rise * low_slope * (below * (3.0 - log_viscosity) * span**2)
    return temperature, slope


def inverse(celsius: FloatArray, p: FloatArray, bends: Bends) -> FloatArray:
    """log10(viscosity / Pa s) at temperatures [°C], broadcast against p (..., 3)."""
    rise, _, low, _ = _shape(p)
    u = (celsius - p[..., 0]) / rise
    hot = np.maximum(u, 0.0)
    result = (12.0 * (3.0 - low) + 9.0 * hot * low) / (9.0 * hot + 3.0 - low)
    thin = np.maximum(_HOT_BELOW - result, 0.0)
    bend = bends.hot / _HOT_SPAN
    thin = 2.0 * thin / (1.0 + np.sqrt(np.maximum(1.0 - 4.0 * bend * thin, 0.0)))
    result = np.where(thin > 0.0, _HOT_BELOW - thin, result)
    cold = np.maximum(-u, 0.0)
    if np.any(cold > 0.0):
        # Newton steps on a curve that bends one way only: they come from one side and stay there.
        first, span = (3.0 - low) / 9.0, 12.0 - low
        beyond = np.zeros_like(cold)
        for _ in range(40):
            value = first * beyond / (span + beyond) + bends.kappa * beyond**2 / (beyond + 0.5)
            slope = first * span / (span + beyond) ** 2
            slope += bends.kappa * beyond * (beyond + 1.0) / (beyond + 0.5) ** 2
            step = (cold - value) / slope
            beyond = np.maximum(beyond + step, 0.0)
            if np.all(np.abs(step) < 1e-10 * (1.0 + beyond)):
                break
        result = np.where(cold > 0.0, 12.0 + beyond, result)
    return result


def _shape(p: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    rise = 100.0 * np.logaddexp(0.0, p[..., 1] / 100.0)
    rise_slope = expit(p[..., 1] / 100.0)
    low = _HIGHEST_LOW - 0.5 * np.logaddexp(0.0, 2.0 * p[..., 2])
    return rise, rise_slope, low, -expit(2.0 * p[..., 2])


class ViscosityForm:
    """Values of p = (T12 [°C], E, A before their transforms) as measured; levels adapt in a fit.

    Attributes
    ----------
    level : ndarray, shape (17,)
        log10(viscosity / Pa s) each kind reads.
    bends : Bends
    """

    def __init__(self) -> None:
        self.level = _LEVEL.copy()
        self.bends = Bends(0.0, 0.0)

    def __call__(self, kind: IntArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Temperatures [°C], shape (n,), and their derivatives to p, shape (n, 3)."""
        return curve(self.level[kind], p, self.bends)

    def recentre(self, data: Measurements, residual: FloatArray) -> None:
        """Move levels and bends so that the middle laboratory has no residual in their kinds."""
        for kind, step in {**_ADJUSTED, _STRAIN: 0.0, _HOT: 0.0}.items():
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
                kappa = max(self.bends.kappa - offset / (500.0 * 1.125), 0.0)
                self.bends = replace(self.bends, kappa=kappa)
            elif kind == _HOT:
                hot = min(max(self.bends.hot - offset / 260.0, 0.0), _MOST_HOT)
                self.bends = replace(self.bends, hot=hot)
            else:
                self.level[kind] -= offset / step
