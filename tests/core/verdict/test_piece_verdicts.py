"""The verdict on each piece: what decides, and what can never be."""

import os
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from verdict_nights import (
    CHIMNEY,
    CLEAR,
    LEHR,
    LOAD,
    PLAN,
    START,
    followed,
    hurried,
    moved_by,
    slow_range,
    without,
)

from core.equipment.lehr import Lehr
from core.errors import RunError, StressError
from core.load.load_file import read_load
from core.load.load_stress import limits_of_pieces, logged_history, stress_pieces, stresses_of_load
from core.plan.corners import NONE, Margins
from core.plan.planner import make_plan
from core.plan.stress_check import Limit, allowed
from core.run.compare import compare
from core.run.readings import Readings
from core.stress.accuracy import Accuracy
from core.stress.engine import stresses
from core.units import ZERO_CELSIUS
from core.verdict.engine_run import ENOUGH
from core.verdict.judge_run import SLACK, verdict_of
from core.verdict.verdict import CauseKind, DoubtKind, Standing

WORSE = list(Standing)
MANY = int(os.environ.get("LEHRKEEPER_MANY_NIGHTS", "12"))
"""How many invented nights; more by hand."""


def standings(verdict):
    return [piece.standing for piece in verdict.pieces]


FOLLOWED = verdict_of(LOAD, PLAN, followed())


def test_a_night_that_follows_its_plan_is_annealed_with_nothing_to_do():
    """The plan holds at the very corners the verdict looks at."""
    assert FOLLOWED.standing is Standing.ANNEALED
    for piece in FOLLOWED.pieces:
        assert piece.cause is None
        assert piece.doubts == ()
        assert all(s.high <= s.allowed * (1 + SLACK) for s in piece.stresses)
    assert [len(piece.stresses) for piece in FOLLOWED.pieces] == [4, 2, 2]


def test_stresses_and_limits_are_the_engines_and_the_planners():
    """Beside the engine at its usual accuracy on the log brought to corners."""
    readings = followed()
    history = logged_history(readings.time, readings.temperature, LEHR)
    for found, peer, limits in zip(
        FOLLOWED.pieces, stresses_of_load(LOAD, history), limits_of_pieces(LOAD), strict=True
    ):
        for limit, value in (
            (Limit.PERMANENT, peer.permanent_core),
            (Limit.TEMPORARY, peer.peak.stress),
        ):
            stress = found.range_of(limit)
            assert stress.believed == pytest.approx(value, rel=0.05, abs=0.005e6)
            assert stress.allowed == allowed(limits)[limit]
            assert stress.low <= stress.believed <= stress.high
            assert stress.kindest <= stress.believed


def test_the_quick_reckoning_is_near_the_usual_one_on_a_noisy_log():
    rng = np.random.default_rng(2)
    readings = hurried(1.5, every=20.0)
    noisy = readings.temperature + rng.normal(0.0, 0.5, len(readings))
    history = logged_history(readings.time, noisy, LEHR)
    own = stress_pieces(LOAD)
    quick = stresses(own, history, accuracy=ENOUGH)
    usual = stresses(own, history, accuracy=Accuracy())
    for one, other in zip(quick, usual, strict=True):
        assert one.permanent_core == pytest.approx(other.permanent_core, rel=0.02, abs=2e3)
        assert one.peak.stress == pytest.approx(other.peak.stress, rel=0.04, abs=5e3)


def test_noise_of_the_logger_is_no_stress():
    rng = np.random.default_rng(6)
    clean = hurried(1.5, every=10.0)
    noisy = Readings(clean.time, clean.temperature + rng.normal(0.0, 1.0, len(clean)))
    for one, other in zip(
        verdict_of(LOAD, PLAN, clean).pieces, verdict_of(LOAD, PLAN, noisy).pieces, strict=True
    ):
        for a, b in zip(one.stresses, other.stresses, strict=True):
            assert b.believed == pytest.approx(a.believed, rel=0.04, abs=5e3)


def test_too_fast_is_to_be_annealed_again_with_its_cause():
    found = verdict_of(LOAD, PLAN, hurried(4.0))
    light = found.pieces[1]
    assert light.standing is Standing.RE_ANNEAL
    assert light.cause.kind is CauseKind.FAST
    assert light.cause.rate == pytest.approx(4.0 * light.cause.planned_rate, rel=0.15)
    assert START < light.cause.start < light.cause.end
    assert light.cause.without < light.governing.believed
    assert light.retardation > light.retardation_limit > 0.0
    # Thin ones stand it.
    assert found.pieces[2].standing is Standing.ANNEALED
    assert found.standing is Standing.RE_ANNEAL


