"""How sure a fit is: intervals of its parameters, and whether the log can tell them at all."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import t as student

from core.melt.fitted import Fitted

FloatArray = NDArray[np.float64]

LEVEL = 0.90
"""Of every interval: the true value lies in it nine times in ten."""
_DETERMINED = 0.40
"""Half width of the interval of a logarithm beyond which a parameter counts as unknown: a factor
of 1.5 either way."""
_INSEPARABLE = 0.97
"""Correlation at which two parameters cannot be told apart."""


@dataclass(frozen=True)
class Spread:
    """Covariance of a fit's logarithms, and what it means.

    Attributes
    ----------
    half_widths : ndarray, shape (p,)
        Of the interval of each logarithm; infinite where nothing can be said.
    correlation : ndarray, shape (p, p)
    """

    half_widths: FloatArray
    correlation: FloatArray


def spread_of(
    jacobian: FloatArray,
    residuals: FloatArray,
    order: FloatArray,
    systematic: float = 0.0,
    combined: FloatArray | None = None,
) -> Spread:
    """Intervals from a least-squares fit.

    The scatter of the residuals is their own; where neighbours in time are alike (a model never
    quite right), they count for fewer: (1 - r)/(1 + r) of their number, r their correlation from
    one to the next (as of a first-order autoregressive series; Bartlett M.S. 1946). An error of the
    model itself, ``systematic``, may point any way and averages out nowhere: it counts as if the
    log were one reading.

    Parameters
    ----------
    jacobian : ndarray, shape (n, p)
        Of the residuals by the logarithms of the parameters.
    residuals : ndarray, shape (n,)
    order : ndarray, shape (n,)
        Times by which the residuals are ordered.
    systematic : float
        Root mean square of the model's own error, in the unit of the residuals.
    combined : ndarray, shape (q, p), optional
        Sums of the fitted logarithms that the spread is wanted of, instead of theirs.
    """
    n, p = jacobian.shape
    ranked = residuals[np.argsort(order)]
    power = float(ranked @ ranked)
    alike = float(ranked[1:] @ ranked[:-1]) / power if power > 0.0 else 0.0
    alike = min(0.98, max(0.0, alike))
    worth = max(float(p + 1), n * (1.0 - alike) / (1.0 + alike))
    variance = power / max(1.0, n - p) * n / worth + n * systematic**2
    s, vt = np.linalg.svd(jacobian, full_matrices=False)[1:]
    if s[0] <= 0.0:
        wanted = p if combined is None else len(combined)
        return Spread(np.full(wanted, np.inf), np.eye(wanted))
    kept = s > 1e-12 * s[0]
    inverse = np.where(kept, 1.0 / np.where(kept, s, 1.0) ** 2, 1e12)
    covariance = (vt.T * inverse) @ vt * variance
    if combined is not None:
        covariance = combined @ covariance @ combined.T
    sigma = np.sqrt(np.diag(covariance))
    scale = np.where(sigma > 0.0, sigma, 1.0)
    factor = float(student.ppf(0.5 + LEVEL / 2.0, max(1.0, worth - p)))
    return Spread(factor * sigma, covariance / np.outer(scale, scale))


def fitted(name: str, value: float, half_width: float, bounds: tuple[float, float]) -> Fitted:
    """A parameter with its interval; ``half_width`` of its logarithm."""
    reach = math.exp(min(half_width, 20.0))
    at_bound = value <= bounds[0] * 1.001 or value >= bounds[1] * 0.999
    return Fitted(
        name, value, value / reach, value * reach, half_width < _DETERMINED and not at_bound
    )


def inseparable(names: tuple[str, ...], spread: Spread) -> list[tuple[str, str]]:
    """Pairs of undetermined parameters that the log cannot tell apart."""
    half, alike = spread.half_widths, spread.correlation
    return [
        (names[i], names[j])
        for i in range(len(names))
        for j in range(i + 1, len(names))
        if min(half[i], half[j]) >= _DETERMINED and abs(alike[i, j]) > _INSEPARABLE
    ]
