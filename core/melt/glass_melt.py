"""A glass as a melt: heat content, viscosity, density and how radiation carries heat through it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from core.errors import FurnaceError
from core.glass.glass import Glass
from core.glass.properties import properties_of, viscosity_curve_of
from core.glass.viscosity_curve import ViscosityCurve
from core.units import ZERO_CELSIUS

STEFAN_BOLTZMANN = 5.670374419e-8
"""[W/(m2 K4)], CODATA 2018, exact."""

_REFRACTIVE_INDEX_SQUARED = 1.5**2
_SOFTENING_OF_RISE = 0.00146
"""[1/K] Of the mean heat capacity, as in :mod:`core.glass.heat`."""
MELT_TO_ROOM_DENSITY = 0.94
"""A soda-lime melt at 1200-1400 °C against the glass at 20 °C; from memory, unverified."""
_COLDEST = -60_000.0
"""[J/kg]."""
_COLD_GLASS_CONDUCTION = 1.5
"""[W/(m K)] Conduction without radiation in hot glass; from memory, unverified."""


class Tint(StrEnum):
    """How far radiation reaches into the melt."""

    CLEAR = "clear"
    GREEN = "green"
    AMBER = "amber"
    DARK = "dark"


_ABSORPTION = {Tint.CLEAR: 45.0, Tint.GREEN: 240.0, Tint.AMBER: 290.0, Tint.DARK: 1200.0}
"""Mean absorption [1/m]: from 30-60, 6-12 and 5-10 W/(m K) effective conductivity of clear flint,
green container and amber glass at 1200 °C (general literature, from memory, unverified; Kellett
1952, J. Soc. Glass Technol. 36 T115, gives about 50 for sheet glass) by Rosseland's formula; dark
is ours."""


@dataclass(frozen=True)
class GlassMelt:
    """What the furnace needs to know of its glass. Make one with :func:`glass_melt`.

    Attributes
    ----------
    name : str
    heat_terms : tuple of float
        ``(a, c0)`` of the mean heat capacity from 0 °C.
    curve : ViscosityCurve
    density : float
        Of the melt [kg/m3].
    absorption : float
        Mean absorption of heat radiation [1/m].
    """

    name: str
    heat_terms: tuple[float, float]
    curve: ViscosityCurve
    density: float
    absorption: float

    def heat_content(self, temperature: float) -> float:
        """Heat above 0 °C [J/kg] at a temperature [K]."""
        a, c0 = self.heat_terms
        t = temperature - ZERO_CELSIUS
        return t * (a * t + c0) / (1.0 + _SOFTENING_OF_RISE * t)

    def temperature(self, heat_content: float) -> float:
        """Temperature [K] at a heat content [J/kg]: the inverse in closed form.

        Not below some -90 °C: a step that tries what cannot be is judged by its error.
        """
        a, c0 = self.heat_terms
        heat_content = max(heat_content, _COLDEST)
        b = c0 - _SOFTENING_OF_RISE * heat_content
        root = math.sqrt(b * b + 4.0 * a * heat_content)
        t = 2.0 * heat_content / (b + root) if b > 0.0 else (root - b) / (2.0 * a)
        return t + ZERO_CELSIUS

    def viscosity(self, temperature: float) -> float:
        """[Pa s] at a temperature [K]."""
        log = float(self.curve.log_viscosity(temperature))
        return 10.0**log if log < 300.0 else math.inf

    def effective_conductivity(self, temperature: float) -> float:
        """Conduction and radiation together [W/(m K)] at a temperature [K].

        Rosseland's limit of a thick melt, 16 n^2 sigma T^3 / (3 absorption).
        """
        radiation = 16.0 * _REFRACTIVE_INDEX_SQUARED * STEFAN_BOLTZMANN / (3.0 * self.absorption)
        return _COLD_GLASS_CONDUCTION + radiation * temperature**3


def glass_melt(glass: Glass, tint: Tint = Tint.CLEAR) -> GlassMelt:
    """A glass as the furnace needs it.

    Raises
    ------
    FurnaceError
        If too little is known of the glass to say how it flows when hot.
    GlassError
        As :func:`core.glass.properties.properties_of`.
    """
    properties = properties_of(glass)
    curve = viscosity_curve_of(glass)
    if curve is None or properties.working_point is None:
        raise FurnaceError(
            f"Of “{glass.name}” too little is known to say when it melts and flows.",
            field="glass",
            remedy="Give its analysis, or its softening and working point as well.",
        )
    return GlassMelt(
        name=glass.name,
        heat_terms=properties.heat_capacity_terms,
        curve=curve,
        density=properties.density.value * MELT_TO_ROOM_DENSITY,
        absorption=_ABSORPTION[tint],
    )
