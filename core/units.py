"""SI inside, trade units at the edge: conversions, parsing and formatting of numbers.

Temperatures are kelvin, lengths metres, masses kilograms, times seconds, rates K/s inside the
core. A temperature and a temperature *interval* (or rate) convert differently: 10 °C is 50 °F,
but 10 °C/h is 18 °F/h; hence two pairs of functions.

Exact factors: NIST SP 811 (2008), Appendix B.8 (inch 0.0254 m, pound 0.453 592 37 kg,
t/K = (t/°F + 459.67)/1.8).
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

from core.errors import UnitError

ZERO_CELSIUS = 273.15
METRE_PER_INCH = 0.0254
KILOGRAM_PER_POUND = 0.45359237
SECONDS_PER_HOUR = 3600.0
SECONDS_PER_MINUTE = 60.0


class TemperatureUnit(StrEnum):
    """Unit in which temperatures are shown and typed."""

    CELSIUS = "C"
    FAHRENHEIT = "F"

    @property
    def symbol(self) -> str:
        """The unit as printed, with its degree sign."""
        return f"°{self.value}"


class LengthUnit(StrEnum):
    """Unit in which lengths are shown and typed."""

    MILLIMETRE = "mm"
    INCH = "in"


class MassUnit(StrEnum):
    """Unit in which masses are shown and typed."""

    KILOGRAM = "kg"
    POUND = "lb"


@dataclass(frozen=True)
class UnitChoice:
    """The units a person has chosen for reading and typing."""

    temperature: TemperatureUnit = TemperatureUnit.CELSIUS
    length: LengthUnit = LengthUnit.MILLIMETRE
    mass: MassUnit = MassUnit.KILOGRAM


def kelvin_from(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Temperature [K] from a value in °C or °F."""
    if unit is TemperatureUnit.FAHRENHEIT:
        return (value + 459.67) / 1.8
    return value + ZERO_CELSIUS


def kelvin_to(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Temperature in °C or °F from kelvin."""
    if unit is TemperatureUnit.FAHRENHEIT:
        return value * 1.8 - 459.67
    return value - ZERO_CELSIUS


def interval_from(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Temperature difference [K] from a difference in °C or °F (no offset)."""
    return value / 1.8 if unit is TemperatureUnit.FAHRENHEIT else value


def interval_to(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Temperature difference in °C or °F from kelvin (no offset)."""
    return value * 1.8 if unit is TemperatureUnit.FAHRENHEIT else value


def rate_from(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Rate [K/s] from degrees per hour."""
    return interval_from(value, unit) / SECONDS_PER_HOUR


def rate_to(value: float, unit: TemperatureUnit = TemperatureUnit.CELSIUS) -> float:
    """Rate in degrees per hour from K/s."""
    return interval_to(value, unit) * SECONDS_PER_HOUR


def metre_from(value: float, unit: LengthUnit = LengthUnit.MILLIMETRE) -> float:
    """Length [m] from millimetres or inches."""
    return value * METRE_PER_INCH if unit is LengthUnit.INCH else value / 1000.0


def metre_to(value: float, unit: LengthUnit = LengthUnit.MILLIMETRE) -> float:
    """Length in millimetres or inches from metres."""
    return value / METRE_PER_INCH if unit is LengthUnit.INCH else value * 1000.0


def kilogram_from(value: float, unit: MassUnit = MassUnit.KILOGRAM) -> float:
    """Mass [kg] from kilograms or pounds."""
    return value * KILOGRAM_PER_POUND if unit is MassUnit.POUND else value


def kilogram_to(value: float, unit: MassUnit = MassUnit.KILOGRAM) -> float:
    """Mass in kilograms or pounds from kilograms."""
    return value / KILOGRAM_PER_POUND if unit is MassUnit.POUND else value


_NUMBER = re.compile(r"[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?")


def parse_number(text: str, *, field: str | None = None) -> float:
    """Read one typed number; ``.`` and ``,`` both mark decimals, thousands are never grouped.

    ``"1,5"`` and ``"1.5"`` are both 1.5. ``"1,250.5"`` or ``"1.250,5"`` could be either of two
    numbers and is refused, as are empty text, words, infinities and NaN.

    Raises
    ------
    UnitError
        If the text is not exactly one plain number.
    """
    stripped = text.strip().replace("\u2212", "-").replace("\u00a0", "")
    if not stripped:
        raise UnitError("No number was given.", field=field, remedy="Type one, such as 12.5.")
    if not _NUMBER.fullmatch(stripped):
        both = "," in stripped and "." in stripped
        remedy = "Leave out thousands marks." if both else "Type a plain number, such as 12.5."
        raise UnitError(f"“{text.strip()}” is not a number.", field=field, remedy=remedy)
    value = float(stripped.replace(",", "."))
    if not math.isfinite(value):
        raise UnitError(f"“{text.strip()}” is too large.", field=field, remedy="Check the digits.")
    return value


def format_duration(seconds: float) -> str:
    """A duration as ``h:mm`` rounded to the minute, e.g. ``"10:40"`` or ``"126:05"``."""
    minutes = round(seconds / SECONDS_PER_MINUTE)
    sign = "-" if minutes < 0 else ""
    hours, rest = divmod(abs(minutes), 60)
    return f"{sign}{hours}:{rest:02d}"
