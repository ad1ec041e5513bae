"""Walls and first-order response of the furnace against closed solutions.

Sources: steady conduction through layers in series, q = (T1 - T2) / sum(L / k A), and through
cylindrical ones, q = 2 pi l (T1 - T2) / sum(ln(r2/r1) / k): Incropera F.P., DeWitt D.P.,
Fundamentals of Heat and Mass Transfer, ch. 3; conductivity linear in temperature enters at the
mean temperature (Carslaw H.S., Jaeger J.C. 1959, Conduction of Heat in Solids, section 1.6).
A body of one temperature under constant power: T = Ta + P/(h A) (1 - exp(-t h A / C)).
"""

import math
from itertools import pairwise

import numpy as np
import pytest

from core.glass.library import find_glass
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import glass_melt
from core.melt.heat_source import ElectricElements
from core.melt.melting_furnace import Layer, MeltingFurnace, Opening, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import Refractory
from core.melt.setting import Setting

ROOM = 293.15
SHUT = Opening(area=0.0)
MELT = glass_melt(find_glass("harbour clear"))
TINY = PotVessel("thimble", 0.02, 0.02, 0.02, 0.002, 0.002, 0.001)


def brick(conductivity, name="brick"):
    return Refractory(name, conductivity, 1000.0, (900.0, 0.0))


def at_rest(section, kilowatts):
    """Run one wall section at a constant power until nothing changes; its course."""
    furnace = MeltingFurnace(
        "f", ElectricElements(kilowatts * 1000.0, max_temperature=2100.0), (section,), SHUT, ROOM
    )
    run = FurnaceRun(furnace, TINY, MELT, 800.0)
    run.longest = 1e6
    run.go(Setting(0.0, None, power=1.0), 1e7)
    course = run.course()
    assert course.power[-1] == pytest.approx(kilowatts * 1000.0)
    return course


def test_layers_in_series():
    layers = (
        Layer(brick(((20.0, 0.35),)), 0.114),
        Layer(brick(((20.0, 0.15),)), 0.076),
        Layer(brick(((20.0, 0.08),)), 0.05),
    )
    course = at_rest(WallSection("wall", 1.2, layers, outer_film=12.0), 0.9)
    resistance = (0.114 / 0.35 + 0.076 / 0.15 + 0.05 / 0.08 + 1 / 12.0) / 1.2
    assert course.hot[0, -1] - ROOM == pytest.approx(900.0 * resistance, rel=1e-4)
    assert course.cold[0, -1] - ROOM == pytest.approx(900.0 / (1.2 * 12.0), rel=1e-4)


def test_cylindrical_layers():
    inner, length = 0.25, 0.6
    radii = (inner, inner + 0.114, inner + 0.19)
    layers = (Layer(brick(((20.0, 0.3),)), 0.114), Layer(brick(((20.0, 0.1),)), 0.076))
    areas = [2.0 * math.pi * r * length for r in radii]
    section = WallSection("drum", areas[0], layers, areas[-1], outer_film=15.0)
    course = at_rest(section, 1.0)
    resistance = sum(
        math.log(b / a) / (2.0 * math.pi * length * k)
        for (a, b), k in zip(pairwise(radii), (0.3, 0.1), strict=True)
    )
    fall = course.hot[0, -1] - course.cold[0, -1]
    assert fall == pytest.approx(1000.0 * resistance, rel=1e-4)


def test_conductivity_that_rises_with_temperature():
    layers = (Layer(brick(((0.0, 0.2), (1000.0, 0.4))), 0.15),)
    course = at_rest(WallSection("wall", 1.0, layers, outer_film=20.0), 1.5)
    hot, cold = course.hot[0, -1], course.cold[0, -1]
    mean = 0.2 + 0.2 * ((hot + cold) / 2.0 - 273.15) / 1000.0
    assert pytest.approx(mean * (hot - cold) / 0.15, rel=1e-4) == 1500.0


def test_step_response_is_the_first_order_one():
    # A thin shell that conducts well is of one temperature; film, heat capacity constant.
    shell = Refractory("sheet", ((20.0, 50.0),), 7800.0, (500.0, 0.0))
    area, film, power = 2.0, 10.0, 3000.0
    section = WallSection("shell", area, (Layer(shell, 0.01),), outer_film=film)
    source = ElectricElements(power, area=0.5, heat_capacity=50.0)
    furnace = MeltingFurnace("f", source, (section,), SHUT, ROOM)
    run = FurnaceRun(furnace, TINY, MELT, ROOM, error=0.02)
    run.go(Setting(0.0, None, power=1.0), 6 * 3600.0)
    course = run.course()
    capacity = area * 0.01 * 7800.0 * 500.0
    rise = power / (film * area) * (1.0 - np.exp(-course.time * film * area / capacity))
    # The pot (20 g) and the elements take 0.1 % of the heat.
    assert np.abs(course.cold[0] - ROOM - rise).max() < 0.005 * power / (film * area)


def test_heat_soaks_into_a_thick_wall_as_into_a_half_space():
    """Constant flux q into a half space: Ts = 2 q sqrt(t / (pi k rho c)) (Carslaw and Jaeger)."""
    wall = Layer(Refractory("thick", ((20.0, 1.0),), 2000.0, (1000.0, 0.0)), 0.5)
    section = WallSection("wall", 2.0, (wall,), outer_film=10.0)
    source = ElectricElements(2000.0, area=0.5, heat_capacity=50.0)
    furnace = MeltingFurnace("f", source, (section,), SHUT, ROOM)
    run = FurnaceRun(furnace, TINY, MELT, ROOM, error=0.02, fineness=16)
    run.go(Setting(0.0, None, power=1.0), 4 * 3600.0)
    course = run.course()
    late = course.time > 1800.0
    exact = 2.0 * 1000.0 * np.sqrt(course.time[late] / (math.pi * 1.0 * 2000.0 * 1000.0))
    assert course.hot[0, late] - ROOM == pytest.approx(exact, rel=0.02)
