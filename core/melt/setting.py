"""What a furnace is set to for a stretch of time."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Setting:
    """What is set for a stretch of time: the controller, the power, the opening.

    Attributes
    ----------
    start : float
        [s].
    temperature : float or None
        Set point at ``start`` [K]; ``None``: the power is off.
    rate : float
        Of the set point [K/s].
    opening : float
        Share open.
    power : float or None
        Share of full power given by hand instead of a set point.
    """

    start: float
    temperature: float | None
    rate: float = 0.0
    opening: float = 0.0
    power: float | None = None

    def set_point(self, time: float) -> float | None:
        """Set point [K] at a time [s]."""
        return (
            None if self.temperature is None else self.temperature + self.rate * (time - self.start)
        )
