"""A night's answers: charges, melting, fining, conditioning, energy, idling."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
import pytest

from core.errors import FurnaceError
from core.melt.charge_plan import as_charged, plan_charges, plan_night
from core.melt.fining import Fining, risen
from core.melt.furnace_limits import ceiling, holding
from core.melt.heating_curve import CHARGING_FROM, PotCare, heating_curve, heating_time
from core.melt.melt_file import read_melt
from core.melt.melt_night import begin, simulate_charges
from core.melt.melt_task import SetCharge
from core.melt.melt_words import (
    CAUTIONS,
    energy_sentence,
    heating_sentences,
    plan_sentence,
    verdict_of,
    weekend_sentences,
    where_it_went,
)
from core.melt.set_points import SetPoints
from core.melt.weekend import compare_weekend
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

HOUR = 3600.0
IMPERIAL = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
KELVIN = 273.15
TASK = read_melt(Path(__file__).parents[3] / "demo_data" / "quay_pot_overnight.toml")


@pytest.fixture(scope="module")
def plan():
    return plan_charges(TASK)


def with_power(kilowatts):
    source = replace(TASK.furnace.source, power=kilowatts * 1000.0)
    return replace(TASK, furnace=replace(TASK.furnace, source=source))


def test_the_plan_fills_the_pot_in_time(plan):
    night = plan.night
    assert plan.short == pytest.approx(0.0, abs=1e-6)
    # 1 lb is 0.453 592 37 kg exactly, NIST SP 811 B.8.
    assert f"{plan.reached / 0.45359237:.1f} lb" in plan_sentence(plan, IMPERIAL)
    assert heating_sentences(plan.night, UnitChoice()) == []
    assert night.glass_mass == pytest.approx(55.0, abs=0.01)
    assert night.in_time
    assert night.melted < night.fined < night.workable
    assert sum(charge.mass for charge in plan.charges) == pytest.approx(53.0, abs=0.01)
    assert max(charge.mass for charge in plan.charges) <= 18.0 + 1e-9
    assert night.course.worst_imbalance < 1e-3


def test_no_charge_stands_above_the_freeboard(plan):
    melt, pot = plan.night.melt, TASK.pot
    in_pot = 2.0
    for charge in plan.charges:
        heaped = in_pot / melt.density + charge.mass / 1200.0
        assert heaped <= pot.usable_volume * (1 + 1e-6)
        in_pot += charge.mass


def test_nothing_is_charged_into_a_pot_still_too_cold_or_when_nobody_is_there(plan):
    night = plan.night
    chamber = np.interp([c.time for c in night.charges], night.course.time, night.course.chamber)
    assert chamber.min() > CHARGING_FROM - 75.0
    assert all(charge.time <= TASK.fill.attended_until for charge in plan.charges)


def test_the_plan_written_down_comes_out_the_same(plan):
    again = simulate_charges(as_charged(TASK, plan))
    assert again.glass_mass == pytest.approx(plan.night.glass_mass, abs=0.01)
    assert again.workable == pytest.approx(plan.night.workable, abs=900.0)


def test_the_glass_is_fined_when_the_bubble_has_crossed_it(plan):
    night = plan.night
    between = (night.course.time >= night.melted) & (night.course.time <= night.fined)
    way = risen(TASK.fining, night.melt, night.course.time[between], night.course.glass[between])
    assert way[-1] == pytest.approx(night.depth, rel=0.02)


def test_a_smaller_bubble_takes_longer_and_a_free_surface_less(plan):
    small = plan_charges(replace(TASK, fining=Fining(0.4e-3))).night
    waits = [n.fined - n.melted for n in (small, plan.night)]
    assert waits[0] / waits[1] == pytest.approx((0.5 / 0.4) ** 2, rel=0.1)


def test_no_spoonful_is_charged_by_itself():
    task = read_melt(Path(__file__).parents[3] / "demo_data" / "float_pot_from_cold.toml")
    found = plan_charges(task)
    capacity = task.pot.capacity(found.night.melt.density)
    assert min(charge.mass for charge in found.charges) > 0.02 * capacity
    assert found.filled
    assert found.short < 0.025 * capacity


def test_too_late_says_by_how_much():
    task = replace(TASK, workable_by=TASK.start + timedelta(hours=8))
    night, _ = plan_night(task)
    assert night.in_time is False
    assert "late" in verdict_of(night, None)


def test_a_short_evening_leaves_the_pot_short():
    fill = replace(TASK.fill, attended_until=TASK.start + timedelta(hours=1))
    found = plan_charges(replace(TASK, fill=fill))
    assert found.short > 10.0
    assert not found.filled
    assert found.reached + found.short == pytest.approx(55.0)


@pytest.mark.parametrize(
    ("change", "says", "field"),
    [
        ({"to": 500.0}, "more than the pot holds", "to"),
        ({"to": 2.0}, "nothing is to be charged", "to"),
    ],
)
def test_fillings_that_cannot_be_are_refused(change, says, field):
    with pytest.raises(FurnaceError, match=says) as fault:
        plan_charges(replace(TASK, fill=replace(TASK.fill, **change)))
    assert fault.value.field == field


def test_a_furnace_too_weak_says_its_ceiling():
    weak = with_power(1.5)
    top = ceiling(weak.furnace, weak.pot, plan_melt(), 0.02)
    assert 700.0 < top - KELVIN < 1250.0
    with pytest.raises(FurnaceError, match=f"comes to rest at {top - KELVIN:.0f} °C"):
        begin(weak)


def plan_melt():
    return begin(TASK).melt


def test_the_ceiling_rises_with_power_and_holding_it_takes_that_power():
    melt = plan_melt()
    tops = [ceiling(with_power(p).furnace, TASK.pot, melt, 0.02) for p in (1.0, 1.5, 2.0)]
    assert tops == sorted(tops)
    held = holding(TASK.furnace, TASK.pot, melt, tops[2] - 0.5, 2.0, 0.02)
    assert held.power == pytest.approx(2000.0, rel=0.01)
    assert held.walls + held.opening + held.flue == pytest.approx(held.power, rel=1e-3)
    assert all(TASK.furnace.ambient < t < 450.0 for _, t in held.shell)


def test_a_charge_at_a_set_time_that_does_not_fit_names_the_time():
    charges = (SetCharge(TASK.start + timedelta(hours=2), "crushed harbour clear", 80.0),)
    with pytest.raises(FurnaceError, match=r"At 19:30: .*overfill") as fault:
        simulate_charges(replace(TASK, fill=None, charges=charges))
    assert fault.value.field == "mass"


def test_a_cold_furnace_follows_the_pots_curve_first():
    task = replace(TASK, furnace_temperature=None, workable_by=None, glass_mass=0.0)
    task = replace(task, fill=replace(task.fill, attended_until=None))
    found, _ = plan_night(task)
    assert len(found.heating) == 5
    assert found.charges[0].time > 30 * HOUR
    (told,) = heating_sentences(found, UnitChoice())
    assert told.startswith("Heating for the pot's sake: 19 °C/h to 110 °C, held 2:00 h; ")
    slow = found.course.chamber < 590.0 + KELVIN
    rates = np.diff(found.course.chamber[slow]) / np.diff(found.course.time[slow])
    assert rates.max() * HOUR < 30.0
    assert found.workable is not None
    assert found.course.worst_imbalance < 1e-3


def test_cold_cullet_charged_early_is_warned_of():
    charges = (SetCharge(TASK.start + timedelta(hours=1), "crushed harbour clear", 10.0),)
    task = replace(TASK, fill=None, charges=charges, furnace_temperature=None, workable_by=None)
    assert any("1150 °C" in warning for warning in simulate_charges(task).warnings)


def test_a_pot_only_heated_is_fined_and_conditioned():
    night = simulate_charges(replace(TASK, fill=None, glass_mass=50.0))
    assert night.charges == ()
    assert night.workable is not None


@pytest.mark.parametrize("care", PotCare)
def test_every_curve_is_slow_through_the_inversions(care):
    steps = heating_curve(care, 293.15, 1573.15)
    assert steps[-1].target == 1573.15
    at = 293.15
    for step in steps:
        crosses = at < 573.0 + KELVIN < step.target
        if crosses and care is not PotCare.DENSE_ALUMINA:
            # Fortuna 2000, Sanitaryware: no faster than 50 °C/h through the quartz inversion.
            assert step.rate * HOUR <= 50.0
        at = step.target
    assert heating_time(steps, 293.15) > heating_time(steps[1:], steps[0].target)


def test_a_curve_from_half_way_leaves_out_what_is_behind():
    steps = heating_curve(PotCare.CLAY_ALUMINA, 873.15, 1373.15)
    assert [round(step.target - KELVIN) for step in steps] == [750, 1100]
    with pytest.raises(FurnaceError):
        heating_curve(PotCare.CLAY_ALUMINA, 1400.0, 1300.0)


def test_set_points_follow_the_curve_and_hold():
    steps = heating_curve(PotCare.DENSE_ALUMINA, 293.15, 773.15)
    points = SetPoints.along(steps, 100.0, 293.15)
    for setting, until in points.pieces(0.0, points.end + 50.0, 0.0):
        assert until > 0.0
        assert 293.0 <= setting.set_point(until) <= 773.2
    assert points.pieces(points.end, points.end + 9.0, 0.0)[-1][0].temperature == 773.15


def test_shutting_down_for_a_long_break_saves_energy_and_is_hot_again_in_time():
    weekend = compare_weekend(TASK, 110 * HOUR, 20.0)
    assert weekend.saved > 0.0
    assert weekend.shut.course.chamber[-1] == pytest.approx(TASK.programme.working, abs=10.0)
    assert weekend.idling.course.chamber[-1] == pytest.approx(TASK.programme.working, abs=2.0)
    longer = compare_weekend(TASK, 160 * HOUR, 20.0)
    assert longer.saved > weekend.saved
    # 1 °C is 1.8 °F above 32 °F, NIST SP 811 B.8.
    coldest = weekend_sentences(weekend, "EUR", IMPERIAL)[1].rpartition("from ")[2]
    assert coldest == f"{(weekend.coldest - KELVIN) * 1.8 + 32.0:.0f} °F."


def test_a_break_too_short_to_heat_again_says_so():
    slow = replace(TASK, pot_care=PotCare.FIRECLAY)
    weekend = compare_weekend(slow, 2 * HOUR, 0.0)
    assert weekend.shut is None
    assert weekend.saved is None


def test_the_energy_is_said_with_cost_and_where_it_went(plan):
    assert "kWh of electricity, EUR" in energy_sentence(plan.night)
    rows = dict(where_it_went(plan.night))
    total = sum(float(value.split()[0]) for value in rows.values())
    assert total == pytest.approx(plan.night.energy / 3.6e6, abs=0.3)
    assert any("licensed" in caution for caution in CAUTIONS)
