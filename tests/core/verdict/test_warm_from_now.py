"""When it will be hand-warm from the state now, against the night that follows."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from verdict_nights import END, LEHR, LOAD, PLAN, START, followed

from core.errors import RunError
from core.run.readings import Readings
from core.verdict.warm_hand import hand_warm_at


def at(hours: float) -> datetime:
    return datetime.fromtimestamp(START + hours * 3600.0, UTC)


@pytest.mark.parametrize("share", [0.05, 0.3, 0.6, 0.9])
def test_a_night_that_follows_its_plan_is_ready_when_the_plan_says(share):
    """The plan allows for the hottest place; as believed it is a little sooner."""
    now = datetime.fromtimestamp(START + share * (END - START), UTC)
    found = hand_warm_at(LOAD, PLAN, followed(), now)
    assert found.earliest <= found.when <= found.latest
    assert found.when <= PLAN.ready_at + timedelta(minutes=5)
    assert found.latest >= PLAN.ready_at - timedelta(minutes=10)
    assert abs(found.when - PLAN.ready_at) < timedelta(hours=1.5)


def slower_lehr(factor: float) -> Readings:
    """A night in a lehr that keeps its heat longer than is entered."""
    off = PLAN.segments[-1].start.timestamp()
    last = PLAN.segments[-1].start_temperature - 4.0
    time = np.arange(START, END + 10 * 3600.0, 60.0)
    true = replace(LEHR, cooling_time_constant=factor * LEHR.cooling_time_constant)
    curve = np.where(
        time < off,
        np.interp(time, *PLAN.curve()),
        true.coasting(last, np.maximum(time - off, 0.0)) + 4.0,
    )
    return Readings(time, curve)


def test_tonights_own_cooling_is_learnt():
    log = slower_lehr(1.5)
    off = PLAN.segments[-1].start
    before = hand_warm_at(LOAD, PLAN, log, off + timedelta(minutes=10))
    after = hand_warm_at(LOAD, PLAN, log, off + timedelta(hours=3))
    assert not before.fitted
    assert after.fitted
    assert after.time_constant == pytest.approx(1.5 * LEHR.cooling_time_constant, rel=0.03)
    assert after.when > before.when + timedelta(hours=2)
    assert after.latest - after.earliest < before.latest - before.earliest
    assert "tonight's cooling" in after.why
    # What really comes: the core is below hand-warm where the engine, with the whole night, says.
    whole = hand_warm_at(LOAD, PLAN, log, off + timedelta(hours=12))
    assert after.earliest <= whole.when <= after.latest


def test_a_night_half_an_hour_late_is_ready_half_an_hour_later():
    on_time = followed()
    late = Readings(on_time.time + 1800.0, on_time.temperature)
    now = at(5.0)
    one = hand_warm_at(LOAD, PLAN, on_time, now)
    other = hand_warm_at(LOAD, PLAN, late, now + timedelta(minutes=30))
    assert (other.when - one.when).total_seconds() == pytest.approx(1800.0, abs=120.0)


def test_a_warmer_hand_is_sooner_and_a_room_that_is_too_warm_never():
    warm = replace(LOAD, hand_warm=273.15 + 60.0)
    assert (
        hand_warm_at(warm, PLAN, followed(), at(6.0)).when
        < hand_warm_at(LOAD, PLAN, followed(), at(6.0)).when
    )
    hot_room = replace(LOAD, lehr=replace(LEHR, ambient=273.15 + 42.0))
    with_interval = hand_warm_at(hot_room, PLAN, followed(), at(6.0))
    assert with_interval.latest is None


def test_too_few_readings_are_refused():
    with pytest.raises(RunError, match="two readings"):
        hand_warm_at(LOAD, PLAN, followed(), at(-1.0))
