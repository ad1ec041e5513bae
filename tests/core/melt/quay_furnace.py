"""An invented furnace, pot and glass for the melt's tests."""

from core.glass.library import find_glass
from core.melt.glass_melt import glass_melt
from core.melt.heat_source import ElectricElements, GasBurner
from core.melt.melting_furnace import Layer, MeltingFurnace, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import find_refractory

MELT = glass_melt(find_glass("harbour clear"))
POT = PotVessel("Big pot", top_diameter=0.34, bottom_diameter=0.30, depth=0.36)


def layer(name, millimetres):
    return Layer(find_refractory(name), millimetres / 1000.0)


WALL = (
    layer("insulating firebrick 28", 114),
    layer("insulating firebrick 23", 114),
    layer("calcium silicate board", 50),
)


def electric(kilowatts=14.0, **changes):
    source = ElectricElements(kilowatts * 1000.0, area=0.15, heat_capacity=5000.0)
    return furnace(source, **changes)


def gas(kilowatts=45.0, **changes):
    return furnace(GasBurner(kilowatts * 1000.0), **changes)


def furnace(source, **changes):
    sections = (
        WallSection("crown", 0.30, WALL, 0.90),
        WallSection("wall", 0.95, WALL, 2.20),
        WallSection("floor", 0.30, WALL, 0.80),
    )
    return MeltingFurnace("Quay furnace", source, sections, **changes)
