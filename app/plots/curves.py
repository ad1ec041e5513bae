"""What a plot is made of: frozen, without Qt, so that any page can hand it over."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


class LineRole(StrEnum):
    """What a curve is; it decides colour, width and dash."""

    PLAN = "plan"
    ACTUAL = "actual"
    PIECE = "piece"
    """Temperature of the glass itself (core of the thickest section)."""
    FURNACE = "furnace"
    OTHER = "other"
    """An earlier plan or run, for comparison."""
    NIGHT_1 = "first night"
    """One of several runs over each other."""
    NIGHT_2 = "second night"
    NIGHT_3 = "third night"
    NIGHT_4 = "fourth night"
    NIGHT_5 = "fifth night"
    NIGHT_6 = "sixth night"


NIGHTS = (
    LineRole.NIGHT_1,
    LineRole.NIGHT_2,
    LineRole.NIGHT_3,
    LineRole.NIGHT_4,
    LineRole.NIGHT_5,
    LineRole.NIGHT_6,
)
"""So many runs can be told apart over each other."""


class MarkerRole(StrEnum):
    """What a moment is; it decides colour and dash."""

    READY = "ready"
    LATE = "late"
    """Ready, but after the hour wanted."""
    OUT_BY = "out by"
    CHARGE = "charge"
    EVENT = "event"
    NOW = "now"


@dataclass(frozen=True, eq=False)
class CurveLine:
    """One curve.

    Attributes
    ----------
    name : str
        In the legend and the read-out.
    time : ndarray, shape (n,)
        UTC epoch seconds, never decreasing.
    temperature : ndarray, shape (n,)
        [K] (for a deviation: kelvin of difference); NaN breaks the line.
    role : LineRole
    """

    name: str
    time: FloatArray
    temperature: FloatArray
    role: LineRole = LineRole.PLAN

    def __post_init__(self) -> None:
        time = np.array(self.time, dtype=np.float64)
        temperature = np.array(self.temperature, dtype=np.float64)
        if time.ndim != 1 or time.shape != temperature.shape:
            raise ValueError("A curve needs as many temperatures as times.")
        time.setflags(write=False)
        temperature.setflags(write=False)
        object.__setattr__(self, "time", time)
        object.__setattr__(self, "temperature", temperature)

    def at(self, moment: float) -> float:
        """Temperature [K] at a moment, NaN outside the curve or in a gap."""
        if not self.time.size or not self.time[0] <= moment <= self.time[-1]:
            return float("nan")
        # The two points beside it: looking through all of a long log would take a while.
        last = int(np.searchsorted(self.time, moment, side="right"))
        beside = slice(max(last - 1, 0), last + 1)
        return float(np.interp(moment, self.time[beside], self.temperature[beside]))


@dataclass(frozen=True)
class ZoneBand:
    """A band of temperature [K] with words at its upper and lower edge."""

    top: float
    bottom: float
    top_label: str
    bottom_label: str


@dataclass(frozen=True)
class Level:
    """A horizontal line, e.g. the soak temperature [K]."""

    temperature: float
    label: str


@dataclass(frozen=True)
class Marker:
    """A moment (UTC epoch seconds) with its words."""

    time: float
    label: str
    role: MarkerRole = MarkerRole.EVENT
