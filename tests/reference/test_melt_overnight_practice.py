"""A pot of cullet left overnight.

Common practice, no source: a pot of crushed soda-lime cullet left about 12 hours at about 1300 °C
is workable the next day; it is not after two.
"""

import pytest

from core.composition.parse import parse_composition
from core.glass.glass import Glass
from core.melt.charge_material import cullet
from core.melt.fining import Fining, risen
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import glass_melt
from core.melt.heat_source import ElectricElements, GasBurner
from core.melt.melting_furnace import Layer, MeltingFurnace, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import find_refractory
from core.melt.setting import Setting

HOUR = 3600.0
HOT = 1300.0 + 273.15
BOTTLE = Glass(
    "soda-lime", parse_composition("SiO2 72.3, Na2O 13.6, CaO 10.2, MgO 1.9, Al2O3 1.5, K2O 0.5")
)


@pytest.mark.parametrize("depth", [0.25, 0.36])
@pytest.mark.parametrize("fuel", ["electric", "gas"])
def test_twelve_hours_at_1300(depth, fuel):
    wall = tuple(
        Layer(find_refractory(name), thickness)
        for name, thickness in (
            ("insulating firebrick 28", 0.114),
            ("insulating firebrick 23", 0.114),
        )
    )
    source = ElectricElements(15_000.0, 0.15) if fuel == "electric" else GasBurner(45_000.0)
    furnace = MeltingFurnace("f", source, (WallSection("shell", 1.6, wall, 3.6),))
    pot = PotVessel("pot", 0.34, 0.30, depth)
    melt = glass_melt(BOTTLE)
    run = FurnaceRun(furnace, pot, melt, HOT, 0.0)
    night = Setting(0.0, HOT, opening=0.02)
    run.charge(cullet(), 0.98 * run.room(cullet()), 293.15)  # a pot heaped full in the evening
    run.go(night, 12 * HOUR)
    course = run.course()
    assert run.heap_mass == 0.0
    assert run.glass_temperature == pytest.approx(HOT, abs=5.0)
    # Seeds of half a millimetre, the smallest a gatherer is bothered by, have come up.
    clear = course.heap_mass <= 0.0
    way = risen(Fining(0.5e-3), melt, course.time[clear], course.glass[clear])
    level = pot.level(run.glass_mass / melt.density)
    assert way[-1] > level
    soon = course.time[clear] < 2 * HOUR
    assert not soon.any() or way[soon].max() < level
