"""Hours over the change of the clocks, past midnight, and castings of several days.

Source: the zone's rules in the IANA time zone database (Europe/Lisbon: forward at 01:00 UTC on
29 March 2026, back at 01:00 UTC on 25 October 2026).
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from studio_loads import ball, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.load.load_file import parse_load
from core.plan.best import best_plan
from core.plan.planner import make_plan
from core.plan.words import verdict_sentence

LISBON = ZoneInfo("Europe/Lisbon")
NOW = datetime(2026, 1, 1, tzinfo=UTC)
TEXT = """
button_pressed = {button}
out_by = {out}
timezone = "Europe/Lisbon"
[lehr]
cooling_time_constant_h = 1.5
[[pieces]]
name = "float"
glass = "clear float"
wall_mm = 3
"""


@pytest.mark.parametrize(
    ("button", "out", "hours"),
    [
        ("2026-03-28T22:00:00", "2026-03-29T08:00:00", 9),
        ("2026-10-24T22:00:00", "2026-10-25T08:00:00", 11),
        ("2026-11-24T22:00:00", "2026-11-25T08:00:00", 10),
    ],
)
def test_the_night_is_an_hour_shorter_in_spring_and_longer_in_autumn(button, out, hours):
    night = parse_load(TEXT.format(button=button, out=out), now=NOW)
    assert night.out_by - night.button_time == timedelta(hours=hours)
    plan = make_plan(night)
    needed = plan.ready_at - plan.start
    assert plan.feasible is (needed <= timedelta(hours=hours))
    assert plan.lateness == needed - timedelta(hours=hours)
    clock = plan.ready_at.astimezone(LISBON)
    assert f"{clock:%H:%M}" in verdict_sentence(plan, LISBON)


def test_the_same_night_takes_as_long_whatever_the_clocks_do():
    spring = datetime(2026, 3, 28, 20, 0, tzinfo=LISBON).astimezone(UTC)
    autumn = datetime(2026, 10, 24, 20, 0, tzinfo=LISBON).astimezone(UTC)
    lengths, clocks = [], []
    for button in (spring, autumn):
        plan = make_plan(replace(load(plate(6.0), hours=None), button_time=button))
        lengths.append(plan.ready_at - plan.start)
        clocks.append(
            plan.ready_at.astimezone(LISBON).replace(tzinfo=None)
            - button.astimezone(LISBON).replace(tzinfo=None)
        )
    assert lengths[0] == lengths[1]
    assert clocks[0] - clocks[1] == timedelta(hours=2)


def test_a_thick_casting_runs_over_the_weekend_and_the_weekday_is_said():
    friday = datetime(2026, 11, 27, 17, 0, tzinfo=UTC)
    oven = lehr(4.0, Controller(entry=Entry.TIME, max_segments=8))
    tonight = replace(
        load(ball(110.0), oven=oven, hours=None), button_time=friday,
        out_by=friday + timedelta(days=21),
    )  # fmt: skip
    plan = best_plan(tonight)
    assert plan.safe
    assert plan.feasible
    assert plan.ready_at - plan.start > timedelta(days=2.5)
    ready = plan.ready_at.astimezone(LISBON)
    assert f"{ready:%A}" in verdict_sentence(plan, LISBON)
    assert all(a.end == b.start for a, b in zip(plan.segments, plan.segments[1:], strict=False))
