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
from core.load.load_file import parse_load, read_load
from core.plan.best import best_plan
from core.plan.planner import make_plan

LOAD = read_load(Path(__file__).parents[2] / "schedules" / "decanters_tonight.toml")


@pytest.mark.benchmark(group="a night: first safe curve against one slab's heat equation by BDF")
def test_plan_for_two_pieces(benchmark):
    plan = benchmark(make_plan, LOAD)
    assert plan.segments


@pytest.mark.benchmark(group="a night: first safe curve against one slab's heat equation by BDF")
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


TWELVE = """
button_pressed = 2026-11-24T17:30:00Z
[lehr]
cooling_time_constant_h = 3
[lehr.controller]
max_segments = 6
"""
KINDS = (
    "shape='plate'\nwall_mm=3\ncooled_from='one'", "shape='plate'\nwall_mm=6",
    "shape='plate'\nwall_mm=12", "shape='plate'\nwall_mm=25",
    "shape='vessel'\nwall_mm=4\nbase_mm=14\nbase_cooled_from='both'",
    "shape='vessel'\nwall_mm=5\nbase_mm=20\nbase_cooled_from='both'",
    "shape='vessel'\nwall_mm=3\nbase_mm=9", "shape='sphere'\ndiameter_mm=45",
    "shape='sphere'\ndiameter_mm=60", "shape='cylinder'\ndiameter_mm=40",
    "shape='cylinder'\ndiameter_mm=80\nheight_mm=30", "shape='plate'\nwall_mm=2",
)  # fmt: skip
MIXED = parse_load(
    TWELVE
    + "".join(
        f"[[pieces]]\nname='piece {i}'\nglass='bought cullet'\n{kind}\n"
        for i, kind in enumerate(KINDS)
    )
    + '[glasses."bought cullet".measured]\nstrain_point_C=475\nannealing_point_C=515\n'
    "softening_point_C=690\nexpansion_per_K=9.5e-6\n"
)


@pytest.mark.benchmark(group="twelve mixed pieces, both corners, six segments")
def test_first_curve_for_twelve_pieces(benchmark):
    """Promise: 0.3 s on one free core."""
    assert benchmark(make_plan, MIXED).safe


@pytest.mark.benchmark(group="twelve mixed pieces, both corners, six segments")
def test_best_curve_for_twelve_pieces(benchmark):
    """Promise: 2 s on one free core."""
    assert benchmark.pedantic(best_plan, (MIXED,), rounds=3).safe


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
