"""Other pots in the same chamber: they take up heat and give it back while one is charged.

A pot that is not charged tonight is a body in the chamber like a piece of its wall, heated through
its side and its mouth and insulated behind: its own wall, then its glass, as a layer that conducts
as the melt does and holds what the glass holds. Charges of several pots at once are not followed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.errors import FurnaceError
from core.melt.glass_melt import GlassMelt
from core.melt.limits import require
from core.melt.melting_furnace import Layer, MeltingFurnace, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import Refractory
from core.units import ZERO_CELSIUS

_POINTS = (600.0, 1000.0, 1400.0)
"""[°C] At which the glass's conduction is matched."""
_MATCHED = (700.0, 1400.0)
"""[°C] At which its heat content is."""
_LEAST_GLASS = 0.002
"""[m] A layer thinner than this is left out."""


@dataclass(frozen=True)
class StandingPot:
    """A pot that stands in the chamber with so much glass in it [kg]."""

    vessel: PotVessel
    glass_mass: float = 0.0

    def __post_init__(self) -> None:
        require(self.glass_mass, 0.0, 100_000.0, "glass_mass", "Glass in the pot", "kg")


def glass_as_layer(melt: GlassMelt) -> Refractory:
    """A melt as a wall's material: conduction with radiation, density, heat content."""
    conductivity = tuple((t, melt.effective_conductivity(t + ZERO_CELSIUS)) for t in _POINTS)
    low, high = (melt.heat_content(t + ZERO_CELSIUS) / t for t in _MATCHED)
    # Mean heat capacity from 0 °C is c0 + c1 t/2.
    rise = max(0.0, 2.0 * (high - low) / (_MATCHED[1] - _MATCHED[0]))
    return Refractory(
        f"{melt.name} in a pot",
        conductivity,
        melt.density,
        (low - 0.5 * rise * _MATCHED[0], rise),
        service_temperature=2500.0,
        source="the glass's own properties",
    )


def with_standing_pots(
    furnace: MeltingFurnace, pots: Sequence[StandingPot], melt: GlassMelt
) -> MeltingFurnace:
    """The furnace with these pots in its chamber.

    Raises
    ------
    FurnaceError
        If a pot does not hold its glass.
    """
    if not pots:
        return furnace
    glass = glass_as_layer(melt)
    sections = []
    for number, pot in enumerate(pots, start=1):
        vessel = pot.vessel
        if pot.glass_mass > vessel.brimful * melt.density:
            raise FurnaceError(
                f"{pot.glass_mass:.4g} kg of glass do not go into “{vessel.name}”.",
                field="glass_mass",
                remedy="Give less, or a larger pot.",
            )
        mouth = math.pi / 4.0 * vessel.top_diameter**2
        area = vessel.outer_side + mouth
        wall = vessel.mass / (vessel.material.density * area)
        layers = [Layer(vessel.material, max(0.002, wall))]
        deep = pot.glass_mass / (melt.density * area)
        if deep >= _LEAST_GLASS:
            layers.append(Layer(glass, deep))
        sections.append(
            WallSection(f"{vessel.name} ({number})", area, tuple(layers), outer_film=0.0)
        )
    return replace(furnace, sections=(*furnace.sections, *sections))
