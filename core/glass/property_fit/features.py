"""Features of a composition: constant, linear, quadratic, bent and local terms.

All are smooth functions of mole percent, so order and scale of the oxides cannot matter. Minor
components have linear terms of their own with a prior of their own, on top of those they share
with their kind (sums of alkalis, of divalent oxides, of divalent colourants): where few glasses
tell of copper, it counts as a divalent oxide does. Bent terms level off as an oxide grows, as do
the mixed-alkali terms and the share of boron in four-fold coordination.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular

from core.composition.oxides import MOLAR_MASS
from core.glass.open_data.reading import OXIDES

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CONSTANT, LINEAR, MINOR, QUADRATIC, BENT, LOCAL = range(6)
_MAJOR = (
    *("Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "SrO", "BaO", "ZnO", "PbO"),
    *("TiO2", "ZrO2", "Fe2O3", "P2O5", "F"),
)
_ALKALIS = ("Na2O", "K2O", "Li2O")
_DIVALENT_COLOURANTS = ("FeO", "MnO", "CuO", "CoO", "NiO")
_DIVALENT = ("CaO", "MgO", "SrO", "BaO", "ZnO", "PbO", *_DIVALENT_COLOURANTS)
_BENT = ("Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "BaO", "ZnO", "PbO")
BEND = 0.7
"""[10 mol%] Where a bent term has done half of its course."""
_ALKALI_PAIRS = (("Na2O", "K2O"), ("Na2O", "Li2O"), ("K2O", "Li2O"))
_MASS = np.array([MOLAR_MASS[oxide] for oxide in OXIDES])
_AT = {oxide: index for index, oxide in enumerate(OXIDES)}
SILICA_SCALE = 0.5
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


def alkali_of(amounts: FloatArray) -> FloatArray:
    """Sum of the alkalis among amounts (n, 29), in their unit."""
    result: FloatArray = amounts @ _SUMS[:, 1]
    return result


def rarity_of(tens: FloatArray) -> FloatArray:
    """How much of a glass is not everyday glass, shape (n,), from 0 to 1.

    Boric oxide, baryta, lithia, zinc oxide and the like, and half of the alumina; 5 mol% of them
    make 0.5. Laboratories agree less on such glasses, and no two of them are alike.
    """
    strange = tens @ _STRANGE
    result: FloatArray = strange / (strange + 0.5)
    return result


def blocks(space: FeatureSpace) -> IntArray:
    """Kind of each feature, shape (M,)."""
    quadratic = len(_MAJOR) * (len(_MAJOR) + 1) // 2 + len(_ALKALI_PAIRS)
    minor = len(OXIDES) - 1 - len(_MAJOR)
    sizes = (1, len(_MAJOR) + 3, minor, quadratic, len(_BENT) + 1, len(space.centres))
    return np.repeat(np.arange(6, dtype=np.int64), sizes)


def linear_features(amounts: Mapping[str, float]) -> FloatArray:
    """Coefficients of the features that are not local, by oxide; those of sums stay nought."""
    result = np.zeros(_FIXED)
    minor = 1 + len(_MAJOR) + _SUMS.shape[1]
    for offset, at in ((1, _MAJOR_AT), (minor, _MINOR_AT)):
        result[offset : offset + len(at)] = [amounts.get(OXIDES[index], 0.0) for index in at]
    return result


def features(tens: FloatArray, space: FeatureSpace) -> FloatArray:
    """Features to fit with, shape (n, M): local terms made independent of each other."""
    result = plain_features(tens, space)
    local = blocks(space) == LOCAL
    result[:, local] = result[:, local] @ whitener_of(space)
    return result


def plain_features(tens: FloatArray, space: FeatureSpace) -> FloatArray:
    """Features of compositions, shape (n, M), from :func:`tens_of_mole_percent`."""
    moved = tens - space.mean
    result = np.empty((len(tens), _FIXED + len(space.centres)))
    result[:, 0] = 1.0
    major = moved[:, _MAJOR_AT]
    at = 1 + len(_MAJOR)
    result[:, 1:at] = major
    result[:, at : at + 3] = moved @ _SUMS
    at += 3
    result[:, at : at + len(_MINOR_AT)] = moved[:, _MINOR_AT]
    at += len(_MINOR_AT)
    np.multiply(major[:, _FIRST], major[:, _SECOND], out=result[:, at : at + len(_FIRST)])
    at += len(_FIRST)
    one, other = tens[:, _PAIR_ONE], tens[:, _PAIR_OTHER]
    result[:, at : at + len(_PAIR_ONE)] = one * other / (one + other + 0.1)
    at += len(_PAIR_ONE)
    bent = tens[:, _BENT_AT]
    result[:, at : at + len(_BENT)] = bent / (bent + BEND)
    result[:, at + len(_BENT)] = _four_fold_boron(tens)
    result[:, _FIXED:] = _kernel(tens, space.centres, space.reach)
    return result


def _four_fold_boron(tens: FloatArray) -> FloatArray:
    """Boric oxide in four-fold coordination (after Dell, Bray and Xiao 1983, simplified).

    The lesser of it and what alumina leaves of the oxygen that modifiers bring, rounded off.
    """
    boron = tens[:, _AT["B2O3"]]
    oxygen = tens @ _OXYGEN
    result: FloatArray = 0.5 * (boron + oxygen - np.sqrt((boron - oxygen) ** 2 + 0.1))
    return result


def _indices(oxides: tuple[str, ...]) -> IntArray:
    return np.array([_AT[oxide] for oxide in oxides], dtype=np.int64)


def _members(*groups: tuple[str, ...]) -> FloatArray:
    return np.array([[float(oxide in group) for group in groups] for oxide in OXIDES])


_MAJOR_AT, _BENT_AT = _indices(_MAJOR), _indices(_BENT)
_MINOR_AT = _indices(tuple(oxide for oxide in OXIDES[1:] if oxide not in _MAJOR))
_PAIR_ONE = _indices(tuple(one for one, _ in _ALKALI_PAIRS))
_PAIR_OTHER = _indices(tuple(other for _, other in _ALKALI_PAIRS))
_FIRST, _SECOND = np.triu_indices(len(_MAJOR))
_SUMS = _members(_DIVALENT, _ALKALIS, _DIVALENT_COLOURANTS)
_OXYGEN = _members(_ALKALIS, ("CaO", "SrO", "BaO", "PbO"), ("Al2O3",)) @ np.array([1.0, 0.5, -1.0])
_EVERYDAY = ("SiO2", "Na2O", "K2O", "CaO", "MgO", "PbO")
_STRANGE = 1.0 - _members(_EVERYDAY, ("Al2O3",)) @ np.array([1.0, 0.5])
_FIXED = len(OXIDES) + 3 + len(_FIRST) + len(_ALKALI_PAIRS) + len(_BENT) + 1
"""Number of features that are not local."""


def plain_coefficients(beta: FloatArray, space: FeatureSpace) -> FloatArray:
    """Coefficients of the plain features, shape (..., M), from those fitted."""
    result = beta.copy()
    local = blocks(space) == LOCAL
    result[..., local] = beta[..., local] @ whitener_of(space).T
    return result


def whitener_of(space: FeatureSpace) -> FloatArray:
    """Matrix (k, k) that makes local terms independent of each other.

    By Cholesky, which unlike eigenvectors comes out alike on every machine.
    """
    kernel = _kernel(space.centres, space.centres, space.reach)
    root = cholesky(kernel + _JITTER * np.eye(len(kernel)), lower=True)
    result: FloatArray = solve_triangular(root, np.eye(len(kernel)), lower=True).T
    return result


def locally_known(plain: FloatArray, whitener: FloatArray) -> FloatArray:
    """Share of the local part's prior variance that its centres tell of, shape (n,), 0 to 1.

    Parameters
    ----------
    plain : ndarray, shape (n, M)
        From :func:`plain_features`.
    whitener : ndarray, shape (k, k)
        From :func:`whitener_of`.
    """
    local = plain[:, _FIXED:] @ whitener
    result: FloatArray = np.einsum("nk,nk->n", local, local)
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
    result[:, 0] /= SILICA_SCALE
    return result


def _scaled(tens: FloatArray) -> FloatArray:
    result = tens.copy()
    result[:, 0] *= SILICA_SCALE
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
