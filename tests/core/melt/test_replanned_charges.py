"""Charges planned around sleep, and planned anew from what was charged so far."""

from dataclasses import replace
from datetime import time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from core.errors import FurnaceError, StoppedError
from core.melt.charge_plan import as_charged, plan_charges
from core.melt.charging_hours import ClosedHours
from core.melt.melt_file import parse_melt, read_melt
from core.melt.melt_night import begin, simulate_charges
from core.melt.melt_task import SetCharge
from core.melt.melt_writer import melt_to_toml

TASK = read_melt(Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml")
LISBON = ZoneInfo("Europe/Lisbon")


@pytest.fixture(scope="module")
def begun():
    return begin(TASK)


@pytest.fixture(scope="module")
def plan(begun):
    return plan_charges(TASK, begun)


def test_nothing_is_charged_in_closed_hours(begun):
    closed = ClosedHours(time(19), time(22, 30), LISBON)
    task = replace(TASK, fill=replace(TASK.fill, closed=(closed,)))
    plan = plan_charges(task, begun)
    assert plan.charges
    assert not any(closed.holds(charge.time) for charge in plan.charges)
    assert any(charge.time.astimezone(LISBON).time() >= time(22, 30) for charge in plan.charges)


def test_closed_hours_are_kept_in_the_melt_file():
    closed = (ClosedHours(time(0, 30), time(6), LISBON), ClosedHours(time(12), time(13), LISBON))
    task = replace(TASK, fill=replace(TASK.fill, closed=closed))
    assert parse_melt(melt_to_toml(task), now=task.start - timedelta(hours=1)).fill.closed == closed


@pytest.mark.parametrize("given", ['"00:30"', "[00:30:00, 06:00:00]", "[[00:30:00]]"])
def test_closed_hours_that_are_no_pairs_are_refused_with_an_example(given):
    text = melt_to_toml(TASK).replace("[fill]", f"[fill]\nclosed = {given}")
    with pytest.raises(Exception, match="not a pair of times") as caught:
        parse_melt(text)
    assert "closed = [[00:30:00, 06:00:00]]" in str(caught.value)


def test_what_was_charged_as_planned_leaves_the_plan_as_it_was(plan, begun):
    first = plan.charges[0]
    again = plan_charges(TASK, begun, charged=[first], now=first.time + timedelta(minutes=5))
    assert again.charged == (first,)
    assert again.reached == pytest.approx(plan.reached, abs=1.0)
    assert len(again.charges) == len(plan.charges) - 1
    assert min(c.time for c in again.charges) >= first.time + timedelta(minutes=5)


def test_a_late_and_small_charge_is_made_up_for(plan, begun):
    late = plan.charges[0].time + timedelta(minutes=50)
    done = SetCharge(late, plan.charges[0].material, 8.0)
    again = plan_charges(TASK, begun, charged=[done], now=late + timedelta(minutes=20))
    assert all(charge.time >= late + timedelta(minutes=20) for charge in again.charges)
    assert again.reached == pytest.approx(plan.reached, abs=1.2)
    assert again.night.charges[0].mass == 8.0
    # Written down as charges at set times, it comes out the same.
    assert simulate_charges(as_charged(TASK, again)).glass_mass == pytest.approx(
        again.reached, abs=0.2
    )


def test_a_charge_that_was_made_is_followed_even_over_the_rim(begun):
    done = SetCharge(TASK.start + timedelta(hours=1), TASK.fill.material, 40.0)
    plan = plan_charges(TASK, begun, charged=[done], now=done.time)
    assert any("40 kg of crushed harbour clear find room" in w for w in plan.night.warnings)
    assert plan.reached > 40.0


def test_a_full_pot_needs_no_more(begun):
    done = SetCharge(TASK.start + timedelta(hours=1), TASK.fill.material, 53.0)
    with pytest.raises(FurnaceError, match="already"):
        plan_charges(TASK, begun, charged=[done], now=done.time)


def test_progress_rises_to_the_end_and_a_plan_can_be_stopped(begun):
    told = []
    plan_charges(TASK, begun, progress=told.append)
    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)
    with pytest.raises(StoppedError):
        plan_charges(TASK, begun, cancelled=lambda: True)
