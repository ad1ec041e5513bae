"""How far a thermocouple may be trusted, and the values one gives when it is broken.

Tolerances are those of IEC 60584-1:2013 (formerly in IEC 60584-2) for *new* wire; in use a
thermocouple drifts beyond them (Webster 2021, Meas. Sci. Technol. 32 085007), so they are the
least doubt, not the whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.errors import EquipmentError
from core.units import ZERO_CELSIUS


class ThermocoupleType(StrEnum):
    """Letter of the type; base metal K and N, platinum-rhodium R and S."""

    K = "K"
    N = "N"
    R = "R"
    S = "S"


@dataclass(frozen=True)
class Tolerance:
    """One tolerance class of one type: max(``floor``, ``fraction`` * |t|) over a range.

    Class 1 of R and S is written differently in the standard: ``floor`` up to ``above``, and from
    there on ``floor + fraction * (t - above)``.

    Attributes
    ----------
    lowest, highest : float
        Range in which the class is defined [K].
    floor : float
        [K].
    fraction : float
        Of the Celsius temperature [-].
    above : float or None
        [K].
    """

    lowest: float
    highest: float
    floor: float
    fraction: float
    above: float | None = None


def _celsius(low: float, high: float) -> tuple[float, float]:
    return ZERO_CELSIUS + low, ZERO_CELSIUS + high


_BASE_METAL = {
    1: Tolerance(*_celsius(-40, 1000), 1.5, 0.004),
    2: Tolerance(*_celsius(-40, 1200), 2.5, 0.0075),
    3: Tolerance(*_celsius(-200, 40), 2.5, 0.015),
}
_NOBLE_METAL = {
    1: Tolerance(*_celsius(0, 1600), 1.0, 0.003, ZERO_CELSIUS + 1100),
    2: Tolerance(*_celsius(0, 1600), 1.5, 0.0025),
}
TOLERANCES: dict[ThermocoupleType, dict[int, Tolerance]] = {
    ThermocoupleType.K: _BASE_METAL,
    ThermocoupleType.N: _BASE_METAL,
    ThermocoupleType.R: _NOBLE_METAL,
    ThermocoupleType.S: _NOBLE_METAL,
}
"""IEC 60584-1:2013 tolerance classes; R and S have no class 3."""

REFERENCE_RANGE: dict[ThermocoupleType, tuple[float, float]] = {
    ThermocoupleType.K: _celsius(-270, 1372),
    ThermocoupleType.N: _celsius(-270, 1300),
    ThermocoupleType.R: _celsius(-50, 1768.1),
    ThermocoupleType.S: _celsius(-50, 1768.1),
}
"""Range of the ITS-90 reference functions [K] (NIST Monograph 175; from memory, unverified)."""


def tolerance(
    kind: ThermocoupleType, temperature: float, *, tolerance_class: int = 2, extend: bool = False
) -> float:
    """Half width of the tolerance of new wire [K].

    Parameters
    ----------
    kind : ThermocoupleType
    temperature : float
        [K].
    tolerance_class : int
        1, 2 or 3 (3 for K and N only, below 40 °C).
    extend : bool
        Apply the formula outside the range in which the class is defined too.

    Raises
    ------
    EquipmentError
        If the type has no such class, or the temperature lies outside its range.

    References
    ----------
    IEC 60584-1:2013, tolerance classes, the greater of the two terms counting.
    """
    classes = TOLERANCES[kind]
    if tolerance_class not in classes:
        raise EquipmentError(
            f"Type {kind} has no tolerance class {tolerance_class}.",
            field="tolerance_class",
            remedy="Use " + " or ".join(str(number) for number in classes) + ".",
        )
    limits = classes[tolerance_class]
    if not extend and not limits.lowest <= temperature <= limits.highest:
        raise EquipmentError(
            f"{temperature - ZERO_CELSIUS:.0f} °C lies outside class {tolerance_class} of type "
            f"{kind}, which runs from {limits.lowest - ZERO_CELSIUS:.0f} to "
            f"{limits.highest - ZERO_CELSIUS:.0f} °C.",
            field="temperature",
            remedy="Choose another class or type.",
        )
    if limits.above is not None:
        return limits.floor + limits.fraction * max(0.0, temperature - limits.above)
    return max(limits.floor, limits.fraction * abs(temperature - ZERO_CELSIUS))


def change_over(kind: ThermocoupleType, tolerance_class: int) -> float:
    """Temperature [K] from which the tolerance grows; below it the floor counts.

    For class 3 it grows towards the cold, so the result lies below 0 °C.
    """
    limits = TOLERANCES[kind][tolerance_class]
    if limits.above is not None:
        return limits.above
    celsius = limits.floor / limits.fraction
    return ZERO_CELSIUS + (-celsius if limits.highest < ZERO_CELSIUS + 100 else celsius)


LOWEST_READING = -60.0
"""No lehr in a studio is colder [°C]; below lie -200, -210 and -270 (foot of the tables), -999."""
HIGHEST_READING = 1300.0
"""No lehr may be set hotter [°C]; from here on lie 1300 (top of N), 1370 and 1372 (K), 1768 (R, S)
and 1820 (B), 3276.7 and 32767 (full 16-bit register), 6553.5 and 9999."""

RANGE_ENDS = {
    1300.0: "the top of the type N range",
    1370.0: "the top of the type K range",
    1372.0: "the top of the type K range",
    1768.0: "the top of the type R and S range",
    1768.1: "the top of the type R and S range",
    1820.0: "the top of the type B range",
    -200.0: "the foot of the thermocouple range",
    -210.0: "the foot of the type J range",
    -270.0: "the foot of the type K and N range",
}
"""What a broken thermocouple reads, where the instrument drives it to the end of a range [°C]."""
FILLERS_IN_RANGE = frozenset({999.0, 999.9})
"""Full three-digit displays; the neighbours tell whether they are temperatures."""
FILLERS = (
    FILLERS_IN_RANGE
    | {9999.0, -99.9, -999.0, -999.9, -9999.0}
    | {3276.7, -3276.8, 32767.0, -32768.0, 6553.5, 65535.0}
)
"""Digits written when no thermocouple answers, whatever the unit."""


def is_break(celsius: float) -> bool:
    """Tell whether a reading [°C] is one that a broken or missing thermocouple gives.

    Not every end of a range counts: 850 °C (top of a Pt100) and 0 are temperatures that occur.
    """
    return break_reason(celsius) is not None


def break_reason(value: float, unit: str = "C") -> str | None:
    """Why a reading is that of a broken thermocouple, as the end of a sentence; ``None`` if not.

    Ends of a range convert with the unit (1372 °C is 2501.6 °F). Fillers are digits, whatever the
    unit; but 999 and 999.9 °F are ordinary soak readings (537 °C) and count only in °C.

    Parameters
    ----------
    value : float
        As logged.
    unit : str
        ``"C"``, ``"F"`` or ``"K"``.

    Notes
    -----
    Burn-out to the end of the instrument's range and full-register fillers are common practice,
    no source.
    """
    celsius = {"F": (value - 32.0) / 1.8, "K": value - ZERO_CELSIUS}.get(unit, value)
    for end, words in RANGE_ENDS.items():
        # Whole-degree loggers round or cut 2501.6 °F to 2502 or 2501.
        if abs(celsius - end) < (0.6 if unit == "F" else 0.06):
            return f"{words}, which is what a broken thermocouple reads"
    outside = not LOWEST_READING <= celsius < HIGHEST_READING
    if value in FILLERS and (outside or unit == "C"):
        return "a filler that loggers write when no thermocouple answers"
    if outside:
        return "no temperature of a lehr; the thermocouple is broken or not connected"
    return None
