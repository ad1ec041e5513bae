"""A load as the stress engine takes it."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from core.errors import StressError
from core.load.load_file import read_load
from core.load.load_stress import (
    drawn_history,
    judge_by,
    limits_of_pieces,
    logged_history,
    stress_pieces,
    stresses_of_load,
)
from core.plan.planner import make_plan
from core.plan.stress_check import Limit, allowed

SCHEDULES = Path(__file__).parents[3] / "schedules"
LOAD = read_load(SCHEDULES / "supplier_sheet.toml")
"""Its controller reads 4 °C above the glass."""
PLAN = make_plan(LOAD)


def test_pieces_keep_their_order_and_glass():
    pieces = stress_pieces(LOAD)
    assert [p.name for p in pieces] == [p.name for p in LOAD.pieces]
    assert all(p.properties.name == "bought cullet" for p in pieces)


def test_histories_are_true_temperatures_not_readings():
    time, reading = PLAN.curve()
    drawn = drawn_history(time, reading, LOAD.lehr)
    assert drawn.temperature[0] == pytest.approx(reading[0] - LOAD.lehr.thermocouple_offset)
    assert (np.diff(drawn.time) > 0).all()
    every = np.arange(time[0], time[-1], 60.0)
    logged = logged_history(every, PLAN.temperature_at(every), LOAD.lehr)
    assert np.interp(every, logged.time, logged.temperature) == pytest.approx(
        PLAN.temperature_at(every) - LOAD.lehr.thermocouple_offset, abs=0.5
    )


def test_of_corners_at_one_time_the_last_counts():
    history = drawn_history([0.0, 10.0, 10.0, 20.0], [800.0, 790.0, 780.0, 770.0], LOAD.lehr)
    assert history.time.tolist() == [0.0, 10.0, 20.0]
    assert history.temperature.tolist() == [796.0, 776.0, 766.0]
    with pytest.raises(StressError):
        drawn_history([0.0, 10.0, 5.0], [800.0, 790.0, 780.0], LOAD.lehr)


def test_what_the_lehr_did_before_the_button_it_did_without_the_pieces():
    plan = drawn_history(*PLAN.curve(), LOAD.lehr)
    heated_empty = drawn_history(
        np.concatenate(([plan.time[0] - 7200.0], plan.time)),
        np.concatenate(([300.0], plan.temperature)) + LOAD.lehr.thermocouple_offset,
        LOAD.lehr,
    )
    plain = stresses_of_load(LOAD, plan)
    for one, other in zip(plain, stresses_of_load(LOAD, heated_empty), strict=True):
        assert other.permanent_core == pytest.approx(one.permanent_core, rel=1e-6)
        assert other.peak.stress == pytest.approx(one.peak.stress, rel=1e-6)
        assert other.sections[0].time[0] == LOAD.button_time.timestamp()


def test_limits_are_the_loads_own():
    stress = stresses_of_load(LOAD, drawn_history(*PLAN.curve(), LOAD.lehr))[1]
    tight = replace(LOAD.limits, permanent_tension=max(0.01e6, 0.9 * stress.permanent_core))
    roomy = replace(
        LOAD.limits, permanent_tension=1.1 * stress.permanent_core, temporary_tension=100e6
    )
    assert not judge_by(tight, stress).within_limits
    assert judge_by(roomy, stress).within_limits


def test_a_run_is_held_to_what_its_plan_was_held_to():
    stress = stresses_of_load(LOAD, drawn_history(*PLAN.curve(), LOAD.lehr))[1]
    may, judgement = allowed(LOAD.limits), judge_by(LOAD.limits, stress)
    assert judgement.permanent == may[Limit.PERMANENT] / stress.permanent_core
    assert judgement.temporary == may[Limit.TEMPORARY] / stress.peak.stress


def test_a_piece_with_a_grade_of_its_own_has_its_own_limits():
    assert limits_of_pieces(LOAD) == (LOAD.limits,) * len(LOAD.pieces)
    name = LOAD.pieces[1].name
    graded = limits_of_pieces(replace(LOAD, piece_limits={name: "0/2"}))
    assert graded[0] == LOAD.limits
    assert graded[1].permanent_tension < LOAD.limits.permanent_tension
