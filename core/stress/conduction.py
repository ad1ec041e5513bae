"""Temperature through the thickness: one implicit step of all sections at once.

Each section is a row of finite volumes, with one node more in front for a shelf. The equations of
all rows are laid end to end as one symmetric tridiagonal system, solved by one LAPACK call a
stage; every row has a step of its own.

The step is the two-stage, stiffly accurate, L-stable method of second order of Alexander R. 1977,
SIAM J. Numer. Anal. 14, 1006, with heat capacity, conductivity and film coefficient of each stage
at the temperatures expected there, which keeps second order with linear equations. (Coefficients
at mid-step would do so only for steps shorter than the section's own time constant: in slow
cooling the profile is that of the coefficients at the end.) The first-order method embedded in it
bounds the curvature of every node's path in time.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpttrf, dpttrs

from core.piece.surface import STEFAN_BOLTZMANN
from core.stress.batch import Batch
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
STAGES = np.array([[_GAMMA], [1.0]])
"""When the stages are, in steps."""
_RISE = 0.00146
"""[1/K] of the heat capacity's denominator, see :mod:`core.glass.heat`."""
_CALM = 1e-4
"""[K2] added to the square of the film's difference, so that its power has a slope at 0."""


class Conduction:
    """Steps the temperatures of all sections of a batch, shape (s, n + 1), shelf node first."""

    def __init__(self, batch: Batch) -> None:
        s, n = batch.place.shape
        self.content = np.zeros((s, n + 1))
        self.content[:, 1:] = batch.volume * batch.density[:, None]
        self.content[:, 0] = batch.shelf_content
        a, c0 = (term[:, None] for term in batch.heat_terms)
        self.heat = (c0, 2.0 * a, _RISE * a)
        # Conductance from each node to the next; the last of each row leads nowhere.
        spread = np.zeros((s, n + 1))
        spread[:, 1:-1] = batch.spread
        k0, slope = (term[:, None] for term in batch.conductivity_terms)
        self.constant = spread * (k0 - slope * ZERO_CELSIUS)
        self.constant[:, 0] = batch.shelf_coupling
        self.slope = 0.5 * spread * slope
        self.stands = batch.shelf_coupling > 0
        self.any_stands = bool(self.stands.any())
        self.radiation = batch.emissivity * STEFAN_BOLTZMANN
        self.convection = batch.convection
        self.fixed = batch.fixed

    def _capacity(self, t: FloatArray) -> FloatArray:
        """Heat content per kelvin of every node [J/(m2 K)]."""
        celsius = t - ZERO_CELSIUS
        c0, twice, risen = self.heat
        below = 1.0 + _RISE * celsius
        heat = (c0 + celsius * (twice + risen * celsius)) / (below * below)
        heat[..., 0] = 1.0
        return np.asarray(heat * self.content)

    def _conductance(self, t: FloatArray) -> FloatArray:
        """From each node to the next [W/(m2 K)]; 0 from the last."""
        between = np.zeros_like(t)
        np.add(t[..., 1:], t[..., :-1], out=between[..., :-1])
        between *= self.slope
        between += self.constant
        return between

    def _exchange(self, surface: FloatArray, chamber: FloatArray) -> FloatArray:
        """Film coefficient q/(T_chamber - T_surface) [W/(m2 K)]."""
        difference = chamber - surface
        rays = (chamber * chamber + surface * surface) * (chamber + surface)
        air = (difference * difference + _CALM) ** 0.125
        return np.asarray(self.radiation * rays + self.convection * air + self.fixed)

    def step(
        self,
        t: FloatArray,
        slope: FloatArray,
        step: FloatArray,
        around: FloatArray,
    ) -> tuple[FloatArray, FloatArray]:
        """New temperatures, and the bend of their paths.

        Over a step the temperature runs as T + change u + bend (u^2 - u), u from 0 to 1: half the
        second derivative times the step's square, by which the embedded method differs.

        Parameters
        ----------
        t : ndarray, shape (s, n + 1)
            [K].
        slope : ndarray, shape (s, n + 1)
            Expected rate of every node [K/s].
        step : ndarray, shape (s,)
            [s]; 0 leaves a row as it is.
        around : ndarray, shape (2, s)
            Chamber temperature at the two ``STAGES`` of the step [K].
        """
        column = step[:, None]
        expected = t + (STAGES * step)[..., None] * slope
        coefficient = self._exchange(expected[..., -1], around)
        between = self._conductance(expected)
        reach = _GAMMA * step
        share = reach[:, None] * between
        diagonal = self._capacity(expected)
        diagonal += share
        diagonal[..., 1:] += share[..., :-1]
        diagonal[..., -1] += reach * coefficient
        under = np.zeros_like(coefficient)
        if self.any_stands:
            under = self._exchange(expected[..., 0], around) * self.stands
            diagonal[..., 0] += reach * under
        d, e, _ = dpttrf(diagonal.ravel(), -share.ravel()[:-1], overwrite_d=1, overwrite_e=1)

        def rate(stage: int, x: FloatArray) -> FloatArray:
            gain = np.zeros_like(x)
            flow = between[stage, :, :-1] * (x[:, 1:] - x[:, :-1])
            gain[:, :-1] = flow
            gain[:, 1:] -= flow
            gain[:, -1] += coefficient[stage] * (around[stage] - x[:, -1])
            if self.any_stands:
                gain[:, 0] += under[stage] * (around[stage] - x[:, 0])
            mine = slice(stage * t.size, (stage + 1) * t.size)
            solved = dpttrs(d[mine], e[mine][: t.size - 1], gain.ravel(), overwrite_b=1)[0]
            return np.asarray(solved).reshape(x.shape)

        first = rate(0, t)
        second = rate(1, t + ((1.0 - _GAMMA) * column) * first)
        new = t + column * ((1.0 - _GAMMA) * first + _GAMMA * second)
        return new, column * (0.5 / (1.0 - _GAMMA)) * (second - first)
