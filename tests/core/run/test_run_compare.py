"""The comparison of a run with its plan, against numbers had another way."""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.interpolate import PchipInterpolator, interp1d
from scipy.optimize import brentq

from core.errors import RunError
from core.run.compare import compare
from core.run.readings import Readings
from core.units import ZERO_CELSIUS

RATE = 20.0 / 3600.0


def log_of(plan, every=60.0, change=lambda time, temperature: temperature):
    """The plan's own curve, read every so many seconds and at its end."""
    times, temperatures = plan.curve()
    time = np.append(np.arange(times[0], times[-1], every), times[-1])
    values = interp1d(times, temperatures)(time)
    return Readings(time, change(time - times[0], values))


def test_a_log_equal_to_the_plan_shows_no_deviation_and_the_planned_rates(plan):
    result = compare(plan, log_of(plan))
    assert result.max_deviation == pytest.approx(0, abs=1e-6)
    assert result.mean_deviation == pytest.approx(0, abs=1e-6)
    assert result.transformation_rate == pytest.approx(RATE, rel=1e-6)
    assert result.planned_transformation_rate == pytest.approx(RATE, rel=1e-9)
    assert result.fastest_rate == pytest.approx(RATE, rel=1e-6)
    # Two hours at 525 °C, and 5 K more at 20 K/h.
    assert result.planned_soak_time == pytest.approx(7200 + 900)
    assert result.soak_time == pytest.approx(8100, abs=0.01)
    assert result.gaps == ()
    assert result.warnings == ()


def test_deviation_has_the_sign_of_the_actual_and_its_time(plan):
    def bump(time, temperature):
        return temperature + np.where(np.abs(time - 3600) < 30, -12.5, 3.0)

    result = compare(plan, log_of(plan, change=bump))
    assert result.max_deviation == pytest.approx(-12.5)
    assert result.max_deviation_time == pytest.approx(plan.start.timestamp() + 3600)


def test_mean_deviation_is_the_mean_over_time_not_over_readings(plan):
    """Many readings crowded into one hour must not weigh more: dense numerical integral."""
    start = plan.start.timestamp()
    rng = np.random.default_rng(7)
    sparse = np.arange(0.0, 40000.0, 300.0)
    crowded = np.sort(rng.uniform(9000, 12000, 500))
    offsets = np.unique(np.concatenate((sparse, crowded)))
    deviation = 8.0 * np.sin(offsets / 2500.0)
    time = start + offsets
    result = compare(plan, Readings(time, plan.temperature_at(time) + deviation))
    dense = np.linspace(offsets[0], offsets[-1], 2_000_001)
    expected = np.trapezoid(np.abs(np.interp(dense, offsets, deviation)), dense) / (
        dense[-1] - dense[0]
    )
    assert result.mean_deviation == pytest.approx(expected, rel=1e-6)


def test_rate_of_an_exponential_fall_is_the_analytic_one(plan):
    """T = 20 + 505 exp(-t/tau): crossing times are tau ln(505/(T - 20))."""
    tau = 90_000.0
    start = plan.start.timestamp()
    offsets = np.arange(0.0, 40_000.0, 30.0)
    temperature = ZERO_CELSIUS + 20 + 505 * np.exp(-offsets / tau)
    result = compare(plan, Readings(start + offsets, temperature))
    leaves = tau * np.log(505 / 500)
    arrives = tau * np.log(505 / 455)
    assert result.transformation_rate == pytest.approx(45 / (arrives - leaves), rel=1e-5)
    # It falls fastest at first: the mean over the first 15 minutes below 520 °C, less the half
    # minute in which the window's first reading comes.
    fall = 500 * (1 - np.exp(-900 / tau))
    assert result.fastest_rate == pytest.approx(fall / 900, rel=30 / tau)
    # In the band 520 to 525 °C from the start until 520 °C is passed.
    assert result.soak_time == pytest.approx(leaves, rel=1e-4)


