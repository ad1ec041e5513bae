"""A plot in words: for screen readers and for the line above the curve."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from app.plots.curves import NIGHTS, CurveLine, LineRole, Marker, ZoneBand
from app.plots.strip import Strip
from app.plots.time_words import TimeWords
from app.widgets.quantity import Quantity, format_quantity
from core.units import UnitChoice


def read_out(
    moment: float,
    lines: Sequence[CurveLine],
    strip: Strip,
    units: UnitChoice,
    words: TimeWords,
) -> list[tuple[str, str]]:
    """Pairs of words and value at a moment: its time, each curve, each deviation."""
    parts = [("", words.short(moment))]
    for line in lines:
        value = line.at(moment)
        if math.isfinite(value):
            parts.append((line.name, format_quantity(Quantity.TEMPERATURE, value, units)))
    parts.extend(
        (line.name, strip.words(off, units))
        for line in strip.lines
        if math.isfinite(off := line.at(moment))
    )
    return parts


def describe_night(
    lines: Sequence[CurveLine],
    strip: Strip,
    zones: Sequence[ZoneBand],
    markers: Sequence[Marker],
    units: UnitChoice,
    words: TimeWords,
) -> str:
    """The whole plot in sentences: where each curve begins, peaks and ends, zones, moments."""
    sentences: list[str] = []

    def at(index: int, line: CurveLine) -> str:
        degrees = format_quantity(Quantity.TEMPERATURE, float(line.temperature[index]), units)
        return f"{degrees} at {words.full(float(line.time[index]))}"

    for line in lines:
        known = np.flatnonzero(np.isfinite(line.temperature))
        if not known.size:
            continue
        peak = known[int(np.argmax(line.temperature[known]))]
        sentences.append(
            f"{line.name}: from {at(int(known[0]), line)}, highest {at(int(peak), line)}, "
            f"to {at(int(known[-1]), line)}."
        )
    for line in strip.lines:
        if not np.isfinite(line.temperature).any():
            continue
        worst = int(np.nanargmax(np.abs(line.temperature)))
        whose = f" of {line.name}" if len(strip.lines) > 1 else ""
        off = strip.words(float(line.temperature[worst]), units)
        sentences.append(
            f"Largest deviation{whose} {off} at {words.full(float(line.time[worst]))}."
        )
    for band in zones:
        top = format_quantity(Quantity.TEMPERATURE, band.top, units)
        bottom = format_quantity(Quantity.TEMPERATURE, band.bottom, units)
        sentences.append(f"{band.top_label} {top}, {band.bottom_label} {bottom}.")
    sentences.extend(f"{marker.label}: {words.full(marker.time)}." for marker in markers)
    return " ".join(sentences) if sentences else "No curve yet."


def is_measured(line: CurveLine) -> bool:
    """True for readings, false for what was planned or computed."""
    return line.role in {LineRole.ACTUAL, LineRole.FURNACE, *NIGHTS}
