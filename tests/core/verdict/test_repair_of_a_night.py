"""Power cuts: the coldest it can have been, and the schedule that repairs the night."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from verdict_nights import CLEAR, END, LEHR, LIGHT, LOAD, PLAN, START, followed, slow_range

from core.errors import RunError, StoppedError
from core.glass.properties import properties_of
from core.plan.corners import ALL, NONE
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.stress.engine import stresses
from core.stress.history import ChamberHistory
from core.stress.section import stress_piece
from core.verdict.judge_run import verdict_of
from core.verdict.repair import RepairKind, repair
from core.verdict.soundness import worst_share
from core.verdict.unread import coldest
from core.verdict.verdict import Standing

ALONE = replace(LOAD, pieces=(LIGHT,))
NIGHT = make_plan(ALONE)


def at(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, UTC)


def night(until: float) -> Readings:
    time = np.arange(START, until, 60.0)
    return Readings(time, NIGHT.temperature_at(time))


def coasted(readings: Readings, hours: float) -> Readings:
    """The log goes on with the power off, by the lehr's own law."""
    since = np.arange(60.0, hours * 3600.0, 60.0)
    last = float(readings.temperature[-1])
    fallen = LEHR.coasting(last - LEHR.thermocouple_offset, since) + LEHR.thermocouple_offset
    return Readings(
        np.append(readings.time, readings.time[-1] + since),
        np.append(readings.temperature, fallen),
    )


def left_for_good(readings: Readings, plan) -> float:
    """Core tension [Pa] that log and plan together leave, by the engine at its usual accuracy."""
    time, ahead = plan.curve()
    once = np.append(np.diff(time) > 1.0, True) & (time > readings.time[-1] + 1.0)
    both = ChamberHistory(
        np.concatenate((readings.time, time[once], [time[-1] + 43200.0])),
        np.concatenate((readings.temperature, ahead[once], [ahead[-1]])) - 4.0,
    )
    (found,) = stresses([stress_piece(LIGHT, properties_of(CLEAR))], both)
    return found.permanent_core


BEGIN, FROZEN = slow_range()
CUT = night(START + 0.4 * BEGIN + 0.6 * FROZEN)
LOGGED = coasted(CUT, 1.5)
"""A power cut while the glass froze, read all the while."""


@pytest.fixture(scope="module")
def repaired():
    return repair(ALONE, NIGHT, LOGGED, at(LOGGED.time[-1]))


def test_a_power_cut_that_was_logged_goes_back_to_the_soak_and_is_sound(repaired):
    assert repaired.kind is RepairKind.BACK_TO_SOAK
    assert repaired.coldest is None
    assert repaired.sound
    assert repaired.plan.soak.target > properties_of(CLEAR).annealing_point.value
    assert left_for_good(LOGGED, repaired.plan) <= ALONE.limits.permanent_tension
    assert repaired.load.button_time == repaired.plan.start
    assert repaired.load.start_temperature == pytest.approx(LOGGED.temperature[-1] - 4.0, abs=1.0)


def test_soundness_counts_what_a_plan_adds_not_what_was_there(repaired):
    past = ChamberHistory(LOGGED.time, LOGGED.temperature - 4.0)
    assert 0.3 < worst_share(ALONE, past, repaired.plan, ALL) <= 1.03
    # The same curve gone through three times as fast is not sound.
    begin = repaired.plan.start
    quick = tuple(
        replace(
            s,
            curve_time=tuple(t / 3.0 for t in s.curve_time),
            start=begin + (s.start - begin) / 3.0,
        )
        for s in repaired.plan.segments
    )
    assert worst_share(ALONE, past, replace(repaired.plan, segments=quick), ALL) > 1.5


def test_without_a_reading_since_the_coldest_is_bounded_and_taken_for_true():
    now = at(CUT.time[-1] + 2.5 * 3600.0)
    cold = coldest(ALONE, NIGHT, CUT, now)
    assert not cold.over
    by_law = LEHR.coasting(CUT.temperature[-1] - 4.0, np.asarray(2.5 * 3600.0)) + 4.0
    assert cold.likely == pytest.approx(by_law)
    assert cold.low < cold.likely < cold.high == CUT.temperature[-1]
    found = repair(ALONE, NIGHT, CUT, now, margins=NONE)
    assert found.kind is RepairKind.BACK_TO_SOAK
    assert found.plan.segments[0].start_temperature == pytest.approx(cold.low, abs=1.0)
    assert found.plan.start == now
    # Whichever way it went, what is left is within the limit.
    for share in (0.85, 1.0):
        lehr = replace(LEHR, cooling_time_constant=share * LEHR.cooling_time_constant)
        since = np.arange(60.0, 2.5 * 3600.0, 60.0)
        fallen = lehr.coasting(CUT.temperature[-1] - 4.0, since) + 4.0
        log = Readings(
            np.append(CUT.time, CUT.time[-1] + since), np.append(CUT.temperature, fallen)
        )
        assert left_for_good(log, found.plan) <= ALONE.limits.permanent_tension


