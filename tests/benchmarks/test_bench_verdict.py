"""How long a comparison and a verdict take, beside pandas and beside the engine itself.

Run ``python -m pytest tests/benchmarks/test_bench_verdict.py --benchmark-only`` on one core. Peers:
five nights of 100,000 readings laid over each other beside pandas' rolling regression of the same
nights, which is one of the numbers the comparison gives; the verdict on twelve pieces at three
corners beside the engine's usual accuracy on the same log at one.
"""

from dataclasses import replace
from datetime import UTC, datetime
from time import process_time

import numpy as np
import pandas as pd
import pytest

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.load.load_stress import logged_history, stresses_of_load
from core.piece.piece import Piece, Shape
from core.plan.planner import make_plan
from core.run.overlay import NightOfRun, overlay
from core.run.readings import Readings
from core.units import ZERO_CELSIUS
from core.verdict.judge_run import verdict_of

GLASS = Glass(
    "measured clear",
    measured=MeasuredPoints(
        strain_point=ZERO_CELSIUS + 478.0,
        annealing_point=ZERO_CELSIUS + 518.0,
        expansion=93e-7,
        source="invented sheet",
    ),
)
LIGHT = Piece("deck light", 2, Shape.PLATE, GLASS.name, wall_thickness=0.008)
LOAD = Load(
    "bench night",
    tuple(replace(LIGHT, name=f"light {n}", wall_thickness=0.006 + 0.001 * n) for n in range(12)),
    {GLASS.name: GLASS},
    Lehr("quay lehr", 4.0 * 3600.0),
    datetime(2026, 11, 24, 17, 30, tzinfo=UTC),
)
PLAN = make_plan(LOAD)


def in_group(name: str):
    """Timed by what this process uses, so that other work on the machine does not count."""
    return pytest.mark.benchmark(group=name, timer=process_time, min_rounds=3)


def log_of(count: int) -> Readings:
    rng = np.random.default_rng(1)
    time = np.linspace(PLAN.start.timestamp(), PLAN.ready_at.timestamp() - 1.0, count)
    return Readings(time, PLAN.temperature_at(time) + rng.normal(0.0, 0.5, count))


LONG, USUAL = log_of(100_000), log_of(8_000)


@in_group("five nights of 100,000 readings")
def test_nights_over_each_other(benchmark):
    nights = [NightOfRun(str(n), PLAN, LONG) for n in range(5)]
    found = benchmark(overlay, nights)
    assert all(night.comparison is not None for night in found.nights)


@in_group("five nights of 100,000 readings")
def test_peer_rolling_regression(benchmark):
    frame = pd.DataFrame(
        {"t": LONG.time - LONG.time[0], "v": LONG.temperature},
        index=pd.to_datetime(LONG.time, unit="s"),
    )

    def slopes():
        for _ in range(5):
            rolling = frame.rolling("900s")
            steepest = (rolling["v"].cov(frame["t"]) / rolling["t"].var()).min()
        return steepest

    assert benchmark(slopes) < 0.0


@in_group("verdict on twelve pieces")
def test_verdict(benchmark):
    assert len(benchmark(verdict_of, LOAD, PLAN, USUAL).pieces) == 12


@in_group("verdict on twelve pieces")
def test_verdict_with_a_gap(benchmark):
    hour = (USUAL.time > USUAL.time[3000]) & (USUAL.time < USUAL.time[3000] + 3600.0)
    log = Readings(USUAL.time[~hour], USUAL.temperature[~hour])
    assert len(benchmark(verdict_of, LOAD, PLAN, log).gaps) == 1


@in_group("verdict on twelve pieces")
def test_peer_engine_as_usual(benchmark):
    history = logged_history(USUAL.time, USUAL.temperature, LOAD.lehr)
    assert len(benchmark(stresses_of_load, LOAD, history)) == 12
