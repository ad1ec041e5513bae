"""Elastic stress of constant-rate cooling, in closed form.

Cooled at a rate R through the transformation range, a section carries a parabolic temperature
profile while its stress relaxes; when the profile evens out below the strain point the same
parabola, now of stress, stays for good: tension in the core, compression in the skin. Cooling
below the strain point instead puts the skin in tension for as long as it lasts.

With F = E alpha/(1 - nu) and R a^2/kappa from :mod:`core.piece.lag`:

========  ===================================  =====================================
body      core tension left for good           skin tension while cooling
========  ===================================  =====================================
slab      F R a^2 / (6 kappa)                  F R a^2 / (3 kappa)
cylinder  F R a^2 / (8 kappa) (axial)          F R a^2 / (8 kappa)
sphere    F R a^2 / (15 kappa)                 F R a^2 / (15 kappa)
========  ===================================  =====================================

Source: Timoshenko S., Goodier J.N. 1951, Theory of Elasticity, thermal stress; Kingery W.D. 1955,
J. Am. Ceram. Soc. 38, 3. This is the thermoelastic part only: structural relaxation adds to it
(about 60 % is thermoelastic in a linear anneal: Gardon R., Narayanaswamy O.S. 1970, J. Am. Ceram.
Soc. 53, 380), which the safety factor has to cover.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from core.piece.piece import Geometry, Section

FloatArray = NDArray[np.float64]

CORE_STRESS: Mapping[Geometry, float] = MappingProxyType(
    {Geometry.SLAB: 1 / 6, Geometry.CYLINDER: 1 / 8, Geometry.SPHERE: 1 / 15}
)
"""Largest core stress in units of F R a^2/kappa (tension for good, or while heating)."""

SKIN_STRESS: Mapping[Geometry, float] = MappingProxyType(
    {Geometry.SLAB: 1 / 3, Geometry.CYLINDER: 1 / 8, Geometry.SPHERE: 1 / 15}
)
"""Skin stress in units of F R a^2/kappa (tension while cooling)."""


def thermal_stress_modulus(youngs_modulus: float, poissons_ratio: float, expansion: float) -> float:
    """Stress of a fully restrained change of temperature, E alpha/(1 - nu) [Pa/K]."""
    return youngs_modulus * expansion / (1.0 - poissons_ratio)


def core_stress_per_rate(
    section: Section, diffusivity: FloatArray, stress_modulus: float
) -> FloatArray:
    """Core stress per unit rate [Pa s/K]: left for good by cooling, or met while heating."""
    unit = section.conduction_length**2 / diffusivity
    return np.asarray(CORE_STRESS[section.geometry] * stress_modulus * unit)


def skin_stress_per_rate(
    section: Section, diffusivity: FloatArray, stress_modulus: float
) -> FloatArray:
    """Skin tension per unit rate while cooling below the strain point [Pa s/K]."""
    unit = section.conduction_length**2 / diffusivity
    return np.asarray(SKIN_STRESS[section.geometry] * stress_modulus * unit)


def joint_stress_per_rate(
    wall: Section,
    base: Section,
    mean_lag_difference: FloatArray,
    stress_modulus: float,
) -> FloatArray:
    """Membrane stress between wall and base per unit rate [Pa s/K], as a bound.

    The base trails the wall by a mean temperature difference; joined all round and neither free to
    bend, they share one membrane strain and balance in force: F dT times the other part's
    share of the thickness. The larger of the two is returned. Real vessels flex and share the
    gradient along the wall, so this bounds the stress for full restraint; handles and feet are
    not covered.

    Parameters
    ----------
    wall, base : Section
    mean_lag_difference : ndarray
        Mean temperature of base minus wall per unit cooling rate, conduction and film together [s].
    stress_modulus : float
        E alpha/(1 - nu) [Pa/K].
    """
    share = max(wall.thickness, base.thickness) / (wall.thickness + base.thickness)
    return np.asarray(stress_modulus * np.abs(mean_lag_difference) * share)
