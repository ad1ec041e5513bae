"""JCGM 100:2008, Guide to the expression of uncertainty in measurement (GUM).

7.2.2 gives four ways of writing a mass of 100,021 47 g with a combined standard uncertainty of
0,35 mg; 4.3.7 the standard uncertainty of a quantity that lies anywhere between two limits: the
half width over the square root of 3. From memory, unverified.
"""

import math

import pytest

from core.composition.amounts import read_amount


@pytest.mark.parametrize(
    "text",
    [
        "100,02147(35)",
        "100,02147(0,00035)",
        "100.02147(35)",
        "100.02147 (0.00035)",
        "100,02147 ± 0,00035",
    ],
)
def test_the_ways_of_writing_a_standard_uncertainty(text: str) -> None:
    amount = read_amount(text, "SiO2")
    assert amount.value == 100.02147
    assert amount.error == pytest.approx(0.00035, rel=1e-12)


@pytest.mark.parametrize(("low", "high"), [(20.0, 30.0), (0.1, 0.4), (0.0, 5.0)])
def test_limits_without_more_knowledge(low: float, high: float) -> None:
    amount = read_amount(f"{low} to {high}", "PbO")
    assert amount.value == pytest.approx((low + high) / 2)
    assert amount.error == pytest.approx((high - low) / 2 / math.sqrt(3))


def test_below_a_limit_is_between_none_and_the_limit() -> None:
    amount = read_amount("<0.1", "P2O5")
    assert (amount.value, amount.error) == pytest.approx((0.05, 0.05 / math.sqrt(3)))
