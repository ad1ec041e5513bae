"""The viscosity curve by three numbers, and what each kind of measurement reads on it.

T(L) = T12 + E g(L) with g(L) = (12 - L)(3 - A) / (9 (L - A)), L = log10(viscosity / Pa s): the
Vogel-Fulcher-Tammann curve written through its temperatures at 10^12 (T12) and 10^3 Pa s
(T12 + E). E > 0 and A < 0.4 for any p, so temperatures fall with L wherever L > 0.4 and the fixed
points keep their order. Above 10^12 a term -kappa E b^2/(b + 0.5), b = L - 12, makes the curve
flatter: in the fibre test the glass no longer reaches equilibrium there, and measured strain
points lie lower than an equilibrium curve has them.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

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


class ViscosityForm:
    """Values of p = (T12 [°C], E, A before their transforms) as measured; levels adapt in a fit.

    Attributes
    ----------
    level : ndarray, shape (17,)
        log10(viscosity / Pa s) each kind reads.
    kappa : float
    """

    def __init__(self) -> None:
        self.level = _LEVEL.copy()
        self.kappa = 0.0

    def __call__(self, kind: IntArray, p: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Temperatures [°C], shape (n,), and their derivatives to p, shape (n, 3)."""
        log = self.level[kind]
        rise = 100.0 * np.logaddexp(0.0, p[:, 1] / 100.0)
        rise_slope = 1.0 / (1.0 + np.exp(-p[:, 1] / 100.0))
        low = 0.4 - 0.5 * np.logaddexp(0.0, 2.0 * p[:, 2])
        low_slope = -1.0 / (1.0 + np.exp(-2.0 * p[:, 2]))
        beyond = np.maximum(log - 12.0, 0.0)
        g = (12.0 - log) * (3.0 - low) / (9.0 * (log - low))
        g -= self.kappa * beyond**2 / (beyond + 0.5)
        g_slope = (12.0 - log) / 9.0 * (3.0 - log) / (log - low) ** 2
        slope = np.stack([np.ones_like(log), g * rise_slope, rise * g_slope * low_slope], axis=1)
        return p[:, 0] + rise * g, slope

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
