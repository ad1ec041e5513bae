"""Tolerance classes of thermocouples.

Source: IEC 60584-1:2013 (classes formerly in IEC 60584-2), as printed in makers' tables; numbers
worked out by hand from the printed formulas: K and N class 1 max(1.5, 0.004 |t|) from -40 to
1000 °C, class 2 max(2.5, 0.0075 |t|) from -40 to 1200 °C, class 3 max(2.5, 0.015 |t|) from -200
to 40 °C; R and S class 1 1 °C up to 1100 °C and then 1 + 0.003 (t - 1100), class 2
max(1.5, 0.0025 |t|), both from 0 to 1600 °C.
"""

import pytest

from core.equipment.thermocouple import (
    REFERENCE_RANGE,
    TOLERANCES,
    ThermocoupleType,
    change_over,
    tolerance,
)
from core.errors import EquipmentError
from core.units import kelvin_from, kelvin_to

K, N, R, S = ThermocoupleType


@pytest.mark.parametrize("kind", [K, N])
@pytest.mark.parametrize(
    ("tolerance_class", "celsius", "expected"),
    [
        (1, -40, 1.5),
        (1, 20, 1.5),
        (1, 375, 1.5),
        (1, 500, 2.0),
        (1, 1000, 4.0),
        (2, 0, 2.5),
        (2, 333, 2.5),
        (2, 400, 3.0),
        (2, 560, 4.2),
        (2, 1200, 9.0),
        (3, 40, 2.5),
        (3, -100, 2.5),
        (3, -200, 3.0),
    ],
)
def test_base_metal_tolerance(kind, tolerance_class, celsius, expected):
    found = tolerance(kind, kelvin_from(celsius), tolerance_class=tolerance_class)
    assert found == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("kind", [R, S])
@pytest.mark.parametrize(
    ("tolerance_class", "celsius", "expected"),
    [
        (1, 0, 1.0),
        (1, 1000, 1.0),  # some pages print 1000 for 1100: wrong
        (1, 1100, 1.0),
        (1, 1200, 1.3),
        (1, 1600, 2.5),
        (2, 300, 1.5),
        (2, 600, 1.5),
        (2, 1000, 2.5),
        (2, 1600, 4.0),
    ],
)
def test_noble_metal_tolerance(kind, tolerance_class, celsius, expected):
    found = tolerance(kind, kelvin_from(celsius), tolerance_class=tolerance_class)
    assert found == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize(
    ("kind", "tolerance_class", "celsius"),
    [(K, 1, 375), (K, 2, 333), (K, 3, -167), (N, 2, 333), (R, 1, 1100), (S, 2, 600)],
)
def test_change_over_temperature(kind, tolerance_class, celsius):
    """Makers print these rounded to whole degrees."""
    assert round(kelvin_to(change_over(kind, tolerance_class))) == celsius


@pytest.mark.parametrize(
    ("kind", "tolerance_class", "low", "high"),
    [
        (K, 1, -40, 1000),
        (K, 2, -40, 1200),
        (K, 3, -200, 40),
        (N, 1, -40, 1000),
        (R, 1, 0, 1600),
        (S, 2, 0, 1600),
    ],
)
def test_range_of_a_class_is_refused_beyond_its_ends(kind, tolerance_class, low, high):
    for celsius in (low, high):
        tolerance(kind, kelvin_from(celsius), tolerance_class=tolerance_class)
    for celsius in (low - 1, high + 1):
        with pytest.raises(EquipmentError, match="outside class"):
            tolerance(kind, kelvin_from(celsius), tolerance_class=tolerance_class)
        tolerance(kind, kelvin_from(celsius), tolerance_class=tolerance_class, extend=True)


def test_there_is_no_class_3_for_noble_metals():
    with pytest.raises(EquipmentError, match="no tolerance class 3"):
        tolerance(S, kelvin_from(20), tolerance_class=3)


def test_a_class_never_reaches_beyond_the_reference_function():
    """NIST Monograph 175: K -270 to 1372, N to 1300, R and S -50 to 1768.1 °C.

    From memory, unverified.
    """
    for kind, classes in TOLERANCES.items():
        low, high = REFERENCE_RANGE[kind]
        assert all(low <= one.lowest < one.highest <= high for one in classes.values())
