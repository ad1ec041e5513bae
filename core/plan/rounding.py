"""What a ramp-and-soak controller takes: whole degrees, rates in steps, whole minutes.

Always rounded to the safe side: rates down, times up.
"""

from __future__ import annotations

import math

from core.equipment.lehr import Controller, Lehr
from core.units import (
    SECONDS_PER_MINUTE,
    TemperatureUnit,
    kelvin_from,
    kelvin_to,
    rate_from,
    rate_to,
)

_HAIR = 1e-6
"""Keeps 12.000000001 from becoming 13, and 11.999999999 from becoming 11."""


def whole_degree_up(temperature: float, unit: TemperatureUnit) -> float:
    """Next whole degree of the unit at or above a temperature [K], in kelvin."""
    return kelvin_from(math.ceil(kelvin_to(temperature, unit) - _HAIR), unit)


def whole_degree_down(temperature: float, unit: TemperatureUnit) -> float:
    """Next whole degree of the unit at or below a temperature [K], in kelvin."""
    return kelvin_from(math.floor(kelvin_to(temperature, unit) + _HAIR), unit)


def whole_reading_down(temperature: float, lehr: Lehr) -> float:
    """True temperature [K] at or below another whose controller reading is a whole degree."""
    offset = lehr.thermocouple_offset
    return whole_degree_down(temperature + offset, lehr.controller.unit) - offset


def whole_reading_up(temperature: float, lehr: Lehr) -> float:
    """True temperature [K] at or above another whose controller reading is a whole degree."""
    offset = lehr.thermocouple_offset
    return whole_degree_up(temperature + offset, lehr.controller.unit) - offset


def rate_step_down(rate: float, controller: Controller) -> float:
    """Largest rate [K/s] the controller takes that is not above ``rate``; 0 if there is none."""
    steps = math.floor(rate_to(rate, controller.unit) / controller.rate_step + _HAIR)
    return rate_from(steps * controller.rate_step, controller.unit)


def whole_minutes_up(seconds: float) -> float:
    """Whole minutes at or above a time, in seconds."""
    return math.ceil(seconds / SECONDS_PER_MINUTE - _HAIR) * SECONDS_PER_MINUTE
