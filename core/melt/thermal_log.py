"""A logged run to fit to: temperatures with the power that went in, evened out into bins."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from core.errors import RunError

FloatArray = NDArray[np.float64]

LEAST_READINGS = 20
_ALIKE = 0.02
"""Share of full power by which bins may differ and still be joined."""
_MOST_JOINED = 4
LONGEST_GAP = 4 * 3600.0
"""[s] Over a longer gap nobody knows what the power did."""


@dataclass(frozen=True)
class ThermalLog:
    """Readings of a furnace or lehr; arrays of shape (n,).

    Attributes
    ----------
    time : ndarray
        [s], rising.
    temperature : ndarray
        What the thermocouple read [K].
    power : ndarray
        Share of full power from each reading to the next, 0 to 1.
    metered : bool
        Whether ``power`` is a meter's reading over the power on the plate, so that its size is
        known and not only its course.

    Raises
    ------
    RunError
        Unless there are enough readings, in order, without NaN or long gaps.
    """

    time: FloatArray
    temperature: FloatArray
    power: FloatArray
    metered: bool = False

    def __post_init__(self) -> None:
        arrays = (self.time, self.temperature, self.power)
        if len({a.shape for a in arrays}) != 1 or self.time.ndim != 1:
            raise RunError("Times, temperatures and powers are not equally many.", field="power")
        if len(self.time) < LEAST_READINGS:
            raise RunError(
                f"{len(self.time)} readings are too few to fit anything to.",
                field="time",
                remedy=f"Give at least {LEAST_READINGS}.",
            )
        if not all(np.isfinite(a).all() for a in arrays):
            raise RunError(
                "A reading is not a number.", field="temperature", remedy="Leave such rows out."
            )
        steps = np.diff(self.time)
        if not (steps > 0).all():
            raise RunError("The readings are not in order of time.", field="time")
        if steps.max() > LONGEST_GAP:
            raise RunError(
                f"The log has a gap of {steps.max() / 3600:.1f} h.",
                field="time",
                remedy="Fit to a stretch without one: what the power did in it is not known.",
            )
        if self.temperature.min() < 200.0 or self.temperature.max() > 2300.0:
            raise RunError(
                "The log has temperatures no furnace has.",
                field="temperature",
                remedy="Check the unit, and leave out what a broken thermocouple read.",
            )
        if self.power.min() < -1e-9 or self.power.max() > 1.5:
            raise RunError(
                "Powers lie outside 0 to 1.5 of the power on the plate.",
                field="power",
                remedy="Give them as a share of full power: kW read over kW on the plate.",
            )

    @property
    def duration(self) -> float:
        """[s]."""
        return float(self.time[-1] - self.time[0])

    @property
    def temperature_span(self) -> float:
        """Highest less lowest temperature [K]."""
        return float(np.ptp(self.temperature))


@dataclass(frozen=True)
class Bins:
    """A log evened out; arrays of shape (n,).

    ``end`` [s from the log's start] of each bin, its mean ``power``, the mean ``temperature`` [K]
    of the ``number`` of readings in it at their mean time ``middle``; NaN where it has none.
    ``uneven`` tells by how much the power changed within the bin or at its ends.
    """

    end: FloatArray
    power: FloatArray
    middle: FloatArray
    temperature: FloatArray
    number: FloatArray
    uneven: FloatArray


def binned(log: ThermalLog, width: float, most: int) -> Bins:
    """Even a log out over bins of a width [s] or more: energy is kept, noise shrinks.

    Power counts as constant from each reading to the next, so that its integral over a bin is
    exact whatever the spacing. Neighbouring bins of nearly the same power are joined, up to four of
    them and until there are no more than ``most`` or nothing more can be joined.
    """
    time = log.time - log.time[0]
    count = max(1, round(float(time[-1]) / width))
    edges = np.linspace(0.0, float(time[-1]), count + 1)
    energy = np.concatenate(([0.0], np.cumsum(log.power[:-1] * np.diff(time))))
    power = np.diff(np.interp(edges, time, energy)) / np.diff(edges)
    alike = _ALIKE
    kept = _joined(power, alike)
    while len(kept) > most and alike < 2.0:
        alike *= 2.0
        kept = _joined(power, alike)
    jumps = np.concatenate(([0.0], np.abs(np.diff(power)), [0.0]))
    first = np.concatenate(([0], kept[:-1]))
    # The jump at either end of a bin blurs it too, where a reading lies astride.
    uneven = np.array(
        [
            max(float(np.ptp(power[i:j])), 0.3 * float(max(jumps[i], jumps[j])))
            for i, j in zip(first, kept, strict=True)
        ]
    )
    edges = np.concatenate(([0.0], edges[kept]))
    power = np.diff(np.interp(edges, time, energy)) / np.diff(edges)
    which = np.clip(np.searchsorted(edges, time, side="right") - 1, 0, len(kept) - 1)
    number = np.bincount(which, minlength=len(kept)).astype(np.float64)
    with np.errstate(invalid="ignore"):
        middle = np.bincount(which, time, len(kept)) / number
        temperature = np.bincount(which, log.temperature, len(kept)) / number
    return Bins(edges[1:], power, middle, temperature, number, uneven)


def _joined(power: FloatArray, alike: float) -> list[int]:
    """Indices of the upper edges kept when bins whose powers differ by less are joined."""
    kept: list[int] = []
    first = 0
    low = high = float(power[0])
    for i in range(1, len(power)):
        value = float(power[i])
        low, high = min(low, value), max(high, value)
        if high - low > alike or i - first >= _MOST_JOINED:
            kept.append(i)
            first, low, high = i, value, value
    kept.append(len(power))
    return kept


def means_over(bins: Bins, time: FloatArray, values: FloatArray) -> FloatArray:
    """Mean of a simulated curve over every bin, shape (n,), to lay beside the readings' means.

    Parameters
    ----------
    time, values : ndarray, shape (m,)
        Times [s], rising, that hold every bin's end; joined by monotone cubics.
    """
    area = PchipInterpolator(time, values).antiderivative()
    edges = np.concatenate(([0.0], bins.end))
    return np.asarray(np.diff(area(edges)) / np.diff(edges))
