"""The verdict on a run's pieces as text and as JSON."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from typing import Any

from core.command_line.plan import iso
from core.units import UnitChoice, kelvin_to, rate_to
from core.verdict.verdict import Cause, PieceVerdict, RunVerdict, StressRange
from core.verdict.verdict_words import (
    VERDICT_CAUTIONS,
    advice_sentences,
    cause_sentence,
    doubt_sentences,
    run_sentences,
    verdict_sentence,
)


def verdict_lines(
    verdict: RunVerdict | None, why_not: str, units: UnitChoice, zone: tzinfo | None
) -> list[str]:
    """The verdict on every piece, why, what to do, and what could change it."""
    if verdict is None:
        return ["", f"No verdict: {why_not}"]
    lines = [""]
    for found in verdict.pieces:
        lines.append(verdict_sentence(found))
        cause = cause_sentence(found.cause, units, zone)
        told = [
            *([cause] if cause else []),
            *advice_sentences(found),
            *doubt_sentences(found, units),
        ]
        lines += [f"  {sentence}" for sentence in told]
    lines += [f"! {sentence}" for sentence in run_sentences(verdict, zone)]
    lines += [f"* {caution}" for caution in VERDICT_CAUTIONS]
    return lines


def verdict_json(
    verdict: RunVerdict | None, why_not: str, units: UnitChoice, zone: tzinfo | None
) -> dict[str, Any]:
    """The verdict as plain values: MPa, nm, °C and °C/h; sentences in the load's units."""
    if verdict is None:
        return {"verdict": None, "no_verdict": why_not, "pieces": []}
    return {
        "verdict": str(verdict.standing),
        "no_verdict": None,
        "pieces": [_piece(found, units, zone) for found in verdict.pieces],
        "verdict_notes": list(run_sentences(verdict, zone)),
        "cautions": list(VERDICT_CAUTIONS),
    }


def _piece(found: PieceVerdict, units: UnitChoice, zone: tzinfo | None) -> dict[str, Any]:
    return {
        "piece": found.piece,
        "count": found.count,
        "verdict": str(found.standing),
        "sentence": verdict_sentence(found),
        "stresses": [_stress(stress) for stress in found.stresses],
        "grade": found.grade or None,
        "may_be_cracked": found.may_be_cracked,
        "peak_time": iso(_instant(found.peak_time), zone),
        "retardation_nm": round(found.retardation * 1e9, 1),
        "retardation_limit_nm": round(found.retardation_limit * 1e9, 1),
        "retardation_nm_per_cm": round(found.per_length * 1e7, 2),
        "cause": None if found.cause is None else _cause(found.cause, units, zone),
        "what_to_do": list(advice_sentences(found)),
        "could_change_it": list(doubt_sentences(found, units)),
    }


def _stress(stress: StressRange) -> dict[str, Any]:
    return {
        "limit": str(stress.limit),
        "MPa": _mega(stress.believed),
        "low_MPa": _mega(stress.low),
        "high_MPa": _mega(stress.high),
        "allowed_MPa": _mega(stress.allowed),
        "limit_MPa": _mega(stress.strength),
    }


def _cause(cause: Cause, units: UnitChoice, zone: tzinfo | None) -> dict[str, Any]:
    def rate(value: float | None) -> float | None:
        return None if value is None else round(rate_to(value), 2)

    return {
        "kind": str(cause.kind),
        "start": iso(_instant(cause.start), zone),
        "end": iso(_instant(cause.end), zone),
        "rate_C_per_h": rate(cause.rate),
        "planned_rate_C_per_h": rate(cause.planned_rate),
        "temperature_C": round(kelvin_to(cause.temperature), 1),
        "at_the_planned_rate_MPa": None if cause.without is None else _mega(cause.without),
        "sentence": cause_sentence(cause, units, zone),
    }


def _mega(pascal: float) -> float:
    """MPa to four decimals, without a negative nought."""
    return round(pascal / 1e6, 4) + 0.0


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)
