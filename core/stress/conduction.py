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
from core.stress.section import COLDEST, HOTTEST
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_GAMMA = 1.0 - 1.0 / math.sqrt(2.0)
STAGES = np.array([[_GAMMA], [1.0]])
"""When the stages are, in steps."""
_ONWARD = (1.0 - _GAMMA) / _GAMMA
_RISE = 0.00146
"""[1/K] of the heat capacity's denominator, see :mod:`core.glass.heat`."""
_CALM = 1e-4
"""[K2] added to the square of the film's difference, so that its power has a slope at 0."""


class Conduction:
    """Steps the temperatures of all sections of a batch, shape (s, n + 1), shelf node first."""

    def __init__(self, batch: Batch) -> None:
        s, n = batch.place.shape
        # Heat capacity (c0 + 2 a t + r a t^2)/(1 + r t)^2 = a/r + (c0 - a/r)/(1 + r t)^2, t in °C.
        content = batch.volume * batch.density[:, None]
        a, c0 = (term[:, None] for term in batch.heat_terms)
        self.steady = np.zeros((s, n + 1))
        self.steady[:, 0] = batch.shelf_content
        self.steady[:, 1:] = content * (a / _RISE)
        self.falling = np.zeros((s, n + 1))
        self.falling[:, 1:] = content * (c0 - a / _RISE)
        # Conductance from each node to the next.
        k0, slope = (term[:, None] for term in batch.conductivity_terms)
        self.constant = np.empty((s, n))
        self.constant[:, 0] = batch.shelf_coupling
        self.constant[:, 1:] = batch.spread * (k0 - slope * ZERO_CELSIUS)
        self.slope = np.zeros((s, n))
        self.slope[:, 1:] = 0.5 * batch.spread * slope
        self.stands = batch.shelf_coupling > 0
        self.any_stands = bool(self.stands.any())
        self.radiation = batch.emissivity * STEFAN_BOLTZMANN
        self.convection = batch.convection
        self.fixed = batch.fixed

    def _exchange(self, surface: FloatArray, chamber: FloatArray) -> FloatArray:
        """Film coefficient q/(T_chamber - T_surface) [W/(m2 K)]."""
        difference = chamber - surface
        rays = (chamber * chamber + surface * surface) * (chamber + surface)
        air = np.sqrt(np.sqrt(np.sqrt(difference * difference + _CALM)))
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

        Each stage solves (C + g K) x = C y + g b for its temperatures x, with g = gamma step.

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
        expected = t + (STAGES * step)[..., None] * slope
        # A slope met just after a jump would lead a long step beyond all that glass can meet.
        np.clip(expected, COLDEST, HOTTEST, out=expected)
        reach = _GAMMA * step
        film = reach * self._exchange(expected[..., -1], around)
        below = _RISE * expected + (1.0 - _RISE * ZERO_CELSIUS)
        capacity = self.steady + self.falling / (below * below)
        between = expected[..., 1:] + expected[..., :-1]
        between *= self.slope
        between += self.constant
        between *= reach[:, None]
        diagonal = capacity.copy()
        diagonal[..., 1:] += between
        diagonal[..., :-1] += between
        diagonal[..., -1] += film
        off = np.zeros_like(expected)
        np.negative(between, out=off[..., :-1])
        gain = film * around
        under = None
        if self.any_stands:
            loss = reach * self._exchange(expected[..., 0], around) * self.stands
            diagonal[..., 0] += loss
            under = loss * around
        size = t.size
        d, e, _ = dpttrf(diagonal.ravel(), off.ravel()[:-1], overwrite_d=1, overwrite_e=1)

        def solved(stage: int, y: FloatArray) -> FloatArray:
            right = capacity[stage] * y
            right[:, -1] += gain[stage]
            if under is not None:
                right[:, 0] += under[stage]
            mine = slice(stage * size, stage * size + size)
            found = dpttrs(d[mine], e[mine][: size - 1], right.ravel(), overwrite_b=1)[0]
            return np.asarray(found).reshape(t.shape)

        first = solved(0, t)
        between_stages = t + _ONWARD * (first - t)
        new = solved(1, between_stages)
        bend = (new - between_stages) - (first - t)
        bend *= 0.5 / (_GAMMA * (1.0 - _GAMMA))
        return new, bend
