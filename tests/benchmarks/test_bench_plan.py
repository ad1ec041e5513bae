"""How long a night takes to draw up, beside general-purpose peers doing comparable work.

Run ``python -m pytest tests/benchmarks --benchmark-only``; figures in brackets are the ratios
within each group.
"""

from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from core.glass.library import find_glass
from core.glass.many_glasses import properties_of_many
from core.glass.properties import properties_of
from core.load.load_file import read_load
from core.plan.planner import make_plan

LOAD = read_load(Path(__file__).parents[2] / "schedules" / "decanters_tonight.toml")


@pytest.mark.benchmark(group="a night: rule-made curve against one slab's heat equation by BDF")
def test_plan_for_two_pieces(benchmark):
    plan = benchmark(make_plan, LOAD)
    assert plan.segments


@pytest.mark.benchmark(group="a night: rule-made curve against one slab's heat equation by BDF")
def test_peer_one_slab_by_scipy_bdf(benchmark):
    nodes, length, kappa = 40, 0.010, 4.8e-7
    step = length / nodes
    band = diags_array([1.0, -2.0, 1.0], offsets=[-1, 0, 1], shape=(nodes, nodes)).tolil()
    band[0, 0] = -1.0
    matrix = (band.tocsr() * kappa / step**2).toarray()
    push = np.zeros(nodes)
    push[-1] = kappa / step**2

    def night():
        return solve_ivp(
            lambda time, t: matrix @ t + push * (800.0 - 0.01 * time),
            (0.0, 13 * 3600.0),
            np.full(nodes, 800.0),
            method="BDF",
            jac=matrix,
        )

    assert benchmark(night).success


@pytest.mark.benchmark(group="a glass: properties against one least-squares line by numpy")
def test_properties_of_a_glass(benchmark):
    glass = find_glass("harbour clear")
    assert benchmark(properties_of, glass).annealing_point.value > 0


@pytest.mark.benchmark(group="a glass: properties against one least-squares line by numpy")
def test_peer_one_line_by_numpy(benchmark):
    x = np.linspace(0.0, 1.0, 50)
    assert benchmark(np.polyfit, x, 2 * x + 1, 1)[0] == pytest.approx(2.0)


@pytest.mark.benchmark(group="ten thousand glasses: properties against a sort of their amounts")
def test_properties_of_ten_thousand_glasses(benchmark):
    compositions = [find_glass("clear float").composition] * 10_000
    many = benchmark.pedantic(properties_of_many, (compositions,), rounds=2)
    assert many.physical.all()


@pytest.mark.benchmark(group="ten thousand glasses: properties against a sort of their amounts")
def test_peer_sort_by_numpy(benchmark):
    amounts = np.random.default_rng(0).random((10_000, 29))
    assert benchmark(np.sort, amounts, 1).shape == amounts.shape
