"""Moments on a plot's time axis in words: by the clock, or since what several nights share."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import tzinfo
from typing import Protocol

from app.local_time import clock_text, day_and_clock
from app.plots.clock_axis import span_in_words

_DAY = 86400


class TimeWords(Protocol):
    """How a plot speaks of its moments."""

    def short(self, moment: float) -> str:
        """The moment where it is clear which night is meant."""

    def full(self, moment: float) -> str:
        """The moment by itself."""

    def span(self, start: float, end: float) -> str:
        """What lies between two moments."""


@dataclass(frozen=True)
class ByClock:
    """UTC epoch seconds as clock times of a zone (``None``: the machine's own)."""

    zone: tzinfo | None = None

    def short(self, moment: float) -> str:
        """``"06:40"``."""
        return clock_text(moment, self.zone)

    def full(self, moment: float) -> str:
        """``"tomorrow 06:40"``."""
        return day_and_clock(moment, zone=self.zone)

    def span(self, start: float, end: float) -> str:
        """``"Wed 25 Nov – Thu 26 Nov"``."""
        return span_in_words(start, end, self.zone)


@dataclass(frozen=True)
class Since:
    """Seconds since a moment that several nights share.

    Attributes
    ----------
    what : str
        The moment, ``"the start of the soak"``.
    hour : float or None
        Where the nights share an hour of the day: that hour as seconds since midnight. Moments
        are then clock times.
    """

    what: str
    hour: float | None = None

    def short(self, moment: float) -> str:
        """``"+1:30 h"``, or ``"22:15"`` where the nights share the hour."""
        minutes = round((moment + (self.hour or 0.0)) / 60.0)
        if self.hour is not None:
            return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"
        sign = "−" if minutes < 0 else "+"
        return f"{sign}{abs(minutes) // 60}:{abs(minutes) % 60:02d} h"

    def full(self, moment: float) -> str:
        """``"+1:30 h from the start of the soak"``."""
        words = self.short(moment)
        return words if self.hour is not None else f"{words} from {self.what}"

    def span(self, start: float, end: float) -> str:
        """What time counts from."""
        del start, end
        return "Hour of the day" if self.hour is not None else f"Hours from {self.what}"

    def label(self, moment: float) -> str:
        """Of a tick of the axis."""
        return self.short(moment).removesuffix(" h").lstrip("+")

    def round_before(self, step: float) -> float:
        """Seconds by which a round label lies before the shared moment."""
        return (self.hour or 0.0) % min(step, _DAY)
