"""Quantities as typed and read: unit symbol, decimals, and text to SI and back."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import QLocale

from core import units as si
from core.errors import UnitError
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

NOTHING = "–"
"""Shown where there is no number."""


class Quantity(StrEnum):
    """What a number measures; it decides unit, decimals and conversion."""

    TEMPERATURE = "temperature"
    INTERVAL = "temperature interval"
    RATE = "rate"
    LENGTH = "length"
    MASS = "mass"
    GRAMS = "grams"
    """kg inside, g outside whatever the choice of units: what a scale reads to."""
    DURATION = "duration"
    """Shown and typed as h:mm."""
    MINUTES = "minutes"
    HOURS = "hours"
    PERCENT = "percent"
    """A fraction 0..1 inside, percent outside."""
    PLAIN = "plain"
    COUNT = "count"
    STRESS = "stress"
    """Pa inside, MPa outside."""
    MODULUS = "modulus"
    """Pa inside, GPa outside."""
    EXPANSION = "expansion"
    """1/K inside, 10⁻⁷/K outside."""
    DENSITY = "density"
    """kg/m³ inside, g/cm³ outside."""
    RETARDATION = "retardation"
    """m inside, nm outside: what a polariscope reads."""


@dataclass(frozen=True)
class Scale:
    """A quantity in one unit: its symbol, conversions, decimals shown and typed, and step."""

    symbol: str
    to_si: Callable[[float], float]
    from_si: Callable[[float], float]
    shown: int
    typed: int
    step: float


def _times(symbol: str, factor: float, shown: int, typed: int, step: float) -> Scale:
    return Scale(symbol, lambda v: v * factor, lambda v: v / factor, shown, typed, step)


_FIXED: dict[Quantity, Scale] = {
    Quantity.GRAMS: _times("g", 0.001, 1, 4, 1.0),
    Quantity.DURATION: _times("h:mm", 1.0, 0, 0, 300.0),
    Quantity.MINUTES: _times("min", 60.0, 0, 2, 5.0),
    Quantity.HOURS: _times("h", 3600.0, 1, 3, 0.5),
    Quantity.PERCENT: _times("%", 0.01, 1, 4, 1.0),
    Quantity.PLAIN: _times("", 1.0, 2, 6, 1.0),
    Quantity.COUNT: _times("", 1.0, 0, 0, 1.0),
    Quantity.STRESS: _times("MPa", 1e6, 2, 4, 0.1),
    Quantity.MODULUS: _times("GPa", 1e9, 1, 3, 1.0),
    Quantity.EXPANSION: _times("×10⁻⁷/K", 1e-7, 1, 3, 1.0),
    Quantity.DENSITY: _times("g/cm³", 1000.0, 3, 5, 0.01),
    Quantity.RETARDATION: _times("nm", 1e-9, 0, 2, 5.0),
}


def scale_of(quantity: Quantity, units: UnitChoice) -> Scale:
    """The scale a quantity is shown and typed in under a person's choice of units."""
    degrees = units.temperature
    symbol = degrees.symbol
    if quantity is Quantity.TEMPERATURE:
        return Scale(
            symbol,
            lambda v: si.kelvin_from(v, degrees),
            lambda v: si.kelvin_to(v, degrees),
            *(0, 2, 1.0),
        )
    if quantity is Quantity.INTERVAL:
        return Scale(
            symbol,
            lambda v: si.interval_from(v, degrees),
            lambda v: si.interval_to(v, degrees),
            *(1, 2, 1.0),
        )
    if quantity is Quantity.RATE:
        return Scale(
            f"{symbol}/h",
            lambda v: si.rate_from(v, degrees),
            lambda v: si.rate_to(v, degrees),
            *(1, 2, 1.0),
        )
    if quantity is Quantity.LENGTH:
        inch = units.length is LengthUnit.INCH
        return Scale(
            units.length.value,
            lambda v: si.metre_from(v, units.length),
            lambda v: si.metre_to(v, units.length),
            *((3, 4, 0.0625) if inch else (1, 3, 1.0)),
        )
    if quantity is Quantity.MASS:
        return Scale(
            units.mass.value,
            lambda v: si.kilogram_from(v, units.mass),
            lambda v: si.kilogram_to(v, units.mass),
            *(2, 4, 0.5),
        )
    return _FIXED[quantity]


