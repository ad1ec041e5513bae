"""Several nights over each other: the same decanter's last five, each on its own hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.plan.plan import Plan
from core.run.alignment import Align, planned_soak_end, planned_soak_start, shift_of
from core.run.compare import Comparison, compare
from core.run.readings import Readings

FloatArray = NDArray[np.float64]

_DAY = 86400.0
_FAR = 0.5 * _DAY
"""[s] A log this far from its plan may be another night's."""


@dataclass(frozen=True, eq=False)
class NightOfRun:
    """A night to lay over others.

    Attributes
    ----------
    label : str
        What to call it.
    plan : Plan
    readings : Readings
    """

    label: str
    plan: Plan
    readings: Readings


@dataclass(frozen=True, eq=False)
class OverlaidNight:
    """A night on the common hours.

    Attributes
    ----------
    label : str
    elapsed, temperature : ndarray, shape (n,)
        Readings: seconds since the common moment, [K].
    planned_elapsed, planned : ndarray, shape (m,)
        The plan's corners.
    origin : float
        The common moment in this night, on the log's clock [UTC epoch s].
    comparison : Comparison or None
        With the night's own plan, aligned alike; ``None`` where they cannot be compared.
    note : str
        Why a night could not be aligned or compared; ``""`` otherwise.
    """

    label: str
    elapsed: FloatArray
    temperature: FloatArray
    planned_elapsed: FloatArray
    planned: FloatArray
    origin: float
    comparison: Comparison | None
    note: str


@dataclass(frozen=True, eq=False)
class Overlay:
    """Nights over each other.

    Attributes
    ----------
    align : Align
    nights : tuple of OverlaidNight
        As given.
    """

    align: Align
    nights: tuple[OverlaidNight, ...]


def overlay(nights: Sequence[NightOfRun], align: Align = Align.SOAK_START) -> Overlay:
    """Lay nights over each other.

    By the clock, elapsed time counts from the button of the first plan, at the same time of day in
    every night. Otherwise it counts from the start of the soak (or its end) in each log.

    Parameters
    ----------
    nights : sequence of NightOfRun
        At least one; without readings only the plan is shown.
    align : Align
        A night whose log does not show where it would be aligned is laid by its plan's clock, and
        its ``note`` says so.

    Raises
    ------
    RunError
        If there is no night.
    """
    if not nights:
        raise RunError(
            "There is no night to show.", field="nights", remedy="Choose at least one run."
        )
    first = float(nights[0].plan.start.timestamp())
    return Overlay(align, tuple(_laid(night, align, first) for night in nights))


def _laid(night: NightOfRun, align: Align, first: float) -> OverlaidNight:
    plan, readings = night.plan, night.readings
    note = ""
    comparison: Comparison | None = None
    shift = 0.0
    if len(readings):
        try:
            comparison = compare(plan, readings, align=align)
            shift = comparison.shift
        except RunError as error:
            note = str(error)
    if note and align is not Align.CLOCK:
        try:
            shift_of(plan, readings, align)
        except RunError:
            comparison = _by_the_clock(plan, readings)
    if abs(shift) > _FAR and not note:
        days = abs(shift) / _DAY
        way = "later" if shift > 0 else "earlier"
        note = f"The log's clock is {days:.1f} days {way} than the plan's: is it this night's?"
    origin = _moment(plan, align, first) + shift
    curve_time, curve = plan.curve()
    return OverlaidNight(
        label=night.label,
        elapsed=readings.time - origin,
        temperature=readings.temperature,
        planned_elapsed=curve_time - (origin - shift),
        planned=curve,
        origin=origin,
        comparison=comparison,
        note=note,
    )


def _by_the_clock(plan: Plan, readings: Readings) -> Comparison | None:
    try:
        return compare(plan, readings)
    except RunError:
        return None


def _moment(plan: Plan, align: Align, first: float) -> float:
    """The common moment on the plan's clock."""
    start = float(plan.start.timestamp())
    if align is Align.CLOCK:
        return first + _DAY * round((start - first) / _DAY)
    found = planned_soak_end(plan) if align is Align.SOAK_END else planned_soak_start(plan)
    return start if found is None else found
