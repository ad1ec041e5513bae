"""A verdict in the trade's plain words: what it is, why, what to do, and what could change it."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo

from core.plan.stress_check import Limit
from core.plan.words import CAUTIONS, rate_in_words, temperature_in_words
from core.stress.words import CONSTANTS, ONE_DIMENSIONAL
from core.units import UnitChoice, format_duration, interval_to
from core.verdict.verdict import (
    Cause,
    CauseKind,
    Doubt,
    DoubtKind,
    PieceVerdict,
    RunVerdict,
    Standing,
    StressRange,
)

VERDICT_CAUTIONS = (ONE_DIMENSIONAL, CONSTANTS, *CAUTIONS)
"""Shown with every verdict."""

_WHERE = {
    Limit.PERMANENT: "left in the core for good",
    Limit.PERMANENT_JOINT: "left between wall and base for good, if neither can give way",
    Limit.TEMPORARY: "of tension on the way",
    Limit.TEMPORARY_JOINT: "between wall and base on the way, if neither can give way",
}


def verdict_sentence(found: PieceVerdict) -> str:
    """The verdict with the stress that decides, in one sentence."""
    stress = found.governing
    if found.cause is not None and found.cause.kind is CauseKind.STARTS_COLD:
        return (
            f"“{found.piece}”: {found.standing}. What stress it brought along is not known; the "
            f"night itself added {_mega(stress.believed)}{_between(stress)} {_WHERE[stress.limit]}."
        )
    held = _allowed(stress)
    if found.grade and stress.limit is Limit.PERMANENT:
        held = f"grade {found.grade}, {held},"
    return (
        f"“{found.piece}”: {found.standing}. {_mega(stress.believed)}{_between(stress)} "
        f"{_WHERE[stress.limit]}; {held} is allowed."
    )


def _allowed(stress: StressRange) -> str:
    if stress.strength > stress.allowed:
        factor = stress.strength / stress.allowed
        return (
            f"{_mega(stress.allowed)} ({_mega(stress.strength)} over a safety factor of {factor:g})"
        )
    return _mega(stress.allowed)


def _between(stress: StressRange) -> str:
    low, high = stress.low / 1e6, stress.high / 1e6
    if high - low < 0.02 * max(abs(high), 0.01):
        return ""
    return f" ({low:.2f} to {high:.2f})"


def stress_words(stress: StressRange) -> str:
    """One stress beside what is allowed, ``"0.31 MPa (0.24 to 0.38) of 0.40 MPa"``."""
    return f"{_mega(stress.believed)}{_between(stress)} of {_allowed(stress)}"


def cause_sentence(cause: Cause | None, units: UnitChoice, zone: tzinfo | None) -> str:
    """Why, ``"06:10-06:50 cooled at 95 °C/h through 520 °C, plan 40.0 °C/h."``; "" without cause.

    Parameters
    ----------
    cause : Cause or None
    units : UnitChoice
    zone : tzinfo or None
        Of the clock times; ``None``: the machine's own.
    """
    if cause is None:
        return ""
    span = f"{_clock(cause.start, zone)}–{_clock(cause.end, zone)}"
    at = temperature_in_words(cause.temperature, units)
    plan = (
        "" if cause.planned_rate is None else f", plan {rate_in_words(cause.planned_rate, units)}"
    )
    if cause.kind is CauseKind.FAST and cause.rate is not None:
        text = f"{span} cooled at {rate_in_words(cause.rate, units)} through {at}{plan}."
        if cause.without is not None:
            text += f" At the planned rate it would have been {_mega(cause.without)}."
        return text
    if cause.kind is CauseKind.GAP:
        return (
            f"{span} no readings while the glass froze, near {at}: what the lehr did then decides."
        )
    if cause.kind is CauseKind.ENDS_HOT:
        return f"The log ends {_clock(cause.end, zone)} at {at}, with the glass not frozen yet."
    if cause.kind is CauseKind.STARTS_COLD:
        return (
            "The log never shows the glass hot for long enough to let go of what it brought along."
        )
    if cause.kind is CauseKind.COLD_SOAK:
        return "The log shows no cooling from a soak."
    rate = "" if cause.rate is None else f" at {rate_in_words(cause.rate, units)}"
    return f"{span} cooled{rate} through {at}{plan}: no stretch stands out, the whole was too fast."


def advice_sentences(found: PieceVerdict) -> tuple[str, ...]:
    """What to do, the most urgent first."""
    told = []
    if found.may_be_cracked:
        told.append(
            "Look it over for cracks before anything else, with gloves and eye protection: "
            f"{_passing(found)}, more than the limit itself."
        )
    elif found.look_over:
        told.append(
            f"Look it over for cracks: {_passing(found)} and used up some of its safety factor."
        )
    if found.standing is Standing.RE_ANNEAL:
        told.append(
            "Anneal it again before it is cut, ground, engraved, washed hot or sold; heat it as a "
            "cold and strained piece. The repair schedule does both."
        )
        told.append(_seen(found))
    elif found.standing is Standing.NOT_PROVEN:
        told.append(_seen(found))
        told.append("Until then no cutting, grinding or hot water; annealing it again settles it.")
    return tuple(text for text in told if text)


def _passing(found: PieceVerdict) -> str:
    """The stress on the way that came nearest its limit, or furthest beyond."""
    on_the_way = [s for s in found.stresses if s.limit in {Limit.TEMPORARY, Limit.TEMPORARY_JOINT}]
    worst = max(on_the_way, key=lambda s: s.believed / s.allowed)
    if worst.limit is Limit.TEMPORARY_JOINT:
        return (
            f"stress between wall and base reached {_mega(worst.believed)} on the way (a bound: "
            "if neither can give way)"
        )
    return f"tension on the way reached {_mega(worst.believed)}"


def _seen(found: PieceVerdict) -> str:
    """What a polariscope should tell."""
    if found.cause is not None and found.cause.kind is CauseKind.STARTS_COLD:
        return (
            f"A polariscope decides: up to {found.per_length_limit * 1e7:.1f} nm/cm is within its "
            "limit."
        )
    if found.retardation_limit <= 0.0:
        return "A polariscope decides."
    direction = found.stress.retardation.direction
    return (
        f"A polariscope should show about {found.retardation * 1e9:.0f} nm {direction} "
        f"({found.per_length * 1e7:.1f} nm/cm) as believed; up to "
        f"{found.retardation_limit * 1e9:.0f} nm ({found.per_length_limit * 1e7:.1f} nm/cm) is "
        "within its limit."
    )


def doubt_sentences(found: PieceVerdict, units: UnitChoice) -> tuple[str, ...]:
    """What could change the verdict, a sentence each."""
    return tuple(_doubt(doubt, units) for doubt in found.doubts)


def _doubt(doubt: Doubt, units: UnitChoice) -> str:
    symbol = units.temperature.symbol
    size = f"{interval_to(doubt.size, units.temperature):.0f} {symbol}"
    turns = f"{interval_to(abs(doubt.turns), units.temperature):.0f} {symbol}"
    then = "over its limit" if doubt.standing is Standing.RE_ANNEAL else "within its limit"
    stiff = doubt.turns > 0.0
    if doubt.kind is DoubtKind.GAP:
        return (
            f"What the lehr did in the gaps (up to {format_duration(doubt.size)}) decides: by one "
            f"course it is {then}."
        )
    if doubt.kind is DoubtKind.ANNEALING_POINT:
        way = "higher" if stiff else "lower"
        return (
            f"Were the annealing point {turns} {way} than believed (it is known to {size}), the "
            f"piece would be {then}: a measured one settles it."
        )
    if doubt.kind is DoubtKind.THERMOCOUPLE:
        way = "cooler" if stiff else "hotter"
        return (
            f"Were the lehr {turns} {way} than it reads (the thermocouple is trusted to {size}), "
            f"the piece would be {then}: check the thermocouple."
        )
    if doubt.kind is DoubtKind.UNEVENNESS:
        way = "cooler" if stiff else "hotter"
        return (
            f"Stood it in a place {turns} {way} than at the thermocouple (they differ by up to "
            f"{size}), it would be {then}."
        )
    way = "stiffer glass and a cooler lehr" if stiff else "softer glass and a hotter lehr"
    return f"Only {way} than believed together, {turns} of {size} in all, would put it {then}."


def run_sentences(found: RunVerdict, zone: tzinfo | None) -> tuple[str, ...]:
    """What is to be said of the whole log: gaps, readings left out, where it begins and ends."""
    told = []
    if not found.finished:
        told.append("The run goes on: judged as if everything were cooled evenly from now.")
    for gap in found.gaps:
        told.append(  # noqa: PERF401 -- a list of sentences, one after the other
            f"No readings {_clock(gap.start, zone)}–{_clock(gap.end, zone)} "
            f"({format_duration(gap.duration)}): as believed a straight line is taken across; the "
            "ranges hold whatever the lehr can have done by its own law."
        )
    if found.left_out:
        count = found.left_out
        told.append(
            f"{count} reading{'s' if count > 1 else ''} that no lehr can have had "
            f"{'were' if count > 1 else 'was'} left out."
        )
    if found.ends_hot and found.finished:
        told.append(
            "The log ends before the glass was frozen; from there on the lehr's own cooling with "
            "the power off is taken, and quicker."
        )
    if found.starts_cold:
        told.append(
            "The log never shows all of the glass hot for long enough to release stress: of what "
            "was before it nothing is known."
        )
    return tuple(told)


def _mega(pascal: float) -> str:
    return f"{round(pascal / 1e6, 2) + 0.0:.2f} MPa"


def _clock(seconds: float, zone: tzinfo | None) -> str:
    return f"{datetime.fromtimestamp(seconds, tz=UTC).astimezone(zone):%H:%M}"
