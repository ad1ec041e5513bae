"""Ready means that the core, by the stress engine, is hand-warm wherever the lehr is hottest."""

import numpy as np
import pytest
from studio_loads import CLEAR, ball, decanter, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.glass.properties import properties_of
from core.load.load_stress import drawn_history
from core.piece.response import PieceResponse
from core.plan.corners import ALL, NONE
from core.plan.hand_warm import (
    core_temperatures,
    first_time_below,
    hand_warm_threshold,
    hotter_than_read,
    last_warm,
)
from core.plan.last_cooling import LONGER
from core.plan.planner import make_plan
from core.plan.stress_check import Limit
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece

NIGHTS = [
    (plate(3.0, "one"), 2.0),
    (plate(25.0), 0.3),
    (plate(12.0, "one"), 4.5),
    (ball(60.0), 1.0),
    (decanter(), 3.0),
]


def oven_of(hours, **more):
    return lehr(hours, Controller(entry=Entry.TIME, max_segments=10), **more)


def cores_at_ready(plan, piece, oven, hotter):
    """Core temperature [K] when the plan says ready, the chamber hotter than believed at power off.

    Twice the nodes and half the steps of the planner's replay.
    """
    history = drawn_history(*plan.curve(), oven)
    off = plan.segments[-1].start.timestamp()
    bottom = float(np.interp(off, history.time, history.temperature))
    scale = np.clip((history.temperature - oven.ambient) / (bottom - oven.ambient), 0.0, 1.0)
    warmer = ChamberHistory(history.time, history.temperature + hotter * scale)
    glass = properties_of(CLEAR)
    (found,) = stresses([stress_piece(piece, glass)], warmer, accuracy=Accuracy().refined())
    return max(float(section.core_temperature[-1]) for section in found.sections)


@pytest.mark.parametrize(("piece", "hours"), NIGHTS)
def test_the_core_is_hand_warm_when_the_plan_says_ready(piece, hours):
    oven = oven_of(hours)
    tonight = load(piece, oven=oven, hours=None)
    plan = make_plan(tonight)
    hotter = oven.thermocouple_error + oven.unevenness
    core = cores_at_ready(plan, piece, oven, hotter)
    assert core <= tonight.hand_warm + 0.05
    assert core >= tonight.hand_warm - 6.0  # and not long after, either


def test_an_unsure_lehr_is_waited_for():
    sure = {"thermocouple_error": 0.0, "unevenness": 0.0}
    tonight = load(plate(25.0), oven=oven_of(2.0, **sure), hours=None)
    unsure = load(plate(25.0), oven=oven_of(2.0), hours=None)
    assert hotter_than_read(unsure, NONE) == [0.0]
    assert hotter_than_read(unsure, ALL) == [7.5]
    assert hand_warm_threshold(unsure.lehr, 0.0, 600.0, 318.15) == pytest.approx(318.15)
    plan = make_plan(tonight, margins=NONE)
    core = cores_at_ready(plan, plate(25.0), tonight.lehr, 0.0)
    assert core == pytest.approx(tonight.hand_warm - 1.0, abs=1.0)


@pytest.mark.parametrize("hours", [0.3, 4.5])
def test_the_closed_form_is_near_enough_to_follow_the_cooling_by(hours):
    """It is late in a brisk lehr and minutes early in a slow one, so it never has the last word."""
    oven = oven_of(hours)
    time = np.linspace(0.0, 16 * 3600.0, 4000)
    chamber = oven.coasting(700.0, time)
    response = PieceResponse(plate(25.0), properties_of(CLEAR))
    about = first_time_below(time, core_temperatures((response,), time, chamber), 318.15)
    history = ChamberHistory(time[::8], chamber[::8])
    answers = stresses([stress_piece(plate(25.0), properties_of(CLEAR))], history)
    found = last_warm(answers, history, 318.15)
    assert about is not None
    assert found is not None
    assert found.time < LONGER * about[0]
    assert found.surface < 318.15


def test_the_surface_is_told_beside_the_core_and_is_cooler():
    plan = make_plan(load(plate(40.0), oven=oven_of(0.5), hours=None))
    coast = plan.segments[-1]
    assert "its surface is at" in coast.reason
    told = int(coast.reason.split("its surface is at ")[1].split(" ")[0])
    assert 20 < told <= 45


def test_a_night_over_before_its_program_names_only_its_own_segments():
    """A thin plate cools with the lehr: hand-warm while the last ramp still runs."""
    plan = make_plan(load(plate(60.0), oven=oven_of(0.2), hours=None))
    for check in plan.replay.checks:
        assert check.segment is None or check.segment < len(plan.segments)
    assert {c.limit for c in plan.replay.checks} >= {Limit.PERMANENT, Limit.TEMPORARY}
