"""The furnace's own integrator against a general-purpose one on the same equations.

Source: scipy.integrate.solve_ivp, Radau (Hairer E., Wanner G., Solving Ordinary Differential
Equations II), at a hundredth of our tolerance.
"""

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from core.glass.library import find_glass
from core.melt.charge_material import batch, cullet
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import glass_melt
from core.melt.heat_balance import GLASS_HEAT, GLASS_MASS, HEAP_MASS
from core.melt.heat_source import ElectricElements, GasBurner
from core.melt.melting_furnace import Layer, MeltingFurnace, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import find_refractory
from core.melt.setting import Setting

MELT = glass_melt(find_glass("harbour clear"))
POT = PotVessel("pot", 0.34, 0.30, 0.36)
HOUR = 3600.0


@pytest.mark.parametrize("source", [ElectricElements(14_000.0, 0.15), GasBurner(45_000.0)])
@pytest.mark.parametrize("material", [cullet(), batch(moisture=0.02)])
def test_a_charge_melting_down(source, material):
    names = ("insulating firebrick 28", "insulating firebrick 23")
    wall = tuple(Layer(find_refractory(name), 0.114) for name in names)
    furnace = MeltingFurnace("f", source, (WallSection("shell", 1.6, wall, 3.6),))
    run = FurnaceRun(furnace, POT, MELT, 1473.15, 5.0)
    run.charge(material, 15.0, 293.15)
    setting = Setting(0.0, 1573.15, opening=0.02)
    balance, start = run.balance, run.state.copy()
    balance.setting = setting
    heap = balance.heap
    # Until shortly before the heap is gone, where our run puts the last crumbs into the glass.
    run.go(setting, 5 * HOUR)
    course = run.course()
    end = float(course.time[course.heap_mass > 0.05][-1])
    balance.heap = heap
    exact = solve_ivp(
        balance.rate,
        (0.0, end),
        start,
        method="Radau",
        rtol=1e-8,
        atol=balance.tolerances(start, 0.003).clip(max=1e3),
        dense_output=True,
    )
    assert exact.success
    times = np.linspace(0.0, end, 40)
    state = exact.sol(times)[balance.n :]
    glass = [
        MELT.temperature(h / m) for h, m in zip(state[GLASS_HEAT], state[GLASS_MASS], strict=True)
    ]
    assert np.interp(times, course.time, course.glass) == pytest.approx(glass, abs=3.0)
    assert np.interp(times, course.time, course.heap_mass) == pytest.approx(
        state[HEAP_MASS], abs=0.05
    )
