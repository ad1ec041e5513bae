"""Bonded concentric cylinders, and a thread in a large body.

A core of radius a in a casing of outer radius b, long and straight, joined without slip. On
cooling the casing would shrink by the strain d more than the core. Away from the ends both keep one
axial strain and no net axial force (generalised plane strain); the outside is free. With

    f = a^2/(b^2 - a^2),  m = 1/E1 + f/E2,  n = nu1/E1 + nu2 f/E2,
    q = (1 - nu1)/E1 + (1 + 2 f + nu2)/E2,

the pressure on the interface and the axial stress of the core are

    P = d (m + n)/(m q - 2 n^2),    sz1 = -d (q + 2 n)/(m q - 2 n^2),

and the rest follows:

===========  ==============================  ==============================
             core                            casing
===========  ==============================  ==============================
radial       -P                              P f (1 - b^2/r^2)
hoop         -P                              P f (1 + b^2/r^2)
axial        sz1                             -f sz1
===========  ==============================  ==============================

For equal moduli this is the classical P = E d (1 - a^2/b^2)/(2 (1 - nu)), sz1 = -2 P. A thread in
a large body is the limit f = 0. Tension positive.

Source: Lame's thick cylinders with thermal strain, Timoshenko S., Goodier J.N. 1951, Theory of
Elasticity, ch. 4 and 13; the generalised plane strain of two materials derived here from Hooke's
law, and checked in the tests against a finite element solution and the uniform limit. Near cut
ends and edges the stress is higher than this.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import PieceError
from core.joined.elastic_pair import Direction, Elastic, PairStress, Stress

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Cylinders:
    """A core and its casing.

    Attributes
    ----------
    core_radius, outer_radius : float
        [m]; an infinite ``outer_radius`` is a thread in a large body.

    Raises
    ------
    PieceError
        If a radius is not positive or the casing has no thickness; ``field`` names it.
    """

    core_radius: float
    outer_radius: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.core_radius) and self.core_radius > 0):
            raise PieceError(
                f"The core's radius of {self.core_radius * 1000:g} mm must be more than 0.",
                field="core_radius",
            )
        if not self.outer_radius > self.core_radius:
            raise PieceError(
                f"The outer radius of {self.outer_radius * 1000:g} mm must be larger than the "
                f"core's of {self.core_radius * 1000:g} mm.",
                field="outer_radius",
            )

    @property
    def area_ratio(self) -> float:
        """Section of the core over that of the casing, f [-]; 0 for a thread."""
        # In ratios, so that an infinite outer radius gives 0 and not a NaN.
        return 1.0 / ((self.outer_radius / self.core_radius) ** 2 - 1.0)


def interface_pressure(
    core: Elastic, casing: Elastic, shape: Cylinders, misfit: float
) -> tuple[float, float]:
    """Pressure of the casing on the core [Pa] and axial stress of the core [Pa].

    Parameters
    ----------
    core, casing : Elastic
    shape : Cylinders
    misfit : float
        Strain by which the casing would shrink more than the core [-]; small.
    """
    e1, nu1 = core.youngs_modulus, core.poissons_ratio
    e2, nu2 = casing.youngs_modulus, casing.poissons_ratio
    f = shape.area_ratio
    m = 1.0 / e1 + f / e2
    n = nu1 / e1 + nu2 * f / e2
    q = (1.0 - nu1) / e1 + (1.0 + 2.0 * f + nu2) / e2
    determinant = m * q - 2.0 * n * n
    return misfit * (m + n) / determinant, -misfit * (q + 2.0 * n) / determinant


def casing_stress(
    shape: Cylinders, pressure: float, core_axial: float, radius: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Radial, hoop and axial stress [Pa] of the casing at radii [m] from a to b, any shape.

    Parameters
    ----------
    shape : Cylinders
    pressure, core_axial : float
        From :func:`interface_pressure`.
    radius : ndarray
        [m].
    """
    f = shape.area_ratio
    # f b^2 = a^2 (1 + f), which stays finite for a thread.
    falling = pressure * (1.0 + f) * (shape.core_radius / np.asarray(radius)) ** 2
    even = pressure * f
    axial = np.full_like(falling, 0.0 - f * core_axial)
    return np.asarray(even - falling), np.asarray(even + falling), axial


def cylinder_stress(core: Elastic, casing: Elastic, shape: Cylinders, misfit: float) -> PairStress:
    """Stress of both partners where it is largest; see the module docstring."""
    pressure, core_axial = interface_pressure(core, casing, shape, misfit)
    radial, hoop, axial = (
        float(value[0])
        for value in casing_stress(shape, pressure, core_axial, np.array([shape.core_radius]))
    )
    inside, joint = "throughout", "at the join"
    return PairStress(
        core=(
            Stress(-pressure, Direction.RADIAL, inside),
            Stress(-pressure, Direction.HOOP, inside),
            Stress(core_axial, Direction.AXIAL, inside),
        ),
        casing=(
            Stress(radial, Direction.RADIAL, joint),
            Stress(hoop, Direction.HOOP, joint),
            Stress(axial, Direction.AXIAL, inside),
        ),
    )
