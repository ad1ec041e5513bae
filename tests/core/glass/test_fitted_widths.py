"""Interval widths and the fit itself on made-up laboratories whose truth is known."""

import numpy as np
import pytest

from core.glass.property_fit.mixed_fit import Measurements, Variances, fit
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


def test_fit_finds_coefficients_through_biased_groups_and_wild_values():
    generator = np.random.default_rng(5)
    glasses, groups = 600, 60
    group = generator.integers(0, groups, glasses)
    group[:groups] = np.arange(groups)
    x = generator.standard_normal((glasses, 2))
    phi = np.column_stack([np.ones(glasses), x])
    truth = np.array([10.0, 3.0, -2.0])
    value = phi @ truth + generator.standard_normal(groups)[group]
    value += 0.3 * generator.standard_normal(glasses)
    value[::25] += 40.0  # decade slips
    measured = Measurements(
        value=value,
        kind=np.zeros(glasses, dtype=np.int64),
        row=np.arange(glasses),
        weight=np.ones(glasses),
        group=group,
        features=phi,
    )
    begin = Variances(np.eye(1), np.eye(1), np.ones(1), np.full((1, 2), 100.0))
    block = np.array([0, 1, 1])
    found = fit(measured, LinearForm(np.ones((1, 1))), np.zeros((1, 3)), begin, block)
    assert found.beta[0] == pytest.approx(truth, abs=0.25)
    deviation = np.sqrt((found.covariance_root**2).sum(axis=1))
    assert np.all(np.abs(found.beta[0] - truth) < 4.0 * deviation)
    assert np.sqrt(found.variances.between_groups[0, 0]) == pytest.approx(1.0, abs=0.35)