def _degrees(letter: TemperatureUnit) -> UnitChoice:
    return UnitChoice(temperature=letter)


_FAHRENHEIT = _degrees(TemperatureUnit.FAHRENHEIT)
_CELSIUS = _degrees(TemperatureUnit.CELSIUS)
_INCH = UnitChoice(length=LengthUnit.INCH)
_POUND = UnitChoice(mass=MassUnit.POUND)

# Units a person may type after the number whatever the field shows.
_TYPED: dict[Quantity, dict[str, Scale]] = {
    Quantity.TEMPERATURE: {
        "c": scale_of(Quantity.TEMPERATURE, _CELSIUS),
        "f": scale_of(Quantity.TEMPERATURE, _FAHRENHEIT),
    },
    Quantity.INTERVAL: {
        "c": scale_of(Quantity.INTERVAL, _CELSIUS),
        "k": scale_of(Quantity.INTERVAL, _CELSIUS),
        "f": scale_of(Quantity.INTERVAL, _FAHRENHEIT),
    },
    Quantity.RATE: {
        "c/h": scale_of(Quantity.RATE, _CELSIUS),
        "k/h": scale_of(Quantity.RATE, _CELSIUS),
        "f/h": scale_of(Quantity.RATE, _FAHRENHEIT),
    },
    Quantity.LENGTH: {
        "mm": scale_of(Quantity.LENGTH, _CELSIUS),
        "cm": _times("cm", 0.01, 2, 4, 0.1),
        "m": _times("m", 1.0, 3, 5, 0.1),
        "in": scale_of(Quantity.LENGTH, _INCH),
        '"': scale_of(Quantity.LENGTH, _INCH),
        "″": scale_of(Quantity.LENGTH, _INCH),
    },
    Quantity.MASS: {
        "kg": scale_of(Quantity.MASS, _CELSIUS),
        "g": _times("g", 0.001, 0, 1, 10.0),
        "lb": scale_of(Quantity.MASS, _POUND),
    },
    Quantity.PERCENT: {"%": _FIXED[Quantity.PERCENT]},
    Quantity.STRESS: {"mpa": _FIXED[Quantity.STRESS]},
    Quantity.MODULUS: {"gpa": _FIXED[Quantity.MODULUS]},
    Quantity.DENSITY: {
        "g/cm3": _FIXED[Quantity.DENSITY],
        "g/cm³": _FIXED[Quantity.DENSITY],
        "kg/m3": _times("kg/m³", 1.0, 0, 2, 10.0),
        "kg/m³": _times("kg/m³", 1.0, 0, 2, 10.0),
    },
}
_TYPED[Quantity.GRAMS] = _TYPED[Quantity.MASS]
_TYPED[Quantity.PERCENT] |= {"ppm": _times("ppm", 1e-6, 0, 2, 10.0)}
_TIMES = {
    "s": _times("s", 1.0, 0, 0, 1.0),
    "min": _FIXED[Quantity.MINUTES],
    "m": _FIXED[Quantity.MINUTES],
    "h": _FIXED[Quantity.HOURS],
}
for _quantity in (Quantity.DURATION, Quantity.MINUTES, Quantity.HOURS):
    _TYPED[_quantity] = _TIMES

_SPLIT = re.compile(r"(.*?[\d.,])\s*°?\s*([^\d.,\s]\S*)?", re.DOTALL)
_HOURS_MINUTES = re.compile(r"(\d{1,4}):(\d{2})")


