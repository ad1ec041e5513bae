"""Features of a composition: constant, linear, quadratic, mixed-alkali and local terms.

All are smooth functions of mole percent, so order and scale of the oxides cannot matter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular

from core.composition.oxides import MOLAR_MASS
from core.glass.open_data.reading import OXIDES

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CONSTANT, LINEAR, QUADRATIC, LOCAL = range(4)
_MAJOR = (
    *("Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "SrO", "BaO", "ZnO", "PbO"),
    *("TiO2", "ZrO2", "Fe2O3", "P2O5", "F"),
)
_ALKALI_PAIRS = (("Na2O", "K2O"), ("Na2O", "Li2O"), ("K2O", "Li2O"))
_MASS = np.array([MOLAR_MASS[oxide] for oxide in OXIDES])
_AT = {oxide: index for index, oxide in enumerate(OXIDES)}
_SILICA_SCALE = 0.5
"""Silica is what the others leave; counted in full it would count every change twice."""
_JITTER = 1e-4
"""Keeps centres that lie close together apart."""


@dataclass(frozen=True, eq=False)
class FeatureSpace:
    """Where features are centred: mean and local centres in units of 10 mol%.

    Attributes
    ----------
    mean : ndarray, shape (29,)
    centres : ndarray, shape (k, 29)
    reach : float
        Length over which local terms fade, in units of 10 mol%.
    """

    mean: FloatArray
    centres: FloatArray
    reach: float


def tens_of_mole_percent(weight_percent: FloatArray) -> FloatArray:
    """Mole percent / 10 from any amounts by weight, shape (n, 29) in order of the open data."""
    moles = weight_percent / _MASS
    result: FloatArray = 10.0 * moles / moles.sum(axis=1, keepdims=True)
    return result


def molar_mass(weight_percent: FloatArray) -> FloatArray:
    """Mean molar mass [g/mol], shape (n,)."""
    result: FloatArray = weight_percent.sum(axis=1) / (weight_percent / _MASS).sum(axis=1)
    return result


def blocks(space: FeatureSpace) -> IntArray:
    """Kind of each feature, shape (M,)."""
    quadratic = len(_MAJOR) * (len(_MAJOR) + 1) // 2 + len(_ALKALI_PAIRS)
    sizes = (1, len(OXIDES) - 1, quadratic, len(space.centres))
    return np.repeat(np.arange(4, dtype=np.int64), sizes)


def features(tens: FloatArray, space: FeatureSpace) -> FloatArray:
    """Features to fit with, shape (n, M): local terms made independent of each other."""
    result = plain_features(tens, space)
    local = blocks(space) == LOCAL
    result[:, local] = result[:, local] @ _whitener(space)
    return result


def plain_features(tens: FloatArray, space: FeatureSpace) -> FloatArray:
    """Features of compositions, shape (n, M), from :func:`tens_of_mole_percent`."""
    moved = tens - space.mean
    columns = [np.ones((len(tens), 1)), moved[:, 1:]]
    major = moved[:, [_AT[oxide] for oxide in _MAJOR]]
    first, second = np.triu_indices(len(_MAJOR))
    columns.append(major[:, first] * major[:, second])
    for one, other in _ALKALI_PAIRS:
        a, b = tens[:, _AT[one]], tens[:, _AT[other]]
        columns.append((a * b / (a + b + 0.1))[:, None])
    columns.append(_kernel(tens, space.centres, space.reach))
    return np.concatenate(columns, axis=1)


def plain_coefficients(beta: FloatArray, space: FeatureSpace) -> FloatArray:
    """Coefficients of the plain features, shape (..., M), from those fitted."""
    result = beta.copy()
    local = blocks(space) == LOCAL
    result[..., local] = beta[..., local] @ _whitener(space).T
    return result


def _whitener(space: FeatureSpace) -> FloatArray:
    """By Cholesky, which unlike eigenvectors comes out alike on every machine."""
    kernel = _kernel(space.centres, space.centres, space.reach)
    root = cholesky(kernel + _JITTER * np.eye(len(kernel)), lower=True)
    result: FloatArray = solve_triangular(root, np.eye(len(kernel)), lower=True).T
    return result


def centres_of(tens: FloatArray, number: int, *, steps: int = 15) -> FloatArray:
    """Centres spread over the compositions by k-means from a fixed start."""
    generator = np.random.default_rng(0)
    scaled = _scaled(tens)
    centres = scaled[generator.choice(len(scaled), number, replace=False)]
    for _ in range(steps):
        nearest = np.argmin(-2.0 * scaled @ centres.T + (centres**2).sum(axis=1), axis=1)
        for index in range(number):
            members = nearest == index
            if members.any():
                centres[index] = scaled[members].mean(axis=0)
    result: FloatArray = centres.copy()
    result[:, 0] /= _SILICA_SCALE
    return result


def _scaled(tens: FloatArray) -> FloatArray:
    result = tens.copy()
    result[:, 0] *= _SILICA_SCALE
    return result


def distances(tens: FloatArray, space: FeatureSpace) -> FloatArray:
    """Distance of each composition (n, 29) from each centre, shape (n, k), in tens of mol%."""
    result: FloatArray = np.sqrt(_squares(_scaled(tens), _scaled(space.centres)))
    return result


def _kernel(tens: FloatArray, centres: FloatArray, reach: float) -> FloatArray:
    result: FloatArray = np.exp(-0.5 * _squares(_scaled(tens) / reach, _scaled(centres) / reach))
    return result


def _squares(a: FloatArray, b: FloatArray) -> FloatArray:
    square = (a**2).sum(axis=1)[:, None] + (b**2).sum(axis=1) - 2.0 * a @ b.T
    result: FloatArray = np.maximum(square, 0.0)
    return result
