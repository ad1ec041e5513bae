"""How far a plot reaches: in time for every curve, in temperature with room for words above."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from app.plots.curves import CurveLine, FloatArray, Marker, ZoneBand
from core.units import ZERO_CELSIUS

LEAST_DEVIATION = 10.0
"""The strip of deviations never shows less than this either way [K]: noise must not look large."""
LEAST_SPAN = 40.0
"""A plot that does not begin at the room shows at least this [K]: steady must look steady."""
_MOST_ABOVE = 0.55
"""Largest share of the height left to words."""


def time_range(lines: Sequence[CurveLine], markers: Sequence[Marker]) -> tuple[float, float] | None:
    """Span of time that shows every curve and moment; None when there is nothing."""
    spans = [line.time[[0, -1]] for line in lines if line.time.size]
    spans.extend(np.array([marker.time]) for marker in markers)
    if not spans:
        return None
    times = np.concatenate(spans)
    start, end = float(times.min()), float(times.max())
    margin = 0.02 * max(end - start, 600.0)
    if end - start < 600.0:
        margin += (600.0 - (end - start)) / 2
    return start - margin, end + margin


def whole_heights(
    lines: Sequence[CurveLine],
    zones: Sequence[ZoneBand],
    above: float,
    *,
    from_room: bool = True,
) -> tuple[float, float] | None:
    """Temperatures [K] that show every curve and zone, with space above for words.

    Parameters
    ----------
    lines, zones : sequence
    above : float
        Share of the plot's height that words take at the top.
    from_room : bool
        Begin at the room's temperature, as a lehr's night does; otherwise at the lowest reading,
        as for a furnace that never goes cold.
    """
    known = _finite(
        [line.temperature for line in lines] + [np.array([band.top, band.bottom]) for band in zones]
    )
    if not known.size:
        return None
    low, high = float(known.min()), float(known.max())
    if from_room:
        return _with_room(min(low, ZERO_CELSIUS + 20.0), high, above)
    spare = max(0.0, LEAST_SPAN - (high - low)) / 2
    return _with_room(low - spare, high + spare, above)


def visible_heights(
    lines: Sequence[CurveLine], start: float, end: float, above: float
) -> tuple[float, float] | None:
    """Temperatures [K] of the curves between two moments, with space above for words."""
    ends = []
    for line in lines:
        first, last = np.searchsorted(line.time, (start, end))
        inside = line.temperature[first:last]
        # Corner points may lie outside: what the line does at the edges counts as well.
        ends += [line.at(start), line.at(end)]
        if inside.size:
            ends += [float(np.fmin.reduce(inside)), float(np.fmax.reduce(inside))]
    known = _finite([np.array(ends)])
    if not known.size:
        return None
    middle = (float(known.min()) + float(known.max())) / 2
    half = max(float(np.ptp(known)) / 2, 10.0)
    return _with_room(middle - half, middle + half, above)


def largest_size(lines: Sequence[CurveLine]) -> float:
    """The largest value of several curves either way, 0 without any."""
    known = _finite([line.temperature for line in lines])
    return float(np.abs(known).max()) if known.size else 0.0


def _with_room(low: float, high: float, above: float) -> tuple[float, float]:
    room = max(high - low, 20.0)
    bottom, top = low - 0.04 * room, high + 0.04 * room
    return bottom, bottom + (top - bottom) / (1.0 - min(above, _MOST_ABOVE))


def _finite(arrays: Sequence[FloatArray]) -> FloatArray:
    if not arrays:
        return np.empty(0)
    joined = np.concatenate(arrays)
    return joined[np.isfinite(joined)]