@settings(max_examples=MANY // 2)
@given(factor=st.floats(0.6, 6.0), more=st.floats(1.05, 2.0))
def test_a_faster_night_never_improves_the_verdict(factor, more):
    slower = verdict_of(LOAD, PLAN, hurried(factor))
    faster = verdict_of(LOAD, PLAN, hurried(factor * more))
    for one, other in zip(slower.pieces, faster.pieces, strict=True):
        assert WORSE.index(other.standing) >= WORSE.index(one.standing)
        core = [p.range_of(Limit.PERMANENT) for p in (one, other)]
        # To within what the quick reckoning may be off.
        assert core[1].believed >= 0.96 * core[0].believed - 2e3


@settings(max_examples=MANY // 3)
@given(days=st.integers(-400, 400), minutes=st.integers(0, 1439))
def test_the_clock_does_not_matter(days, minutes):
    shift = timedelta(days=days, minutes=minutes)
    load = replace(LOAD, button_time=LOAD.button_time + shift)
    readings = hurried(2.2)
    moved = Readings(readings.time + shift.total_seconds(), readings.temperature)
    here = verdict_of(LOAD, PLAN, readings)
    there = verdict_of(load, moved_by(PLAN, shift), moved)
    assert standings(here) == standings(there)
    for one, other in zip(here.pieces, there.pieces, strict=True):
        for a, b in zip(one.stresses, other.stresses, strict=True):
            assert b.believed == pytest.approx(a.believed, rel=5e-3, abs=1e3)
        assert (one.cause is None) == (other.cause is None)
        if one.cause is not None:
            assert other.cause.start - shift.total_seconds() == pytest.approx(
                one.cause.start, abs=5.0
            )


@pytest.mark.parametrize("every", [5.0, 30.0, 180.0])
def test_finer_sampling_changes_nothing(every):
    here, there = verdict_of(LOAD, PLAN, hurried(2.5)), verdict_of(LOAD, PLAN, hurried(2.5, every))
    assert standings(here) == standings(there)
    for one, other in zip(here.pieces, there.pieces, strict=True):
        core = [p.range_of(Limit.PERMANENT).believed for p in (one, other)]
        assert core[1] == pytest.approx(core[0], rel=0.03, abs=3e3)


def test_a_gap_while_the_glass_freezes_is_never_bridged_silently():
    begin, end = slow_range()
    found = verdict_of(LOAD, PLAN, without(followed(), begin, end))
    light = found.pieces[1]
    assert light.standing is Standing.NOT_PROVEN
    assert light.cause.kind is CauseKind.GAP
    assert DoubtKind.GAP in {doubt.kind for doubt in light.doubts}
    core = light.range_of(Limit.PERMANENT)
    assert core.low <= core.believed < core.allowed < core.high
    assert len(found.gaps) == 1


def test_a_longer_gap_never_narrows_what_may_be():
    begin, end = slow_range()
    middle = 0.5 * (begin + end)
    spans = []
    for half in (900.0, 2400.0, 0.5 * (end - begin)):
        found = verdict_of(LOAD, PLAN, without(followed(), middle - half, middle + half))
        core = found.pieces[1].range_of(Limit.PERMANENT)
        spans.append(core.high)
    assert spans == sorted(spans)


def test_hourly_readings_leave_open_what_happened_between_them():
    found = verdict_of(LOAD, PLAN, followed(every=3600.0))
    assert found.pieces[1].standing is not Standing.RE_ANNEAL
    assert len(found.gaps) > 5
    frequent = FOLLOWED.pieces[1].range_of(Limit.PERMANENT)
    assert found.pieces[1].range_of(Limit.PERMANENT).high > frequent.high


def test_a_log_that_ends_while_the_glass_is_hot_proves_nothing():
    begin, end = slow_range()
    cut = followed(until=START + 0.5 * (begin + end))
    found = verdict_of(LOAD, PLAN, cut)
    assert found.ends_hot
    assert found.pieces[1].standing is Standing.NOT_PROVEN
    assert found.pieces[1].cause.kind is CauseKind.ENDS_HOT
    going_on = verdict_of(LOAD, PLAN, cut, finished=False)
    assert going_on.standing is Standing.ANNEALED
    assert not going_on.finished


def test_a_lehr_that_never_got_hot_proves_nothing_however_small_the_stress():
    cold = followed()
    found = verdict_of(LOAD, PLAN, Readings(cold.time, cold.temperature - 90.0))
    assert found.starts_cold
    for piece in found.pieces:
        assert piece.standing is Standing.NOT_PROVEN
        assert piece.cause.kind is CauseKind.STARTS_COLD


def test_what_is_uncertain_is_named_with_how_far_off_it_need_be():
    """Near the limit: a glass that is known no better than 15 K may be over it."""
    vague = replace(CLEAR, measured=replace(CLEAR.measured, annealing_point_error=9.0))
    load = replace(LOAD, glasses={CLEAR.name: vague})
    for factor in np.arange(1.2, 3.0, 0.2).tolist():
        light = verdict_of(load, PLAN, hurried(factor)).pieces[1]
        if light.standing is Standing.NOT_PROVEN:
            break
    assert light.standing is Standing.NOT_PROVEN
    assert light.doubts
    for doubt in light.doubts:
        assert abs(doubt.turns) <= doubt.size
    believed = verdict_of(load, PLAN, hurried(factor), margins=NONE).pieces[1]
    assert believed.standing is Standing.ANNEALED
    only = Margins(glass=True, thermocouple=False, unevenness=False)
    part = verdict_of(load, PLAN, hurried(factor), margins=only).pieces[1]
    core = [p.range_of(Limit.PERMANENT).high for p in (believed, part, light)]
    assert core == sorted(core)


def test_tension_on_the_way_over_the_strength_proves_nothing_and_says_cracks():
    """A draught on frozen pieces: annealed by what stays, perhaps cracked by what passed."""
    readings = followed()
    curve = readings.temperature.copy()
    cold = curve < ZERO_CELSIUS + 300.0
    curve[cold] = np.maximum(LEHR.ambient + 4.0, curve[cold] - 250.0)
    weak = replace(LOAD, limits=replace(LOAD.limits, temporary_tension=3e6))
    found = verdict_of(weak, PLAN, Readings(readings.time, curve))
    light = found.pieces[1]
    assert light.may_be_cracked
    assert light.standing is Standing.NOT_PROVEN
    assert light.governing.limit in {Limit.TEMPORARY, Limit.TEMPORARY_JOINT}


def test_a_grade_of_its_own_decides():
    strict = replace(LOAD, piece_limits={CHIMNEY.name: "0/2"})
    base = FOLLOWED.pieces[2].range_of(Limit.PERMANENT)
    found = verdict_of(strict, PLAN, followed()).pieces[2]
    assert found.grade == "0/2"
    assert found.range_of(Limit.PERMANENT).allowed < base.allowed
    assert found.per_length_limit * 1e7 == pytest.approx(2.0, rel=0.05)


def test_impossible_readings_are_left_out_and_counted():
    readings = followed()
    broken = readings.temperature.copy()
    broken[[250, 400]] = (ZERO_CELSIUS, ZERO_CELSIUS + 1300.0)
    found = verdict_of(LOAD, PLAN, Readings(readings.time, broken))
    assert found.left_out == 2
    assert found.standing is Standing.ANNEALED


def test_other_nights_in_the_log_are_passed_over():
    own = followed()
    before = Readings(own.time - 86400.0 * 2, own.temperature)
    after = hurried(6.0)
    both = Readings(
        np.concatenate((before.time, own.time, after.time + 2 * 86400.0)),
        np.concatenate((before.temperature, own.temperature, after.temperature)),
    )
    found = verdict_of(LOAD, PLAN, both)
    assert standings(found) == standings(FOLLOWED)
    for one, other in zip(found.pieces, FOLLOWED.pieces, strict=True):
        assert one.governing.believed == pytest.approx(other.governing.believed, rel=0.02)


@pytest.mark.parametrize(
    "readings",
    [
        Readings(np.empty(0), np.empty(0)),
        Readings(np.array([START + 600.0]), np.array([790.0])),
        Readings(np.array([START, START + 60.0]) - 400 * 86400.0, np.array([790.0, 789.0])),
    ],
)
def test_too_few_readings_of_the_night_are_refused(readings):
    with pytest.raises(RunError, match="two readings"):
        verdict_of(LOAD, PLAN, readings)


def test_temperatures_no_chamber_has_are_refused():
    readings = followed()
    with pytest.raises(StressError, match="not possible"):
        verdict_of(LOAD, PLAN, Readings(readings.time, readings.temperature * 3.0))


def test_a_slow_lehr_leaves_less_open_in_a_gap():
    begin, end = slow_range()
    log = without(followed(), begin, end)
    slow = replace(LOAD, lehr=Lehr("slow", 9 * 3600.0, thermocouple_offset=4.0))
    quick = verdict_of(LOAD, PLAN, log).pieces[1].range_of(Limit.PERMANENT)
    leisurely = verdict_of(slow, PLAN, log).pieces[1].range_of(Limit.PERMANENT)
    assert leisurely.high < quick.high


SCHEDULES = sorted((Path(__file__).parents[3] / "schedules").glob("*.toml"))


@pytest.mark.parametrize("path", SCHEDULES, ids=lambda path: path.stem)
def test_a_night_by_any_shipped_schedule_is_annealed(path):
    """Vessels, castings, thick prisms, lead and potash glass, Fahrenheit, a noisy logger."""
    load = read_load(path)
    plan = make_plan(load)
    rng = np.random.default_rng(9)
    time = np.arange(plan.start.timestamp(), plan.ready_at.timestamp(), 30.0)
    readings = Readings(time, plan.temperature_at(time) + rng.normal(0.0, 0.4, time.size))
    assert plan.safe
    assert verdict_of(load, plan, readings).standing is Standing.ANNEALED
    for row in compare(plan, readings).segments:
        if row.planned_rate is not None and row.actual_rate is not None:
            # A short ramp has few readings.
            assert row.actual_rate == pytest.approx(row.planned_rate, rel=0.15)
        if row.planned_hold and row.actual_hold is not None:
            assert row.actual_hold == pytest.approx(row.planned_hold, abs=420.0)
        assert row.overshoot is None or row.overshoot < 2.0
