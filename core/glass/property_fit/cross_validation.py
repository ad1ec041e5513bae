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
from core.glass.property_fit.features import features, tens_of_mole_percent
from core.glass.property_fit.fitting import fit_value, fit_viscosity, fitted_to, space_of
from core.glass.property_fit.mixed_fit import Fit, Forward
from core.glass.property_fit.value_forms import VALUE_FORMS
from core.glass.property_fit.viscosity_form import KINDS

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]

FOLDS = 5
COVERAGE = 0.9
_MOST_OF_A_GROUP = 10
"""A group counts as at most so many values where widths are set."""


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
    width : float
        In standard deviations, from all folds.
    """

    error: FloatArray
    covered: BoolArray
    fair: BoolArray
    half_width: FloatArray
    width: float


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
    error = {column: np.full(shape, np.nan) for column in columns}
    deviation = {column: np.full(shape, np.nan) for column in columns}
    # Row k of these arrays: estimates by fits that never read fold k.
    pairs = [(first, second) for first in range(FOLDS) for second in range(first, FOLDS)]
    left_out = [(fold == first) | (fold == second) for first, second in pairs]
    answers = pool.map(_estimates, itertools.repeat(data), left_out)
    for (first, second), out, found in zip(pairs, left_out, answers, strict=True):
        for column, (wrong, spread) in found.items():
            for own, other in {(first, second), (second, first)}:
                here = fold[out] == other
                at = np.flatnonzero(out)[here]
                error[column][own, at] = wrong[here]
                deviation[column][own, at] = spread[here]
    numerators = {column: fitted_to(data, form) for form in VALUE_FORMS for column in form.columns}
    return {
        column: _tested(
            data, column, numerators.get(column), fold, error[column], deviation[column]
        )
        for column in columns
    }


def _estimates(data: OpenData, out: BoolArray) -> dict[str, tuple[FloatArray, FloatArray]]:
    """Errors and standard deviations of the rows ``out`` by fits to all others."""
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
) -> dict[str, tuple[FloatArray, FloatArray]]:
    numbers, length = result.beta.shape
    p = phi[out] @ result.beta.T
    root = result.covariance_root.reshape(numbers, length, -1)
    apart = np.stack([phi[out] @ own for own in root], axis=1)
    variances = result.variances
    covariance = np.einsum("nas,nbs->nab", apart, apart)
    covariance += variances.between_groups + variances.between_glasses
    found = {}
    for kind, column in enumerate(columns):
        measured = data.values[column][out]
        if numerator is not None:
            measured = numerator[out] / measured
        value, slope = form(np.full(len(p), kind, dtype=np.int64), p)
        variance = np.einsum("na,nab,nb->n", slope, covariance, slope)
        found[column] = value - measured, np.sqrt(variance + variances.scatter[kind])
    return found


def _tested(
    data: OpenData,
    column: str,
    numerator: FloatArray | None,
    fold: IntArray,
    error: FloatArray,
    deviation: FloatArray,
) -> Tested:
    fair = np.isfinite(data.values[column]) & ~data.suspect[column]
    rows = np.arange(len(fold))
    own, spread = error[fold, rows], deviation[fold, rows]
    half = np.full(len(fold), np.nan)
    for one in range(FOLDS):
        others = fair & (fold != one)
        half[fold == one] = _width(error[one] / deviation[one], data.group, others)
    half *= spread
    measured, wrong, wide = data.values[column], own, half
    if numerator is not None:  # the error of M/v from that of v, and the width likewise
        volume = numerator / measured
        wrong = numerator / (volume + own) - measured
        wide = half * measured / volume
    return Tested(
        error=wrong,
        covered=np.abs(own) <= half,
        fair=fair,
        half_width=wide,
        width=_width(own / spread, data.group, fair),
    )


def _width(standard: FloatArray, group: NDArray[np.str_], used: BoolArray) -> float:
    """Quantile of the absolute errors in standard deviations, no group counting too much."""
    size = np.abs(standard[used])
    _, index, number = np.unique(group[used], return_inverse=True, return_counts=True)
    weight = np.minimum(1.0, _MOST_OF_A_GROUP / number)[index]
    order = np.argsort(size)
    total = np.cumsum(weight[order])
    return float(size[order][np.searchsorted(total, COVERAGE * total[-1])])
