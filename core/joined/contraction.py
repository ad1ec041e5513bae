"""What each of two glasses shrinks by between setting together and room temperature.

*Setting temperature* of a joint: 5 K above the strain point of the partner whose strain point is
lower. Above it that glass still gives way, below it both are elastic. The 5 K are those of the
seal practices ASTM F14, F140 and F144 (from memory, unverified); the true point moves with the
cooling rate (Set point of glass in glass-to-metal sealing, J. Am. Ceram. Soc. 63 (1980) 311,
abstract), so its interval runs from that strain point to the same glass's annealing point.

*Expansion by temperature*: the true expansion of a silicate glass rises nearly in a straight line
up to the transformation range, by the same fraction for most glasses,

    alpha(t) = m (1 + s (t - 160 °C)),    s = 6.0e-4 1/K,

m being the mean of 20-300 °C, whose middle is 160 °C. s is the middle of 340 ratios of expansions
over two ranges of one glass by one laboratory (SciGlass open data, (c) 2019 EPAM Systems, ODC Open
Database License): soda-lime 5.9e-4, lead 6.3e-4, barium 6.6e-4, borosilicate 4.0e-4. The widest
ranges, surest of s, scatter by 1.7e-4 (90 %). So
contraction from t to 20 °C is

    C = m (t - 20) (1 + s ((t + 20)/2 - 160)).

The steep rise inside the transformation range lies above the setting temperature and is left out.

*Difference of two glasses.* Two errors matter: of m2 - m1 and of s2 - s1. Glasses of one source in
the same data differ in s by up to some 1e-4 (90 %) when 3 to 10 mol% of oxides are exchanged,
strangers by 2.4e-4: 0.2e-4 for each mol% exchanged, up to 2.4e-4, is taken. So two glasses known
by their expansion 20-300 °C alone are never sure to fit, as every colour maker knows.
For m the errors of both glasses are taken as independent, unless both were melted in one house from
the same raw materials: then what the house does alike cancels. Pairs of glasses from one source,
scatter of the dilatometer taken off, differ from the fitted difference by some 0.6e-7 1/K (90 %)
for each mol% exchanged, up to 6e-7; melts of one recipe are held to 0.5e-7 by careful makers
(common practice, no source). Pairs from different laboratories differ by 7e-7 to 9e-7 however
alike they are.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError
from core.glass.glass import Estimate, Glass, GlassProperties
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

ROOM = 20.0 + ZERO_CELSIUS
"""[K] Where contraction ends."""
SET_ABOVE_STRAIN = 5.0
"""[K] (module docstring)"""
SLOPE = 6.0e-4
"""s [1/K]"""
SLOPE_ERROR = 1.7e-4
"""Half of the 90 % interval of s for one glass [1/K]."""

_MIDDLE = 160.0 + ZERO_CELSIUS
_SLOPE_PER_MOLE, _SLOPE_MOST = 0.2e-4, 2.4e-4
_HOUSE_LEAST, _HOUSE_PER_MOLE, _HOUSE_MOST = 0.5e-7, 0.6e-7, 6.0e-7


@dataclass(frozen=True)
class Partner:
    """A glass of a joint with its properties."""

    glass: Glass
    properties: GlassProperties

    @property
    def name(self) -> str:
        """The glass's name."""
        return self.glass.name


@dataclass(frozen=True)
class Contraction:
    """Free contraction of both partners from setting to 20 °C.

    Attributes
    ----------
    set_temperature : Estimate
        [K]
    sets_first : str
        Name of the partner that is stiff first, the one with the higher strain point.
    core, casing : Estimate
        Strain [-], positive, each alone.
    difference : Estimate
        Casing less core [-]: positive when the casing shrinks more. Without an interval when
        either expansion has none.
    """

    set_temperature: Estimate
    sets_first: str
    core: Estimate
    casing: Estimate
    difference: Estimate


