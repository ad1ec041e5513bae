"""Cross-validation by author group: errors, and interval widths judged on groups they never saw.

Groups are dealt into folds. For every fold there is a fit without it, whose estimates on it give
the errors. For every pair of folds there is a fit without both: the width of the interval that
fold k is judged with comes from the errors of the other folds j under the fits without k and j,
so nothing of fold k, and no fit that read it, had a say in it. The widths that are shipped come
from the errors of all folds.
"""

from __future__ import annotations

import itertools
from concurrent.futures import Executor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData
from core.glass.property_fit.features import features, rarity_of, tens_of_mole_percent
from core.glass.property_fit.fitting import fit_value, fit_viscosity, fitted_to, space_of
from core.glass.property_fit.mixed_fit import Fit, Forward
from core.glass.property_fit.value_forms import VALUE_FORMS
from core.glass.property_fit.viscosity_form import KINDS
from core.glass.property_fit.widths import Errors, calibrated

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FOLDS = 5


@dataclass(frozen=True, eq=False)
class Tested:
    """One column of the open data against estimates from fits without its author group.

    Arrays of shape (n,) over all rows, NaN where nothing was measured.

    Attributes
    ----------
    error : ndarray
        Estimate minus measured value, in the unit of the column.
    covered : ndarray of bool
        Whether the nested interval held it.
    fair : ndarray of bool
        Measured and not suspect.
    half_width : ndarray
        Half width of the nested interval, in the unit of the column.
    width, strange : float
        As :func:`core.glass.property_fit.widths.calibrated` has them, from all folds.
    """

    error: FloatArray
    covered: BoolArray
    fair: BoolArray
    half_width: FloatArray
    width: float
    strange: float


def folds_of(group: NDArray[np.str_]) -> IntArray:
    """Fold of each row: whole author groups, the largest spread first."""
    _, index, number = np.unique(group, return_inverse=True, return_counts=True)
    generator = np.random.default_rng(1)
    fold = np.zeros(len(number), dtype=np.int64)
    load = np.zeros(FOLDS)
    for one in np.argsort(-(number + 3.0 * generator.random(len(number)))):
        fold[one] = np.argmin(load + 5.0 * generator.random(FOLDS))
        load[fold[one]] += number[one]
    result: IntArray = fold[index]
    return result


def cross_validated(data: OpenData, pool: Executor) -> dict[str, Tested]:
    """Every column that is fitted to, tested on author groups left out; fits run in the pool."""
    fold = folds_of(data.group)
    shape = (FOLDS, len(fold))
    columns = [*KINDS, *(column for form in VALUE_FORMS for column in form.columns)]
    # Row k of these arrays: error, variance and its part of glasses and laboratories, by fits
    # that never read fold k.
    judged = {column: np.full((3, *shape), np.nan) for column in columns}
    pairs = [(first, second) for first in range(FOLDS) for second in range(first, FOLDS)]
    left_out = [(fold == first) | (fold == second) for first, second in pairs]
    answers = pool.map(_estimates, itertools.repeat(data), left_out)
    for (first, second), out, found in zip(pairs, left_out, answers, strict=True):
        for column, answer in found.items():
            for own, other in {(first, second), (second, first)}:
                here = fold[out] == other
                judged[column][:, own, np.flatnonzero(out)[here]] = answer[:, here]
    tested = _tested(data, KINDS, None, fold, judged)
    for form in VALUE_FORMS:
        tested |= _tested(data, form.columns, fitted_to(data, form), fold, judged)
    return tested


def _estimates(data: OpenData, out: BoolArray) -> dict[str, FloatArray]:
    """Errors and variances (3, n) of the n rows ``out`` by fits to all others."""
    used = ~out
    space = space_of(data, used)
    phi = features(tens_of_mole_percent(data.weight_percent), space)
    form, result = fit_viscosity(data, used, space, phi)
    found = _of_fit(data, KINDS, None, phi, out, form, result)
    for value in VALUE_FORMS:
        linear, result = fit_value(data, used, space, phi, value)
        target = fitted_to(data, value)
        found |= _of_fit(data, value.columns, target, phi, out, linear, result)
    return found


def _of_fit(
    data: OpenData,
    columns: tuple[str, ...],
    numerator: FloatArray | None,
    phi: FloatArray,
    out: BoolArray,
    form: Forward,
    result: Fit,
) -> dict[str, FloatArray]:
    numbers, length = result.beta.shape
    p = phi[out] @ result.beta.T
    root = result.covariance_root.reshape(numbers, length, -1)
    apart = np.stack([phi[out] @ own for own in root], axis=1)
    variances = result.variances
    covariance = np.einsum("nas,nbs->nab", apart, apart)
    between = variances.between_groups + variances.between_glasses
    found = {}
    for kind, column in enumerate(columns):
        measured = data.values[column][out]
        if numerator is not None:
            measured = numerator[out] / measured
        value, slope = form(np.full(len(p), kind, dtype=np.int64), p)
        variance = np.einsum("na,nab,nb->n", slope, covariance, slope)
        shifts = np.einsum("na,ab,nb->n", slope, between, slope)
        variance += shifts + variances.scatter[kind]
        found[column] = np.stack([value - measured, variance, shifts])
    return found


def _tested(
    data: OpenData,
    columns: tuple[str, ...],
    numerator: FloatArray | None,
    fold: IntArray,
    judged: dict[str, FloatArray],
) -> dict[str, Tested]:
    """Columns of one property, whose widths hang together."""
    rarity = rarity_of(tens_of_mole_percent(data.weight_percent))
    rows = np.arange(len(fold))
    fair = {c: np.isfinite(data.values[c]) & ~data.suspect[c] for c in columns}

    def errors(column: str, by: IntArray, among: BoolArray) -> Errors:
        error, variance, between = judged[column][:, by, rows][:, among]
        return Errors(error, variance, between, rarity[among], data.group[among])

    half = {column: np.full(len(fold), np.nan) for column in columns}
    for one in range(FOLDS):
        by, here = np.full(len(fold), one), fold == one
        strange, widths = calibrated([errors(c, by, fair[c] & ~here) for c in columns])
        for column, width in zip(columns, widths, strict=True):
            half[column][here] = width * errors(column, by, here).deviation(strange)
    strange, widths = calibrated([errors(c, fold, fair[c]) for c in columns])
    tested = {}
    for column, width in zip(columns, widths, strict=True):
        own, measured = judged[column][0, fold, rows], data.values[column]
        wrong, wide = own, half[column]
        if numerator is not None:  # the error of M/v from that of v, and the width likewise
            volume = numerator / measured
            wrong, wide = numerator / (volume + own) - measured, wide * measured / volume
        tested[column] = Tested(
            error=wrong,
            covered=np.abs(own) <= half[column],
            fair=fair[column],
            half_width=wide,
            width=float(width),
            strange=strange,
        )
    return tested
