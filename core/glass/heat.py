"""Heat capacity, thermal conductivity and diffusivity.

Heat capacity: Sharp D.E., Ginther L.B. (1951), Effect of composition and temperature on the
specific heat of glass, J. Am. Ceram. Soc. 34, 260 (with Moore J., Sharp D.E. (1958) 41, 461);
factors from memory, unverified. The *mean* heat capacity from 0 °C to t °C is

    cm(t) = (a t + c0) / (1 + 0.00146 t),

a and c0 summed by mass fraction; the true one is its analytic derivative d(t cm)/dt.

Conductivity: 0.975 + 8.58e-4 t W/(m K), t in °C, of soda-lime glass (Carre H., Daudeville L.
(1999), J. Eng. Mech. 125, 914), times (1 - 0.7 w), w the mass fraction of PbO: a factor of ours
that meets 0.75-0.85 W/(m K) of lead crystal (24-30 % PbO) and 0.55-0.6 of heavy flint
(general glass data, from memory, unverified). It is conduction alone: in thick melts above some
600 °C radiation carries more heat than this.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import overload

import numpy as np
from numpy.typing import NDArray

from core.composition.composition import Composition
from core.glass.glass import GlassProperties
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

HEAT_CAPACITY_SOURCE = "Sharp and Ginther 1951 (from memory, unverified)"
CONDUCTIVITY_SOURCE = "Carre and Daudeville 1999 for soda-lime; lead factor ours"

_JOULE_PER_CALORIE = 4184.0
"""[J/kg per cal/g], the thermochemical calorie (NIST SP 811)."""
_SOFTENING_OF_RISE = 0.00146
"""[1/K] The denominator's coefficient."""

_SHARP_GINTHER: Mapping[str, tuple[float, float]] = {
    "SiO2": (0.000468, 0.1657),
    "Al2O3": (0.000453, 0.1765),
    "CaO": (0.00041, 0.1709),
    "MgO": (0.000514, 0.2142),
    "Na2O": (0.000829, 0.2229),
    "K2O": (0.000445, 0.1756),
    "B2O3": (0.000598, 0.1935),
    "PbO": (0.000013, 0.0490),
    "SO3": (0.00083, 0.189),
}
"""a [cal/(g K^2)] and c0 [cal/(g K)] by oxide."""

_UNCOVERED_WEIGHT_PERCENT = 5.0


def heat_capacity_terms_of(
    composition: Composition,
) -> tuple[tuple[float, float], tuple[str, ...]]:
    """Terms ``(a [J/(kg K^2)], c0 [J/(kg K)])`` of the mean heat capacity, and warnings.

    Oxides without a factor are left out and the others count for them; above 5 wt% of such
    oxides a warning says so. Valid 0-1300 °C for silicate glasses. Source: module docstring.
    """
    covered = {o: w for o, w in composition.weight_percent.items() if o in _SHARP_GINTHER}
    missing = {o: w for o, w in composition.weight_percent.items() if o not in _SHARP_GINTHER}
    total = sum(covered.values())
    if total <= 0:  # a glass of none of these oxides: take silica for it, and say so
        covered, total = {"SiO2": 1.0}, 1.0
    a, c0 = (
        _JOULE_PER_CALORIE * sum(w * _SHARP_GINTHER[o][i] for o, w in covered.items()) / total
        for i in range(2)
    )
    if sum(missing.values()) <= _UNCOVERED_WEIGHT_PERCENT:
        return (a, c0), ()
    share = f"{sum(missing.values()):.3g} wt% of the glass ({', '.join(missing)})"
    return (a, c0), (f"{share} has no heat capacity factor; the other oxides count for it.",)


def conductivity_terms_of(composition: Composition) -> tuple[float, float]:
    """Terms ``(k0 [W/(m K)], slope [W/(m K^2)])`` of k = k0 + slope * (T - 273.15).

    Valid 0-600 °C for soda-lime, potash and lead glasses up to some 70 wt% PbO. Source: module
    docstring.
    """
    factor = 1.0 - 0.7 * composition.weight("PbO") / 100.0
    return 0.975 * factor, 8.58e-4 * factor


@overload
def mean_heat_capacity(properties: GlassProperties, temperature: float) -> float: ...
@overload
def mean_heat_capacity(properties: GlassProperties, temperature: FloatArray) -> FloatArray: ...
def mean_heat_capacity(
    properties: GlassProperties, temperature: float | FloatArray
) -> float | FloatArray:
    """Mean heat capacity [J/(kg K)] from 0 °C to a temperature [K], any shape; 0-1300 °C."""
    a, c0 = properties.heat_capacity_terms
    celsius = temperature - ZERO_CELSIUS
    return (a * celsius + c0) / (1.0 + _SOFTENING_OF_RISE * celsius)


@overload
def heat_capacity(properties: GlassProperties, temperature: float) -> float: ...
@overload
def heat_capacity(properties: GlassProperties, temperature: FloatArray) -> FloatArray: ...
def heat_capacity(
    properties: GlassProperties, temperature: float | FloatArray
) -> float | FloatArray:
    """Heat capacity (true, not mean) [J/(kg K)] at a temperature [K], any shape; 0-1300 °C.

    The derivative of t cm(t): (c0 + 2 a t + k a t^2) / (1 + k t)^2 with k = 0.00146 1/K.
    """
    a, c0 = properties.heat_capacity_terms
    k = _SOFTENING_OF_RISE
    celsius = temperature - ZERO_CELSIUS
    return (c0 + 2.0 * a * celsius + k * a * celsius**2) / (1.0 + k * celsius) ** 2


@overload
def conductivity(properties: GlassProperties, temperature: float) -> float: ...
@overload
def conductivity(properties: GlassProperties, temperature: FloatArray) -> FloatArray: ...
def conductivity(
    properties: GlassProperties, temperature: float | FloatArray
) -> float | FloatArray:
    """Thermal conductivity [W/(m K)] at a temperature [K], any shape; 0-600 °C."""
    k0, slope = properties.conductivity_terms
    return k0 + slope * (temperature - ZERO_CELSIUS)


@overload
def thermal_diffusivity(properties: GlassProperties, temperature: float) -> float: ...
@overload
def thermal_diffusivity(properties: GlassProperties, temperature: FloatArray) -> FloatArray: ...
def thermal_diffusivity(
    properties: GlassProperties, temperature: float | FloatArray
) -> float | FloatArray:
    """Thermal diffusivity k/(rho c) [m2/s] at a temperature [K], any shape; 0-600 °C.

    The density is the one at 20 °C: it falls by some 1.5 % up to the annealing point.
    """
    volumetric = properties.density.value * heat_capacity(properties, temperature)
    return conductivity(properties, temperature) / volumetric
