"""How far a plot reaches: in time with room for words at the right, in temperature for its top."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.plots.curves import CurveLine, FloatArray, Marker, ZoneBand
from core.units import ZERO_CELSIUS

LEAST_DEVIATION = 10.0
"""The strip of deviations never shows less than this either way [K]: noise must not look large."""


def time_range(
    lines: Sequence[CurveLine], markers: Sequence[Marker], words: float, width: float
) -> tuple[float, float] | None:
    """Span of time that shows every curve and moment; None when there is nothing.

    Parameters
    ----------
    lines, markers : sequence
    words, width : float
        Pixels that the words at the right edge take, of how many.
    """
    spans = [line.time[[0, -1]] for line in lines if line.time.size]
    spans.extend(np.array([marker.time]) for marker in markers)
    if not spans:
        return None
    times = np.concatenate(spans)
    start, end = float(times.min()), float(times.max())
    span = max(end - start, 600.0)
    share = min(words / max(width, 300.0), 0.5)
    right = max(0.02, min(0.3, share / (1.0 - share)))
    return start - 0.02 * span, end + right * span


def whole_heights(
    lines: Sequence[CurveLine], zones: Sequence[ZoneBand]
) -> tuple[float, float] | None:
    """Temperatures [K] from the room up to the highest, with space above for words."""
    known = _finite(
        [line.temperature for line in lines] + [np.array([band.top, band.bottom]) for band in zones]
    )
    if not known.size:
        return None
    return _with_room(min(float(known.min()), ZERO_CELSIUS + 20.0), float(known.max()))


def visible_heights(
    lines: Sequence[CurveLine], start: float, end: float
) -> tuple[float, float] | None:
    """Temperatures [K] of the curves between two moments, with space above for words."""
    parts = []
    for line in lines:
        inside = (line.time >= start) & (line.time <= end)
        parts.append(line.temperature[inside])
        # Corner points may lie outside: what the line does at the edges counts as well.
        parts.append(np.array([line.at(start), line.at(end)]))
    known = _finite(parts)
    if not known.size:
        return None
    middle = (float(known.min()) + float(known.max())) / 2
    half = max(float(np.ptp(known)) / 2, 10.0)
    return _with_room(middle - half, middle + half)


def deviation_reach(deviation: CurveLine) -> float:
    """Kelvin to show above and below zero."""
    known = _finite([deviation.temperature])
    largest = float(np.abs(known).max()) if known.size else 0.0
    return max(LEAST_DEVIATION, 1.15 * largest)


def _with_room(low: float, high: float) -> tuple[float, float]:
    room = max(high - low, 20.0)
    return low - 0.03 * room, high + 0.18 * room


def _finite(arrays: Sequence[FloatArray]) -> FloatArray:
    if not arrays:
        return np.empty(0)
    joined = np.concatenate(arrays)
    return joined[np.isfinite(joined)]
