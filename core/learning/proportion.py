"""A share of pieces with an honest interval, and a curve of the share against stress.

Intervals of a share are Wilson's (Wilson E.B. 1927, J. Am. Stat. Assoc. 22, 209), which hold for
few pieces and for none cracked. The curve is logistic, its likelihood penalised as by Firth (1993,
Biometrika 80, 27), without which it runs off to infinity where the cracked and the sound do not
overlap.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtri

FloatArray = NDArray[np.float64]

LEVEL = 0.90
"""Of every interval: the true value lies in it nine times in ten."""
_NORMAL = float(ndtri(0.5 + LEVEL / 2.0))
_ROUNDS = 100
_LONGEST_STEP = 5.0


@dataclass(frozen=True)
class Share:
    """Some out of many.

    Attributes
    ----------
    some, many : int
    low, high : float
        The true share lies between [-]; 0 and 1 where there are none.
    """

    some: int
    many: int
    low: float
    high: float

    @property
    def value(self) -> float | None:
        """The share seen; ``None`` of none."""
        return self.some / self.many if self.many else None


def share_of(some: int, many: int) -> Share:
    """Wilson's interval of a share; valid for 0 <= some <= many."""
    if many == 0:
        return Share(0, 0, 0.0, 1.0)
    z2 = _NORMAL**2
    middle = (some + z2 / 2.0) / (many + z2)
    spread = some * (many - some) / many + z2 / 4.0
    half = _NORMAL * math.sqrt(spread) / (many + z2)
    # At the ends rounding must not leave a hair's breadth.
    low = 0.0 if some == 0 else max(0.0, middle - half)
    high = 1.0 if some == many else min(1.0, middle + half)
    return Share(some, many, low, high)


@dataclass(frozen=True)
class Logistic:
    """Share = 1/(1 + exp(-(a + b x))).

    Attributes
    ----------
    a, b : float
    covariance : tuple of tuple of float
        Of a and b.
    """

    a: float
    b: float
    covariance: tuple[tuple[float, float], tuple[float, float]]

    @property
    def rises(self) -> bool:
        """True where the share surely grows with x (one-sided, nineteen times in twenty)."""
        return self.b - _NORMAL * math.sqrt(self.covariance[1][1]) > 0.0

    def share_at(self, x: float) -> tuple[float, float, float]:
        """Share at x, with its interval: value, low, high."""
        eta = self.a + self.b * x
        (aa, ab), (_, bb) = self.covariance
        half = _NORMAL * math.sqrt(max(aa + 2.0 * x * ab + x * x * bb, 0.0))
        return float(expit(eta)), float(expit(eta - half)), float(expit(eta + half))


def logistic_fit(x: FloatArray, some: FloatArray, many: FloatArray) -> Logistic | None:
    """Fit a logistic curve to shares by Firth's penalised likelihood.

    Parameters
    ----------
    x, some, many : ndarray, shape (n,)
        Cause, and ``some`` out of ``many`` at it.

    Returns
    -------
    Logistic or None
        ``None`` where all x are alike, or the fit does not settle.
    """
    if x.size < 2 or float(np.ptp(x)) < 1e-9:
        return None
    centre, scale = float(np.average(x, weights=many)), float(np.ptp(x))
    design = np.stack((np.ones(x.size), (x - centre) / scale), axis=1)
    theta = np.zeros(2)
    for _ in range(_ROUNDS):
        p = expit(design @ theta)
        weight = many * p * (1.0 - p)
        information = design.T @ (weight[:, None] * design)
        if not np.isfinite(information).all() or np.linalg.det(information) <= 1e-300:
            return None
        covariance = np.linalg.inv(information)
        leverage = weight * np.einsum("ij,jk,ik->i", design, covariance, design)
        score = design.T @ (some - many * p + leverage * (0.5 - p))
        step = covariance @ score
        step *= min(1.0, _LONGEST_STEP / max(float(np.abs(step).max()), 1e-12))
        theta = theta + step
        if float(np.abs(step).max()) < 1e-10:
            break
    else:
        return None
    # Back from the scaled cause.
    back = np.array([[1.0, -centre / scale], [0.0, 1.0 / scale]])
    a, b = back @ theta
    aa, ab, bb = (back @ covariance @ back.T)[[0, 0, 1], [0, 1, 1]].tolist()
    return Logistic(float(a), float(b), ((aa, ab), (ab, bb)))
