"""A cooling as numbers that can be varied: a soak, a few straight ramps, then power off."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.plan.rounding import greatest_rate
from core.stress.history import ChamberHistory

FloatArray = NDArray[np.float64]

_COAST_CORNERS = 14
"""Corners of the coasting curve: chords within 1 % of its fall."""
EVENING_OUT = 12 * 3600.0
"""[s] at the end of every history, in which wall and base come to one temperature."""
_SHORTEST_RAMP = 1e-3
"""[K] A ramp shorter than this is left out of the history."""


@dataclass(frozen=True)
class Cooling:
    """Straight ramps down from a soak in true chamber temperatures, then the lehr by itself.

    Attributes
    ----------
    soak : float
        Where the ramps begin [K].
    bottoms : tuple of float
        Where each ramp ends, falling [K]; behind the last the power is off.
    rates : tuple of float
        [K/s], positive, one a ramp.
    """

    soak: float
    bottoms: tuple[float, ...]
    rates: tuple[float, ...]

    @property
    def tops(self) -> tuple[float, ...]:
        """Where each ramp begins [K]."""
        return (self.soak, *self.bottoms[:-1])

    def ramp_times(self) -> FloatArray:
        """Duration of each ramp [s]."""
        falls = np.asarray(self.tops) - np.asarray(self.bottoms)
        return np.asarray(falls / np.asarray(self.rates))

    def duration(self, lehr: Lehr, end: float) -> float:
        """Seconds until the chamber is down at a temperature [K], coasting included."""
        coast = lehr.coast_time(self.bottoms[-1], end) if self.bottoms[-1] > end else 0.0
        return float(self.ramp_times().sum()) + coast

    def history(self, lehr: Lehr, end: float, past: ChamberHistory | None = None) -> ChamberHistory:
        """Chamber history from the end of the soak down to a temperature [K] at least.

        Times count from the end of the soak; those of the ``past`` that led there are negative.
        """
        time, temperature = [0.0], [self.soak]
        if past is not None:
            time = [*(past.time[:-1] - past.time[-1]).tolist(), 0.0]
            temperature = [*past.temperature[:-1].tolist(), self.soak]
        for bottom, seconds in zip(self.bottoms, self.ramp_times().tolist(), strict=True):
            if temperature[-1] - bottom > _SHORTEST_RAMP:
                time.append(time[-1] + seconds)
                temperature.append(bottom)
        last = temperature[-1]
        if last > end + 0.5:
            # Corners at equal ratios of the fall bend least per chord.
            share = np.linspace(0.0, 1.0, _COAST_CORNERS)[1:]
            total = lehr.coast_time(last, end)
            later = total * share
            time += (time[-1] + later).tolist()
            temperature += lehr.coasting(last, later).tolist()
        # Held there until even, so that nothing of what is met on the way is taken for permanent.
        time.append(time[-1] + EVENING_OUT)
        temperature.append(temperature[-1])
        return ChamberHistory(np.asarray(time), np.asarray(temperature))

    def scaled(self, factors: FloatArray) -> Cooling:
        """The same ramps with each rate multiplied."""
        rates = np.asarray(self.rates) * factors
        return Cooling(self.soak, self.bottoms, tuple(rates.tolist()))


def followed_rate(lehr: Lehr, bottom: float) -> float:
    """Fastest straight ramp [K/s] that lehr and controller can do down to a temperature [K]."""
    return max(min(lehr.natural_cooling_rate(bottom), greatest_rate(lehr.controller)), 1e-9)
