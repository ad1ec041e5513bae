"""Fits recover what a log was made with, cover it as stated, and say what a log cannot tell."""

import math
from dataclasses import replace

import numpy as np
import pytest
from quay_furnace import MELT, POT, electric, gas

from core.equipment.lehr import Lehr
from core.errors import FurnaceError, RunError, StoppedError
from core.melt.fit_interval import spread_of
from core.melt.furnace_fit import fit_furnace, scaled_furnace
from core.melt.furnace_run import FurnaceRun
from core.melt.lehr_fit import fit_lehr, followed
from core.melt.setting import Setting
from core.melt.thermal_log import ThermalLog, binned, means_over

HOUR = 3600.0
KELVIN = 273.15


def logged(plan, factors=(1.3, 0.8, 1.0), *, seed=0, noise=2.0, make=electric, metered=True):
    """A furnace off the description by these factors, logged every five minutes with noise.

    ``plan``: (hours, set point in °C or None for power off), beginning settled at the first.
    """
    described = make()
    furnace, pot = scaled_furnace(described, POT, *factors)
    run = FurnaceRun(furnace, pot, MELT, plan[0][1] + KELVIN, 20.0)
    run.settle_at(plan[0][1] + KELVIN, 0.02)
    run.longest = 300.0
    for hours, celsius in plan:
        kelvin = None if celsius is None else celsius + KELVIN
        run.go(Setting(0.0, kelvin, opening=0.02), run.time + hours * HOUR)
    course = run.course()
    time = np.arange(0.0, run.time, 300.0)
    energy = np.interp(time, course.time, course.bought)
    power = np.append(np.diff(energy) / 300.0, 0.0) / described.source.power
    read = np.interp(time, course.time, course.chamber)
    scatter = noise * np.random.default_rng(seed).standard_normal(len(time))
    return ThermalLog(time, read + scatter, np.maximum(power, 0.0), metered)


NIGHT = ((6.0, 1100.0), (10.0, 1300.0), (8.0, None), (6.0, 1100.0))


@pytest.fixture(scope="module")
def clean():
    return logged(NIGHT, noise=0.0)


def noisy(log, seed, noise=2.0):
    scatter = noise * np.random.default_rng(seed).standard_normal(len(log.time))
    return replace(log, temperature=log.temperature + scatter)


def test_the_known_factors_come_back(clean):
    fit = fit_furnace(electric(), POT, MELT, noisy(clean, 1), glass_mass=20.0)
    loss, store = fit.parameters
    assert loss.value == pytest.approx(1.3, rel=0.01)
    assert store.value == pytest.approx(0.8, rel=0.02)
    assert fit.determined
    assert fit.scatter < 3.0
    assert np.median(np.abs(fit.simulated - fit.logged)) < 3.0
    wall = fit.furnace.sections[0].layers[0].material
    plain = electric().sections[0].layers[0].material
    assert wall.conductivity[0][1] == pytest.approx(loss.value * plain.conductivity[0][1])
    assert fit.pot.material.heat_capacity[0] == pytest.approx(
        store.value * POT.material.heat_capacity[0]
    )


def test_a_gas_furnace_is_fitted_too():
    log = logged(NIGHT, (0.8, 1.2, 1.0), make=gas)
    fit = fit_furnace(gas(), POT, MELT, log, glass_mass=20.0)
    assert fit.parameters[0].value == pytest.approx(0.8, rel=0.03)
    assert fit.parameters[1].value == pytest.approx(1.2, rel=0.04)


def test_the_intervals_hold_the_truth_at_their_level(clean):
    """Nine in ten of 12 intervals: fewer than 8 would come about once in two hundred times."""
    inside = 0
    for seed in range(6):
        fit = fit_furnace(electric(), POT, MELT, noisy(clean, seed, 4.0), glass_mass=20.0)
        for parameter, true in zip(fit.parameters, (1.3, 0.8), strict=True):
            inside += parameter.low <= true <= parameter.high
            assert parameter.high / parameter.low < 1.1
    assert inside >= 8


