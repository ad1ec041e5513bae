"""Refractories: conductivity, density and heat capacity against temperature.

The shipped values are general data of refractory classes, from memory, unverified; one maker's
brick differs from another's of the same class by a fifth and more. A maker's sheet is better, and
a fit to a logged run (:mod:`core.melt.furnace_fit`) better still. Classes of insulating firebrick
are those of ASTM C155, named for a tenth of the service temperature in hundreds of °F.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from core.errors import FurnaceError
from core.melt.limits import require, require_name

FROM_MEMORY = "general refractory data, from memory, unverified"


@dataclass(frozen=True)
class Refractory:
    """A wall or pot material.

    Attributes
    ----------
    name : str
    conductivity : tuple of (float, float)
        One to three (°C, W/(m K)) points by rising temperature; the curve is the constant, line
        or parabola through them.
    density : float
        Bulk density [kg/m3].
    heat_capacity : tuple of float
        ``(c0, c1)``: heat capacity [J/(kg K)] = c0 + c1 t, t in °C.
    service_temperature : float
        Highest temperature it stands for long [°C].
    source : str
    """

    name: str
    conductivity: tuple[tuple[float, float], ...]
    density: float
    heat_capacity: tuple[float, float] = (840.0, 0.24)
    service_temperature: float = 1700.0
    source: str = FROM_MEMORY

    def __post_init__(self) -> None:
        require_name(self.name, "The refractory")
        require(self.density, 50.0, 20_000.0, "density", "A density", "kg/m3")
        c0, c1 = self.heat_capacity
        require(c0, 100.0, 5000.0, "heat_capacity", "A heat capacity", "J/(kg K)")
        require(c1, 0.0, 2.0, "heat_capacity", "A rise of heat capacity", "J/(kg K2)")
        require(self.service_temperature, 100.0, 2500.0, "service_temperature", "A limit", "°C")
        celsius = [t for t, _ in self.conductivity]
        if not 1 <= len(celsius) <= 3 or sorted(set(celsius)) != celsius:
            raise FurnaceError(
                f"“{self.name}” needs one to three conductivities by rising temperature.",
                field="conductivity",
                remedy="Write such as [[200, 0.25], [1000, 0.33]]: °C, W/(m K).",
            )
        for _, value in self.conductivity:
            require(value, 0.005, 200.0, "conductivity", "A conductivity", "W/(m K)")
        grid = np.linspace(0.0, max(1400.0, celsius[-1]), 57)
        k0, k1, k2 = self.conductivity_terms
        if float(np.min(k0 + k1 * grid + k2 * grid**2)) <= 0.0:
            raise FurnaceError(
                f"The conductivities of “{self.name}” lead below zero between 0 and 1400 °C.",
                field="conductivity",
                remedy="Check the points, or give fewer.",
            )

    @property
    def conductivity_terms(self) -> tuple[float, float, float]:
        """``(k0, k1, k2)``: conductivity [W/(m K)] = k0 + k1 t + k2 t^2, t in °C."""
        celsius, values = zip(*self.conductivity, strict=True)
        terms = np.polynomial.polynomial.polyfit(celsius, values, len(values) - 1)
        k0, k1, k2 = [*map(float, terms), 0.0, 0.0][:3]
        return k0, k1, k2


def mean_conductivity(terms: tuple[float, float, float], cold: float, hot: float) -> float:
    """Mean conductivity [W/(m K)] between two temperatures [°C]: the integral over the range.

    The steady heat flow through a slab is this mean times the difference over the thickness,
    exactly (Kirchhoff's transformation).
    """
    k0, k1, k2 = terms
    return k0 + k1 * (cold + hot) / 2.0 + k2 * (cold * cold + cold * hot + hot * hot) / 3.0


def _brick(
    name: str, points: tuple[tuple[float, float], ...], density: float, limit: float
) -> Refractory:
    return Refractory(name, points, density, service_temperature=limit)


SHIPPED: Mapping[str, Refractory] = MappingProxyType(
    {
        brick.name: brick
        for brick in (
            _brick(
                "insulating firebrick 23", ((260.0, 0.13), (815.0, 0.18), (1090.0, 0.22)), 560, 1260
            ),
            _brick(
                "insulating firebrick 26", ((260.0, 0.25), (815.0, 0.30), (1090.0, 0.33)), 800, 1430
            ),
            _brick(
                "insulating firebrick 28", ((260.0, 0.30), (815.0, 0.34), (1090.0, 0.37)), 880, 1540
            ),
            _brick(
                "insulating firebrick 30",
                ((260.0, 0.38), (815.0, 0.40), (1090.0, 0.42)),
                1000,
                1650,
            ),
            _brick("dense firebrick", ((200.0, 1.10), (1000.0, 1.40)), 2150, 1400),
            _brick("high-alumina brick", ((200.0, 2.20), (1000.0, 1.80)), 2600, 1700),
            _brick("dense castable", ((200.0, 1.30), (1000.0, 1.45)), 2350, 1650),
            _brick("insulating castable", ((200.0, 0.32), (1000.0, 0.42)), 1200, 1400),
            _brick("silica brick", ((200.0, 1.00), (1000.0, 1.60)), 1850, 1600),
            _brick(
                "ceramic fibre blanket", ((200.0, 0.06), (600.0, 0.15), (1000.0, 0.30)), 128, 1260
            ),
            _brick(
                "ceramic fibre board", ((200.0, 0.07), (600.0, 0.12), (1000.0, 0.20)), 300, 1260
            ),
            _brick("calcium silicate board", ((100.0, 0.07), (600.0, 0.12)), 250, 1000),
            _brick("microporous board", ((100.0, 0.022), (800.0, 0.040)), 260, 950),
            _brick("fireclay pot", ((200.0, 1.20), (1200.0, 1.50)), 2000, 1450),
            _brick("clay-alumina pot", ((200.0, 1.70), (1200.0, 1.70)), 2350, 1550),
            _brick("dense alumina pot", ((200.0, 12.0), (600.0, 7.0), (1200.0, 5.5)), 3600, 1650),
            _brick("mullite pot", ((200.0, 2.60), (1200.0, 2.10)), 2650, 1600),
        )
    }
)
"""Refractories known by name."""


def find_refractory(name: str, own: Mapping[str, Refractory] | None = None) -> Refractory:
    """The studio's own or a shipped refractory by name; capitals and spaces around do not matter.

    Raises
    ------
    FurnaceError
        If there is none of that name; the remedy lists near ones.
    """
    wanted = " ".join(name.lower().split())
    known = {**SHIPPED, **(own or {})}
    for key, brick in known.items():
        if key.lower() == wanted:
            return brick
    near = difflib.get_close_matches(wanted, known, 3, 0.5)
    raise FurnaceError(
        f"There is no refractory called “{name}”.",
        field="material",
        remedy=f"Known: {', '.join(near or known)}.",
    )