def free_contraction(
    expansion: float, temperature: float | FloatArray, slope: float = SLOPE
) -> FloatArray:
    """Strain [-] by which a glass shrinks on its own from a temperature [K] to 20 °C, any shape.

    Parameters
    ----------
    expansion : float
        Mean of 20-300 °C [1/K].
    temperature : float or ndarray
        [K], up to the strain point.
    slope : float
        Relative rise of the true expansion [1/K].
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    middle = 0.5 * (kelvin + ROOM)
    return np.asarray(expansion * (kelvin - ROOM) * (1.0 + slope * (middle - _MIDDLE)))


def set_temperature(core: GlassProperties, casing: GlassProperties) -> Estimate:
    """Setting temperature of a joint [K]; see the module docstring.

    Raises
    ------
    GlassError
        If it would lie below 100 °C, which no pair of glasses has.
    """
    softer = min(core, casing, key=lambda partner: partner.strain_point.value)
    strain = softer.strain_point
    value = strain.value + SET_ABOVE_STRAIN
    if value < 100.0 + ZERO_CELSIUS:
        raise GlassError(
            f"“{softer.name}” would set at {value - ZERO_CELSIUS:.0f} °C, which no glass does.",
            field="strain_point",
            remedy="Check its strain point.",
        )
    low = value - SET_ABOVE_STRAIN - _down(strain)
    high = max(softer.annealing_point.value, value)
    return Estimate(
        value=value,
        source=f"strain point of {softer.name} + {SET_ABOVE_STRAIN:g} °C",
        low=low,
        high=high,
    )


def contract(core: Partner, casing: Partner, *, same_house: bool = False) -> Contraction:
    """Contraction of two joined glasses from their setting temperature to 20 °C.

    Parameters
    ----------
    core, casing : Partner
    same_house : bool
        True when one studio melts both from the same raw materials, so that errors of analysis
        and melting are shared.

    Raises
    ------
    GlassError
        As :func:`set_temperature`.
    """
    at = set_temperature(core.properties, casing.properties)
    first, second = core.properties.expansion, casing.properties.expansion
    factor = float(free_contraction(1.0, at.value))
    stiffer = max(core, casing, key=lambda partner: partner.properties.strain_point.value)
    return Contraction(
        set_temperature=at,
        sets_first=stiffer.name,
        core=_alone(first, at.value),
        casing=_alone(second, at.value),
        difference=_difference(core, casing, at, factor, same_house=same_house),
    )


def mole_percent_apart(core: Glass, casing: Glass) -> float | None:
    """Share of oxides exchanged between two glasses [mol%]; ``None`` without both analyses."""
    if core.composition is None or casing.composition is None:
        return None
    one, other = core.composition.mole_percent, casing.composition.mole_percent
    return 0.5 * math.fsum(abs(one.get(o, 0.0) - other.get(o, 0.0)) for o in {*one, *other})


def _alone(expansion: Estimate, temperature: float) -> Estimate:
    value = float(free_contraction(expansion.value, temperature))
    source = "mean expansion 20-300 °C, rising to the setting temperature"
    if expansion.low is None or expansion.high is None:
        return Estimate(value=value, source=source)
    bend = _slope_effect(expansion.value, temperature, SLOPE_ERROR)
    down = float(free_contraction(expansion.value - expansion.low, temperature))
    up = float(free_contraction(expansion.high - expansion.value, temperature))
    return Estimate(
        value=value,
        source=source,
        low=value - math.hypot(down, bend),
        high=value + math.hypot(up, bend),
    )


def _slope_effect(expansion: float, temperature: float, slope: float) -> float:
    """Change of the contraction by a change of s."""
    changed = free_contraction(expansion, temperature, slope)
    return abs(float(changed - free_contraction(expansion, temperature, 0.0)))


def _difference(
    core: Partner, casing: Partner, at: Estimate, factor: float, *, same_house: bool
) -> Estimate:
    first, second = core.properties.expansion, casing.properties.expansion
    apart = second.value - first.value
    value = apart * factor
    source = "casing less core, from setting to 20 °C"
    if None in {first.low, first.high, second.low, second.high}:
        return Estimate(value=value, source=source)
    exchanged = mole_percent_apart(core.glass, casing.glass)
    down = math.hypot(_down(second), _up(first)) * factor
    up = math.hypot(_up(second), _down(first)) * factor
    computed = not (first.measured or second.measured)
    alike = same_house or core.glass == casing.glass
    if alike and computed and exchanged is not None:
        house = math.hypot(_HOUSE_LEAST, min(_HOUSE_PER_MOLE * exchanged, _HOUSE_MOST)) * factor
        down, up = min(down, house), min(up, house)
    slope = _SLOPE_MOST
    if exchanged is not None:
        slope = min(_SLOPE_PER_MOLE * exchanged, _SLOPE_MOST)
    bend = _slope_effect(0.5 * (first.value + second.value), at.value, slope)
    shifts = [
        apart * float(free_contraction(1.0, end)) - value
        for end in (at.low, at.high)
        if end is not None
    ]
    low = value - math.hypot(down, bend, min(shifts))
    high = value + math.hypot(up, bend, max(shifts))
    return Estimate(value=value, source=source, low=low, high=high)


def _down(estimate: Estimate) -> float:
    return 0.0 if estimate.low is None else estimate.value - estimate.low


def _up(estimate: Estimate) -> float:
    return 0.0 if estimate.high is None else estimate.high - estimate.value
