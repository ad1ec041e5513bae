"""Whatever a lehr did in a gap by its own law: no stress is above what the verdict says it may be.

The law: Newton's cooling with the power off, the greatest heating rate with it on; between them a
heater that is switched at random, never above where the gap began.
"""

import os

import numpy as np
import pytest
from verdict_nights import LEHR, LOAD, PLAN, START, slow_range

from core.plan.corners import NONE
from core.plan.stress_check import Limit
from core.run.readings import Readings
from core.verdict.judge_run import verdict_of

MANY = int(os.environ.get("LEHRKEEPER_MANY_GAPS", "6"))
"""How many random courses; more by hand."""


def wandering(rng, first, seconds):
    """Readings each minute of a lehr whose heater is switched at random."""
    true = [first - LEHR.thermocouple_offset]
    power, left = 0.0, 0
    for _ in range(int(seconds // 60)):
        if left == 0:
            power = float(rng.choice([0.0, 0.0, rng.uniform(), 1.0]))
            left = int(rng.integers(5, 60))
        left -= 1
        loss = (true[-1] - LEHR.ambient) / LEHR.cooling_time_constant
        rate = power * (loss + LEHR.max_heating_rate) - loss
        true.append(min(true[-1] + 60.0 * rate, true[0]))
    return np.asarray(true) + LEHR.thermocouple_offset


def night_with_a_wander(seed):
    """The whole night, and the same without readings while the lehr wandered."""
    rng = np.random.default_rng(seed)
    begin, end = slow_range()
    time = np.arange(START, START + rng.uniform(begin - 1800.0, 0.9 * end), 60.0)
    followed = PLAN.temperature_at(time)
    inside = wandering(rng, float(followed[-1]), rng.uniform(1200.0, 3 * 3600.0))
    wander = time[-1] + 60.0 * np.arange(1, inside.size)
    curve_time, curve = PLAN.curve()
    down = curve_time >= PLAN.segments[0].end.timestamp()
    curve_time, curve = curve_time[down], curve[down]
    place = np.interp(-inside[-1], -curve, curve_time)
    rest = np.arange(wander[-1] + 60.0, wander[-1] + curve_time[-1] - place, 60.0)
    whole = Readings(
        np.concatenate((time, wander, rest)),
        np.concatenate(
            (followed, inside[1:], np.interp(rest - wander[-1] + place, curve_time, curve))
        ),
    )
    lost = (whole.time > time[-1]) & (whole.time < wander[-1])
    return whole, Readings(whole.time[~lost], whole.temperature[~lost])


@pytest.mark.parametrize("seed", range(MANY))
def test_no_course_a_lehr_can_go_leaves_more_than_the_most_that_is_said(seed):
    whole, with_gap = night_with_a_wander(seed)
    truth = verdict_of(LOAD, PLAN, whole, margins=NONE)
    said = verdict_of(LOAD, PLAN, with_gap, margins=NONE)
    assert len(said.gaps) == 1
    for found, bound in zip(truth.pieces, said.pieces, strict=True):
        for stress in found.stresses:
            if stress.limit in {Limit.PERMANENT, Limit.PERMANENT_JOINT}:
                most = bound.range_of(stress.limit).high
                assert stress.believed <= 1.03 * most + 2e3
