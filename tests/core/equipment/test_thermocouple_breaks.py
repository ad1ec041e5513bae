"""Values that a broken thermocouple gives; common practice, no source."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.equipment.thermocouple import break_reason, is_break

ENDS_OF_RANGES = (1300, 1370, 1372, 1768, 1768.1, 1820, -200, -210, -270)
FILLERS = (-999, -99.9, 999, 999.9, 9999, 3276.7, -3276.8, 32767, -32768, 6553.5, 65535)


@pytest.mark.parametrize("celsius", [*ENDS_OF_RANGES, *FILLERS, float("inf")])
def test_break_values_in_celsius(celsius):
    assert is_break(celsius)


@pytest.mark.parametrize(
    ("fahrenheit", "words"),
    [
        (2501.6, "type K"),  # 1372 °C
        (2502, "type K"),
        (2498, "type K"),  # 1370 °C
        (2372, "type N"),
        (3214.4, "type R and S"),
        (-328, "foot"),  # -200 °C
        (-454, "type K and N"),
        (9999, "filler"),
        (32767, "filler"),
    ],
)
def test_break_values_in_fahrenheit(fahrenheit, words):
    reason = break_reason(fahrenheit, "F")
    assert reason is not None
    assert words in reason


@pytest.mark.parametrize("fahrenheit", [999, 999.9, 1000, 1200, 70, -40, 1562])
def test_fahrenheit_soaks_are_no_breaks(fahrenheit):
    """999 °F is 537 °C, an ordinary soak."""
    assert break_reason(fahrenheit, "F") is None


def test_kelvin_breaks():
    assert break_reason(1645.15, "K") is not None
    assert break_reason(793.15, "K") is None


@given(st.floats(-50, 990))
def test_temperatures_of_a_lehr_are_no_breaks(celsius):
    assert not is_break(celsius)


@pytest.mark.parametrize("celsius", [0, 850, 327.67])
def test_values_that_occur_are_no_breaks(celsius):
    """850 °C is the top of a Pt100, but also a temperature a hot lehr passes through."""
    assert not is_break(celsius)
