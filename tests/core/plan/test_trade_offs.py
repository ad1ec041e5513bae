"""What a night would gain, against the neighbouring nights drawn up one by one."""

from dataclasses import replace

import pytest
from studio_loads import ball, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.plan.best import best_plan
from core.plan.trade_off_words import trade_off_sentences
from core.plan.trade_offs import trade_offs
from core.units import UnitChoice

OVEN = lehr(3.0, Controller(entry=Entry.TIME, max_segments=6))
PRISM, PANE = ball(70.0), plate(5.0, name="pane")


def seconds(wanted):
    plan = best_plan(wanted)
    return (plan.ready_at - plan.start).total_seconds()


def test_gains_are_those_of_the_neighbouring_nights():
    tonight = load(PRISM, PANE, oven=OVEN, hours=None)
    found = trade_offs(tonight)
    whole = seconds(tonight)
    assert found.without.piece == PRISM.name
    assert found.without.next_piece in {"", PANE.name}
    rest = seconds(replace(tonight, pieces=(PANE,)))
    assert found.without.saved == pytest.approx(whole - rest, abs=120.0)
    even = seconds(replace(tonight, lehr=replace(OVEN, unevenness=0.0)))
    (cost,) = [c for c in found.margins if c.name == "unevenness"]
    # Two searches from different beginnings end within a per cent of each other.
    assert cost.seconds == pytest.approx(whole - even, abs=0.012 * whole)
    assert found.hour_more.with_hour > found.hour_more.margin >= 1.0


def test_sentences_put_the_largest_gain_first_and_a_lone_piece_cannot_be_left_out():
    tonight = load(PANE, oven=OVEN, hours=None)
    found = trade_offs(tonight)
    assert found.without is None
    told = trade_off_sentences(trade_offs(load(PRISM, PANE, oven=OVEN, hours=None)), UnitChoice())
    assert told[0].startswith(f"Without “{PRISM.name}”: ready ")
    assert any("annealing point is uncertain by 5 °C" in sentence for sentence in told)
    assert told[-1].startswith("One more hour")


def test_a_night_too_short_says_what_stands_against_it_and_the_least_that_would_do():
    tonight = load(ball(50.0), oven=OVEN, hours=None)
    shortest = seconds(tonight) / 3600
    hurried = load(ball(50.0), oven=OVEN, hours=shortest - 1.5)
    found = trade_offs(hurried)
    assert found.conflict.late == pytest.approx(1.5 * 3600, abs=120.0)
    assert 1.0 < found.conflict.needed / found.conflict.allowed < 3.0
    # The least that would do does: with limits so much higher the hour is kept.
    raised = found.conflict.needed / found.conflict.allowed
    limits = hurried.limits
    eased = replace(
        limits,
        permanent_tension=limits.permanent_tension * raised * 1.02,
        temporary_tension=limits.temporary_tension * raised * 1.02,
    )
    assert seconds(replace(hurried, limits=eased)) <= (shortest - 1.5) * 3600 + 600
    told = trade_off_sentences(found, UnitChoice())
    assert "cannot both be kept" in told[0]
    impossible = trade_offs(load(ball(50.0), oven=OVEN, hours=4.0))
    assert impossible.conflict.needed is None
