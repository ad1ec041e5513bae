"""The independent solution for plates whose two faces differ, for the tests only.

As :mod:`viscoelastic_collocation`, but with polynomials in the depth z through the whole thickness
(0 at the lower or inner face), so that heat may leave unevenly: the lower face insulated, or on a
shelf, a lump of heat content behind a resistance that meets the chamber by the same film; the wall
may be round, so that the area heat crosses grows with the radius, and a flat plate may bow, so that
neither force nor moment is left (Timoshenko & Goodier 1951; Lee, Rogers & Woo 1965, J. Am. Ceram.
Soc. 48, 480).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from viscoelastic_collocation import Model, even_nodes

from core.glass.heat import conductivity, heat_capacity


@dataclass
class Plate(Model):
    """One plate; ``depths`` is its whole thickness, ``power`` 0."""

    bows: bool = False
    inner_radius: float | None = None
    shelf: tuple[float, float] | None = None
    """Resistance [m2 K/W] and heat content [J/(m2 K)]."""

    def places(self):
        """z = s, with plain weights over the thickness."""
        s, slope, _ = even_nodes(self.nodes, 0)
        moments = np.zeros(self.nodes)
        moments[0] = 1.0  # Legendre polynomials have no mean but the first
        vander = np.polynomial.legendre.legvander(2.0 * s - 1.0, self.nodes - 1)
        return s, slope, np.linalg.solve(vander.T, moments)

    def warming(self, kelvin, chamber):
        """dT/dt of the glass, with the shelf's temperature in the row that slabs leave free."""
        area = np.ones_like(self.s)
        if self.inner_radius is not None:
            area = self.inner_radius + self.s * self.depth[0]
        area = area[:, None, None]
        flux = conductivity(self.glass, kelvin) * self._along(kelvin) / self.depth
        flux[-1] = self.inflow(kelvin[-1], chamber)
        flux[0] = 0.0
        if self.shelf is not None:
            flux[0] = (kelvin[0] - self.shelf_temperature) / self.shelf[0]
        capacity = self.glass.density.value * heat_capacity(self.glass, kelvin)
        return self._along(area * flux) / (area * capacity * self.depth)

    def slope_of(self, time, state, chamber):
        """As of the base, and dT/dt of the shelf."""
        spare = state.reshape(-1, self.nodes, 1, state.shape[-1])[-1]
        self.shelf_temperature = spare[0] + self.start  # kept as a difference
        rates = super().slope_of(time, state, chamber)
        last = rates.reshape(-1, self.nodes, 1, state.shape[-1])[-1]
        last[:] = 0.0
        if self.shelf is not None:
            resistance, content = self.shelf
            glass = self._split(state)[0][0]
            heat = (glass - self.shelf_temperature) / resistance
            heat = heat + self.inflow(self.shelf_temperature, chamber(time))
            last[0] = heat / content
        return rates

    def membrane(self, pull):
        """Rate of the common strain, and of the curvature where the plate may bow."""
        common = super().membrane(pull)
        if not self.bows:
            return common
        lever = (self.s - 0.5)[:, None, None]
        return common - 12.0 * lever * self._mean(lever * pull)

    def solve(self, time, chamber, **more):
        """As of the base; the shelf starts at the chamber's temperature."""
        self.start = chamber[0]
        return super().solve(time, chamber, **more)
