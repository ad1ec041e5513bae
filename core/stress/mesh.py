"""Nodes through a section and the integrals over it, exact for parabolas.

Nodes crowd towards the cooled face. Every integral takes its argument as piecewise quadratic over
pairs of intervals, so that the parabola of constant-rate cooling is integrated exactly on any
number of nodes; control volumes have their faces midway between nodes, for which the flux of a
parabola is exact too.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

_CROWDING = 0.6
"""0: even nodes; 1: as the sine, very fine at the face."""


def node_places(count: int, *, both_faces: bool = False) -> FloatArray:
    """Node places from 0 to 1, crowded towards 1, or towards both ends.

    Parameters
    ----------
    count : int
        Odd, at least 5.
    """
    even = np.linspace(0.0, 1.0, count)
    one_face = np.sin(0.5 * np.pi * even)
    crowded = 0.5 * (1.0 - np.cos(np.pi * even)) if both_faces else one_face
    return np.asarray((1.0 - _CROWDING) * even + _CROWDING * crowded)


def running_integral(x: FloatArray, power: int) -> FloatArray:
    """Matrix C with (C f)_i = integral of f(x) x^power from x_0 to x_i.

    For ``power`` -1 the argument must vanish at x_0 = 0 (and its column there is left empty).

    Parameters
    ----------
    x : ndarray, shape (n,)
        Rising, n odd.
    power : int
        -1 or more.

    Returns
    -------
    ndarray, shape (n, n)
    """
    n = x.size
    point, weight = np.polynomial.legendre.leggauss(6)
    matrix = np.zeros((n, n))
    for i in range(n - 1):
        first = i - i % 2
        three = x[first : first + 3]
        at = x[i] + (point + 1.0) * 0.5 * (x[i + 1] - x[i])
        factor = weight * 0.5 * (x[i + 1] - x[i]) * at**power
        matrix[i + 1] = matrix[i]
        for j in range(3):
            others = [three[m] for m in range(3) if m != j]
            basis = np.prod([(at - o) / (three[j] - o) for o in others], axis=0)
            if power < 0 and first + j == 0:
                continue
            matrix[i + 1, first + j] += float(factor @ basis)
    return matrix


@lru_cache(maxsize=64)
def mean_weights(count: int, power: int, *, both_faces: bool = False) -> FloatArray:
    """Weights of the mean of f over a body with volume element x^power dx, sum 1."""
    last = running_integral(node_places(count, both_faces=both_faces), power)[-1]
    return np.asarray(last / last.sum())


@dataclass(frozen=True, eq=False)
class RadialIntegrals:
    """Operators of a solid cylinder or sphere on nodes from centre 0 to surface 1.

    With D = hoop less radial stress and p = 1 (cylinder) or 2 (sphere):

    Attributes
    ----------
    radial : ndarray, shape (n, n)
        Radial stress from D: -p times the integral of D/x from x to 1 (equilibrium, free surface).
    difference : ndarray, shape (n, n)
        Hoop less radial strain from volume strain e: (p + 1) x^-(p+1) times the integral of
        e x^p from 0 to x, less e (compatibility).
    """

    radial: FloatArray
    difference: FloatArray


@lru_cache(maxsize=32)
def radial_integrals(count: int, power: int) -> RadialIntegrals:
    """Operators for ``count`` nodes; ``power`` 1 for a cylinder, 2 for a sphere."""
    x = node_places(count)
    over_x = running_integral(x, -1)
    radial = -power * (over_x[-1] - over_x)
    inner = running_integral(x, power)
    difference = np.zeros((count, count))
    difference[1:] = (power + 1) * inner[1:] / x[1:, None] ** (power + 1)
    difference[1:] -= np.eye(count)[1:]
    return RadialIntegrals(radial, difference)
