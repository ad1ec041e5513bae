"""A log in the wrong degrees is noticed and asked about, never converted."""

from datetime import timedelta

import numpy as np
import pytest

from core.run.readings import Readings
from core.run.unit_check import fahrenheit_suspected
from core.units import ZERO_CELSIUS, TemperatureUnit, kelvin_from, kelvin_to


def as_run(plan, shift=0.0):
    times, temperatures = plan.curve()
    time = np.arange(times[0], times[-1], 120.0)
    return time + shift, np.interp(time, times, temperatures)


def misread(kelvin, true_unit, taken_unit):
    digits = [kelvin_to(float(value), TemperatureUnit(true_unit)) for value in kelvin]
    return np.array([kelvin_from(value, TemperatureUnit(taken_unit)) for value in digits])


@pytest.mark.parametrize("unit", ["C", "F"])
def test_right_unit_is_not_doubted(plan, unit):
    time, kelvin = as_run(plan)
    assert fahrenheit_suspected(Readings(time, kelvin), plan, unit) is None
    assert fahrenheit_suspected(Readings(time, kelvin), None, unit) is None


@pytest.mark.parametrize(("true", "taken"), [("F", "C"), ("C", "F")])
@pytest.mark.parametrize("shift", [0.0, 86400.0 * 9])
def test_wrong_unit_is_noticed_with_and_without_the_plan(plan, true, taken, shift):
    time, kelvin = as_run(plan, shift)
    readings = Readings(time, misread(kelvin, true, taken))
    for beside in (plan, None):
        question = fahrenheit_suspected(readings, beside, taken)
        assert question is not None
        assert question.startswith(f"The log was read in °{taken}")
        assert question.endswith(f"in °{true}?")


def test_a_run_far_from_the_plan_is_not_called_fahrenheit(plan):
    time, kelvin = as_run(plan)
    for off in (-120.0, -60.0, 60.0, 150.0):
        assert fahrenheit_suspected(Readings(time, kelvin + off), plan, "C") is None


def test_a_power_cut_is_not_called_fahrenheit(plan):
    time, _ = as_run(plan)
    since = time - time[0]
    kelvin = ZERO_CELSIUS + 20 + 505 * np.exp(-since / 12_000)
    assert fahrenheit_suspected(Readings(time, kelvin), plan, "C") is None


@pytest.mark.parametrize(("celsius", "unit"), [(200, "C"), (1300, "C"), (900, "F")])
def test_a_hold_that_neither_unit_explains_is_not_doubted(celsius, unit):
    """Drying at 200 °C, or a furnace: the other unit makes it no annealing either."""
    time = np.arange(0.0, 20_000.0, 60.0)
    kelvin = np.full(time.size, ZERO_CELSIUS + celsius)
    assert fahrenheit_suspected(Readings(time, kelvin), None, unit) is None


def test_kelvin_and_empty_logs_are_let_be(plan):
    time, kelvin = as_run(plan)
    assert fahrenheit_suspected(Readings(time, kelvin * 1.6), plan, "K") is None
    assert fahrenheit_suspected(Readings(np.array([]), np.array([])), plan, "C") is None


def test_question_says_how_badly_it_fits(plan_from, plan):
    moved = plan_from(plan.start + timedelta(days=30))
    time, kelvin = as_run(plan)
    question = fahrenheit_suspected(Readings(time, misread(kelvin, "F", "C")), moved, "C")
    # 525 °C is 977 °F: read as 977 °C it lies 452 °C above the soak.
    assert "452 °C from the plan" in question
    assert "the other way 0 °C" in question
