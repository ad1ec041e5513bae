"""Fits of viscosity and of the other properties to chosen rows of the open data."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.glass.density import SILICA_VOLUME, VOLUME
from core.glass.open_data.reading import OpenData
from core.glass.property_fit.features import (
    LINEAR,
    MINOR,
    FeatureSpace,
    blocks,
    centres_of,
    linear_features,
    molar_mass,
    tens_of_mole_percent,
)
from core.glass.property_fit.mixed_fit import Fit, Measurements, Robustness, Variances, fit
from core.glass.property_fit.value_forms import LinearForm, ValueForm
from core.glass.property_fit.viscosity_form import KINDS, ViscosityForm

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

CENTRES, REACH = 200, 1.15
LEAST_SCATTER = 4.0
"""[K] Points read off one smoothed curve scatter less than the curve is wrong."""
MOST_SHIFT = np.array([3.0, 6.0, 0.03, 0.006])
"""Largest standard deviation of what groups and glasses may be excused by, but for the heavy tail
of groups. Uncapped, the shift of a group takes up what a whole region of compositions has to say;
on left-out groups errors fall until some 3 to 4 K. What widths must cover comes from left-out
groups, not from this."""
START = np.array([540.0, 680.0, 3.3, 0.0])
VISCOSITY_FREEDOM, VALUE_FREEDOM = 1.0, 2.0
"""Degrees of freedom of the Student-t shift and scatter of a glass: rows copied wrongly, or of
another glass than stated, are common enough for a tail as heavy as Cauchy's."""
TIED = (MINOR, LINEAR, 0.5)
"""An oxide that few glasses tell of differs from its kind by no more than half of what the common
ones differ by, in standard deviations of the priors; left to itself this prior grows with errors of
the few and lets a single paper say what copper does."""
APPEN_DEPARTURE = {
    oxide: 0.1 * (volume - SILICA_VOLUME)
    for oxide, volume in {**VOLUME, "NiO": VOLUME["CoO"]}.items()
}
"""[cm3/mol for each 10 mol%] What is expected of molar volumes before any glass is looked at:
Appen's volume of the oxide less that of silica (source: :mod:`core.glass.density`); nickel as
cobalt. What the 10 to 20 glasses with copper or cobalt say moves it little."""
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
    start = np.zeros((4, len(block)))
    start[:, 0] = START
    prior = np.array([1e4, 70.0, 50.0, 30.0, 30.0, 20.0])
    low, bend = np.array([2.0, 0.4, 0.3, 0.3, 0.2, 0.1]), np.array([0.3, 0.03, *3 * [0.02], 0.01])
    begin = Variances(
        between_groups=np.diag([100.0, 100.0, 0.01, 1e-4]),
        between_glasses=np.diag([100.0, 100.0, 0.01, 1e-4]),
        scatter=np.full(len(KINDS), 100.0),
        prior=np.stack([prior, prior, low, bend]) ** 2,
    )
    result = fit(
        _measurements(data, KINDS, used, phi),
        form,
        start,
        begin,
        block,
        Robustness(VISCOSITY_FREEDOM, TIED, LEAST_SCATTER, MOST_SHIFT),
        iterations=8,
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
    if value.molar_volume:
        expected = linear_features(APPEN_DEPARTURE)
        start[0, : len(expected)] += expected
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
        Robustness(
            *(VALUE_FREEDOM, TIED),
            most_shift=np.array(value.most_shift) if value.most_shift else None,
        ),
        iterations=8,
    )
    return form, result


def fitted_to(data: OpenData, value: ValueForm) -> FloatArray | None:
    """What measured values divide before they are fitted to; ``None`` if nothing."""
    return molar_mass(data.weight_percent) if value.molar_volume else None
