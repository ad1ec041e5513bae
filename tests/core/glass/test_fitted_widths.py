"""Interval widths and the fit itself on made-up laboratories whose truth is known."""

import numpy as np
import pytest

from core.glass.property_fit.mixed_fit import Measurements, Robustness, Variances, fit
from core.glass.property_fit.value_forms import LinearForm
from core.glass.property_fit.widths import Errors, calibrated


def laboratories(generator, number, strange):
    rarity = generator.random(number)
    between = np.full(number, 4.0)
    variance = np.full(number, 9.0)
    error = generator.standard_normal(number) * np.sqrt(variance + strange * rarity * between)
    group = np.array([f"group {index}" for index in generator.integers(0, 400, number)])
    return Errors(1.5 * error, variance, between, rarity, group)


@pytest.mark.parametrize("strange", [0.0, 8.0])
def test_widths_hold_nine_in_ten_of_fresh_values_usual_and_strange(strange):
    generator = np.random.default_rng(3)
    growth, (width,) = calibrated([laboratories(generator, 8000, strange)])
    fresh = laboratories(generator, 8000, strange)
    inside = np.abs(fresh.error) <= width * fresh.deviation(growth)
    usual = fresh.rarity < 0.5
    assert inside[usual].mean() == pytest.approx(0.9, abs=0.02)
    assert inside[~usual].mean() == pytest.approx(0.9, abs=0.02)


def test_one_large_group_does_not_set_the_width():
    generator = np.random.default_rng(4)
    many = laboratories(generator, 2000, 0.0)
    wild = Errors(
        error=np.concatenate([many.error, np.full(2000, 60.0)]),
        variance=np.full(4000, 9.0),
        between=np.full(4000, 4.0),
        rarity=np.zeros(4000),
        group=np.concatenate([many.group, np.full(2000, "wild")]),
    )
    _, (alone,) = calibrated([many])
    _, (together,) = calibrated([wild])
    assert together < 1.3 * alone


TRUTH = np.array([10.0, 3.0, -2.0])


def made_up(generator, glasses=600, groups=60):
    group = generator.integers(0, groups, glasses)
    group[:groups] = np.arange(groups)
    x = generator.standard_normal((glasses, 2))
    phi = np.column_stack([np.ones(glasses), x])
    value = phi @ TRUTH + generator.standard_normal(groups)[group]
    value += 0.3 * generator.standard_normal(glasses)
    return phi, group, value


def fitted(phi, group, value, *, most_shift=None, start=0.0, prior=100.0):
    measured = Measurements(
        value=value,
        kind=np.zeros(len(value), dtype=np.int64),
        row=np.arange(len(value)),
        weight=np.ones(len(value)),
        group=group,
        features=phi,
    )
    begin = Variances(np.eye(1), np.eye(1), np.ones(1), np.full((1, 3), prior))
    robust = Robustness(4.0, tied=(2, 1, 1.0), most_shift=most_shift)
    expected = np.array([[0.0, 0.0, start]])
    form = LinearForm(np.ones((1, 1)))
    return fit(measured, form, expected, begin, np.array([0, 1, 2]), robust)


def test_fit_finds_coefficients_through_biased_groups_and_wild_values():
    phi, group, value = made_up(np.random.default_rng(5))
    value[::25] += 40.0  # decade slips
    found = fitted(phi, group, value)
    assert found.beta[0] == pytest.approx(TRUTH, abs=0.25)
    deviation = np.sqrt((found.covariance_root**2).sum(axis=1))
    assert np.all(np.abs(found.beta[0] - TRUTH) < 4.0 * deviation)
    # A heavy tail is told from the middle: less than the 1.0 the groups were drawn with.
    assert 0.4 < np.sqrt(found.variances.between_groups[0, 0]) < 1.2


def test_a_laboratory_whose_whole_series_lies_off_does_not_bend_the_fit():
    phi, group, value = made_up(np.random.default_rng(6))
    # The only one to have melted glasses so rich in the second component, and 60 too low in all.
    series = np.column_stack([np.ones(40), np.zeros(40), np.linspace(3.0, 6.0, 40)])
    more = np.concatenate([value, series @ TRUTH - 60.0])
    where = np.concatenate([group, np.full(40, group.max() + 1)])
    limit = np.array([1.0])
    found = fitted(np.vstack([phi, series]), where, more, most_shift=limit)
    alone = fitted(phi, group, value, most_shift=limit)
    assert found.beta[0] == pytest.approx(alone.beta[0], abs=0.3)


def test_few_values_move_an_expected_coefficient_little_and_many_find_it():
    generator = np.random.default_rng(7)
    phi, group, value = made_up(generator)
    few = np.abs(phi[:, 2]) > 2.6
    phi[~few, 2] = 0.0
    value = phi @ TRUTH + generator.standard_normal(len(value))
    value[few] += 5.0 * np.sign(phi[few, 2])  # what the few have in common is wrong
    free = fitted(phi, group, value, start=0.0)
    held = fitted(phi, group, value, start=-2.0)
    assert abs(held.beta[0, 2] + 2.0) < abs(free.beta[0, 2] + 2.0)
