"""How hot and how long the soak is, against every soak there is."""

from dataclasses import replace
from datetime import timedelta

import pytest
from studio_loads import BUTTON, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.load.placing import Placing
from core.plan.best import solve
from core.plan.corners import ALL
from core.plan.finish import finished, holds
from core.plan.setting import setting_of
from core.plan.soak_search import shortest_hold
from core.plan.trials import FINAL, STEADY
from core.units import UnitChoice

OVEN = lehr(3.0, Controller(entry=Entry.TIME, max_segments=6))
PIPE = Placing(put_in=BUTTON - timedelta(minutes=20), core=1120.0, skin=920.0)


def seconds(plan):
    return (plan.ready_at - plan.start).total_seconds()


def test_no_soak_temperature_gives_a_night_two_per_cent_shorter():
    """Brute force: the cooling found, from every fourth soak within 20 K, replayed and eased."""
    tonight = load(plate(60.0), oven=OVEN, hours=None)
    ours = solve(tonight, UnitChoice())
    others = []
    night = ours.setting.night
    for kelvin in range(-12, 21, 4):
        soak = night.soak + kelvin
        if soak < max(r.properties.annealing_point.value for r in night.responses) + 5.0:
            continue
        setting = replace(setting_of(replace(night, soak=soak), ALL), room=5)
        cooling = replace(ours.cooling, soak=soak)
        if cooling.bottoms[0] >= soak - 2.0:
            continue
        plan = finished(cooling, setting, STEADY)
        if plan.safe:
            others.append(seconds(plan))
    assert len(others) >= 4
    assert seconds(ours.plan) <= 1.02 * min(others)


@pytest.mark.parametrize("mm", [30.0])
def test_the_hold_is_the_shortest_that_passes_where_it_is_known_how_pieces_came(mm):
    """Brute force over holds in steps of five minutes, each replayed."""
    tonight = replace(load(plate(mm), oven=OVEN, hours=None), placings={"plate": PIPE})
    ours = solve(tonight, UnitChoice())
    assert ours.plan.safe
    usual = solve(replace(tonight, placings={}), UnitChoice())
    assert ours.plan.soak_time <= usual.plan.soak_time
    setting = ours.setting
    passing = [
        hold
        for hold in (60.0 * m for m in range(0, 60, 5))
        if holds(ours.cooling, replace(setting, hold=hold), STEADY)
    ]
    assert ours.plan.soak_time <= min(passing) + 330.0


def test_a_hold_is_not_cut_where_nobody_knows_how_pieces_came():
    tonight = load(plate(20.0), oven=OVEN, hours=None)
    solved = solve(tonight, UnitChoice())
    assert shortest_hold(solved.setting, solved.cooling, solved.plan.soak_time) is None
    plan = finished(solved.cooling, solved.setting, FINAL)
    assert plan.soak_time == solved.plan.soak_time
