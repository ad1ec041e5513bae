"""Cooling time of a hot wall against the heat equation, solved with scipy on a fine grid.

Independent of the code under test: constant properties of its own, solve_ivp (BDF) on 60 cells
with the radiating and convecting boundary written out here. The bounds are those the module states.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.working.wall_cooling import Wall, biot_number, cooling_time

DENSITY, HEAT_CAPACITY, CONDUCTIVITY = 2500.0, 1250.0, 1.5
ROOM, HOT, COLD = 298.15, 1292.0, 990.0


@pytest.fixture(scope="module")
def constant_glass():
    """A glass whose mean heat capacity from 0 °C is c (1 + 0.00146 t)/(1 + 0.00146 t) = c."""
    known = properties_of(find_glass("clear float"))
    return replace(
        known,
        density=replace(known.density, value=DENSITY),
        heat_capacity_terms=(0.00146 * HEAT_CAPACITY, HEAT_CAPACITY),
        conductivity_terms=(CONDUCTIVITY, 0.0),
    )


def _time_by_heat_equation(depth: float, emissivity: float) -> float:
    cells = 60
    dx = depth / cells

    def slope(_, temperature):
        inner = CONDUCTIVITY * np.diff(temperature) / dx
        # Half a cell of glass lies between the last cell's middle and the face.
        face = temperature[-1]
        for _ in range(20):
            over = face - ROOM
            loss = emissivity * 5.670374419e-8 * (face**4 - ROOM**4) + 1.42 * over**1.25 / 0.1**0.25
            gradient = emissivity * 4 * 5.670374419e-8 * face**3 + 1.775 * over**0.25 / 0.1**0.25
            short = loss * dx / (2 * CONDUCTIVITY) + face - temperature[-1]
            face -= short / (1 + gradient * dx / (2 * CONDUCTIVITY))
        flow = np.concatenate(([0.0], inner, [-loss]))
        return np.diff(flow) / (DENSITY * HEAT_CAPACITY * dx)

    def mean_is_cold(_, temperature):
        return temperature.mean() - COLD

    mean_is_cold.terminal = True

    def mean_is_hot(_, temperature):
        return temperature.mean() - HOT

    # It starts even and 100 K above the range, so that the parabola is there when timing begins.
    start = np.full(cells, HOT + 100.0)
    run = solve_ivp(
        slope, (0, 5000), start, method="BDF", rtol=1e-7, atol=1e-5,
        events=(mean_is_cold, mean_is_hot),
    )  # fmt: skip
    return float(run.t_events[0][0] - run.t_events[1][0])


@pytest.mark.parametrize(
    ("millimetres", "faces"), [(1.0, 2), (3.0, 2), (3.0, 1), (8.0, 2), (10.0, 1)]
)
def test_time_through_the_working_range_meets_the_heat_equation(constant_glass, millimetres, faces):
    wall = Wall(millimetres / 1000, faces, ROOM)
    biot = biot_number(constant_glass, wall, HOT)
    assert biot < 1.0
    expected = _time_by_heat_equation(wall.depth, wall.emissivity)
    assert cooling_time(constant_glass, wall, HOT, COLD) == pytest.approx(expected, rel=0.02)


def test_a_thin_wall_cools_as_radiation_alone_has_it(constant_glass):
    """T^-3 law of a lumped body radiating to nothing: t = rho c L (1/Tc^3 - 1/Th^3)/(3 eps sigma).

    A worked limit of every heat transfer text; the room and the air, left out of it, are worth
    a few per cent at these temperatures, the first slowing and the second hastening.
    """
    wall = Wall(0.001, 2, 273.15, 1.0)
    law = DENSITY * HEAT_CAPACITY * wall.depth / (3 * 5.670374419e-8) * (COLD**-3 - HOT**-3)
    got = cooling_time(constant_glass, wall, HOT, COLD)
    assert 0.85 * law < got < law
