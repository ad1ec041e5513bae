"""What a polariscope should show of the stress left for good.

Light that crosses stressed glass is retarded by C times the integral, along its way, of the
difference of the principal stresses across it (C the stress-optical coefficient; ASTM C770,
F218). Which way a piece is looked through decides what is seen:

* a slab or wall edge-on, along its mid-plane: the stress there against none through the
  thickness; face-on it shows nothing, being alike in all directions of its plane;
* a solid cylinder across its axis and a sphere, at the distance from the middle where most shows.
  Across a cylinder the stresses around and along the radius cancel over every chord (there is no
  net force on a plane cut), so the axial stress alone counts.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.piece.piece import Geometry

FloatArray = NDArray[np.float64]

USUAL_PATH = 0.010
"""Way of the light edge-on where the piece's width is not known [m]: 1 cm, so that nm are nm/cm."""
_OFFSETS = np.linspace(0.0, 0.95, 20)
"""Distances of the light from the middle that are tried, in radii."""
_POINT, _WEIGHT = np.polynomial.legendre.leggauss(24)


@dataclass(frozen=True)
class Retardation:
    """What is to be seen, and how.

    Attributes
    ----------
    value : float
        Path difference [m]. Of a piece with its core in tension it is positive edge-on, and
        across a cylinder cooled slowly; in a sphere, where the skin shows most, negative.
    path : float
        Way of the light in the glass [m].
    direction : str
        How to look, in plain words.
    """

    value: float
    path: float
    direction: str

    @property
    def per_length(self) -> float:
        """Path difference per way of the light [-]; 1e-7 is 1 nm/cm."""
        return self.value / self.path


def slab_retardation(core: float, coefficient: float, path: float | None) -> Retardation:
    """Edge-on along the mid-plane, from the stress there [Pa]."""
    way = USUAL_PATH if path is None else path
    how = "edge-on, through 1 cm of it" if path is None else "edge-on, through its whole width"
    return Retardation(coefficient * core * way, way, how)


def solid_retardation(
    geometry: Geometry,
    radius: float,
    place: FloatArray,
    stresses: tuple[FloatArray, FloatArray, FloatArray],
    coefficient: float,
) -> Retardation:
    """Across a solid cylinder or through a sphere, where most is to be seen.

    Parameters
    ----------
    geometry : Geometry
    radius : float
        [m].
    place : ndarray, shape (n,)
        Distance from the middle in radii, 0 to 1.
    stresses : tuple of ndarray, each of shape (n,)
        Along the axis (in a sphere: around), around, along the radius [Pa].
    coefficient : float
        [1/Pa].
    """
    axial, hoop, radial = stresses
    half = np.sqrt(1.0 - _OFFSETS**2)[:, None]
    along = half * 0.5 * (_POINT + 1.0)
    square = _OFFSETS[:, None] ** 2 + along**2

    def at(values: FloatArray) -> FloatArray:
        return np.interp(square, place**2, values)

    tilt = _OFFSETS[:, None] ** 2 / np.maximum(square, 1e-12)
    if geometry is Geometry.CYLINDER:
        seen = at(axial) - at(radial) * tilt - at(hoop) * (1.0 - tilt)
        how = "across its axis"
    else:
        seen = (at(hoop) - at(radial)) * tilt
        how = "through it, beside the middle"
    # Both halves of the way; the quadrature's weights sum to 2 over half a chord.
    total = radius * (half * _WEIGHT * seen).sum(axis=1)
    most = int(np.argmax(np.abs(total)))
    return Retardation(
        value=float(coefficient * total[most]),
        path=float(2.0 * radius * half[most, 0]),
        direction=how,
    )
