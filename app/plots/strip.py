"""What the strip below a night shows: how far off it was, in temperature or in time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property

import numpy as np

from app.plots.curves import CurveLine, FloatArray
from app.plots.ranges import LEAST_DEVIATION, largest_size
from app.widgets.quantity import Quantity, format_quantity
from core.run.comparison_words import late_words
from core.units import UnitChoice, interval_to

_LEAST_LATE = 1800.0
"""The strip never shows less than this either way [s]: a minute must not look large."""
_ROOM = 1.15


class OffBy(StrEnum):
    """In what a night was off its plan; the value is what to call it."""

    TEMPERATURE = "temperature"
    TIME = "time"


@dataclass(frozen=True, eq=False)
class Strip:
    """Differences over time.

    Attributes
    ----------
    lines : tuple of CurveLine
        Kelvin of difference, or seconds later than planned; of several each is drawn as its role
        says.
    off_by : OffBy
    """

    lines: tuple[CurveLine, ...] = ()
    off_by: OffBy = OffBy.TEMPERATURE

    @cached_property
    def _largest(self) -> float:
        return largest_size(self.lines)

    def title(self, units: UnitChoice) -> str:
        """Words of the axis, with the unit."""
        if self.off_by is OffBy.TIME:
            return "Late, min"
        return f"Deviation, {units.temperature.symbol}"

    def display(self, values: FloatArray, units: UnitChoice) -> FloatArray:
        """Values in the unit of the axis."""
        if self.off_by is OffBy.TIME:
            return values / 60.0
        return interval_to(values, units.temperature)  # type: ignore[arg-type,return-value]

    def words(self, value: float, units: UnitChoice) -> str:
        """``"+5 °C"``, or ``"0:25 later than planned"``."""
        if self.off_by is OffBy.TIME:
            return late_words(value)
        text = format_quantity(Quantity.INTERVAL, abs(value), units, decimals=0)
        return f"{'−' if value < 0 else '+'}{text}"

    def reach(self, units: UnitChoice) -> float:
        """How far the axis goes either way, in its unit."""
        least = _LEAST_LATE if self.off_by is OffBy.TIME else LEAST_DEVIATION
        reach = max(least, _ROOM * self._largest)
        return float(self.display(np.array([reach]), units)[0])