def test_soak_time_and_crossings_of_a_smooth_curve_match_root_finding(plan):
    start = plan.start.timestamp()
    knots = np.array([0, 1800, 3600, 6000, 9000, 20000, 30000.0])
    levels = ZERO_CELSIUS + np.array([505, 523, 534, 524, 522, 480, 430.0])
    smooth = PchipInterpolator(knots, levels)
    offsets = np.arange(0.0, 30000.0, 5.0)
    result = compare(plan, Readings(start + offsets, smooth(offsets)))

    def crossing(level, low, high):
        return brentq(lambda t: float(smooth(t)) - ZERO_CELSIUS - level, low, high)

    enters, overshoots = crossing(520, 0, 1800), crossing(530, 1800, 3600)
    returns, leaves = crossing(530, 3600, 6000), crossing(520, 9000, 20000)
    assert result.soak_time == pytest.approx((overshoots - enters) + (leaves - returns), abs=0.5)
    arrives = crossing(475, 20000, 30000)
    assert result.transformation_rate == pytest.approx(45 / (arrives - leaves), rel=1e-5)


def test_fastest_rate_matches_a_brute_force_search_with_polyfit(plan):
    """A smooth curve that is steepest somewhere in the middle, read at odd times."""
    rng = np.random.default_rng(3)
    start = plan.start.timestamp()
    offsets = np.cumsum(rng.uniform(20, 60, 500))
    temperature = ZERO_CELSIUS + 497 - 30 * np.tanh((offsets - 9000) / 4000)
    result = compare(plan, Readings(start + offsets, temperature))
    inside = (temperature < ZERO_CELSIUS + 520) & (temperature > ZERO_CELSIUS + 475)
    t, v = offsets[inside], temperature[inside]
    brute = 0.0
    for begin in t[t <= t[-1] - 900]:
        window = (t >= begin) & (t <= begin + 900)
        brute = max(brute, -np.polyfit(t[window] - begin, v[window], 1)[0])
    assert result.fastest_rate == pytest.approx(brute, rel=1e-6)
    assert result.fastest.start - start == pytest.approx(9000 - 450, abs=60)


def test_a_gap_is_reported_and_never_bridged(plan):
    full = log_of(plan)
    offsets = full.time - full.time[0]
    keep = (offsets < 1800) | (offsets > 5400)
    result = compare(plan, Readings(full.time[keep], full.temperature[keep]))
    (gap,) = result.gaps
    assert gap.start - full.time[0] == 1740
    assert gap.duration == pytest.approx(5460 - 1740)
    assert result.soak_time == pytest.approx(8100 - gap.duration, abs=1)


def test_no_rate_is_made_up_where_a_crossing_lies_in_a_gap(plan):
    full = log_of(plan)
    hidden = np.abs(full.temperature - plan.transformation_bottom) < 5
    result = compare(plan, Readings(full.time[~hidden], full.temperature[~hidden]))
    assert result.transformation_rate is None
    assert result.fastest_rate is None
    assert result.planned_transformation_rate is not None
    assert any("no cooling rate" in warning for warning in result.warnings)


def test_spacing_of_a_slow_logger_is_no_gap(plan):
    assert compare(plan, log_of(plan, every=1200.0)).gaps == ()
    assert len(compare(plan, log_of(plan, every=1200.0), gap_after=900.0).gaps) > 10


def test_second_thoughts_at_the_annealing_point_do_not_count(plan):
    """A chamber that dips below the top and comes back: from the last crossing downward."""
    start = plan.start.timestamp()
    offsets = np.array([0, 3600, 4200, 4800, 9000, 9000 + 45 * 180, 9000 + 55 * 180.0])
    levels = ZERO_CELSIUS + np.array([525, 525, 515, 525, 520, 475, 465.0])
    time = np.arange(0, offsets[-1] + 1, 60.0)
    readings = Readings(start + time, np.interp(time, offsets, levels))
    assert compare(plan, readings).transformation_rate == pytest.approx(RATE, rel=1e-6)


def test_log_that_starts_late_and_ends_early_says_so(plan):
    full = log_of(plan)
    part = (full.temperature > ZERO_CELSIUS + 490) & (full.time > full.time[0] + 3600)
    result = compare(plan, Readings(full.time[part], full.temperature[part]))
    assert any("begins 1:01 (h:mm) after" in warning for warning in result.warnings)
    assert any("before the strain point" in warning for warning in result.warnings)
    assert result.transformation_rate is None


