"""What the fit cannot know of glasses beyond the edge of its data, as variances on top.

The covariance of the coefficients alone is too small there. Local terms fade with distance from
their centres and take their uncertainty with them; and that a polynomial goes on as it did is
taken for granted. So beyond the edge each number gets two variances more:

- of the local part that is lost: its prior variance times the share of it that no centre tells of;
- of a change of course, in the distance beyond the bounds of the data: a fresh quadratic and a
  fresh bent term with the prior variances of the fit's own, and a departure from all these that
  goes on growing as local terms do over their reach (their prior standard deviation for each
  length of reach; in temperature at 10^12 Pa s 6 K for each mole percent).

Both are nought inside, where errors on left-out authors have set the width of the intervals.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.composition.oxides import MOLAR_MASS
from core.glass.property_fit.features import (
    BEND,
    BENT,
    LOCAL,
    QUADRATIC,
    SILICA_SCALE,
    FeatureSpace,
    alkali_of,
    blocks,
    molar_mass,
)

FloatArray = NDArray[np.float64]

ROUNDING = 1.005
"""An amount this much above the most in the data is still inside: analyses are rounded."""
_USUAL_LOSS = 0.48
"""No glass in range among the data lacks more than this of its local part; what widths are
calibrated on includes it already."""


@dataclass(frozen=True, eq=False)
class Domain:
    """Bounds of the glasses behind the model.

    Attributes
    ----------
    most : ndarray, shape (29,)
        [wt%] of each component.
    least : float
        [wt%] of silica.
    alkali : tuple of float
        Least and most [wt%] of Na2O, K2O and Li2O together.
    reach : float
        Furthest a glass may be from the nearest centre.
    """

    most: FloatArray
    least: float
    alkali: tuple[float, float]
    reach: float


def distance_beyond(weight_percent: FloatArray, tens: FloatArray, domain: Domain) -> FloatArray:
    """How far glasses lie beyond the bounds [10 mol%], shape (n,); 0 inside.

    From amounts by weight and tens of mole percent, both (n, 29).
    Root of the sum of squares of what is too much of each component, and of what silica and
    alkali are too little or too much by.
    """
    mass = molar_mass(weight_percent)
    share = 100.0 * weight_percent / weight_percent.sum(axis=1, keepdims=True)
    alkali, alkali_tens = alkali_of(share), alkali_of(tens)
    square = (_too_much(tens, share, domain.most) ** 2).sum(axis=1)
    square += _too_much(alkali_tens, alkali, domain.alkali[1]) ** 2
    for amount, least, oxide, scale in (
        # Too little silica mostly is too much of something else, which counts itself.
        (share[:, 0], domain.least, "SiO2", SILICA_SCALE),
        (alkali, domain.alkali[0], "Na2O", 1.0),  # the alkali that is missing counts as soda
    ):
        missing = np.maximum(least / ROUNDING - amount, 0.0)
        square += (0.1 * scale * missing * mass / MOLAR_MASS[oxide]) ** 2
    result: FloatArray = np.sqrt(square)
    return result


def _too_much(tens: FloatArray, share: FloatArray, most: FloatArray | float) -> FloatArray:
    """Part of amounts by mole that is beyond bounds by weight."""
    limit = ROUNDING * np.asarray(most)
    part = 1.0 - np.divide(limit, share, out=np.ones_like(share), where=share > limit)
    result: FloatArray = tens * part
    return result


def lost_share(known: FloatArray) -> FloatArray:
    """Share of the local variance that is lost to the intervals, from the share known (n,).

    Begins smoothly where more is unknown than of any glass among the data.
    """
    part = np.maximum(1.0 - known - _USUAL_LOSS, 0.0) / (1.0 - _USUAL_LOSS)
    result: FloatArray = part**2 * (3.0 - 2.0 * part)
    return result


def edge_terms(distance: FloatArray, lost: FloatArray, reach: float) -> FloatArray:
    """What the variances of :func:`edge_variances` are to be multiplied by, shape (n, 3)."""
    squares = [distance**4, (distance / (distance + BEND)) ** 2, (distance / reach) ** 2 + lost]
    return np.stack(squares, axis=1)


def edge_variances(beta: FloatArray, samples: FloatArray, space: FeatureSpace) -> FloatArray:
    """Prior variances of quadratic, bent and local terms of q numbers, shape (3, q).

    As the fit sets them: mean square of its coefficients (q, M) and of their errors, of which
    there are samples (S, q, M).
    """
    square = beta**2 + (samples**2).mean(axis=0)
    block = blocks(space)
    kinds = (QUADRATIC, BENT, LOCAL)
    return np.stack([square[:, block == kind].mean(axis=1) for kind in kinds])
