"""Fits of viscosity and of the other properties to chosen rows of the open data."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.glass.open_data.reading import OpenData
from core.glass.property_fit.features import (
    FeatureSpace,
    blocks,
    centres_of,
    molar_mass,
    tens_of_mole_percent,
)
from core.glass.property_fit.mixed_fit import Fit, Measurements, Variances, fit
from core.glass.property_fit.value_forms import LinearForm, ValueForm
from core.glass.property_fit.viscosity_form import KINDS, ViscosityForm

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CENTRES, REACH = 200, 1.3
LEAST_SCATTER = 6.0
"""[K] Points read off one smoothed curve scatter less than the curve is wrong."""
MOST_SHIFT = np.array([4.0, 6.0, 0.04])
"""Largest standard deviation of what groups and glasses may be excused by. Uncapped, the shift of
a group takes up what a whole region of compositions has to say; on left-out groups errors fall
until some 4 K. What widths must cover comes from left-out groups, not from this."""
START = np.array([540.0, 500.0, 3.3])
EARLY = 1945
"""Annealing and strain points before this year may follow another definition."""


def _weights(data: OpenData, kind: str, rows: IntArray) -> FloatArray:
    weight = np.where(data.suspect[kind][rows], 0.05, 1.0)
    if kind in {"anneal_C", "strain_C"}:
        weight = np.where(data.year[rows] < EARLY, 0.3 * weight, weight)
    return weight


def _measurements(
    data: OpenData,
    columns: tuple[str, ...],
    used: NDArray[np.bool_],
    phi: FloatArray,
    numerator: FloatArray | None = None,
) -> Measurements:
    value, kind, row, weight = [], [], [], []
    for index, name in enumerate(columns):
        found = np.flatnonzero(np.isfinite(data.values[name]) & used)
        measured = data.values[name][found]
        value.append(measured if numerator is None else numerator[found] / measured)
        kind.append(np.full(len(found), index))
        row.append(found)
        weight.append(_weights(data, name, found))
    rows, at = np.unique(np.concatenate(row), return_inverse=True)
    _, group = np.unique(data.group[rows], return_inverse=True)
    return Measurements(
        value=np.concatenate(value),
        kind=np.concatenate(kind),
        row=at,
        weight=np.concatenate(weight),
        group=group,
        features=phi[rows],
    )


def space_of(data: OpenData, used: NDArray[np.bool_]) -> FeatureSpace:
    """Feature space from the rows used and no others; one for all properties."""
    known = tens_of_mole_percent(data.weight_percent[used])
    space = FeatureSpace(known.mean(axis=0), centres_of(known, CENTRES), REACH)
    space.mean[0] = 0.0
    return space


def fit_viscosity(
    data: OpenData, used: NDArray[np.bool_], space: FeatureSpace, phi: FloatArray
) -> tuple[ViscosityForm, Fit]:
    """Fit viscosity to the rows used; ``phi`` are the features of all rows."""
    form = ViscosityForm()
    block = blocks(space)
    start = np.zeros((3, len(block)))
    start[:, 0] = START
    prior = np.array([1e4, 70.0, 50.0, 30.0, 30.0, 20.0])
    begin = Variances(
        between_groups=np.diag([100.0, 100.0, 0.01]),
        between_glasses=np.diag([100.0, 100.0, 0.01]),
        scatter=np.full(len(KINDS), 100.0),
        prior=np.stack([prior, prior, np.array([2.0, 0.4, 0.3, 0.3, 0.2, 0.1])]) ** 2,
    )
    result = fit(
        _measurements(data, KINDS, used, phi),
        form,
        start,
        begin,
        block,
        iterations=8,
        least_scatter=LEAST_SCATTER,
        most_shift=MOST_SHIFT,
        recentre=form.recentre,
    )
    return form, result


def fit_value(
    data: OpenData,
    used: NDArray[np.bool_],
    space: FeatureSpace,
    phi: FloatArray,
    value: ValueForm,
) -> tuple[LinearForm, Fit]:
    """Fit another property to the rows used."""
    form = LinearForm(np.array(value.design))
    block = blocks(space)
    numbers = form.design.shape[1]
    start = np.zeros((numbers, len(block)))
    start[0, 0] = value.start
    small = value.scatter**2
    constant, linear, quadratic, local = value.prior
    prior = np.array([constant, linear, linear, quadratic, quadratic, local])
    begin = Variances(
        between_groups=0.3 * small * np.eye(numbers),
        between_glasses=0.3 * small * np.eye(numbers),
        scatter=np.full(len(value.columns), small),
        prior=np.tile(prior**2, (numbers, 1)),
    )
    result = fit(
        _measurements(data, value.columns, used, phi, fitted_to(data, value)),
        form,
        start,
        begin,
        block,
        iterations=8,
        most_shift=np.array(value.most_shift) if value.most_shift else None,
    )
    return form, result


def fitted_to(data: OpenData, value: ValueForm) -> FloatArray | None:
    """What measured values divide before they are fitted to; ``None`` if nothing."""
    return molar_mass(data.weight_percent) if value.molar_volume else None
