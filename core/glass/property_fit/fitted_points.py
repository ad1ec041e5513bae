"""Fixed points of glasses from the fitted viscosity model, for many compositions at once."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.glass.open_data.reading import OXIDES
from core.glass.property_fit.features import FeatureSpace, plain_features, tens_of_mole_percent
from core.glass.property_fit.viscosity_form import KINDS, ViscosityForm
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

FILE = Path(__file__).with_name("viscosity.npz")

_KIND_OF = {
    "strain_point": "strain_C",
    "annealing_point": "anneal_C",
    "glass_transition": "Tg_C",
    "softening_point": "littleton_C",
    "working_point": "T_log3_C",
    "melting_point": "T_log1_C",
}
_COUNTED_AS = {"MnO2": ("MnO", 0.816), "Cu2O": ("CuO", 1.112), "Sb2O5": ("Sb2O3", 0.901)}
"""Oxide -> (the data's oxide of the same element, weight of that per weight)."""


def weight_rows(compositions: Sequence[Composition]) -> FloatArray:
    """Weights as the open data lists them, shape (n, 29); other oxides are left out."""
    rows = np.zeros((len(compositions), len(OXIDES)))
    at = {oxide: index for index, oxide in enumerate(OXIDES)}
    for row, composition in zip(rows, compositions, strict=True):
        for oxide, weight in composition.weight_percent.items():
            name, factor = _COUNTED_AS.get(oxide, (oxide, 1.0))
            if name in at:
                row[at[name]] += weight * factor
    return rows


def fitted_points(weight_percent: FloatArray) -> dict[str, FloatArray]:
    """Temperatures [K] of the fixed points, each of shape (n,).

    Parameters
    ----------
    weight_percent : ndarray, shape (n, 29)
        From :func:`weight_rows`.
    """
    space, form, coefficients = _model()
    p = plain_features(tens_of_mole_percent(weight_percent), space) @ coefficients.T
    count = len(weight_percent)
    return {
        point: form(np.full(count, KINDS.index(kind), dtype=np.int64), p)[0] + ZERO_CELSIUS
        for point, kind in _KIND_OF.items()
    }


@functools.cache
def _model() -> tuple[FeatureSpace, ViscosityForm, FloatArray]:
    with np.load(FILE) as stored:
        space = FeatureSpace(stored["mean"], stored["centres"], float(stored["reach"]))
        form = ViscosityForm()
        form.level = stored["level"]
        form.kappa = float(stored["kappa"])
        return space, form, stored["coefficients"]
