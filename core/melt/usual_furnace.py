"""A usual pot furnace to begin a description from; every number is to be overwritten."""

from __future__ import annotations

import math
from datetime import datetime

from core.glass.glass import Glass
from core.melt.heat_source import ElectricElements
from core.melt.melt_task import MeltProgramme, MeltTask
from core.melt.melting_furnace import Layer, MeltingFurnace, Opening, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import SHIPPED
from core.units import ZERO_CELSIUS

_CAPACITY = 65.0
"""[kg] Of the furnace whose sizes are scaled; they are ours, invented, no source."""
_DENSITY = 2350.0


def usual_melt(
    furnace: str, pot: str, glass: Glass, start: datetime, capacity: float | None = None
) -> MeltTask:
    """An electric furnace of insulating brick around one pot, sized for what the pot holds.

    Parameters
    ----------
    furnace, pot : str
        Their names.
    glass : Glass
        What is melted in it.
    start : datetime
        Aware.
    capacity : float, optional
        Glass the pot holds [kg].
    """
    scale = math.cbrt(max(1.0, capacity or _CAPACITY) / _CAPACITY)

    def section(
        name: str, inside: float, outside: float, *layers: tuple[str, float]
    ) -> WallSection:
        return WallSection(
            name,
            inside * scale**2,
            tuple(Layer(SHIPPED[brick], millimetres / 1000.0) for brick, millimetres in layers),
            outside * scale**2,
        )

    walls = (
        ("insulating firebrick 28", 114.0),
        ("insulating firebrick 23", 114.0),
        ("calcium silicate board", 50.0),
    )
    floor = (("high-alumina brick", 64.0), *walls[1:])
    return MeltTask(
        name=furnace,
        furnace=MeltingFurnace(
            furnace,
            ElectricElements(14_000.0 * scale**2, area=0.15 * scale**2, heat_capacity=5000.0),
            (
                section("crown", 0.30, 0.90, *walls),
                section("wall", 0.95, 2.20, *walls),
                section("floor", 0.30, 0.80, *floor),
            ),
            Opening(),
        ),
        pot=PotVessel(pot, 0.34 * scale, 0.30 * scale, 0.36 * scale, freeboard=0.03 * scale),
        glass=glass,
        programme=MeltProgramme(ZERO_CELSIUS + 1300.0, ZERO_CELSIUS + 1130.0),
        start=start,
    )
