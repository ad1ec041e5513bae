"""How wide an interval must be to hold nine values in ten of laboratories a fit has not seen.

A fit gives the variance of each value: of its coefficients here, of glasses and laboratories, of
single values. Two things are set on errors of left-out groups: by how many times the part of
glasses and laboratories grows on strange glasses (one number for a property), and the half width
in standard deviations (one for each kind of value).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

COVERAGE = 0.9
_MOST_OF_A_GROUP = 40
"""A group counts as at most so many values."""
_EVERYDAY = 1.5
"""Power of 1 - rarity that a value weighs with: the coverage is promised for everyday glass."""
_GROWTHS = (0.0, 0.5, 1.0, 2.0, 4.0, 8.0, 16.0)


@dataclass(frozen=True, eq=False)
class Errors:
    """Errors of one kind of value on glasses left out, n of them, and what the fit expected.

    Attributes
    ----------
    error, variance, between : ndarray, shape (n,)
        Estimate minus measured; its variance; the part of it of glasses and laboratories.
    rarity : ndarray, shape (n,)
    group : ndarray of str, shape (n,)
    """

    error: FloatArray
    variance: FloatArray
    between: FloatArray
    rarity: FloatArray
    group: NDArray[np.str_]

    def deviation(self, strange: float) -> FloatArray:
        """Standard deviation with ``between`` growing so on strange glasses."""
        result: FloatArray = np.sqrt(self.variance + strange * self.rarity * self.between)
        return result


def calibrated(kinds: Sequence[Errors]) -> tuple[float, FloatArray]:
    """Growth on strange glasses and the half width of each kind in standard deviations.

    The growth is the one whose intervals have the least mean quantile loss: narrow, and wide
    where they must be.
    """
    losses, widths = [], []
    for strange in _GROWTHS:
        width = np.array([_width(kind, strange) for kind in kinds])
        loss = [_loss(kind, strange, own) for kind, own in zip(kinds, width, strict=True)]
        losses.append(float(np.sum(loss)))
        widths.append(width)
    best = int(np.argmin(losses))
    return _GROWTHS[best], widths[best]


def _weights(kind: Errors) -> FloatArray:
    _, index, number = np.unique(kind.group, return_inverse=True, return_counts=True)
    result: FloatArray = np.minimum(1.0, _MOST_OF_A_GROUP / number)[index]
    return result


def _width(kind: Errors, strange: float) -> float:
    size = np.abs(kind.error) / kind.deviation(strange)
    if not len(size):
        return 2.0
    order = np.argsort(size)
    weight = _weights(kind) * (1.0 - kind.rarity) ** _EVERYDAY
    total = np.cumsum(weight[order])
    return float(size[order][np.searchsorted(total, COVERAGE * total[-1])])


def _loss(kind: Errors, strange: float, width: float) -> float:
    if not len(kind.error):
        return 0.0
    size = np.abs(kind.error)
    beyond = size - width * kind.deviation(strange)
    loss = np.maximum(COVERAGE * beyond, (COVERAGE - 1.0) * beyond) / np.median(size)
    weight = _weights(kind)
    return float((weight * loss).sum())
