"""A comparison in the trade's words: the small table, and the gaps."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo

from core.run.compare import Comparison
from core.units import TemperatureUnit, format_duration, interval_to, rate_to

NOT_COVERED = "not covered by the log"
"""Stands where the readings do not tell."""


def comparison_rows(
    comparison: Comparison, unit: TemperatureUnit, zone: tzinfo | None
) -> list[tuple[str, str, str]]:
    """The small table: what, actual, planned.

    Parameters
    ----------
    comparison : Comparison
    unit : TemperatureUnit
        Of the degrees.
    zone : tzinfo or None
        Of the clock times; ``None``: the machine's own.
    """

    def rate(value: float | None) -> str:
        return NOT_COVERED if value is None else f"{rate_to(value, unit):.1f} {unit.symbol}/h"

    largest = interval_to(comparison.max_deviation, unit)
    at = _instant(comparison.max_deviation_time).astimezone(zone)
    band = interval_to(comparison.soak_band, unit)
    return [
        ("largest deviation", f"{largest:+.1f} {unit.symbol} at {at:%a %H:%M}", ""),
        (
            f"time within {band:.0f} {unit.symbol} of the soak",
            format_duration(comparison.soak_time),
            format_duration(comparison.planned_soak_time),
        ),
        (
            "rate through the transformation range",
            rate(comparison.transformation_rate),
            rate(comparison.planned_transformation_rate),
        ),
        (
            "fastest 15 minutes of it",
            rate(comparison.fastest_rate),
            rate(comparison.planned_fastest_rate),
        ),
    ]


def gap_sentences(comparison: Comparison, zone: tzinfo | None) -> list[str]:
    """Each gap in a sentence, ``"No readings from Tue 22:10 to Tue 23:40 (1:30)."``."""
    sentences = []
    for gap in comparison.gaps:
        start, end = (_instant(time).astimezone(zone) for time in (gap.start, gap.end))
        length = format_duration(gap.duration)
        sentences.append(f"No readings from {start:%a %H:%M} to {end:%a %H:%M} ({length}).")
    return sentences


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)
