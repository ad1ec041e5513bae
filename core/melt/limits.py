"""One way to refuse a number of a furnace that cannot be right."""

from __future__ import annotations

import math

from core.errors import FurnaceError
from core.units import ZERO_CELSIUS


def require(value: float, low: float, high: float, field: str, what: str, unit: str = "") -> None:
    """Refuse a value outside its range.

    Parameters
    ----------
    value, low, high : float
        In ``unit``.
    field : str
        Name of the input.
    what : str
        What the value is, as the message begins.
    unit : str
        As printed after a number.

    Raises
    ------
    FurnaceError
        If the value is not a number or outside ``low`` to ``high``.
    """
    if not (math.isfinite(value) and low <= value <= high):
        behind = f" {unit}" if unit else ""
        raise FurnaceError(
            f"{what} of {value:.6g}{behind} is not possible.",
            field=field,
            remedy=f"Use {low:g} to {high:g}{behind}.",
        )


def require_temperature(kelvin: float, low: float, high: float, field: str, what: str) -> None:
    """Refuse a temperature [K] outside a range given in °C; see :func:`require`."""
    require(kelvin - ZERO_CELSIUS, low, high, field, what, "°C")


def require_name(name: str, what: str) -> None:
    """Refuse an empty name.

    Raises
    ------
    FurnaceError
        If nothing but spaces was given.
    """
    if not name.strip():
        raise FurnaceError(f"{what} has no name.", field="name", remedy="Give it one.")
