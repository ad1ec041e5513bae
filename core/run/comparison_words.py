"""A comparison in the trade's words: the small table, the segments, and the gaps."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo

from core.run.compare import Comparison
from core.run.fastest_cooling import SustainedRate
from core.run.segment_table import SegmentRow
from core.units import TemperatureUnit, format_duration, interval_to, kelvin_to, rate_to

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
    fastest, planned = comparison.fastest, comparison.planned_fastest
    minutes = 15 if fastest is None else 5 * round((fastest.end - fastest.start) / 300.0)
    rows = [
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
            f"fastest {max(minutes, 5)} minutes of it",
            _sustained(fastest, unit),
            rate(None if planned is None else planned.rate),
        ),
    ]
    late = comparison.lateness_at_bottom
    if late is not None:
        rows.append(("below the transformation range", late_words(late), ""))
    for work in comparison.heat_work:
        whose = f", {work.glass}" if len(comparison.heat_work) > 1 else ""
        missing = "" if work.complete else " and what was done in the gaps"
        rows.append(
            (
                f"heat-work, as time at the annealing point{whose}",
                f"{format_duration(work.actual)}{missing}",
                format_duration(work.planned),
            )
        )
    return rows


def _sustained(rate: SustainedRate | None, unit: TemperatureUnit) -> str:
    if rate is None:
        return NOT_COVERED
    half = rate_to(0.5 * (rate.high - rate.low), unit)
    text = f"{rate_to(rate.rate, unit):.1f} {unit.symbol}/h"
    return text if half < 0.05 else f"{text} ± {half:.1f}"


def late_words(seconds: float) -> str:
    """How late, ``"0:25 later than planned"``."""
    if abs(seconds) < 30.0:
        return "as planned"
    return f"{format_duration(abs(seconds))} {'later' if seconds > 0 else 'sooner'} than planned"


def segment_rows(
    comparison: Comparison, unit: TemperatureUnit, zone: tzinfo | None
) -> list[tuple[str, ...]]:
    """The program segment by segment, with a head: planned and actual beside each other.

    Parameters
    ----------
    comparison : Comparison
    unit : TemperatureUnit
    zone : tzinfo or None
    """
    head = (
        "segment",
        "to",
        "begun",
        "planned",
        "rate",
        "planned",
        "hold",
        "planned",
        "overshoot",
    )
    return [head, *(_segment(row, unit, zone) for row in comparison.segments)]


def _segment(row: SegmentRow, unit: TemperatureUnit, zone: tzinfo | None) -> tuple[str, ...]:
    def clock(time: float | None) -> str:
        return "-" if time is None else f"{_instant(time).astimezone(zone):%H:%M}"

    def rate(value: float | None) -> str:
        return "-" if value is None else f"{rate_to(value, unit):.1f} {unit.symbol}/h"

    def hold(value: float | None) -> str:
        return "-" if not value else format_duration(value)

    missing = ", readings missing" if row.gap else ""
    over = "-" if row.overshoot is None else f"{interval_to(row.overshoot, unit):.0f} {unit.symbol}"
    return (
        f"{row.number} {row.kind}{missing}",
        f"{kelvin_to(row.target, unit):.0f} {unit.symbol}",
        clock(row.actual_start),
        clock(row.planned_start),
        rate(row.actual_rate),
        rate(row.planned_rate),
        hold(row.actual_hold),
        hold(row.planned_hold),
        over,
    )


def gap_sentences(comparison: Comparison, zone: tzinfo | None) -> list[str]:
    """Each gap in a sentence, ``"No readings from Tue 22:10 to Tue 23:40 (1:30)."``."""
    sentences = []
    for gap in comparison.gaps:
        start, end = (_instant(time).astimezone(zone) for time in (gap.start, gap.end))
        length = format_duration(gap.duration)
        where = (
            " The glass was in its transformation range then."
            if gap in comparison.transformation_gaps
            else ""
        )
        sentences.append(f"No readings from {start:%a %H:%M} to {end:%a %H:%M} ({length}).{where}")
    return sentences


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)
