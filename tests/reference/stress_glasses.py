"""Glasses the stress tests share, from published constants.

Viscosity: DGG standard glass I, log10(eta / Pa s) = -2.601 + 4330.9/(t - 246.1), t in °C (Richet P.
(ed.) 2021, Encyclopedia of Glass Science, Technology, History, and Culture, Wiley). Elastic
constants, expansion and conductivity: soda-lime plate of Carre H., Daudeville L. 1999, J. Eng.
Mech. 125, 914. Heat capacity: a soda-lime glass by Sharp & Ginther 1951 (from memory, unverified).
"""

from __future__ import annotations

import math

from core.glass.glass import Estimate, GlassProperties
from core.units import ZERO_CELSIUS

YOUNGS_MODULUS, POISSONS_RATIO, EXPANSION, DENSITY = 70e9, 0.22, 9.1e-6, 2500.0
ELASTIC = YOUNGS_MODULUS * EXPANSION / (1.0 - POISSONS_RATIO)
"""E alpha/(1 - nu) [Pa/K]."""
PLATE_HEAT, PLATE_CONDUCTIVITY = (0.000504 * 4184.0, 0.1797 * 4184.0), (0.975, 8.58e-4)

CONSTANT_HEAT_CAPACITY, CONSTANT_CONDUCTIVITY = 1200.0, 1.44
CONSTANT_DIFFUSIVITY = CONSTANT_CONDUCTIVITY / (DENSITY * CONSTANT_HEAT_CAPACITY)
"""4.8e-7 m2/s, as near the annealing point of soda-lime glass."""


def glass(
    strain: float,
    annealing: float,
    softening: float | None = None,
    *,
    expansion: float = EXPANSION,
    constant: bool = False,
) -> GlassProperties:
    """A glass with fixed points in °C; ``constant``: heat capacity and conductivity do not vary."""

    def known(value: float) -> Estimate:
        return Estimate(value, None, "published constants")

    # (c0 + 2 a t + k a t^2)/(1 + k t)^2 is c0 at every t for a = k c0, k = 0.00146 1/K.
    level = (0.00146 * CONSTANT_HEAT_CAPACITY, CONSTANT_HEAT_CAPACITY)
    return GlassProperties(
        name="reference",
        strain_point=known(strain + ZERO_CELSIUS),
        annealing_point=known(annealing + ZERO_CELSIUS),
        softening_point=None if softening is None else known(softening + ZERO_CELSIUS),
        working_point=None,
        melting_point=None,
        expansion=known(expansion),
        density=known(DENSITY),
        youngs_modulus=known(YOUNGS_MODULUS),
        poissons_ratio=known(POISSONS_RATIO),
        stress_optical_coefficient=known(2.62e-12),
        heat_capacity_terms=level if constant else PLATE_HEAT,
        conductivity_terms=(CONSTANT_CONDUCTIVITY, 0.0) if constant else PLATE_CONDUCTIVITY,
    )


DGG_POINTS = tuple(246.1 + 4330.9 / (log + 2.601) for log in (13.5, 12.0, 6.6))
"""Strain, annealing and softening point by their viscosities: 515.1, 542.7 and 716.8 °C."""
DGG_I = glass(*DGG_POINTS)
CONSTANT = glass(*DGG_POINTS, constant=True)
"""The same with heat capacity and conductivity that do not vary."""


def carre_and_daudeville() -> GlassProperties:
    """The plate glass of their table: viscosity 2.87e10 Pa s at 869 K, H/R = 55000 K."""
    log_reference, per_log = math.log10(2.87e10), 55000.0 / math.log(10.0)

    def celsius(log_viscosity: float) -> float:
        return 1.0 / (1.0 / 869.0 + (log_viscosity - log_reference) / per_log) - ZERO_CELSIUS

    return glass(celsius(13.5), celsius(12.0))
