"""Readings of a run: times and temperatures as arrays, checked once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Readings:
    """Logged temperatures; arrays are made read-only.

    Attributes
    ----------
    time : ndarray, shape (n,)
        UTC epoch seconds, strictly increasing.
    temperature : ndarray, shape (n,)
        Controller or logger readings [K], finite.
    """

    time: FloatArray
    temperature: FloatArray

    def __post_init__(self) -> None:
        time = np.array(self.time, dtype=np.float64)
        temperature = np.array(self.temperature, dtype=np.float64)
        if time.ndim != 1 or time.shape != temperature.shape:
            raise RunError("Times and temperatures differ in number.", field="time")
        if not (np.isfinite(time).all() and np.isfinite(temperature).all()):
            raise RunError("A reading is not a number.", field="temperature")
        if time.size > 1 and not (np.diff(time) > 0).all():
            raise RunError("Readings are not in order of time.", field="time")
        time.setflags(write=False)
        temperature.setflags(write=False)
        object.__setattr__(self, "time", time)
        object.__setattr__(self, "temperature", temperature)

    def __len__(self) -> int:
        return int(self.time.size)
