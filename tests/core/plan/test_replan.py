"""Nights that went wrong, finished or repaired from where they stand."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from studio_loads import BUTTON, CLEAR, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.errors import PlanError
from core.glass.properties import properties_of
from core.load.load_stress import drawn_history
from core.load.reheating import Reheating, ReheatKind
from core.plan.best import best_plan
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.replan import replan
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece

OVEN = lehr(2.0, Controller(entry=Entry.TIME, max_segments=8), thermocouple_offset=4.0)
BLOCK = plate(25.0)
TONIGHT = load(BLOCK, oven=OVEN, hours=None)


@pytest.fixture(scope="module")
def plan():
    return best_plan(TONIGHT)


def log_until(plan, moment, step=120.0):
    """Readings by the plan until a moment [UTC epoch s]."""
    time = np.arange(plan.start.timestamp(), moment, step)
    return time, plan.temperature_at(time)


def slow_middle(plan):
    slow = [s for s in plan.segments if s.kind is SegmentKind.SLOW_COOL][-1]
    return slow.start.timestamp() + 0.4 * slow.duration


def left_in_the_block(time, reading, new):
    """Core tension [Pa] by the whole true history, log and new plan together."""
    ahead_time, ahead = new.curve()
    history = drawn_history(
        np.concatenate((time, ahead_time)), np.concatenate((reading, ahead)), OVEN
    )
    even = ChamberHistory(
        np.append(history.time, history.time[-1] + 43200.0),
        np.append(history.temperature, history.temperature[-1]),
    )
    (found,) = stresses([stress_piece(BLOCK, properties_of(CLEAR))], even)
    return found.permanent_core


def test_a_power_cut_while_glass_freezes_is_repaired(plan):
    cut = slow_middle(plan)
    time, reading = log_until(plan, cut)
    since = np.arange(0.0, 2.5 * 3600, 300.0)[1:]
    fallen = OVEN.coasting(float(reading[-1]) - 4.0, since) + 4.0
    time, reading = np.append(time, time[-1] + since), np.append(reading, fallen)
    now = BUTTON + timedelta(seconds=float(time[-1]) - BUTTON.timestamp())
    found = replan(TONIGHT, now, time, reading)
    assert found.repairs
    assert "goes back to the soak" in found.why
    assert found.plan.safe
    assert found.plan.start == now
    assert found.plan.segments[0].target > properties_of(CLEAR).annealing_point.value
    assert left_in_the_block(time, reading, found.plan) <= TONIGHT.limits.permanent_tension


def test_a_door_opened_late_costs_nothing(plan):
    """The glass is frozen: the cooling goes on, and is not over later than a repair would be."""
    cool = plan.segments[-1]
    moment = cool.start.timestamp() + 1800.0
    time, reading = log_until(plan, moment)
    reading[-3:] -= (15.0, 25.0, 10.0)
    now = BUTTON + timedelta(seconds=float(time[-1]) + 60.0 - BUTTON.timestamp())
    found = replan(TONIGHT, now, time, reading, present=float(reading[-1]))
    assert not found.repairs
    assert found.plan.safe
    assert found.plan.segments[0].duration == 0.0
    assert abs((found.plan.ready_at - plan.ready_at).total_seconds()) < 5400
    assert left_in_the_block(time, reading, found.plan) <= TONIGHT.limits.permanent_tension


def test_without_a_log_nothing_is_made_up():
    with pytest.raises(PlanError, match="tells nothing"):
        replan(TONIGHT, BUTTON + timedelta(hours=3), [], [])


def test_going_on_too_slowly_is_no_better_than_going_back(plan):
    """Whichever is ready first is proposed, as long as it is safe."""
    cut = slow_middle(plan)
    time, reading = log_until(plan, cut)
    since = np.arange(0.0, 1200.0, 240.0)[1:]
    fallen = OVEN.coasting(float(reading[-1]) - 4.0, since) + 4.0
    time, reading = np.append(time, time[-1] + since), np.append(reading, fallen)
    now = BUTTON + timedelta(seconds=float(time[-1]) - BUTTON.timestamp())
    found = replan(TONIGHT, now, time, reading)
    assert found.plan.safe
    anew = replace(TONIGHT, button_time=now, start_temperature=float(reading[-1]) - 4.0)
    assert found.plan.ready_at <= best_plan(anew).ready_at + timedelta(minutes=10)


def test_a_casting_cut_short_after_melting_is_annealed_and_before_it_is_begun_anew():
    oven = lehr(2.5, Controller(Entry.TIME, max_segments=14), max_temperature=273.15 + 980.0)
    tonight = replace(
        load(plate(30.0), oven=oven, hours=None), reheating=Reheating(ReheatKind.CASTING)
    )
    first = make_plan(tonight)
    process = next(s for s in first.segments if s.kind is SegmentKind.PROCESS)
    for moment, again in ((process.start, True), (process.end + timedelta(minutes=25), False)):
        time = np.arange(first.start.timestamp(), moment.timestamp() - 1200.0, 300.0)
        if not again:
            time = np.arange(first.start.timestamp(), moment.timestamp(), 300.0)
        found = replan(tonight, moment, time, first.temperature_at(time))
        kinds = {s.kind for s in found.plan.segments}
        assert (SegmentKind.PROCESS in kinds) is again
        assert found.plan.safe
