"""Expansion, density, elasticity, refraction and liquidus from the analysis, with intervals.

Intervals are of 90 % for a value that another laboratory would measure.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.glass.property_fit.coefficients import Values, lower_end, model
from core.glass.property_fit.features import molar_mass
from core.glass.property_fit.value_forms import VALUE_FORM
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]


__all__ = ["EXPANSION_RANGES", "Values", "fitted_values"]

EXPANSION_RANGES: dict[str, str] = {
    "expansion": "CTE_20_300_1e7",
    "expansion_20_400": "CTE_20_400_1e7",
}
"""Name -> column; mean linear expansion from 20 °C to 300 and to 400 °C."""

_LEAST = {"refractive_index": 1.0, "liquidus": -ZERO_CELSIUS}
"""What no material goes below, 0 where nothing is said; lower ends of intervals stop there."""
_LEAST_VOLUME = 1.0
"""[cm3/mol] Far below that of any oxide glass; keeps the density of absurd analyses positive."""
_LEAST_OF_VOLUME = 0.2
"""Part of the volume that the lower end of its interval stops at (our choice)."""


def fitted_values(weight_percent: FloatArray) -> dict[str, Values]:
    """Properties of glasses from amounts by weight (n, 29), on any scale, in ``OXIDES`` order.

    Returns
    -------
    dict of str to Values
        Positive numbers with ``low <= value <= high`` whatever the analysis, but for values that
        are themselves below what is possible; then ``low`` is no lower than the value.
        ``expansion`` (20-300 °C), ``expansion_20_400`` [1/K]; ``density``
        at 20 °C [kg/m3]; ``youngs_modulus`` [Pa]; ``poissons_ratio``; ``refractive_index`` (sodium
        D line); ``liquidus`` [K].
    """
    outputs = _outputs()
    known = model().known(weight_percent)
    phi = known.features
    value = phi @ outputs.beta
    deviation = (phi.astype(np.float32) @ outputs.samples).reshape(len(phi), -1, len(outputs.names))
    np.square(deviation, out=deviation)
    variance = deviation.mean(axis=1) + outputs.variance + known.rarity[:, None] * outputs.strange
    variance += known.edge @ outputs.edge
    half = outputs.width * np.sqrt(variance)
    volume = outputs.names.index("density")
    value[:, volume] = np.maximum(value[:, volume], _LEAST_VOLUME)
    floor = np.tile(outputs.least, (len(value), 1))
    floor[:, volume] = _LEAST_OF_VOLUME * value[:, volume]
    low, high = lower_end(value, half, floor), value + half
    result = {
        name: Values(value[:, at], low[:, at], high[:, at]) for at, name in enumerate(outputs.names)
    }
    mass = 1e3 * molar_mass(weight_percent)
    molar = result["density"]
    result["density"] = Values(mass / molar.value, mass / molar.high, mass / molar.low)
    liquidus = result["liquidus"]
    result["liquidus"] = Values(
        *(end + ZERO_CELSIUS for end in (liquidus.value, liquidus.low, liquidus.high))
    )
    return result


@dataclass(frozen=True, eq=False)
class _Outputs:
    """All values side by side, in SI units but for density (cm3/mol) and liquidus (°C)."""

    names: tuple[str, ...]
    beta: FloatArray  # (M, outputs)
    samples: NDArray[np.float32]  # (M, samples * outputs)
    variance: FloatArray  # on top of that of the samples
    strange: FloatArray  # and on top of that, times rarity
    edge: FloatArray  # (3, outputs), and beyond the edge of the data
    width: FloatArray
    least: FloatArray


@functools.cache
def _outputs() -> _Outputs:
    names, beta, samples, variance, strange, edge, width = [], [], [], [], [], [], []
    for name, form in VALUE_FORM.items():
        own = model().properties[name]
        labels = EXPANSION_RANGES if name == "expansion" else {name: form.columns[0]}
        unit = 1.0 if form.molar_volume else form.unit
        for label, column in labels.items():
            kind = form.columns.index(column)
            design = unit * np.array(form.design[kind])
            names.append(label)
            beta.append(design @ own.beta)
            samples.append(own.samples.reshape(len(own.samples), -1, len(design)) @ design)
            between = design @ own.between @ design
            variance.append(between + unit**2 * own.scatter[kind])
            strange.append(own.strange * between)
            edge.append(own.edge @ design**2)
            width.append(own.width[kind])
    together = np.stack(samples, axis=2)
    return _Outputs(
        tuple(names),
        np.stack(beta, axis=1),
        together.reshape(len(together), -1).astype(np.float32),
        np.array(variance),
        np.array(strange),
        np.stack(edge, axis=1),
        np.array(width),
        np.array([_LEAST.get(name, 0.0) for name in names]),
    )