def read_quantity(
    text: str, quantity: Quantity, units: UnitChoice, *, field: str | None = None
) -> float:
    """SI value of typed text; ``,`` and ``.`` both mark decimals.

    The unit may be typed as well and then counts (``"1.5 in"`` in a millimetre field). A
    duration is ``1:30`` or carries its unit (``90 min``, ``1.5 h``).

    Raises
    ------
    UnitError
        If the text is not one number with a fitting unit.
    """
    typed = text.strip().replace("\u2212", "-")
    clock = _HOURS_MINUTES.fullmatch(typed)
    if clock and quantity in {Quantity.DURATION, Quantity.MINUTES, Quantity.HOURS}:
        hours, minutes = int(clock[1]), int(clock[2])
        if minutes > 59:
            raise UnitError(
                f"“{typed}” has more than 59 minutes.", field=field, remedy="Write it as h:mm."
            )
        return hours * 3600.0 + minutes * 60.0
    scale = scale_of(quantity, units)
    match = _SPLIT.fullmatch(typed)
    if match and match[2] and not typed.lower().endswith("e"):
        unit = match[2].lower()
        known = _TYPED.get(quantity, {})
        if unit not in known:
            raise UnitError(
                f"“{match[2]}” is not a unit for this box.",
                field=field,
                remedy=f"Type the number in {scale.symbol}." if scale.symbol else "Leave it out.",
            )
        return known[unit].to_si(si.parse_number(match[1], field=field))
    number = si.parse_number(typed.removesuffix("°"), field=field)
    if quantity is Quantity.DURATION:
        raise UnitError(
            f"“{typed}” could be minutes or hours.",
            field=field,
            remedy=f"Write {typed}:00, or {typed} min.",
        )
    if quantity is Quantity.COUNT and number != int(number):
        raise UnitError(f"“{typed}” is not a whole number.", field=field, remedy="Count in wholes.")
    return scale.to_si(number)


def decimal_mark() -> str:
    """The decimal mark of the machine's language, ``.`` or ``,``."""
    return "," if QLocale().decimalPoint() == "," else "."


def number_text(value: float, decimals: int, *, trim: bool = False) -> str:
    """A number with the local decimal mark and never a thousands mark."""
    text = f"{value:.{decimals}f}"
    if trim and "." in text:
        text = text.rstrip("0").rstrip(".")
    if float(text) == 0.0:
        text = text.lstrip("-")
    return text.replace(".", decimal_mark())


def signed_text(text: str) -> str:
    """A difference as shown: ``−3.0``, ``+2.0``, and ``0.0`` without a sign."""
    if text.startswith("-"):
        return text.replace("-", "−", 1)
    return f"+{text}" if text[:1].isdigit() and text.strip("0.,") else text


_POINT = re.compile(r"(?<=\d)\.(?=\d)")
_QUOTED = re.compile(r"(“[^”]*”)")


def local_sentence(text: str) -> str:
    """A sentence with the local decimal mark in its numbers; names in quotes stay as they are.

    Examples
    --------
    With a comma as decimal mark ``“Float 2.5”: 22.5 mm`` becomes ``“Float 2.5”: 22,5 mm``.
    """
    mark = decimal_mark()
    if mark == ".":
        return text
    parts = _QUOTED.split(text)
    return "".join(part if n % 2 else _POINT.sub(mark, part) for n, part in enumerate(parts))


def format_quantity(
    quantity: Quantity,
    value: float | None,
    units: UnitChoice,
    *,
    decimals: int | None = None,
    with_unit: bool = True,
) -> str:
    """An SI value as shown in labels and tables; a dash when there is none.

    Examples
    --------
    >>> format_quantity(Quantity.RATE, -30 / 3600, UnitChoice())
    '-30.0 °C/h'
    """
    if value is None or not math.isfinite(value):
        return NOTHING
    if quantity is Quantity.DURATION:
        return si.format_duration(value) + (" h" if with_unit else "")
    scale = scale_of(quantity, units)
    text = number_text(scale.from_si(value), scale.shown if decimals is None else decimals)
    if not with_unit or not scale.symbol:
        return text
    space = "" if scale.symbol == "%" and QLocale().language() == QLocale.Language.English else " "
    return f"{text}{space}{scale.symbol}"


def entry_text(quantity: Quantity, value: float | None, units: UnitChoice) -> str:
    """An SI value as it stands in an entry box, without its unit."""
    if value is None:
        return ""
    if quantity is Quantity.DURATION:
        return si.format_duration(value)
    scale = scale_of(quantity, units)
    return number_text(scale.from_si(value), scale.typed, trim=True)
