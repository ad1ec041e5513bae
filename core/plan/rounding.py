"""What a ramp-and-soak controller takes: whole degrees, rates in steps, whole minutes.

Always rounded to the safe side: rates down, times up.
"""

from __future__ import annotations

import math

from core.equipment.lehr import Controller, Entry, Lehr
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
    wanted = rate_to(rate, controller.unit)
    if controller.greatest_rate is not None:
        wanted = min(wanted, controller.greatest_rate)
    step = math.floor(wanted / controller.rate_step + _HAIR) * controller.rate_step
    if step < smallest_rate(controller) * (1.0 - _HAIR):
        return 0.0
    return rate_from(step, controller.unit)


def smallest_rate(controller: Controller) -> float:
    """Smallest rate [controller degrees per hour] it takes."""
    if controller.entry is Entry.TIME:
        return controller.smallest_rate or 0.0
    return max(controller.rate_step, controller.smallest_rate or 0.0)


def greatest_rate(controller: Controller) -> float:
    """Greatest rate [K/s] it takes; infinite without a bound."""
    if controller.greatest_rate is None:
        return math.inf
    return rate_from(controller.greatest_rate, controller.unit)


def parts_of(seconds: float, controller: Controller) -> int:
    """How many segments a ramp or hold of such a time [s] takes; at least 1."""
    longest = controller.longest_segment
    if longest is None:
        return 1
    return max(1, math.ceil(seconds / longest - _HAIR))


def whole_minutes_up(seconds: float) -> float:
    """Whole minutes at or above a time, in seconds."""
    return math.ceil(seconds / SECONDS_PER_MINUTE - _HAIR) * SECONDS_PER_MINUTE
