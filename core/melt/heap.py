"""The unmelted heap in the pot: how heat reaches it, and how fast it melts away.

The heap melts from its faces like ice: a face warms until it runs together and stays near that
temperature; what heat it takes beyond what flows on into the heap melts it. The rate is thus
limited by heat alone (Stefan's ablation), and what has melted runs off as glass.
"""

from __future__ import annotations

from dataclasses import dataclass

from core.melt.charge_material import ChargeMaterial, melting_heat
from core.melt.glass_melt import STEFAN_BOLTZMANN, GlassMelt

THINNEST = 0.01
"""[m] Thinner than this on average, a heap lies in islands that cover part of the surface."""
FILM = 200.0
"""[W/(m2 K)] Of the melt film running off a face: 2 W/(m K) over 10 mm. A film that runs off at
0.01 kg/(m s) and 10^3 to 10^4 Pa s is 8 to 18 mm thick (laminar film, (3 eta m/(rho^2 g))^(1/3),
Nusselt 1916)."""
LEAST_MELTING_HEAT = 30_000.0
"""[J/kg] Glass softens over a range; a heap warmed through does not vanish at once."""
SURFACE_EMISSIVITY = 0.9
"""Of charge and of thick glass; soda-lime 0.87-0.93 (values used in tempering models)."""


@dataclass(frozen=True)
class Heap:
    """Charges lying together in the pot, as one: means weighted by mass.

    Attributes
    ----------
    flows_at : float
        [K].
    glass, reaction, gas : float
        Heat to melt one kg, part by part [J/kg], see :class:`MeltingHeat`.
    glass_per_kg : float
        [kg/kg].
    density : float
        As it lies [kg/m3].
    piece_size : float
        [m].
    """

    flows_at: float
    glass: float
    reaction: float
    gas: float
    glass_per_kg: float
    density: float
    piece_size: float

    @property
    def total(self) -> float:
        """Heat to melt one kg from 0 °C [J/kg]."""
        return self.glass + self.reaction + self.gas

    def conductivity(self, temperature: float) -> float:
        """Conduction and radiation between the pieces [W/(m K)] at a temperature [K].

        Loose glass or batch 0.3 W/(m K) (from memory, unverified); radiation across the gaps,
        4 sigma T^3 times half a piece.
        """
        return 0.3 + 2.0 * self.piece_size * STEFAN_BOLTZMANN * temperature**3


def heap_of(material: ChargeMaterial, melt: GlassMelt) -> Heap:
    """A heap of one material."""
    heat = melting_heat(material, melt)
    return Heap(
        flows_at=heat.flows_at,
        glass=heat.glass,
        reaction=heat.reaction,
        gas=heat.gas,
        glass_per_kg=heat.glass_per_kg,
        density=material.heap_density,
        piece_size=material.piece_size,
    )


def mixed(first: Heap, mass: float, second: Heap, added: float) -> Heap:
    """Two heaps thrown together, of ``mass`` and ``added`` kg."""
    share = added / (mass + added) if mass + added > 0.0 else 1.0

    def between(a: float, b: float) -> float:
        return a + (b - a) * share

    volume = between(1.0 / first.density, 1.0 / second.density)
    return Heap(
        flows_at=between(first.flows_at, second.flows_at),
        glass=between(first.glass, second.glass),
        reaction=between(first.reaction, second.reaction),
        gas=between(first.gas, second.gas),
        glass_per_kg=between(first.glass_per_kg, second.glass_per_kg),
        density=1.0 / volume,
        piece_size=between(first.piece_size, second.piece_size),
    )


def touched_face(
    supply: float, hot: float, inward: float, core: float, film: float, flows_at: float
) -> tuple[float, float]:
    """Heat into a heap through a face that touches something hot.

    Parameters
    ----------
    supply, inward, film : float
        Conductances [W/K]: to the face, from it into the heap, into melting above ``flows_at``.
    hot, core, flows_at : float
        Temperatures [K].

    Returns
    -------
    tuple of float
        Heat that warms the heap, and heat that melts it [W]; negative warming where the heap is
        hotter than what it touches.
    """
    face = (supply * hot + inward * core) / (supply + inward)
    if face <= flows_at:
        return inward * (face - core), 0.0
    face = (supply * hot + inward * core + film * flows_at) / (supply + inward + film)
    return inward * (face - core), film * (face - flows_at)


def irradiated_face(
    black: float, radiosity: float, inward: float, core: float, film: float, flows_at: float
) -> float:
    """Temperature [K] of a face that the chamber shines on.

    Solves black (radiosity - sigma T^4) = inward (T - core) + film max(0, T - flows_at); the left
    side falls and the right one rises with T, so Newton's method from above cannot miss.

    Parameters
    ----------
    black : float
        Radiating area [m2].
    radiosity : float
        What falls on a black body in the chamber [W/m2].
    """
    high = max(float((max(radiosity, 0.0) / STEFAN_BOLTZMANN) ** 0.25), core)
    face = high
    for _ in range(30):
        power = STEFAN_BOLTZMANN * face**3
        excess = face - flows_at
        value = black * (power * face - radiosity) + inward * (face - core)
        slope = 4.0 * black * power + inward
        if excess > 0.0:
            value += film * excess
            slope += film
        change = value / slope
        face -= change
        if abs(change) < 1e-9 * high:
            break
    return face
