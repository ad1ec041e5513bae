"""The chamber's temperature history, checked once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import StressError
from core.stress.section import COLDEST, HOTTEST
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS

FloatArray = NDArray[np.float64]

LONGEST = 400 * 24 * SECONDS_PER_HOUR
"""Longest history [s]."""


@dataclass(frozen=True, eq=False)
class ChamberHistory:
    """True chamber temperature (not controller readings); straight lines between corners.

    Attributes
    ----------
    time : ndarray, shape (n,)
        [s] on any clock, strictly rising, n at least 2.
    temperature : ndarray, shape (n,)
        [K], -100 to 1500 °C.

    Raises
    ------
    StressError
        If times go back or repeat, a value is not a number or not possible, or it is longer than
        400 days.
    """

    time: FloatArray
    temperature: FloatArray

    def __post_init__(self) -> None:
        time = np.array(self.time, dtype=np.float64)
        temperature = np.array(self.temperature, dtype=np.float64)
        check_history(time, temperature)
        time.setflags(write=False)
        temperature.setflags(write=False)
        object.__setattr__(self, "time", time)
        object.__setattr__(self, "temperature", temperature)

    @property
    def duration(self) -> float:
        """Seconds from first to last corner."""
        return float(self.time[-1] - self.time[0])


def check_history(time: FloatArray, temperature: FloatArray) -> None:
    """Refuse times and temperatures no chamber can have had; see :class:`ChamberHistory`."""
    if time.ndim != 1 or time.shape != temperature.shape:
        raise StressError("Times and temperatures differ in number.", field="time")
    if time.size < 2:
        raise StressError(
            "A history of one temperature says nothing of cooling.",
            field="time",
            remedy="Give at least two times.",
        )
    for name, values in (("time", time), ("temperature", temperature)):
        bad = np.flatnonzero(~np.isfinite(values))
        if bad.size:
            raise StressError(
                f"The {name} at place {int(bad[0]) + 1} of {time.size} is not a number.",
                field=name,
                remedy="Leave such readings out.",
            )
    back = np.flatnonzero(np.diff(time) <= 0)
    if back.size:
        raise StressError(
            f"Time steps back or stands still after place {int(back[0]) + 1} of {time.size}.",
            field="time",
            remedy="Put the readings in order of time, each time once.",
        )
    outside = np.flatnonzero((temperature < COLDEST) | (temperature > HOTTEST))
    if outside.size:
        value = float(temperature[outside[0]]) - ZERO_CELSIUS
        raise StressError(
            f"A chamber temperature of {value:.0f} °C is not possible.",
            field="temperature",
            remedy="Use -100 to 1500 °C; check the unit of the log.",
        )
    if time[-1] - time[0] > LONGEST:
        raise StressError(
            "The history is longer than 400 days.", field="time", remedy="Check the dates."
        )
