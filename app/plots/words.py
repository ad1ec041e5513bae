"""A plot in words: for screen readers and for the line above the curve."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import tzinfo

import numpy as np

from app.local_time import clock_text, day_and_clock
from app.plots.curves import CurveLine, LineRole, Marker, ZoneBand
from app.widgets.quantity import Quantity, format_quantity
from core.units import UnitChoice


def _signed(kelvin: float, units: UnitChoice) -> str:
    text = format_quantity(Quantity.INTERVAL, abs(kelvin), units, decimals=0)
    return f"{'−' if kelvin < 0 else '+'}{text}"


def read_out(
    moment: float,
    lines: Sequence[CurveLine],
    deviation: CurveLine | None,
    units: UnitChoice,
    zone: tzinfo | None = None,
) -> list[tuple[str, str]]:
    """Pairs of words and value at a moment: clock time, each curve, the deviation."""
    parts = [("", clock_text(moment, zone))]
    for line in lines:
        value = line.at(moment)
        if math.isfinite(value):
            parts.append((line.name, format_quantity(Quantity.TEMPERATURE, value, units)))
    if deviation is not None and math.isfinite(deviation.at(moment)):
        parts.append((deviation.name, _signed(deviation.at(moment), units)))
    return parts


def describe_night(
    lines: Sequence[CurveLine],
    deviation: CurveLine | None,
    zones: Sequence[ZoneBand],
    markers: Sequence[Marker],
    units: UnitChoice,
    zone: tzinfo | None = None,
) -> str:
    """The whole plot in sentences: where each curve begins, peaks and ends, zones, moments."""
    sentences: list[str] = []

    def at(index: int, line: CurveLine) -> str:
        degrees = format_quantity(Quantity.TEMPERATURE, float(line.temperature[index]), units)
        return f"{degrees} at {day_and_clock(float(line.time[index]), zone=zone)}"

    for line in lines:
        known = np.flatnonzero(np.isfinite(line.temperature))
        if not known.size:
            continue
        peak = known[int(np.argmax(line.temperature[known]))]
        sentences.append(
            f"{line.name}: from {at(int(known[0]), line)}, highest {at(int(peak), line)}, "
            f"to {at(int(known[-1]), line)}."
        )
    if deviation is not None and np.isfinite(deviation.temperature).any():
        worst = int(np.nanargmax(np.abs(deviation.temperature)))
        sentences.append(
            f"Largest deviation {_signed(float(deviation.temperature[worst]), units)} "
            f"at {day_and_clock(float(deviation.time[worst]), zone=zone)}."
        )
    for band in zones:
        top = format_quantity(Quantity.TEMPERATURE, band.top, units)
        bottom = format_quantity(Quantity.TEMPERATURE, band.bottom, units)
        sentences.append(f"{band.top_label} {top}, {band.bottom_label} {bottom}.")
    sentences.extend(
        f"{marker.label}: {day_and_clock(marker.time, zone=zone)}." for marker in markers
    )
    return " ".join(sentences) if sentences else "No curve yet."


def is_measured(line: CurveLine) -> bool:
    """True for readings, false for what was planned or computed."""
    return line.role in {LineRole.ACTUAL, LineRole.FURNACE}
