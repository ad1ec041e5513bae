"""A lehr and its ramp-and-soak controller: what they can and cannot do."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.errors import EquipmentError
from core.units import SECONDS_PER_HOUR, ZERO_CELSIUS, TemperatureUnit

FloatArray = NDArray[np.float64]


class Entry(StrEnum):
    """How a controller takes a segment."""

    RATE = "rate"
    """Rate, target and hold in one segment."""
    TIME = "time"
    """Target and time; a hold is a segment of its own."""


CONTROLLER_LIMITS: dict[str, tuple[float, float, str]] = {
    "smallest_rate": (0.01, 9999.0, "0.01 to 9999 degrees per hour"),
    "greatest_rate": (0.01, 9999.0, "0.01 to 9999 degrees per hour"),
    "longest_segment": (1800.0, 1000 * SECONDS_PER_HOUR, "half an hour to 1000 hours"),
}
"""Lowest and highest value of what a controller may be bound to, and that in words."""


@dataclass(frozen=True)
class Controller:
    """A ramp-and-soak controller.

    Attributes
    ----------
    entry : Entry
        Rate + target + hold, or target + time.
    unit : TemperatureUnit
        Degrees it is programmed in; targets and rates are whole in this unit.
    max_segments : int
        Segments one program may have (1 to 99).
    rate_step : float
        Smallest step of a rate, in controller degrees per hour (usually 1).
    smallest_rate, greatest_rate : float or None
        Rates it takes, in controller degrees per hour; ``None``: no bound but the step.
    longest_segment : float or None
        Longest ramp or hold of one segment [s]; ``None``: as long as one likes. Longer ones take
        several segments.
    """

    entry: Entry = Entry.RATE
    unit: TemperatureUnit = TemperatureUnit.CELSIUS
    max_segments: int = 8
    rate_step: float = 1.0
    smallest_rate: float | None = None
    greatest_rate: float | None = None
    longest_segment: float | None = None

    def __post_init__(self) -> None:
        if not 1 <= self.max_segments <= 99:
            raise EquipmentError(
                f"A controller with {self.max_segments} segments is not possible.",
                field="max_segments",
                remedy="Use 1 to 99.",
            )
        if not 0.01 <= self.rate_step <= 100:
            raise EquipmentError(
                f"A rate step of {self.rate_step:g} degrees per hour is not possible.",
                field="rate_step",
                remedy="Use 0.01 to 100.",
            )
        for name in ("smallest_rate", "greatest_rate", "longest_segment"):
            value = getattr(self, name)
            low, high, words = CONTROLLER_LIMITS[name]
            if value is not None and not low <= value <= high:
                raise EquipmentError(
                    f"A controller with this {name.replace('_', ' ')} is not possible.",
                    field=name,
                    remedy=f"Use {words}, or leave it out.",
                )
        if (self.smallest_rate or 0.0) > (self.greatest_rate or math.inf):
            raise EquipmentError(
                f"The controller's smallest rate ({self.smallest_rate:g} degrees per hour) is "
                f"above its greatest ({self.greatest_rate:g}).",
                field="smallest_rate",
                remedy="Give a smaller one, or leave it out.",
            )


LEHR_LIMITS: dict[str, tuple[float, float]] = {
    "cooling_time_constant": (300.0, 200 * SECONDS_PER_HOUR),
    "ambient": (ZERO_CELSIUS - 20, ZERO_CELSIUS + 60),
    "max_heating_rate": (1 / SECONDS_PER_HOUR, 3000 / SECONDS_PER_HOUR),
    "max_temperature": (ZERO_CELSIUS + 100, ZERO_CELSIUS + 1300),
    "thermocouple_offset": (-60.0, 60.0),
    "thermocouple_error": (0.0, 30.0),
    "unevenness": (0.0, 60.0),
}
"""Lowest and highest value of each setting of a lehr, in SI; common practice, no source."""


@dataclass(frozen=True)
class Lehr:
    """A lehr (annealing oven); SI units.

    Attributes
    ----------
    cooling_time_constant : float
        Seconds in which, power off and door shut, the excess over the room falls to 1/e (37 %).
    ambient : float
        Room temperature [K].
    max_heating_rate : float
        [K/s].
    max_temperature : float
        Highest temperature it may be set to [K].
    thermocouple_offset : float
        How much the controller reads above the glass's true surroundings [K]; set points and
        logged readings are controller readings.
    controller : Controller
    thermocouple_error : float
        How far the reading, less its offset, may still be wrong either way [K]. Default 2.5 K:
        tolerance of a class 2 type K or N thermocouple up to 333 °C (IEC 60584-1); one checked
        against a melting point or a good instrument is better.
    unevenness : float
        How much hotter or cooler than at the thermocouple a place among the pieces may be during
        the slow cooling [K]. Default 5 K; common practice, no source.
    """

    name: str
    cooling_time_constant: float
    ambient: float = ZERO_CELSIUS + 20.0
    max_heating_rate: float = 200.0 / SECONDS_PER_HOUR
    max_temperature: float = ZERO_CELSIUS + 650.0
    thermocouple_offset: float = 0.0
    controller: Controller = Controller()
    thermocouple_error: float = 2.5
    unevenness: float = 5.0

    def __post_init__(self) -> None:
        words = {
            "cooling_time_constant": "5 minutes to 200 hours",
            "ambient": "-20 to 60 °C",
            "max_heating_rate": "1 to 3000 °C/h",
            "max_temperature": "100 to 1300 °C",
            "thermocouple_offset": "-60 to 60 °C",
            "thermocouple_error": "0 to 30 °C",
            "unevenness": "0 to 60 °C",
        }
        if not self.name.strip():
            raise EquipmentError("The lehr has no name.", field="name", remedy="Give it one.")
        for field, (low, high) in LEHR_LIMITS.items():
            value = getattr(self, field)
            if not low <= value <= high:
                label = field.replace("_", " ").capitalize()
                raise EquipmentError(
                    f"{label} of “{self.name}” is not possible.",
                    field=field,
                    remedy=f"Use {words[field]}.",
                )

    def natural_cooling_rate(self, temperature: float) -> float:
        """Fastest cooling [K/s] at a chamber temperature [K]: (T - ambient)/time constant."""
        return max(0.0, (temperature - self.ambient) / self.cooling_time_constant)

    def coasting(self, start: float, time: FloatArray) -> FloatArray:
        """Chamber temperature [K] at times [s] after the power went off at ``start`` [K].

        Newton's law of cooling, ambient + (start - ambient) exp(-t/tau).

        Parameters
        ----------
        time : ndarray, shape (n,)
        """
        decay = np.exp(-time / self.cooling_time_constant)
        return np.asarray(self.ambient + (start - self.ambient) * decay)

    def coast_time(self, start: float, end: float) -> float:
        """Seconds to fall from ``start`` to ``end`` [K] with the power off.

        Raises
        ------
        EquipmentError
            If ``end`` is not above the room temperature.
        """
        if end <= self.ambient:
            raise EquipmentError(
                f"The lehr never cools to {end - ZERO_CELSIUS:.0f} °C in a room at "
                f"{self.ambient - ZERO_CELSIUS:.0f} °C.",
                field="ambient",
                remedy="Choose a hand-warm temperature well above the room.",
            )
        if end >= start:
            return 0.0
        return self.cooling_time_constant * math.log((start - self.ambient) / (end - self.ambient))


def cooling_time_constant(start: float, end: float, duration: float, ambient: float) -> float:
    """Time constant [s] of a lehr from one observed cooling with the power off.

    Newton's law of cooling, T(t) = ambient + (T0 - ambient) exp(-t/tau).

    Parameters
    ----------
    start, end : float
        First and last temperature [K].
    duration : float
        Seconds between them.
    ambient : float
        Room temperature [K].

    Raises
    ------
    EquipmentError
        Unless start > end > ambient and the duration is positive.
    """
    if not start > end > ambient:
        raise EquipmentError(
            "The two temperatures must fall, and both lie above the room.",
            field="end",
            remedy="Read the lehr twice with the power off and the door shut.",
        )
    if duration <= 0:
        raise EquipmentError(
            "The time between the readings must be more than nothing.",
            field="duration",
            remedy="Give the hours and minutes between them.",
        )
    return duration / math.log((start - ambient) / (end - ambient))
