"""How far a section trails behind under constant-rate cooling, in closed form.

Once start-up has died away, a body whose surface cools at a constant rate R keeps a parabolic
profile of constant shape. With conduction length a (half thickness of a slab cooled from both
faces, its full thickness from one, the radius of a cylinder or sphere) and diffusivity kappa:

========  ==================  ================  ============================
body      centre - surface    mean - surface    first eigenvalue (no film)
========  ==================  ================  ============================
slab      R a^2 / (2 kappa)   R a^2/(3 kappa)   (pi/2)^2
cylinder  R a^2 / (4 kappa)   R a^2/(8 kappa)   j_0,1^2 = 5.783
sphere    R a^2 / (6 kappa)   R a^2/(15 kappa)  pi^2
========  ==================  ================  ============================

Source: Carslaw H.S., Jaeger J.C. 1959, Conduction of Heat in Solids, 2nd ed., Oxford (constant
surface rate; from memory, re-derived from Fourier's equation and checked numerically in the tests).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from core.piece.piece import Geometry, Section

FloatArray = NDArray[np.float64]

CENTRE_LAG: Mapping[Geometry, float] = MappingProxyType(
    {Geometry.SLAB: 1 / 2, Geometry.CYLINDER: 1 / 4, Geometry.SPHERE: 1 / 6}
)
"""Centre minus surface temperature in units of R a^2/kappa."""

MEAN_LAG: Mapping[Geometry, float] = MappingProxyType(
    {Geometry.SLAB: 1 / 3, Geometry.CYLINDER: 1 / 8, Geometry.SPHERE: 1 / 15}
)
"""Mean minus surface temperature in units of R a^2/kappa."""

FIRST_EIGENVALUE: Mapping[Geometry, float] = MappingProxyType(
    {
        Geometry.SLAB: (math.pi / 2) ** 2,
        Geometry.CYLINDER: 2.404825557695773**2,
        Geometry.SPHERE: math.pi**2,
    }
)
"""Square of the first root of the body's cooling series with the surface held at temperature."""

VOLUME_PER_AREA: Mapping[Geometry, float] = MappingProxyType(
    {Geometry.SLAB: 1.0, Geometry.CYLINDER: 1 / 2, Geometry.SPHERE: 1 / 3}
)
"""Volume over cooled area in units of the conduction length."""


def centre_lag_time(section: Section, diffusivity: FloatArray) -> FloatArray:
    """Centre minus surface temperature per unit cooling rate [K per K/s = s].

    Parameters
    ----------
    section : Section
    diffusivity : ndarray
        [m2/s], any shape; the result has the same.
    """
    length = section.conduction_length
    return np.asarray(CENTRE_LAG[section.geometry] * length**2 / diffusivity)


def mean_lag_time(section: Section, diffusivity: FloatArray) -> FloatArray:
    """Mean minus surface temperature per unit cooling rate [s]; see :func:`centre_lag_time`."""
    length = section.conduction_length
    return np.asarray(MEAN_LAG[section.geometry] * length**2 / diffusivity)


def film_lag_time(
    section: Section,
    density: float,
    heat_capacity: FloatArray,
    surface_coefficient: FloatArray,
) -> FloatArray:
    """Surface minus chamber temperature per unit cooling rate [s].

    All the heat a section gives up must cross its surface film:
    R rho c (V/A) = h (T_surface - T_chamber).

    Parameters
    ----------
    section : Section
    density : float
        [kg/m3].
    heat_capacity : ndarray
        [J/(kg K)].
    surface_coefficient : ndarray
        Radiation and convection together [W/(m2 K)].
    """
    volume_per_area = VOLUME_PER_AREA[section.geometry] * section.conduction_length
    return np.asarray(density * heat_capacity * volume_per_area / surface_coefficient)


def time_constant(section: Section, diffusivity: FloatArray, film_lag: FloatArray) -> FloatArray:
    """Time constant [s] with which a section comes to the temperature of the chamber.

    Sum of the conduction part a^2/(eigenvalue kappa) and the film part. By Dunkerley's rule the sum
    is never shorter than the true first time constant, so soaks err on the long side, by at
    most 11 % (a sphere at Biot number 2; checked against the exact roots in the tests).
    """
    length = section.conduction_length
    conduction = length**2 / (FIRST_EIGENVALUE[section.geometry] * diffusivity)
    return np.asarray(conduction + film_lag)
