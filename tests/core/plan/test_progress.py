"""Where a night has got to by its plan."""

from datetime import timedelta

import pytest
from studio_loads import BUTTON, decanter, load

from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.progress import planned_now, segment_at


def test_every_moment_of_the_night_has_one_segment() -> None:
    plan = make_plan(load(decanter()))
    assert segment_at(plan, BUTTON - timedelta(seconds=1)) is None
    soak = segment_at(plan, BUTTON)
    assert soak is not None
    assert soak.kind is SegmentKind.SOAK
    for one, following in zip(plan.segments, plan.segments[1:], strict=False):
        assert segment_at(plan, one.end) is following
    assert segment_at(plan, plan.segments[-1].end) is None


def test_the_planned_temperature_is_the_curves() -> None:
    plan = make_plan(load(decanter()))
    assert planned_now(plan, BUTTON) == pytest.approx(plan.soak_temperature)
    middle = plan.segments[1].start + (plan.segments[1].end - plan.segments[1].start) / 2
    expected = (plan.segments[1].start_temperature + plan.segments[1].target) / 2
    assert planned_now(plan, middle) == pytest.approx(expected, abs=0.6)
    assert planned_now(plan, BUTTON - timedelta(minutes=1)) is None