def test_a_present_reading_closes_the_gap():
    now = at(CUT.time[-1] + 1800.0)
    here = float(NIGHT.temperature_at([now.timestamp()])[0])
    found = repair(ALONE, NIGHT, CUT, now, present=here, margins=NONE)
    assert found.plan.segments[0].start_temperature == pytest.approx(here, abs=0.5)
    assert found.sound


def test_a_dip_on_the_way_down_lets_the_cooling_go_on():
    end = NIGHT.segments[-1].start.timestamp() + 3600.0
    log = night(end)
    found = repair(ALONE, NIGHT, log, at(end), margins=NONE)
    assert found.kind is RepairKind.GOES_ON
    assert found.plan.segments[0].duration == 0.0
    # Its own log alone will not show the soak, so it will prove nothing without the one before.
    time = np.arange(found.plan.start.timestamp(), found.plan.ready_at.timestamp(), 60.0)
    rest = Readings(time, found.plan.temperature_at(time))
    alone = verdict_of(found.load, found.plan, rest)
    assert alone.standing is Standing.NOT_PROVEN
    assert left_for_good(log, found.plan) <= ALONE.limits.permanent_tension


def test_while_it_still_soaks_the_night_begins_anew():
    moment = NIGHT.segments[0].start.timestamp() + 0.5 * NIGHT.segments[0].hold_time
    log = night(moment)
    found = repair(ALONE, NIGHT, log, at(moment), margins=NONE)
    assert found.kind is RepairKind.STILL_SOAKING
    assert "still at the soak" in found.why


def test_cold_and_strained_pieces_are_annealed_again_from_cold():
    log = coasted(night(START + 0.5 * BEGIN), 16.0)
    found = repair(ALONE, NIGHT, log, at(log.time[-1] + 86400.0), margins=NONE)
    assert found.kind is RepairKind.FROM_COLD
    assert found.verdict.standing is Standing.RE_ANNEAL
    heating = found.plan.soak
    assert heating.rate > 0.0
    assert heating.start_temperature < 273.15 + 60.0
    assert found.sound
    assert "heated slowly" in found.why
    assert left_for_good(log, found.plan) <= ALONE.limits.permanent_tension


def test_cold_and_annealed_pieces_need_nothing():
    found = repair(LOAD, PLAN, followed(), at(END + 6 * 3600.0))
    assert found.kind is RepairKind.NOTHING
    assert found.plan is None


def test_cold_pieces_of_which_nothing_was_read_are_not_taken_for_annealed():
    """The log stops at the soak; next day everything is cold: nobody knows how it got there."""
    log = night(START + 0.5 * BEGIN)
    found = repair(ALONE, NIGHT, log, at(log.time[-1] + 86400.0), margins=NONE)
    assert found.kind is RepairKind.FROM_COLD
    assert found.verdict.standing is not Standing.ANNEALED


def test_a_gap_that_is_over_is_bounded_by_what_was_read_and_by_full_power():
    log = CUT
    later = np.arange(log.time[-1] + 5400.0, log.time[-1] + 7200.0, 60.0)
    both = Readings(
        np.append(log.time, later),
        np.append(log.temperature, np.full(later.size, log.temperature[-1] - 8.0)),
    )
    cold = coldest(ALONE, NIGHT, both, at(later[-1]))
    assert cold.over
    assert cold.low < cold.high == pytest.approx(log.temperature[-1] - 8.0)
    assert (cold.start, cold.end) == (log.time[-1], later[0])
    assert coldest(ALONE, NIGHT, CUT, at(CUT.time[-1])) is None


def test_nothing_is_made_up_and_it_can_be_stopped():
    with pytest.raises(RunError, match="two readings"):
        repair(ALONE, NIGHT, Readings(np.empty(0), np.empty(0)), at(START + 3600.0))
    with pytest.raises(RunError, match="two readings"):
        repair(ALONE, NIGHT, followed(), at(START) - timedelta(days=1))
    with pytest.raises(StoppedError):
        repair(ALONE, NIGHT, LOGGED, at(LOGGED.time[-1]), cancelled=lambda: True)
