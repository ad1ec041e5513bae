"""A cooling made into a plan: segments with clock times, the replay, and what sets each segment."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.errors import PlanError
from core.load.reheating import ReheatKind
from core.plan import words
from core.plan.assumptions import assumptions_of, made_with
from core.plan.cooling import Cooling
from core.plan.first_curve import eased
from core.plan.freezing import frozen_below
from core.plan.grounds import grounds_of, searched_grounds, told_of, worst_permanent
from core.plan.keyed import keyed
from core.plan.last_cooling import LONGER, followed_to_the_end, until_hand_warm
from core.plan.opening import Easing, Opening, opening_of
from core.plan.plan import Plan, Segment, SegmentKind, Zone
from core.plan.replay import Replayed, replayed, with_figures
from core.plan.search import Binding
from core.plan.segments import ramp_segment
from core.plan.setting import Setting
from core.plan.stress_check import Limit, Replay
from core.plan.trials import FINAL, Row, rows_of
from core.plan.warning_words import warnings_of
from core.stress.accuracy import Accuracy
from core.version import VERSION

FloatArray = NDArray[np.float64]

_ROUNDS = 10
"""How often a curve that fails its replay is eased before it is given up."""
_MOST_BROUGHT = 0.9
"""Share of what may be met on the way that cold pieces may bring along at most."""


def finished(
    cooling: Cooling,
    setting: Setting,
    accuracy: Accuracy = FINAL,
    bindings: Sequence[Binding] | None = None,
) -> Plan:
    """The plan of a cooling as keyed in, eased until its replay passes.

    ``bindings`` say what sets each ramp, where a search knows it.

    Raises
    ------
    PlanError
        If the controller or the lehr cannot run what is left.
    """
    easing = Easing()
    for _ in range(_ROUNDS):
        opening, segments = _drawn(cooling, setting, easing)
        outcome = replayed(segments, setting, accuracy, melted=opening.melted)
        outcome = _with_strain(outcome, setting)
        worst = outcome.figures.max(axis=0)
        if worst.max() <= 0.0:
            break
        easing = _eased_opening(easing, opening, outcome, setting)
        begun = len(opening.segments)
        cooling = keyed(
            eased(cooling, _cooling_alone(worst, cooling, begun), setting), setting.lehr
        )
    if bindings is not None and len(bindings) != len(cooling.rates):
        bindings = None  # a ramp of no whole degree was left out
    return _plan(opening, segments, outcome, setting, cooling, bindings, accuracy)


def holds(cooling: Cooling, setting: Setting, accuracy: Accuracy) -> bool:
    """True when a cooling as keyed in passes its replay as it stands."""
    opening, segments = _drawn(cooling, setting, Easing())
    outcome = replayed(segments, setting, accuracy, melted=opening.melted)
    return float(_with_strain(outcome, setting).figures.max()) <= 0.0


def _cooling_alone(worst: FloatArray, cooling: Cooling, begun: int) -> FloatArray:
    """Columns of a replay (opening, ramps, coasting) as those of a search."""
    count = 2 + 2 * (len(cooling.rates) + 1)
    found = np.full(count, -np.inf)
    kept = np.concatenate((worst[:2], worst[2 + 2 * begun :]))[:count]
    found[: kept.size] = kept
    return found


def _with_strain(outcome: Replayed, setting: Setting) -> Replayed:
    """The replay with the tension that cold pieces bring along added while they are heated."""
    reheating = setting.night.load.reheating
    if reheating is None or reheating.strain == 0.0 or reheating.kind is not ReheatKind.AGAIN:
        return outcome
    column = rows_of(0).index(Row(Limit.TEMPORARY, 0))
    table = np.exp(outcome.figures)
    for place, case in enumerate(outcome.cases):
        table[place, column] += reheating.strain / case.allowed[Limit.TEMPORARY]
    return with_figures(outcome, table, setting)


def _eased_opening(easing: Easing, opening: Opening, outcome: Replayed, setting: Setting) -> Easing:
    """Slower up, or slower down to the soak, where a replay asks for it."""
    worst = np.exp(outcome.figures.max(axis=0))
    reheating = setting.night.load.reheating
    kinds = [segment.kind for segment in opening.segments]
    heating, crash = easing.heating, easing.crash
    first = max(worst[2], worst[3])
    if kinds[0] is SegmentKind.SOAK and first > 1.0:
        brought = 0.0
        if reheating is not None and reheating.strain > 0.0:
            may = min(case.allowed[Limit.TEMPORARY] for case in outcome.cases)
            brought = reheating.strain / may
            if brought > _MOST_BROUGHT:
                raise PlanError(
                    f"The pieces bring {reheating.strain / 1e6:.2g} MPa along, and only "
                    f"{may / 1e6:.2g} MPa may be met on the way: no heating is slow enough.",
                    field="strain",
                    remedy="Check it in the polariscope; raise the limit on the way or lower the "
                    "safety factor only if you know the skins are sound.",
                )
        heating *= 0.98 * (1.0 - brought) / (first - brought)
    if SegmentKind.CRASH in kinds:
        place = kinds.index(SegmentKind.CRASH)
        falling = worst[2 + 2 * place : 2 + 2 * len(kinds)].max()
        if falling > 1.0:
            crash *= 0.97 / float(falling)
    return Easing(float(heating), float(crash))


def _drawn(cooling: Cooling, setting: Setting, easing: Easing) -> tuple[Opening, list[Segment]]:
    """How the night begins, and all segments, the coasting as long as anything can be warm."""
    night = setting.night
    opening = opening_of(setting, easing)
    segments = list(opening.segments)
    slowest = min(cooling.rates)
    frozen = frozen_below(setting.soft, slowest)
    for top, bottom, rate in zip(cooling.tops, cooling.bottoms, cooling.rates, strict=True):
        kind = SegmentKind.SLOW_COOL if top > frozen + 1.0 else SegmentKind.COOL
        if not any(s.kind is SegmentKind.SLOW_COOL for s in segments):
            kind = SegmentKind.SLOW_COOL
        segments.append(ramp_segment(night, kind, (top, bottom), rate, segments[-1].end))
    return opening, [*segments, followed_to_the_end(night, segments)]


def _ended(
    opening: Opening,
    segments: list[Segment],
    outcome: Replayed,
    setting: Setting,
    accuracy: Accuracy,
) -> tuple[list[Segment], datetime]:
    """The segments up to where the last core is hand-warm by the engine, and that moment.

    Raises
    ------
    PlanError
        If some core never is.
    """
    longer = LONGER
    for _ in range(_ROUNDS):
        ended = until_hand_warm(setting, segments, outcome)
        if ended is not None:
            return ended
        longer *= 2.0
        program = segments[:-1]
        segments = [*program, followed_to_the_end(setting.night, program, longer)]
        outcome = replayed(segments, setting, accuracy, melted=opening.melted)
    raise PlanError(
        "The pieces do not become hand-warm in this lehr.",
        field="hand_warm",
        remedy="Raise the hand-warm temperature or check the lehr's time constant.",
    )


def _plan(
    opening: Opening,
    whole: list[Segment],
    outcome: Replayed,
    setting: Setting,
    cooling: Cooling,
    bindings: Sequence[Binding] | None,
    accuracy: Accuracy,
) -> Plan:
    segments, ready_at = _ended(opening, whole, outcome, setting, accuracy)
    night = setting.night
    load = night.load
    properties = {r.piece.glass: r.properties for r in night.responses}
    if bindings is None:
        grounds = grounds_of(whole, outcome, setting, cooling)
    else:
        begun = len(opening.segments)
        grounds = searched_grounds(whole, begun, outcome, setting, bindings)
    told = [told_of(s, g, setting) for s, g in zip(segments, grounds, strict=False)]
    held = next(s.hold_time for s in told if s.kind is SegmentKind.SOAK)
    slow = [s for s in told if s.kind is SegmentKind.SLOW_COOL]
    slowest = min(slow, key=lambda s: -s.rate)
    permanent = worst_permanent(outcome, setting)
    warnings = warnings_of(load, properties, night.soak, night.units, held)
    if not outcome.replay.safe:
        warnings = (words.unsafe_warning(outcome.replay), *warnings)
    return Plan(
        load_name=load.name,
        lehr_name=load.lehr.name,
        segments=tuple(told),
        soak_temperature=night.reading(night.soak),
        soak_time=held,
        transformation_top=night.reading(max(p.annealing_point.value for p in properties.values())),
        transformation_bottom=night.reading(min(p.strain_point.value for p in properties.values())),
        slow_rate=-slowest.rate,
        governing_piece=slowest.governing_piece or permanent.piece,
        governing_reason=slowest.reason,
        start=load.button_time.astimezone(UTC),
        ready_at=ready_at,
        out_by=load.out_by.astimezone(UTC) if load.out_by else None,
        warnings=warnings,
        zones=tuple(
            Zone(
                name,
                night.reading(p.annealing_point.value),
                night.reading(p.strain_point.value),
            )
            for name, p in properties.items()
        ),
        program_version=VERSION,
        replay=_within(outcome.replay, opening, len(told)),
        made_with=made_with(properties),
        assumptions=assumptions_of(load, properties, setting.margins, night.units),
    )


def _within(replay: Replay, opening: Opening, segments: int) -> Replay:
    """The replay with what was there before the pieces; told of the night's segments alone.

    A night may be over before its program is.
    """
    last = segments - 1
    checks = tuple(
        check if check.segment is None or check.segment <= last else replace(check, segment=last)
        for check in replay.checks
    )
    return replace(replay, checks=(*checks, *opening.checks))
