"""Lehrs: natural cooling, and settings that are refused."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from core.equipment.lehr import Controller, Lehr, cooling_time_constant
from core.errors import EquipmentError


def test_coast_time_agrees_with_integrating_newtons_law():
    """Source: scipy.integrate.solve_ivp on dT/dt = -(T - ambient)/tau."""
    lehr = Lehr("l", 4.5 * 3600, ambient=291.0)
    seconds = lehr.coast_time(790.0, 320.0)
    solved = solve_ivp(
        lambda _, t: -(t - lehr.ambient) / lehr.cooling_time_constant,
        (0.0, seconds),
        [790.0],
        rtol=1e-10,
    )
    assert solved.y[0, -1] == pytest.approx(320.0, abs=1e-4)


@given(st.floats(600.0, 200_000.0), st.floats(400.0, 900.0), st.floats(0.1, 0.9))
def test_time_constant_is_recovered_from_two_readings(tau, start, part):
    lehr = Lehr("l", tau, ambient=293.15)
    end = lehr.ambient + part * (start - lehr.ambient)
    measured = cooling_time_constant(start, end, lehr.coast_time(start, end), lehr.ambient)
    assert measured == pytest.approx(tau, rel=1e-9)


def test_never_cools_below_the_room():
    lehr = Lehr("l", 3600.0)
    assert lehr.natural_cooling_rate(lehr.ambient - 5) == 0.0
    with pytest.raises(EquipmentError, match="never cools"):
        lehr.coast_time(500.0, lehr.ambient)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("cooling_time_constant", 0.0),
        ("cooling_time_constant", np.nan),
        ("ambient", 100.0),
        ("max_heating_rate", 0.0),
        ("max_temperature", 5000.0),
        ("thermocouple_offset", 100.0),
        ("name", ""),
    ],
)
def test_impossible_settings_are_refused_at_their_field(field, value):
    settings = {"name": "l", "cooling_time_constant": 3600.0, field: value}
    with pytest.raises(EquipmentError) as caught:
        Lehr(**settings)
    assert caught.value.field == field


@pytest.mark.parametrize(("field", "value"), [("max_segments", 0), ("rate_step", 0.0)])
def test_impossible_controllers_are_refused(field, value):
    with pytest.raises(EquipmentError) as caught:
        Controller(**{field: value})
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("start", "end", "duration"), [(500.0, 600.0, 10.0), (500.0, 280.0, 10.0), (500.0, 400.0, 0.0)]
)
def test_readings_that_give_no_time_constant(start, end, duration):
    with pytest.raises(EquipmentError):
        cooling_time_constant(start, end, duration, 293.15)
