"""Between which temperatures glass freezes when it is cooled at a rate, from its viscosity.

While glass cools at a rate r its viscosity grows e-fold every K/r seconds, K the kelvin per e-fold
there. Stress set up where the relaxation time eta/G is many times longer than that stays for good;
where it is much shorter it is forgotten. Both ends lie lower the slower the cooling.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

from core.glass.glass import GlassProperties
from core.stress.relaxation import Liquid, liquid_of

FROZEN = 60.0
"""Relaxation time over time per e-fold of viscosity at which all stress stays for good, structure
included, which relaxes some nine times slower than stress."""
FREE = 0.15
"""The same at which hardly any stays. Between the two lie the slow ramps of the best coolings the
search finds; they only say where to begin."""


def temperature_at(glass: GlassProperties, rate: float, share: float) -> float:
    """Temperature [K] at which eta/G is ``share`` times the time per e-fold of eta at a rate [K/s].

    ln eta = a + b/(T - t0) and K = (T - t0)^2/b; a few rounds of substitution settle it.
    """
    liquid = liquid_of(glass)
    modulus = glass.youngs_modulus.value / (2.0 * (1.0 + glass.poissons_ratio.value))
    temperature = glass.strain_point.value
    for _ in range(6):
        per_fold = (temperature - liquid.t0) ** 2 / liquid.b
        decade = math.log10(share * modulus * per_fold / rate)
        temperature = _at(liquid, decade)
    return temperature


def _at(liquid: Liquid, decade: float) -> float:
    return liquid.temperature(min(max(decade, 8.0), 17.0))


def frozen_below(glasses: Iterable[GlassProperties], rate: float) -> float:
    """Temperature [K] below which every one of the glasses is frozen at a cooling rate [K/s]."""
    return min(temperature_at(glass, rate, FROZEN) for glass in glasses)


def free_above(glasses: Iterable[GlassProperties], rate: float) -> float:
    """Temperature [K] above which none of the glasses keeps stress at a cooling rate [K/s]."""
    return max(temperature_at(glass, rate, FREE) for glass in glasses)
