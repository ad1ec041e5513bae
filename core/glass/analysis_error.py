"""What errors of an analysis do to the properties reckoned from it.

An amount with a standard error ("12.5 ± 0.5", "20 to 30") moves every property by its slope; the
slopes are taken at the analysis itself, with the other oxides keeping their proportions, and the
errors of several oxides count as independent. The more an amount is in doubt, the wider.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.fitted_points import COUNTED_AS
from core.glass.property_fit.fitted_values import Values, fitted_values
from core.glass.property_fit.fitted_viscosity import FittedViscosity, fitted_viscosity

FloatArray = NDArray[np.float64]

_STEP = 0.02
"""[wt%] Step of the slopes; small beside any error worth stating."""
_HALF_WIDTH = 1.645
"""Half width of a normal distribution's 90 % interval in standard deviations."""


def error_rows(compositions: Sequence[Composition]) -> FloatArray:
    """Standard errors [wt%] in order of the open data's oxides, shape (n, 29); 0 where none."""
    rows = np.zeros((len(compositions), len(OXIDES)))
    at = {oxide: index for index, oxide in enumerate(OXIDES)}
    for row, composition in zip(rows, compositions, strict=True):
        for oxide, error in composition.uncertainty.items():
            name, factor = COUNTED_AS.get(oxide, (oxide, 1.0))
            if name in at:
                row[at[name]] = np.hypot(row[at[name]], error * factor)
    return rows


def viscosity_with_error(weight_percent: FloatArray, errors: FloatArray) -> FittedViscosity:
    """Fitted viscosity of n glasses whose analyses have errors, both of shape (n, 29)."""
    fitted = fitted_viscosity(weight_percent)
    glass, oxide = np.nonzero(errors)
    if not glass.size:
        return fitted
    moved = fitted_viscosity(_stepped(weight_percent, glass, oxide)).p
    slope = (moved - fitted.p[glass]) / _STEP * errors[glass, oxide][:, None]
    added = np.zeros_like(fitted.covariance)
    np.add.at(added, glass, slope[:, :, None] * slope[:, None, :])
    parts = (added, fitted.covariance)
    return FittedViscosity(fitted.p, fitted.covariance + added, fitted.slopes_at, parts)


def values_with_error(weight_percent: FloatArray, errors: FloatArray) -> Mapping[str, Values]:
    """Fitted values of n glasses whose analyses have errors, both of shape (n, 29)."""
    values = fitted_values(weight_percent)
    glass, oxide = np.nonzero(errors)
    if not glass.size:
        return values
    moved = fitted_values(_stepped(weight_percent, glass, oxide))
    result = {}
    for name, plain in values.items():
        slope = (moved[name].value - plain.value[glass]) / _STEP * errors[glass, oxide]
        spread = np.zeros_like(plain.value)
        np.add.at(spread, glass, slope**2)
        extra = _HALF_WIDTH * np.sqrt(spread)
        result[name] = Values(
            plain.value,
            plain.value - np.hypot(plain.value - plain.low, extra),
            plain.value + np.hypot(plain.high - plain.value, extra),
        )
    return result


def _stepped(
    weight_percent: FloatArray, glass: NDArray[np.intp], oxide: NDArray[np.intp]
) -> FloatArray:
    """Each of these glasses with a little more of one oxide; amounts are on any scale."""
    rows = weight_percent[glass].copy()
    rows[np.arange(len(glass)), oxide] += _STEP
    return rows
