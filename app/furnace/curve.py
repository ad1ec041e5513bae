"""The furnace's temperatures by clock time, with its charges as moments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np

from app.furnace.words import mass_words
from app.local_time import short_day
from app.plots.curves import CurveLine, LineRole, Marker, MarkerRole
from app.plots.night_plot import NightPlot
from core.furnace.charged import charged_by_day
from core.furnace.ledger import Charge, FurnaceReading
from core.units import UnitChoice, kelvin_to

_MANY_CHARGES = 30
"""Above this many, a day's charges are shown as one moment."""
MOST_MARKERS = 60
"""Above this many the lines would hide the curve they stand on."""
_LEAST_SPAN = 40.0
"""Degrees the plot shows at least, so that a steady furnace looks steady."""


_WORDS = 80.0
"""Pixels kept free for words above the curve."""


class FurnacePlot(NightPlot):
    """A plot of a furnace that never goes cold: its range is that of its readings."""

    def _set_heights(self) -> None:
        # A lehr's night starts and ends in the room; from there a furnace's swing of 150 °C
        # would be a flat line.
        values = [line.temperature[np.isfinite(line.temperature)] for line in self._lines]
        known = np.concatenate(values) if values else np.empty(0)
        if not known.size:
            return
        low = kelvin_to(float(known.min()), self._units.temperature)
        high = kelvin_to(float(known.max()), self._units.temperature)
        spare = max(0.0, _LEAST_SPAN - (high - low)) / 2
        low, high = low - spare, high + spare
        low -= 0.08 * (high - low)
        # The words of the charges stand above the curve, in up to three lines.
        above = _WORDS if self._markers else _WORDS / 5
        share = min(0.58, above / max(self.upper.view.height(), 1.0))
        self.upper.view.setYRange(low, low + (high - low) / (1.0 - share), padding=0)


def reading_line(furnace: str, readings: Sequence[FurnaceReading]) -> CurveLine:
    """The furnace's temperatures as a curve."""
    times = np.array([reading.time.timestamp() for reading in readings])
    kelvin = np.array([reading.temperature for reading in readings])
    return CurveLine(furnace, times, kelvin, LineRole.FURNACE)


def charge_markers(
    charges: Sequence[Charge], units: UnitChoice, zone: tzinfo | None
) -> tuple[Marker, ...]:
    """A moment for each charge, for each day and pot when there are many, none for very many."""
    if len(charges) > _MANY_CHARGES:
        days = charged_by_day(charges, zone)
        if len(days) > MOST_MARKERS:
            return ()
        return tuple(
            Marker(
                one.first.timestamp(),
                f"{short_day(one.day)}: {one.pot} {mass_words(one.mass, units)}",
                MarkerRole.CHARGE,
            )
            for one in days
        )
    return tuple(
        Marker(
            charge.time.timestamp(),
            f"{charge.pot} {mass_words(charge.mass, units)}",
            MarkerRole.CHARGE,
        )
        for charge in charges
    )


def now_marker(now: datetime) -> Marker:
    """The present."""
    return Marker(now.timestamp(), "now", MarkerRole.NOW)
