"""Units: fixed points of the scales, inverses, and numbers as people type them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core import units
from core.errors import UnitError
from core.units import LengthUnit, MassUnit, TemperatureUnit

finite = st.floats(-1e4, 1e4)


def test_fixed_points():
    """NIST SP 811 (2008) B.8: 32 °F = 273.15 K, 212 °F = 373.15 K; 1 in = 25.4 mm."""
    assert units.kelvin_from(32.0, TemperatureUnit.FAHRENHEIT) == pytest.approx(273.15)
    assert units.kelvin_from(212.0, TemperatureUnit.FAHRENHEIT) == pytest.approx(373.15)
    assert units.kelvin_from(0.0) == 273.15
    assert units.metre_from(1.0, LengthUnit.INCH) == pytest.approx(0.0254)
    assert units.kilogram_from(1.0, MassUnit.POUND) == pytest.approx(0.45359237)


def test_an_interval_has_no_offset():
    assert units.interval_from(18.0, TemperatureUnit.FAHRENHEIT) == pytest.approx(10.0)
    assert units.rate_to(10.0 / 3600, TemperatureUnit.FAHRENHEIT) == pytest.approx(18.0)


@given(finite, st.sampled_from(list(TemperatureUnit)))
def test_temperatures_invert(value, unit):
    assert units.kelvin_to(units.kelvin_from(value, unit), unit) == pytest.approx(value, abs=1e-8)
    assert units.interval_to(units.interval_from(value, unit), unit) == pytest.approx(value)
    assert units.rate_to(units.rate_from(value, unit), unit) == pytest.approx(value)


@given(finite)
def test_lengths_and_masses_invert(value):
    for length in LengthUnit:
        assert units.metre_to(units.metre_from(value, length), length) == pytest.approx(value)
    for mass in MassUnit:
        assert units.kilogram_to(units.kilogram_from(value, mass), mass) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("1.5", 1.5),
        ("1,5", 1.5),
        (" 12 ", 12.0),
        ("\u22123,2", -3.2),
        (".5", 0.5),
        ("9.6e-6", 9.6e-6),
    ],
)
def test_numbers_as_typed(text, value):
    assert units.parse_number(text) == pytest.approx(value)


@pytest.mark.parametrize(
    "text", ["", "  ", "abc", "1,250.5", "1.250,5", "1 5", "nan", "inf", "1e999"]
)
def test_doubtful_numbers_are_refused(text):
    with pytest.raises(UnitError) as caught:
        units.parse_number(text, field="rate")
    assert caught.value.field == "rate"


@pytest.mark.parametrize(
    ("seconds", "text"), [(0, "0:00"), (3600, "1:00"), (38_400, "10:40"), (-1800, "-0:30")]
)
def test_durations(seconds, text):
    assert units.format_duration(seconds) == text
