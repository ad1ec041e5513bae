"""Expansion beyond 300 °C against a laboratory's figures for one clear fusing glass.

Means by range 20-300 °C 90.6, 300-400 °C 102.9 and 400-450 °C 107.5 (1e-7 1/K), published by its
maker and quoted in "CoE varies with temperature", Glass Tips (2009, revised 2025); read there.
"""

from __future__ import annotations

import pytest

from core.joined.contraction import SLOPE, SLOPE_ERROR, free_contraction
from core.units import ZERO_CELSIUS

MEAN_20_300 = 90.6


@pytest.mark.parametrize(
    ("low", "high", "published"), [(300.0, 400.0, 102.9), (400.0, 450.0, 107.5)]
)
def test_mean_expansion_of_a_range_lies_in_the_interval(low, high, published):
    def mean(slope: float) -> float:
        ends = [float(free_contraction(MEAN_20_300, t + ZERO_CELSIUS, slope)) for t in (low, high)]
        return (ends[1] - ends[0]) / (high - low)

    assert mean(SLOPE - SLOPE_ERROR) < published < mean(SLOPE + SLOPE_ERROR)
    assert mean(SLOPE) == pytest.approx(published, rel=0.03)


def test_the_mean_of_20_to_300_is_the_given_one():
    total = float(free_contraction(MEAN_20_300, 300.0 + ZERO_CELSIUS))
    assert total / 280.0 == pytest.approx(MEAN_20_300)
