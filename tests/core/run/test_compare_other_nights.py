"""A log that also holds other nights, one that never got hot, and a handful of readings."""

import numpy as np
import pytest

from core.run.compare import compare
from core.run.readings import Readings


def night(plan, shift=0.0, every=60.0, less=0.0):
    time = np.arange(plan.start.timestamp(), plan.ready_at.timestamp(), every)
    return time + shift, plan.temperature_at(time) - less


@pytest.mark.parametrize("days", [-1, 1])
def test_other_nights_in_the_same_log_count_for_nothing(plan, days):
    own, other = night(plan), night(plan, shift=days * 86400.0)
    first, second = (other, own) if days < 0 else (own, other)
    both = Readings(np.concatenate((first[0], second[0])), np.concatenate((first[1], second[1])))
    alone, beside = compare(plan, Readings(*own)), compare(plan, both)
    assert beside.soak_time == pytest.approx(alone.soak_time)
    assert beside.transformation_rate == pytest.approx(alone.transformation_rate)


def test_a_lehr_that_never_got_hot_is_said_so(plan):
    result = compare(plan, Readings(*night(plan, less=60.0)))
    assert any("never reached the annealing point" in warning for warning in result.warnings)


def test_half_a_night_without_readings_is_a_gap_however_few_there_are(plan):
    start = plan.start.timestamp()
    time = np.array([start + 60, start + 150, plan.ready_at.timestamp() - 60])
    assert len(compare(plan, Readings(time, plan.temperature_at(time))).gaps) == 1
