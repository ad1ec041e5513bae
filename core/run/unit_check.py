"""Noticing a log whose degrees are not those it was read in."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from core.plan.plan import Plan
from core.run.readings import Readings
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_DWELL = 20 * 60.0
"""Shortest hold that counts as a soak [s]; common practice, no source."""
_BAND = 10.0
"""A hold stays within this much to either side [K]."""
_HOTTEST_SOAK = ZERO_CELSIUS + 700.0
"""No glass is annealed above [K]: fused silica apart, annealing points lie at 350 to 700 °C."""
_COOLEST_SOAK = ZERO_CELSIUS + 345.0
"""Nor below [K]."""
_BETTER = 0.4
"""The other unit must fit the plan this much better."""


def fahrenheit_suspected(readings: Readings, plan: Plan | None, unit: str = "C") -> str | None:
    """Ask whether a log was read in the wrong degrees; nothing is converted.

    The log is laid on the plan both ways: by clock time where they overlap, and by the
    temperature it holds longest against the plan's soak. Without a plan, a soak where no glass
    is annealed, which the other unit would put right, is enough.

    Parameters
    ----------
    readings : Readings
        As read in ``unit``.
    plan : Plan or None
    unit : str
        ``"C"`` or ``"F"``, as taken when reading; for others (kelvin) nothing is asked.

    Returns
    -------
    str or None
        The question, or ``None`` when the unit looks right.
    """
    if unit not in ("C", "F") or len(readings) == 0:
        return None
    other = _as_fahrenheit if unit == "C" else _as_celsius
    held = _longest_hold(readings)
    if plan is not None:
        reason = _against_plan(readings, plan, held, other)
    else:
        reason = _against_trade(held, other)
    if reason is None:
        return None
    names = ("°C", "°F") if unit == "C" else ("°F", "°C")
    return f"The log was read in {names[0]}, but {reason}. Are its temperatures in {names[1]}?"


def _as_fahrenheit(kelvin: FloatArray | float) -> FloatArray | float:
    """Kelvin the same digits mean as °F, given the kelvin they mean as °C."""
    return (kelvin - ZERO_CELSIUS + 459.67) / 1.8


def _as_celsius(kelvin: FloatArray | float) -> FloatArray | float:
    """Kelvin the same digits mean as °C, given the kelvin they mean as °F."""
    return kelvin * 1.8 - 459.67 + ZERO_CELSIUS


_Other = Callable[[FloatArray | float], FloatArray | float]


def _against_plan(readings: Readings, plan: Plan, held: float | None, other: _Other) -> str | None:
    planned = plan.temperature_at(readings.time)
    inside = np.isfinite(planned)
    if inside.sum() >= 3:
        actual = readings.temperature[inside]
        this_way = float(np.median(np.abs(actual - planned[inside])))
        other_way = float(np.median(np.abs(other(actual) - planned[inside])))
        if other_way < _BETTER * this_way:
            return (
                f"then it misses the plan by {this_way:.0f} °C, the other way by {other_way:.0f} °C"
            )
        return None
    if held is None:
        return None
    this_way = abs(held - plan.soak_temperature)
    other_way = abs(float(other(held)) - plan.soak_temperature)
    if other_way < _BETTER * this_way:
        return f"then it soaks {this_way:.0f} °C from the plan, the other way {other_way:.0f} °C"
    return None


def _against_trade(held: float | None, other: _Other) -> str | None:
    if held is None or _COOLEST_SOAK <= held <= _HOTTEST_SOAK:
        return None
    swapped = float(other(held))
    if not _COOLEST_SOAK <= swapped <= _HOTTEST_SOAK:
        return None
    return (
        f"then it soaks at {held - ZERO_CELSIUS:.0f} °C, where no glass is annealed; "
        f"the other way at {swapped - ZERO_CELSIUS:.0f} °C"
    )


def _longest_hold(readings: Readings) -> float | None:
    """Find the hottest temperature [K] held for 20 minutes within a band; ``None`` if none is."""
    time, temperature = readings.time, readings.temperature
    order = np.argsort(temperature)[::-1]
    for index in order[:: max(1, order.size // 50)].tolist():
        level = float(temperature[index])
        near = np.abs(temperature - level) <= _BAND
        both = near[:-1] & near[1:]
        # A pause of the logger is no hold.
        spacing = np.minimum(np.diff(time), _DWELL / 2)
        if float(spacing[both].sum()) >= _DWELL:
            return float(np.median(temperature[near]))
    return None