def test_a_power_not_metered_is_told_apart_only_poorly(clean):
    metered = fit_furnace(electric(), POT, MELT, noisy(clean, 3), glass_mass=20.0)
    plate = replace(noisy(clean, 3), metered=False)
    fit = fit_furnace(electric(), POT, MELT, plate, glass_mass=20.0)
    assert [p.name for p in fit.parameters] == ["loss", "heat content", "power"]
    widths = [math.log(p.high / p.low) for p in (metered.parameters[0], fit.parameters[0])]
    assert widths[1] > 5.0 * widths[0]
    assert any("plate is taken as true" in remark for remark in fit.remarks)
    ratio = fit.parameters[0].value / fit.parameters[2].value
    if fit.parameters[2].determined:
        assert ratio == pytest.approx(1.3, rel=0.02)


def test_a_short_noisy_log_is_said_to_leave_power_and_loss_open():
    log = logged(((0.5, 1100.0), (2.0, 1140.0)), noise=15.0, metered=False)
    fit = fit_furnace(electric(), POT, MELT, log, glass_mass=20.0)
    assert not fit.determined
    assert fit.remarks
    # What was not told stays as it was described.
    assert fit.furnace.source.power == electric().source.power


def test_a_log_that_stands_still_is_refused():
    log = logged(((12.0, 1100.0),), noise=1.0)
    with pytest.raises(FurnaceError, match="moves by only"):
        fit_furnace(electric(), POT, MELT, log)


def test_a_fit_can_be_stopped(clean):
    with pytest.raises(StoppedError):
        fit_furnace(electric(), POT, MELT, clean, cancelled=lambda: True)


def test_a_log_of_another_furnace_is_said_to_be_far_off():
    log = logged(NIGHT, noise=1.0)
    fit = fit_furnace(electric(), POT, MELT, replace(log, power=0.1 * log.power), glass_mass=20.0)
    assert not fit.determined
    assert any("check the description" in remark for remark in fit.remarks)


# The log ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"time": lambda t: t[::-1]}, "not in order"),
        ({"time": lambda t: np.where(t > 5000.0, t + 20_000.0, t)}, "gap"),
        ({"temperature": lambda t: np.where(t > 0, np.nan, t)}, "not a number"),
        ({"temperature": lambda t: t * 0.0 + 9000.0}, "no furnace has"),
        ({"power": lambda p: p + 14_000.0}, "outside 0 to 1.5"),
        ({"power": lambda p: p[:-1]}, "not equally many"),
    ],
)
def test_logs_that_cannot_be_used_are_refused(clean, change, says):
    (field, make), *_ = change.items()
    with pytest.raises(RunError, match=says):
        replace(clean, **{field: make(getattr(clean, field))})


def test_too_few_readings_are_refused():
    few = np.arange(5.0)
    with pytest.raises(RunError, match="too few"):
        ThermalLog(few, few + 300.0, few * 0.0)


def test_bins_keep_the_energy(clean):
    bins = binned(clean, 300.0, 60)
    width = np.diff(np.concatenate(([0.0], bins.end)))
    exact = float(np.sum(clean.power[:-1] * np.diff(clean.time)))
    assert float(np.sum(bins.power * width)) == pytest.approx(exact, rel=1e-12)
    assert len(bins.end) < len(clean.time)


def test_means_over_bins_are_integrals():
    log = ThermalLog(np.arange(0.0, 36_000.0, 60.0), np.full(600, 900.0), np.zeros(600))
    bins = binned(log, 600.0, 600)
    time = np.unique(np.concatenate((np.linspace(0.0, bins.end[-1], 400), bins.end)))
    means = means_over(bins, time, 900.0 + 100.0 * np.exp(-time / 7000.0))
    edges = np.concatenate(([0.0], bins.end))
    decay = np.exp(-edges / 7000.0)
    exact = 900.0 + 100.0 * 7000.0 * (decay[:-1] - decay[1:]) / np.diff(edges)
    assert means == pytest.approx(exact, abs=0.01)


def test_residuals_alike_from_one_to_the_next_count_for_fewer():
    rng = np.random.default_rng(5)
    white = rng.standard_normal(400)
    drifting = np.convolve(white, np.ones(12) / math.sqrt(12), "same")
    line = np.ones((400, 1))
    order = np.arange(400.0)
    plain = spread_of(line, white, order).half_widths[0]
    wide = spread_of(line, drifting, order).half_widths[0]
    assert plain == pytest.approx(1.645 / math.sqrt(400), rel=0.15)
    assert wide > 2.0 * plain


