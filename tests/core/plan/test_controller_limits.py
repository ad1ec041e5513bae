"""What a controller takes is kept to after rounding: longest segment and bounds of rates."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from studio_loads import ball, decanter, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.errors import PlanError
from core.plan.best import best_plan
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.program import rate_lines, time_lines
from core.units import TemperatureUnit, kelvin_to

PIECES = st.sampled_from([plate(6.0), plate(25.0), ball(50.0), decanter(), plate(15.0, "one")])


def assert_taken(plan, controller):
    """Every line within the controller's bounds, from one whole degree to the next."""
    longest = controller.longest_segment / 60 if controller.longest_segment else np.inf
    unit = controller.unit
    at = kelvin_to(plan.segments[0].start_temperature, unit)
    if controller.entry is Entry.TIME:
        lines = time_lines(plan, controller)
        for line in lines:
            assert line.minutes <= longest + 1e-6
            if controller.greatest_rate and abs(line.target - at) > 0.6:
                assert abs(line.target - at) / line.minutes * 60 <= controller.greatest_rate + 0.6
            at = line.target
    else:
        lines = rate_lines(plan, controller)
        for line in lines:
            minutes = abs(line.target - at) / line.rate * 60
            assert minutes <= longest + 1e-6
            assert line.hold <= longest + 1e-6
            if minutes > 0.5:
                assert (controller.smallest_rate or 0.0) <= line.rate + 1e-9
                assert line.rate <= (controller.greatest_rate or np.inf) + 1e-9
            at = line.target
    assert len(lines) <= controller.max_segments
    ends = [s.target for s in plan.segments if s.kind is not SegmentKind.COAST]
    assert all(abs(kelvin_to(t, unit) - round(kelvin_to(t, unit))) < 1e-6 for t in ends)
    return lines


@settings(max_examples=5, deadline=None)
@given(
    piece=PIECES,
    entry=st.sampled_from(list(Entry)),
    unit=st.sampled_from(list(TemperatureUnit)),
    longest=st.sampled_from([None, 2.5, 9.99]),
    greatest=st.sampled_from([None, 25.0, 300.0]),
    start=st.sampled_from([None, 293.15]),
)
def test_the_first_curve_keeps_to_the_controller(piece, entry, unit, longest, greatest, start):
    controller = Controller(
        entry=entry,
        unit=unit,
        max_segments=99,
        rate_step=0.1,
        greatest_rate=greatest,
        longest_segment=None if longest is None else longest * 3600,
    )
    oven = lehr(3.0, controller)
    plan = make_plan(load(piece, oven=oven, hours=None, start_temperature=start))
    assert plan.safe
    assert_taken(plan, controller)
    for before, after in pairwise(plan.segments):
        assert after.start == before.end


@pytest.mark.parametrize("entry", list(Entry))
def test_the_best_curve_keeps_to_the_controller_in_few_segments(entry):
    """The night takes longer than its segments may last together without cutting ramps."""
    controller = Controller(
        entry=entry, max_segments=7, rate_step=0.1, greatest_rate=40.0, longest_segment=6 * 3600.0
    )
    tonight = load(plate(30.0), oven=lehr(3.0, controller), hours=None)
    plan = best_plan(tonight)
    assert plan.safe
    lines = assert_taken(plan, controller)
    assert any(b.target == a.target for a, b in pairwise(lines)) or len(lines) >= 4
    free = Controller(entry=entry, max_segments=7, rate_step=0.1)
    freer = best_plan(load(plate(30.0), oven=lehr(3.0, free), hours=None))
    assert freer.ready_at <= plan.ready_at


def test_a_long_hold_takes_several_segments_of_the_controller():
    controller = Controller(entry=Entry.TIME, max_segments=99, longest_segment=7200.0)
    plan = make_plan(load(plate(60.0), oven=lehr(3.0, controller), hours=None))
    hold = plan.segments[0].hold_time / 60
    assert hold > 120
    soak = round(kelvin_to(plan.soak_temperature))
    held = [line for line in time_lines(plan, controller) if line.target == soak]
    assert len(held) >= 2
    assert sum(line.minutes for line in held) == hold


def test_a_smallest_rate_faster_than_the_glass_stands_is_told_with_what_would_do():
    controller = Controller(smallest_rate=20.0)
    with pytest.raises(PlanError, match="smallest rate is 20") as caught:
        best_plan(load(plate(40.0), oven=lehr(3.0, controller), hours=None))
    assert caught.value.field == "smallest_rate"


def test_a_smallest_rate_that_some_ramps_could_do_without_is_kept_to():
    controller = Controller(smallest_rate=8.0, max_segments=8)
    plan = best_plan(load(plate(12.0), oven=lehr(3.0, controller), hours=None))
    assert plan.safe
    assert_taken(plan, controller)


def test_too_few_segments_for_so_long_a_night_are_told():
    controller = Controller(entry=Entry.TIME, max_segments=5, longest_segment=1800.0)
    night = load(plate(30.0), oven=lehr(3.0, controller), hours=None)
    with pytest.raises(PlanError) as first:
        make_plan(night)
    with pytest.raises(PlanError) as caught:
        best_plan(night)
    assert first.value.field in {"longest_segment", "max_segments"}
    assert caught.value.field in {"longest_segment", "max_segments"}
