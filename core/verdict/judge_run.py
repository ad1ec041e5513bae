"""The verdict on every piece of a run, from the stress engine on the actual curve.

Every piece is followed as believed and at both corners of what is uncertain, the same corners a
plan has to hold at, and through the extreme courses of every gap. What stays in a piece decides:

* annealed: within its limits in all of that;
* re-anneal: over a limit as believed, even in the kindest course of the gaps;
* not proven: anything between, and pieces whose glass was never seen hot enough, or is still hot.

Tension on the way is gone by then. It is held to what a plan holds it to, the limit over the safety
factor: beyond that the piece is to be looked over, beyond the limit itself it may be cracked and
nothing is proven.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from core.glass.glass import GlassProperties
from core.glass.properties import properties_of
from core.load.load import Load
from core.load.load_stress import limits_of_pieces
from core.plan.corners import ALL, Corner, Margins, glasses_at
from core.plan.freezing import frozen_below
from core.plan.plan import Plan, Zone
from core.plan.stress_check import Limit, allowed
from core.run.heat_work import equivalent_time
from core.run.readings import Readings
from core.stress.engine import stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.result import PieceStress
from core.stress.section import StressPiece
from core.verdict.cause import Curves, cause_of, curves_of
from core.verdict.doubts import doubts_of
from core.verdict.engine_run import ENOUGH, engine_pieces
from core.verdict.histories import Histories, histories_of
from core.verdict.judged import Judged, stress_of
from core.verdict.night_log import NightLog, night_of
from core.verdict.verdict import PieceVerdict, RunVerdict, Standing, StressRange

SLACK = 0.03
"""Share by which a stress may pass what is allowed before it counts: what reckoning a noisy log
quickly may be off."""
_SLOW = 5.0 / 3600.0
"""[K/s] A cooling as slow as this freezes glass lowest."""
_FORGETS = 600.0
"""[s] at the annealing point, or as much heat-work, without which a log does not show that stress
from before it has gone: by ASTM C336, C598 it goes there in a matter of minutes."""


def verdict_of(
    load: Load,
    plan: Plan,
    readings: Readings,
    *,
    margins: Margins = ALL,
    finished: bool = True,
    stopped: Callable[[], bool] | None = None,
) -> RunVerdict:
    """The verdict on a run.

    Parameters
    ----------
    load : Load
    plan : Plan
        The night's own.
    readings : Readings
        Controller readings; other nights in them are passed over.
    margins : Margins
        Which uncertainties count.
    finished : bool
        False while the run goes on: pieces are then judged as if cooled evenly from here.
    stopped : callable, optional
        Answers true when the work is to be given up.

    Raises
    ------
    RunError
        If fewer than two readings belong to the night.
    StressError
        If the log cannot be followed: temperatures no chamber has.
    StoppedError
        When stopped.
    """
    log = night_of(load, plan, readings)
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    mine = {piece.glass: properties[piece.glass] for piece in load.pieces}
    histories = histories_of(load.lehr, log, frozen_below(mine.values(), _SLOW), finished=finished)
    judged = _judged(load, properties, margins, histories, stopped)
    curves = curves_of(load, plan, log)
    limits = limits_of_pieces(load)
    cold = [_starts_cold(load, log, mine[piece.glass]) for piece in load.pieces]
    pieces = []
    for index, piece in enumerate(load.pieces):
        ranges = _ranges(judged[index], allowed(limits[index]), limits[index].safety_factor)
        found = _piece_verdict(load, index, judged[index], ranges, cold=cold[index])
        if found.standing is not Standing.ANNEALED:
            cause = cause_of(
                found,
                curves,
                mine[piece.glass],
                starts_cold=cold[index],
                ends_hot=histories.ends_hot,
            )
            found = replace(found, cause=cause)
        doubts = doubts_of(load, piece, mine[piece.glass], margins, judged[index], found, log.gaps)
        pieces.append(replace(found, doubts=doubts))
    pieces = _with_remedies(load, properties, pieces, histories.believed, curves, stopped)
    return RunVerdict(
        pieces=tuple(pieces),
        finished=finished,
        gaps=log.gaps,
        left_out=log.left_out,
        ends_hot=histories.ends_hot,
        starts_cold=any(cold),
    )


def _judged(
    load: Load,
    properties: dict[str, GlassProperties],
    margins: Margins,
    histories: Histories,
    stopped: Callable[[], bool] | None,
) -> list[Judged]:
    """All pieces at all corners in all courses; those alike in everything are followed once."""
    every = (histories.believed, *histories.others)
    by_corner: dict[Corner, list[StressPiece]] = {}
    different: dict[tuple[object, ...], StressPiece] = {}
    keys: dict[Corner, list[tuple[object, ...]]] = {}
    for corner in Corner:
        glasses = glasses_at(load, properties, margins, corner)
        by_corner[corner] = list(engine_pieces(load, glasses, histories.believed))
        keys[corner] = []
        for piece in by_corner[corner]:
            key = (
                id(piece.properties) if corner is Corner.BELIEVED else (corner, _points(piece)),
                piece.sections,
                piece.joined,
                piece.enters,
                piece.first_state,
            )
            keys[corner].append(key)
            different.setdefault(key, piece)
    answers = stresses_of_each(list(different.values()), every, accuracy=ENOUGH, stopped=stopped)
    place = {key: i for i, key in enumerate(different)}

    def found(corner: Corner, index: int) -> tuple[PieceStress, ...]:
        name = load.pieces[index].name
        at = place[keys[corner][index]]
        return tuple(replace(answer[at], name=name) for answer in answers)

    judged = []
    for index in range(len(load.pieces)):
        believed = found(Corner.BELIEVED, index)
        judged.append(
            Judged(believed[0], believed[1:], found(Corner.SOFT, index), found(Corner.STIFF, index))
        )
    return judged


def _points(piece: StressPiece) -> tuple[str, float, float]:
    glass = piece.properties
    return glass.name, glass.annealing_point.value, glass.strain_point.value


def _ranges(judged: Judged, may: dict[Limit, float], factor: float) -> tuple[StressRange, ...]:
    ranges = []
    for limit in Limit:
        joint = limit in {Limit.PERMANENT_JOINT, Limit.TEMPORARY_JOINT}
        if joint and len(judged.believed.sections) == 1:
            continue
        believed = stress_of(judged.believed, limit)
        courses = [believed, *(stress_of(s, limit) for s in judged.courses)]
        every = [*courses, *(stress_of(s, limit) for s in (*judged.soft, *judged.stiff))]
        on_the_way = limit in {Limit.TEMPORARY, Limit.TEMPORARY_JOINT}
        ranges.append(
            StressRange(
                limit=limit,
                believed=believed,
                low=min(every),
                high=max(every),
                kindest=min(courses),
                allowed=may[limit],
                strength=may[limit] * factor if on_the_way else may[limit],
            )
        )
    return tuple(ranges)


def _piece_verdict(
    load: Load,
    index: int,
    judged: Judged,
    ranges: tuple[StressRange, ...],
    *,
    cold: bool,
) -> PieceVerdict:
    piece = load.pieces[index]
    stays = [r for r in ranges if r.limit in {Limit.PERMANENT, Limit.PERMANENT_JOINT}]
    passing = [r for r in ranges if r not in stays]
    cracked = any(r.kindest > r.strength for r in passing)
    if any(r.kindest > r.allowed * (1.0 + SLACK) for r in stays):
        standing = Standing.RE_ANNEAL
    elif cracked or cold or any(r.high > r.allowed * (1.0 + SLACK) for r in stays):
        standing = Standing.NOT_PROVEN
    else:
        standing = Standing.ANNEALED
    deciding = passing if cracked and standing is Standing.NOT_PROVEN else stays
    key = (lambda r: r.kindest / r.allowed) if standing is Standing.RE_ANNEAL else _most
    governing = max(deciding, key=key)
    own = load.piece_limits.get(piece.name)
    shown = judged.believed.retardation
    core = ranges[0]
    # What is seen grows with the stress: at the limit it is as many times more.
    to_limit = core.allowed / core.believed if core.believed > 0.0 else 0.0
    return PieceVerdict(
        index=index,
        piece=piece.name,
        count=piece.count,
        standing=standing,
        stresses=ranges,
        governing=governing,
        grade=own if isinstance(own, str) else "",
        cause=None,
        doubts=(),
        may_be_cracked=cracked,
        look_over=any(r.believed > r.allowed * (1.0 + SLACK) for r in passing),
        peak_time=judged.believed.peak.time,
        retardation=shown.value,
        retardation_limit=shown.value * to_limit,
        per_length=shown.per_length,
        per_length_limit=shown.per_length * to_limit,
        stress=judged.believed,
    )


def _most(stress: StressRange) -> float:
    return stress.high / stress.allowed


def _starts_cold(load: Load, log: NightLog, glass: GlassProperties) -> bool:
    """True where the log never shows the glass hot for long enough to forget what was before it."""
    offset = load.lehr.thermocouple_offset
    zone = Zone(glass.name, glass.annealing_point.value + offset, glass.strain_point.value + offset)
    return equivalent_time(log.time, log.reading, zone, log.gap_after) < _FORGETS


def _with_remedies(
    load: Load,
    properties: dict[str, GlassProperties],
    pieces: list[PieceVerdict],
    history: ChamberHistory,
    curves: Curves,
    stopped: Callable[[], bool] | None,
) -> list[PieceVerdict]:
    """Causes with what the stress would have been at the planned rate."""
    glasses = glasses_at(load, properties, ALL, Corner.BELIEVED)
    done: dict[tuple[float, float, float], tuple[PieceStress, ...]] = {}
    told = []
    for found in pieces:
        cause = found.cause
        slower = None if cause is None else curves.at_planned_rate(history, cause)
        if cause is None or slower is None:
            told.append(found)
            continue
        key = (cause.start, cause.end, cause.planned_rate or 0.0)
        if key not in done:
            every = engine_pieces(load, glasses, slower)
            done[key] = stresses_of_each(every, (slower,), accuracy=ENOUGH, stopped=stopped)[0]
        without = stress_of(done[key][found.index], found.governing.limit)
        told.append(replace(found, cause=replace(cause, without=without)))
    return told