def test_a_parameter_nothing_depends_on_has_no_interval():
    jacobian = np.column_stack([np.ones(50), np.zeros(50)])
    spread = spread_of(jacobian, np.random.default_rng(1).standard_normal(50), np.arange(50.0))
    assert spread.half_widths[0] < 1.0
    assert spread.half_widths[1] > 1e3


# The lehr ---------------------------------------------------------------------------------

LEHR = Lehr("lehr", cooling_time_constant=4 * HOUR, max_heating_rate=200.0 / HOUR)


def lehr_log(constant, rate, seed=0, noise=1.5, cool_from=5.0, hours=16.0):
    time = np.arange(0.0, hours * HOUR, 60.0)
    power = np.where(time < cool_from * HOUR, 1.0, 0.0)
    base = ThermalLog(time, np.full(len(time), 300.0), power)
    clean = followed(base, 293.15, LEHR.ambient, constant, rate)
    scatter = noise * np.random.default_rng(seed).standard_normal(len(time))
    return replace(base, temperature=clean + scatter)


def test_a_lehrs_constants_come_back_and_feed_its_limits():
    fit = fit_lehr(LEHR, lehr_log(6.5 * HOUR, 150.0 / HOUR))
    assert fit.time_constant.value == pytest.approx(6.5 * HOUR, rel=0.01)
    assert fit.full_power_rate.value == pytest.approx(150.0 / HOUR, rel=0.01)
    assert fit.lehr.cooling_time_constant == fit.time_constant.value
    top = float(fit.logged.max())
    left = 150.0 / HOUR - (top - LEHR.ambient) / (6.5 * HOUR)
    assert fit.lehr.max_heating_rate == pytest.approx(left, rel=0.1)
    assert fit.lehr.max_heating_rate <= left * 1.01
    assert fit.scatter == pytest.approx(1.5, rel=0.1)
    assert fit.remarks == ()


def test_a_lehrs_intervals_hold_the_truth_at_their_level():
    """Nine in ten of 60: fewer than 48 would come about less than once in a hundred times."""
    inside = 0
    for seed in range(30):
        fit = fit_lehr(LEHR, lehr_log(6.5 * HOUR, 150.0 / HOUR, seed, hours=9.0))
        inside += fit.time_constant.low <= 6.5 * HOUR <= fit.time_constant.high
        inside += fit.full_power_rate.low <= 150.0 / HOUR <= fit.full_power_rate.high
    assert inside >= 48


def test_followed_is_newtons_law_between_power_changes():
    log = lehr_log(5 * HOUR, 120.0 / HOUR, noise=0.0)
    late = log.time >= 6 * HOUR
    start = float(log.temperature[late][0])
    expected = LEHR.ambient + (start - LEHR.ambient) * np.exp(
        -(log.time[late] - log.time[late][0]) / (5 * HOUR)
    )
    assert log.temperature[late] == pytest.approx(expected, abs=1e-9)


def test_a_log_with_the_power_off_tells_only_the_cooling():
    whole = lehr_log(6.5 * HOUR, 150.0 / HOUR)
    part = whole.time > 5.5 * HOUR
    log = ThermalLog(whole.time[part], whole.temperature[part], whole.power[part])
    fit = fit_lehr(LEHR, log)
    assert fit.full_power_rate is None
    assert fit.time_constant.value == pytest.approx(6.5 * HOUR, rel=0.03)
    assert fit.lehr.max_heating_rate == LEHR.max_heating_rate
    assert "power was off" in fit.remarks[0]


def test_a_short_heating_leaves_the_cooling_open():
    log = lehr_log(6.5 * HOUR, 150.0 / HOUR, noise=3.0, cool_from=9.0, hours=0.5)
    fit = fit_lehr(LEHR, log)
    assert not fit.time_constant.determined
    assert fit.lehr.cooling_time_constant == LEHR.cooling_time_constant
    assert "power off and the door shut" in fit.remarks[0]


def test_a_lehr_that_stands_still_is_refused():
    log = lehr_log(6.5 * HOUR, 0.0, cool_from=0.0)
    with pytest.raises(FurnaceError, match="neither how the lehr"):
        fit_lehr(LEHR, log)
