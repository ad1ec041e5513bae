"""Expansion, density, elasticity, refraction and liquidus from the analysis, with intervals.

Intervals are of 90 % for a value that another laboratory would measure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.property_fit.coefficients import Property, model
from core.glass.property_fit.features import molar_mass
from core.glass.property_fit.value_forms import VALUE_FORM, ValueForm
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Values:
    """A property of n glasses, SI units: estimate and 90 % interval, each of shape (n,)."""

    value: FloatArray
    low: FloatArray
    high: FloatArray


EXPANSION_RANGES: dict[str, str] = {
    "expansion_20_200": "CTE_20_200_1e7",
    "expansion": "CTE_20_300_1e7",
    "expansion_20_400": "CTE_20_400_1e7",
}
"""Name -> column; mean linear expansion from 20 °C to 200, 300 and 400 °C."""


def fitted_values(weight_percent: FloatArray) -> dict[str, Values]:
    """Properties of glasses from amounts by weight (n, 29), on any scale, in ``OXIDES`` order.

    Returns
    -------
    dict of str to Values
        ``expansion`` (20-300 °C), ``expansion_20_200``, ``expansion_20_400`` [1/K]; ``density``
        at 20 °C [kg/m3]; ``youngs_modulus`` [Pa]; ``poissons_ratio``; ``refractive_index`` (sodium
        D line); ``liquidus`` [K].
    """
    phi = model().features(weight_percent)
    result = {}
    for name, form in VALUE_FORM.items():
        stored = model().properties[name]
        p, covariance = stored.estimate(phi)
        if name == "expansion":
            for label, column in EXPANSION_RANGES.items():
                result[label] = _values(form, stored, form.columns.index(column), p, covariance)
        else:
            result[name] = _values(form, stored, 0, p, covariance)
    mass = molar_mass(weight_percent)
    volume = result["density"]
    result["density"] = Values(mass / volume.value, mass / volume.high, mass / volume.low)
    liquidus = result["liquidus"]
    result["liquidus"] = Values(
        *(end + ZERO_CELSIUS for end in (liquidus.value, liquidus.low, liquidus.high))
    )
    return result


def _values(
    form: ValueForm, stored: Property, kind: int, p: FloatArray, covariance: FloatArray
) -> Values:
    design = np.array(form.design[kind])
    value = p @ design + stored.level[kind]
    variance = (covariance @ design) @ design + stored.scatter[kind]
    half = stored.width[kind] * np.sqrt(variance)
    unit = form.unit if not form.molar_volume else 1.0 / form.unit
    return Values(value * unit, (value - half) * unit, (value + half) * unit)
