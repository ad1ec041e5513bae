"""Set points through time: a heating curve, then a hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from core.melt.heating_curve import HeatingStep
from core.melt.setting import Setting


@dataclass(frozen=True)
class SetPoints:
    """Straight stretches of set point; the last temperature is held.

    Attributes
    ----------
    knots : tuple of (float, float)
        Time [s] and temperature [K]; times never fall, two at one time are a step.
    """

    knots: tuple[tuple[float, float], ...]

    @classmethod
    def held(cls, temperature: float, start: float = 0.0) -> SetPoints:
        """One temperature [K] from the start on."""
        return cls(((start, temperature),))

    @classmethod
    def along(cls, steps: Sequence[HeatingStep], start: float, temperature: float) -> SetPoints:
        """A heating curve from a time [s] and a temperature [K] on."""
        knots = [(start, temperature)]
        for step in steps:
            time, at = knots[-1]
            time += (step.target - at) / step.rate
            knots.append((time, step.target))
            if step.hold > 0.0:
                knots.append((time + step.hold, step.target))
        return cls(tuple(knots))

    @property
    def end(self) -> float:
        """Time [s] from which the last temperature is held."""
        return self.knots[-1][0]

    def pieces(self, start: float, until: float, opening: float) -> list[tuple[Setting, float]]:
        """Settings and the time [s] each lasts to, from ``start`` to ``until``."""
        found: list[tuple[Setting, float]] = []
        now = start
        for (t0, k0), (t1, k1) in zip(self.knots[:-1], self.knots[1:], strict=True):
            if t1 <= now or t0 >= until or t1 == t0:
                continue
            rate = (k1 - k0) / (t1 - t0)
            end = min(t1, until)
            found.append((Setting(t0, k0, rate, opening), end))
            now = end
        if now < until:
            found.append((Setting(self.end, self.knots[-1][1], 0.0, opening), until))
        return found
