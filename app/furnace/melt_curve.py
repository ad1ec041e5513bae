"""A night at the furnace as curves and moments: reckoned, logged, charged."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.furnace.curve import now_marker
from app.furnace.words import mass_words
from app.local_time import clock_text
from app.plots.curves import CurveLine, LineRole, Marker, MarkerRole
from app.studio import Studio
from core.furnace.ledger import FurnaceReading
from core.melt.night_outcome import MeltNight


def night_lines(night: MeltNight | None, readings: Sequence[FurnaceReading]) -> list[CurveLine]:
    """Set point, furnace and glass as reckoned, and the furnace as logged."""
    lines = []
    if night is not None:
        course = night.course
        time = night.task.start.timestamp() + course.time
        if np.isfinite(course.set_point).any():
            lines.append(CurveLine("Set", time, course.set_point, LineRole.OTHER))
        lines.append(CurveLine("Furnace", time, course.chamber, LineRole.PLAN))
        lines.append(CurveLine("Glass", time, course.glass, LineRole.PIECE))
    if readings:
        moments = np.array([reading.time.timestamp() for reading in readings])
        kelvin = np.array([reading.temperature for reading in readings])
        lines.append(CurveLine("Logged", moments, kelvin, LineRole.FURNACE))
    return lines


def night_markers(night: MeltNight | None, studio: Studio) -> list[Marker]:
    """Charges, what the glass comes to, when it is wanted, and the present."""
    markers = [now_marker(studio.now())]
    if night is None:
        return markers

    def moment(seconds: float | None, words: str, role: MarkerRole) -> None:
        if seconds is not None:
            at = night.clock(seconds)
            markers.append(Marker(at.timestamp(), f"{words} {clock_text(at, studio.zone)}", role))

    for charge in night.charges:
        at = night.clock(charge.time).timestamp()
        markers.append(Marker(at, mass_words(charge.mass, studio.units), MarkerRole.CHARGE))
    moment(night.melted, "melted", MarkerRole.EVENT)
    moment(night.fined, "clear", MarkerRole.EVENT)
    late = night.in_time is False
    moment(night.workable, "workable", MarkerRole.LATE if late else MarkerRole.READY)
    wanted = night.task.workable_by
    if wanted is not None:
        words = f"wanted {clock_text(wanted, studio.zone)}"
        markers.append(Marker(wanted.timestamp(), words, MarkerRole.OUT_BY))
    return sorted(markers, key=lambda marker: marker.time)
