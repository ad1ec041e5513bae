"""The furnace's temperatures by clock time, with its charges as moments."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

import numpy as np

from app.furnace.words import mass_words
from app.local_time import short_day
from app.plots.curves import CurveLine, LineRole, Marker, MarkerRole
from core.furnace.charged import charged_by_day
from core.furnace.ledger import Charge, FurnaceReading
from core.units import UnitChoice

_MANY_CHARGES = 30
"""Above this many, a day's charges are shown as one moment."""
MOST_MARKERS = 60
"""Above this many the lines would hide the curve they stand on."""


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
