"""Fixed points of glasses from the fitted viscosity model, for many compositions at once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.fitted_viscosity import POINTS, fitted_viscosity, point_temperature

FloatArray = NDArray[np.float64]

_SAME_ELEMENT = {
    "MnO2": ("MnO", 1.0),
    "Cu2O": ("CuO", 2.0),
    "Sb2O5": ("Sb2O3", 1.0),
    "As2O5": ("As2O3", 1.0),
    "SnO": ("SnO2", 1.0),
}
"""Oxide -> (the data's oxide of the same element, moles of that per mole)."""

COUNTED_AS: dict[str, tuple[str, float]] = {
    oxide: (target, moles * MOLAR_MASS[target] / MOLAR_MASS[oxide])
    for oxide, (target, moles) in _SAME_ELEMENT.items()
}
"""Oxide -> (the data's oxide of the same element, weight of that per weight), atom for atom."""


def weight_rows(compositions: Sequence[Composition]) -> FloatArray:
    """Weights as the open data lists them, shape (n, 29); other oxides are left out."""
    rows = np.zeros((len(compositions), len(OXIDES)))
    at = {oxide: index for index, oxide in enumerate(OXIDES)}
    for row, composition in zip(rows, compositions, strict=True):
        for oxide, weight in composition.weight_percent.items():
            name, factor = COUNTED_AS.get(oxide, (oxide, 1.0))
            if name in at:
                row[at[name]] += weight * factor
    return rows


def fitted_points(weight_percent: FloatArray) -> dict[str, FloatArray]:
    """Temperatures [K] of the points of :data:`POINTS`, each of shape (n,).

    Parameters
    ----------
    weight_percent : ndarray, shape (n, 29)
        From :func:`weight_rows`.
    """
    p = fitted_viscosity(weight_percent).p
    return {point: point_temperature(point, p) for point in POINTS}
