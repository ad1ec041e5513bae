"""Laboratory noise and draws of author groups on made-up values whose truth is known."""

from dataclasses import replace

import numpy as np
import pytest

from core.glass.open_data.reading import read_open_data
from core.glass.property_fit.comparison import (
    chance_ahead,
    laboratory_noise,
    quantile_interval,
)

GROUP = np.array([f"author {index // 10}" for index in range(300)])


def test_equals_are_ahead_in_half_of_the_draws_and_the_better_in_all():
    generator = np.random.default_rng(1)
    ours, theirs = np.abs(generator.standard_normal((2, 300)))
    assert 0.1 < chance_ahead(ours, theirs, GROUP, 0.5) < 0.9
    assert chance_ahead(ours, 0.2 * ours, GROUP, 0.5) == 1.0
    assert chance_ahead(0.2 * theirs, theirs, GROUP, 0.9) == 0.0


def test_one_author_who_is_wrong_throughout_makes_the_tail_unsure():
    error = np.abs(np.random.default_rng(2).standard_normal(300))
    low, high = quantile_interval(error, GROUP, 0.9)
    assert low < np.quantile(error, 0.9) < high
    error[:30] = 20.0  # three authors, a tenth of the values
    wide_low, wide_high = quantile_interval(error, GROUP, 0.9)
    assert wide_high - wide_low > 5.0 * (high - low)


@pytest.mark.parametrize("apart", [0.2, 1.5])
def test_noise_is_what_laboratories_were_made_to_differ_by(apart):
    data = read_open_data()
    number, column = 400, "density_20C_gcm3"
    generator = np.random.default_rng(3)
    # Pairs of one glass, or of two that differ by known amounts, far from every other pair.
    glasses = np.zeros((number, data.weight_percent.shape[1]))
    glasses[:, 0] = 3.0 * (np.arange(number) // 2)
    glasses[1::2, 1] = apart
    truth = glasses @ np.linspace(0.1, 1.0, glasses.shape[1])
    value = truth + 0.05 * generator.standard_normal(number)
    made = replace(
        data,
        weight_percent=glasses,
        group=np.array([f"author {index}" for index in range(number)]),
        values={column: value},
        suspect={column: np.zeros(number, dtype=bool)},
    )
    everywhere = np.ones(number, dtype=bool)
    noise = laboratory_noise(made, column, everywhere, truth - value)
    assert noise.pairs == number // 2
    assert noise.median == pytest.approx(0.05 * 0.6745, rel=0.2)
    assert noise.tail == pytest.approx(0.05 * 1.645, rel=0.2)
    alone = laboratory_noise(made, column, everywhere)
    assert alone.pairs == (number // 2 if apart < 0.5 else 0)