def test_deviation_is_nan_outside_the_plan_only(plan):
    full = log_of(plan)
    time = np.concatenate((full.time[:1] - 900, full.time, full.time[-1:] + 900))
    temperature = np.concatenate(([700.0], full.temperature, [900.0]))
    result = compare(plan, Readings(time, temperature))
    assert np.isnan(result.deviation[[0, -1]]).all()
    assert np.isfinite(result.deviation[1:-1]).all()
    assert result.max_deviation == pytest.approx(0, abs=1e-6)


def test_a_log_of_another_night_is_refused_with_both_spans(plan):
    full = log_of(plan)
    with pytest.raises(RunError) as caught:
        compare(plan, Readings(full.time - 86400 * 3, full.temperature))
    assert "2026-11-24 17:30 UTC" in str(caught.value)
    assert "2026-11-21 17:30 UTC" in str(caught.value)


def test_no_readings_and_impossible_options_are_refused(plan):
    with pytest.raises(RunError, match="no readings"):
        compare(plan, Readings(np.array([]), np.array([])))
    for option in ({"soak_band": 0.0}, {"soak_band": float("nan")}, {"gap_after": 0.0}):
        with pytest.raises(RunError):
            compare(plan, log_of(plan), **option)


def test_a_single_reading_is_compared(plan):
    time = np.array([plan.start.timestamp() + 600])
    result = compare(plan, Readings(time, np.array([ZERO_CELSIUS + 520])))
    assert result.max_deviation == pytest.approx(-5)
    assert result.mean_deviation == pytest.approx(5)
    assert result.soak_time == 0
    assert result.transformation_rate is None


@settings(max_examples=60, deadline=None)
@given(
    shift=st.integers(-10_000_000, 10_000_000),
    values=st.lists(st.floats(300, 900), min_size=5, max_size=60),
    every=st.integers(30, 1500),
)
def test_shifting_plan_and_log_alike_changes_nothing(plan_from, shift, values, every):
    plan = plan_from()
    offsets = np.arange(len(values)) * float(every)
    here = compare(plan, Readings(plan.start.timestamp() + offsets, np.array(values)))
    moved = plan_from(plan.start + timedelta(seconds=shift))
    there = compare(moved, Readings(moved.start.timestamp() + offsets, np.array(values)))
    for name in ("max_deviation", "mean_deviation", "soak_time", "planned_soak_time"):
        assert getattr(there, name) == pytest.approx(getattr(here, name), rel=1e-5, abs=1e-3)
    for name in ("transformation_rate", "fastest_rate"):
        first, second = getattr(here, name), getattr(there, name)
        assert (first is None) == (second is None)
        assert first is None or second == pytest.approx(first, rel=1e-4)
    assert len(here.gaps) == len(there.gaps)
    assert here.warnings == there.warnings


@settings(max_examples=80, deadline=None)
@given(
    values=st.lists(st.floats(250, 1000), min_size=1, max_size=40),
    band=st.floats(0.1, 100),
    spacing=st.lists(st.floats(0.5, 5000), min_size=40, max_size=40),
)
def test_no_nan_whatever_the_log(plan, values, band, spacing):
    time = plan.start.timestamp() + np.cumsum(np.array(spacing[: len(values)]))
    try:
        result = compare(plan, Readings(time, np.array(values)), soak_band=band)
    except RunError:
        assert (time > plan.ready_at.timestamp()).all()
        return
    numbers = [result.max_deviation, result.mean_deviation, result.soak_time]
    rates = [result.transformation_rate, result.fastest_rate]
    assert np.isfinite(numbers + [rate for rate in rates if rate is not None]).all()
    assert all(rate is None or rate > 0 for rate in rates)
    assert 0 <= result.soak_time <= time[-1] - time[0] + 1e-6


def test_a_reading_no_lehr_can_jump_to_is_warned_of(plan):
    def glitch(time, temperature):
        return np.where(np.isclose(time, 3600), ZERO_CELSIUS, temperature)

    (warning,) = compare(plan, log_of(plan, change=glitch)).warnings
    assert "2 times" in warning
    assert "thermocouple" in warning

    def door(time, temperature):
        return temperature - np.where(abs(time - 3600) < 90, 80.0, 0.0)

    assert compare(plan, log_of(plan, change=door)).warnings == ()
