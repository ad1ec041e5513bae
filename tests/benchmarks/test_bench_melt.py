"""How long a night at the furnace takes to follow, beside scipy on the same equations.

Run ``python -m pytest tests/benchmarks --benchmark-only``; figures in brackets are the ratios
within each group.
"""

from pathlib import Path

import pytest
from scipy.integrate import solve_ivp

from core.melt.charge_plan import plan_charges
from core.melt.melt_file import read_melt
from core.melt.melt_night import NightRunner, begin
from core.melt.setting import Setting

TASK = read_melt(Path(__file__).parents[2] / "demo_data" / "quay_pot_overnight.toml")
HOUR = 3600.0
NIGHT = "48 h of a furnace: our Rosenbrock steps against scipy's BDF on the same equations"


@pytest.fixture(scope="module")
def begun():
    return begin(TASK)


@pytest.mark.benchmark(group=NIGHT)
def test_48_hours_with_three_charges(benchmark, begun):
    material = TASK.materials[TASK.fill.material]

    def night():
        runner = NightRunner(TASK, begun)
        for hour, mass in ((0.5, 18.0), (3.0, 18.0), (6.0, 12.0)):
            runner.wait(hour * HOUR)
            runner.charge(material, mass)
        runner.wait(48 * HOUR)
        return runner.run.course()

    course = benchmark(night)
    assert course.time[-1] == 48 * HOUR
    assert course.worst_imbalance < 1e-3


@pytest.mark.benchmark(group=NIGHT)
def test_peer_48_hours_by_scipy_bdf_without_a_charge(benchmark, begun):
    balance = begun.run.balance
    balance.setting = Setting(0.0, TASK.programme.melting, opening=0.02)
    start = begun.run.state

    def night():
        return solve_ivp(
            balance.rate,
            (0.0, 48 * HOUR),
            start,
            method="BDF",
            rtol=1e-5,
            atol=balance.tolerances(start, 0.3).clip(max=1e5),
        )

    assert benchmark.pedantic(night, rounds=2).success


@pytest.mark.benchmark(group="a charge plan: five nights simulated")
def test_charge_plan(benchmark, begun):
    plan = benchmark.pedantic(plan_charges, (TASK, begun), rounds=3)
    assert plan.filled
