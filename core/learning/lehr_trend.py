"""How a lehr changes over many runs: seals and bricks that lose more, elements that give less."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from core.learning.lehr_refit import FULL_POWER, TIME_CONSTANT
from core.learning.proportion import LEVEL
from core.learning.trend import FEWEST, Line, line_through
from core.run.equipment_fit import EquipmentFit

FloatArray = NDArray[np.float64]

_MONTH = 30.44 * 86400.0
_NORMAL = float(ndtri(0.5 + LEVEL / 2.0))


@dataclass(frozen=True, eq=False)
class LehrTrend:
    """One parameter of a lehr over its runs.

    Attributes
    ----------
    equipment, parameter : str
    time, value, low, high : ndarray, shape (n,)
        UTC epoch seconds, rising; fitted values and their intervals, SI.
    line : Line or None
        Through the logarithms; ``None`` of too few runs.
    """

    equipment: str
    parameter: str
    time: FloatArray
    value: FloatArray
    low: FloatArray
    high: FloatArray
    line: Line | None

    @property
    def per_month(self) -> tuple[float, float, float] | None:
        """Change a month as a share of the value, with its interval: value, low, high."""
        if self.line is None:
            return None
        rates = (self.line.slope, self.line.low, self.line.high)
        value, low, high = (float(np.expm1(rate * _MONTH)) for rate in rates)
        return value, low, high

    def drawn(self) -> FloatArray:
        """The line at the runs' times, in the parameter's unit; empty without one."""
        return np.empty(0) if self.line is None else np.exp(self.line.at(self.time))

    @property
    def sentence(self) -> str:
        """What it says, in a sentence or two."""
        change = self.per_month
        if change is None or self.line is None:
            runs = self.time.size
            return (
                f"“{self.equipment}”: {runs} run{'s' if runs != 1 else ''} with a "
                f"{self.parameter}: too few for a trend, {FEWEST} are the least."
            )
        value, low, high = (100.0 * share for share in change)
        text = f"{value:+.1f} % a month ({low:+.1f} to {high:+.1f})"
        if not self.line.sure:
            return f"“{self.equipment}”: no trend of its {self.parameter} to be told ({text})."
        if self.parameter == TIME_CONSTANT:
            meaning = (
                "it loses its heat faster: look at door seal, plugs and bricks."
                if value < 0.0
                else "it keeps its heat longer; was something sealed, or is it fuller?"
            )
        else:
            meaning = (
                "it heats more weakly: elements age, or the supply is low."
                if value < 0.0
                else "it heats more strongly; were elements changed?"
            )
        advice = (
            " Elements, wiring and gas are for a licensed trade."
            if self.parameter == FULL_POWER
            else ""
        )
        return (
            f"“{self.equipment}”: the {self.parameter} changes by {text}: {meaning}{advice} "
            "Plans should use the new value."
        )


def trend_of(fits: Sequence[EquipmentFit], parameter: str) -> tuple[LehrTrend, ...]:
    """The trend of one parameter, for every lehr (or furnace) among the fits.

    Parameters
    ----------
    fits : sequence of EquipmentFit
        In any order; those that do not tell the parameter are passed over.
    parameter : str
        Its name, such as :data:`core.learning.lehr_refit.TIME_CONSTANT`.
    """
    return tuple(
        _trend(name, parameter, [fit for fit in fits if fit.equipment == name])
        for name in dict.fromkeys(fit.equipment for fit in fits)
    )


def _trend(equipment: str, parameter: str, fits: Sequence[EquipmentFit]) -> LehrTrend:
    told = [
        (fit.fitted_at.timestamp(), found)
        for fit in fits
        for found in fit.parameters
        if found.name == parameter and found.determined and found.value > 0.0
    ]
    told.sort(key=lambda pair: pair[0])
    time = np.array([moment for moment, _ in told], dtype=np.float64)
    value = np.array([found.value for _, found in told], dtype=np.float64)
    low = np.array([found.low for _, found in told], dtype=np.float64)
    high = np.array([found.high for _, found in told], dtype=np.float64)
    line = None
    if time.size:
        error = np.log(high / low) / (2.0 * _NORMAL)
        line = line_through(time, np.log(value), error)
    return LehrTrend(equipment, parameter, time, value, low, high, line)
