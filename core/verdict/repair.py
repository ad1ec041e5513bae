"""From the log so far to the schedule that finishes or repairs the night, in one step.

What the lehr did while nobody read it is taken the worst way its own law allows
(:mod:`core.verdict.gap_courses`); then :func:`core.plan.replan.replan` decides whether the cooling
can go on, or everything goes back to the soak. Pieces that are cold already, and not proven to be
annealed, are brought up again as cold and strained ones.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from core.errors import PlanError
from core.load.load import Load
from core.load.reheating import REHEATING_LIMITS, Reheating, ReheatKind
from core.plan.best import best_plan
from core.plan.corners import ALL, Margins
from core.plan.plan import Plan
from core.plan.replan import Replanned, replan
from core.plan.stress_check import Limit
from core.run.readings import Readings
from core.stress.history import ChamberHistory
from core.units import ZERO_CELSIUS, UnitChoice
from core.verdict.histories import histories_of
from core.verdict.judge_run import SLACK, verdict_of
from core.verdict.soundness import worst_share
from core.verdict.unread import Coldest, coldest_in, filled, so_far, with_present
from core.verdict.verdict import RunVerdict, Standing

FloatArray = NDArray[np.float64]

_COLD = 5.0
"""[K] above hand-warm (or the room) below which a lehr counts as cold."""
_ROUNDS = 3
"""How often a plan that does not pass with its past is eased."""
_NOT_SOUND = (
    "Even so some stress on the way passes what is allowed, for what the log has set up is in the "
    "pieces already: go slower where you can, and look them over before they are touched."
)
_TOO_MUCH = "No cooling from here keeps within the limits: everything goes back to the soak."
_TOLD = {
    Standing.RE_ANNEAL: "to be annealed again",
    Standing.NOT_PROVEN: "not proven to be annealed",
    Standing.ANNEALED: "annealed",
}


class RepairKind(StrEnum):
    """How a night goes on."""

    NOTHING = "nothing to repair"
    GOES_ON = "the cooling goes on"
    STILL_SOAKING = "still at the soak"
    BACK_TO_SOAK = "back to the soak"
    FROM_COLD = "annealed again from cold"


@dataclass(frozen=True, eq=False)
class Repair:
    """How a night goes on.

    Attributes
    ----------
    kind : RepairKind
    plan : Plan or None
        From now; ``None`` when there is nothing to repair.
    why : str
        In a sentence or two.
    coldest : Coldest or None
        ``None`` without a gap in the readings.
    verdict : RunVerdict
        On what has been so far.
    sound : bool
        Log and plan together keep every stress from now on within what is allowed.
    load : Load or None
        The load as the plan takes it: from now, at the present temperature, cold pieces as
        strained ones; ``None`` without a plan.
    """

    kind: RepairKind
    plan: Plan | None
    why: str
    coldest: Coldest | None
    verdict: RunVerdict
    sound: bool
    load: Load | None = None


def repair(
    load: Load,
    plan: Plan,
    readings: Readings,
    now: datetime,
    *,
    present: float | None = None,
    units: UnitChoice | None = None,
    margins: Margins = ALL,
    progress: Callable[[float], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Repair:
    """Draw up how a night goes on, or how its pieces are annealed again.

    Parameters
    ----------
    load : Load
        As planned.
    plan : Plan
        The night's own.
    readings : Readings
        Controller readings so far.
    now : datetime
        Aware; when the new program begins.
    present : float, optional
        Controller reading now [K]. Without it, and with the last reading long past, the lehr is
        taken to have been losing heat ever since.
    units : UnitChoice, optional
        Of the sentences.
    margins : Margins
    progress, cancelled : callable, optional
        As in :func:`core.plan.best.best_plan`.

    Raises
    ------
    RunError
        If fewer than two readings belong to the night.
    PlanError
        If no safe curve can be run.
    StressError
        If the log cannot be followed.
    StoppedError
        When cancelled.
    """
    log = so_far(load, plan, readings, now)
    gap = coldest_in(load.lehr, log, now)
    moment = now.timestamp()
    if present is not None:
        log = with_present(log, moment, present)
    # Unread for long: nobody knows how it cooled since, so it counts as a log that is over.
    unread = moment - float(log.time[-1]) > log.gap_after
    verdict = verdict_of(
        load,
        plan,
        Readings(log.time, log.reading),
        margins=margins,
        finished=unread,
        stopped=cancelled,
    )
    whole = filled(load, log, moment, cancelled)
    past = histories_of(load.lehr, whole, np.inf, finished=False).believed
    here = float(whole.reading[-1])
    true = here - load.lehr.thermocouple_offset
    if true <= max(load.hand_warm, load.lehr.ambient) + _COLD:
        return _from_cold(load, verdict, now, true, past, gap, units, margins, progress, cancelled)
    try:
        found = replan(
            load,
            now,
            whole.time,
            whole.reading,
            present=here,
            units=units,
            margins=margins,
            progress=progress,
            cancelled=cancelled,
        )
    except PlanError:
        found = None
    if found is not None and found.plan.safe:
        return _as_found(found, plan, here, gap, verdict, _going_on(load, verdict, now, true))
    heated = _from_here(load, verdict, now, true)
    again, sound = _eased(load, heated, past, units, margins, progress, cancelled)
    sooner = found is not None and (not sound or found.plan.ready_at < again.ready_at)
    if found is not None and sooner and _sound(load, past, found.plan, margins):
        # What the log set up itself is counted against a plan that has to begin with it.
        return _as_found(found, plan, here, gap, verdict, _going_on(load, verdict, now, true))
    why = _TOO_MUCH
    if not sound:
        why += f" {_NOT_SOUND}"
    return Repair(RepairKind.BACK_TO_SOAK, again, why, gap, verdict, sound, heated)


def _as_found(
    found: Replanned,
    plan: Plan,
    here: float,
    gap: Coldest | None,
    verdict: RunVerdict,
    load: Load,
) -> Repair:
    kind = _kind_of(found, plan, here)
    why = _TOO_MUCH if kind is RepairKind.BACK_TO_SOAK and not found.repairs else found.why
    return Repair(kind, found.plan, why, gap, verdict, sound=True, load=load)


def _going_on(load: Load, verdict: RunVerdict, now: datetime, here: float) -> Load:
    """The load as it is now, hot: a night that goes on is no reheating."""
    return replace(_from_here(load, verdict, now, here), reheating=None)


def _eased(
    load: Load,
    again: Load,
    past: ChamberHistory,
    units: UnitChoice | None,
    margins: Margins,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> tuple[Plan, bool]:
    """A plan from here that with the log before it keeps within the limits, if one does.

    The planner takes the pieces as even and evenly strained; what they really carry is checked
    with the log, and what may be met on the way held lower until both together pass.
    """
    best: tuple[float, Plan] | None = None
    trial = again
    for _ in range(_ROUNDS):
        try:
            plan = best_plan(trial, units, margins=margins, progress=progress, cancelled=cancelled)
        except PlanError:
            if best is None:
                raise
            break  # held lower still, nothing can be run
        share = worst_share(load, past, plan, margins)
        if best is None or share < best[0]:
            best = (share, plan)
        if share <= 1.0 + SLACK:
            break
        limits = trial.limits
        lower = {
            name: max(getattr(limits, name) / (1.05 * share), 0.01e6)
            for name in ("temporary_tension", "temporary_wall_base")
        }
        trial = replace(trial, limits=replace(limits, **lower))
    assert best is not None  # noqa: S101 -- there is a first round
    return best[1], best[0] <= 1.0 + SLACK


def _sound(load: Load, past: ChamberHistory, plan: Plan, margins: Margins) -> bool:
    return worst_share(load, past, plan, margins) <= 1.0 + SLACK


def _kind_of(found: Replanned, plan: Plan, here: float) -> RepairKind:
    if found.plan.segments[0].duration == 0.0:
        return RepairKind.GOES_ON
    if found.repairs or here < plan.soak_temperature - _COLD:
        return RepairKind.BACK_TO_SOAK
    return RepairKind.STILL_SOAKING


def _from_cold(
    load: Load,
    verdict: RunVerdict,
    now: datetime,
    here: float,
    past: ChamberHistory,
    gap: Coldest | None,
    units: UnitChoice | None,
    margins: Margins,
    progress: Callable[[float], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Repair:
    if verdict.standing is Standing.ANNEALED:
        why = "Everything is cold and annealed: there is nothing to repair."
        return Repair(RepairKind.NOTHING, None, why, gap, verdict, sound=True)
    cold = _from_here(load, verdict, now, here)
    plan, sound = _eased(load, cold, past, units, margins, progress, cancelled)
    worst = max(verdict.pieces, key=lambda p: p.governing.high / p.governing.allowed)
    why = (
        f"The pieces are cold and “{worst.piece}” is {_TOLD[worst.standing]}: with up to "
        f"{_carried(verdict) / 1e6:.2g} MPa in the cores they are heated slowly and annealed again."
    )
    if not sound:
        why += f" {_NOT_SOUND}"
    if verdict.starts_cold:
        why += " What strain they brought along is not known: heat them slower where you can."
    return Repair(RepairKind.FROM_COLD, plan, why, gap, verdict, sound, cold)


def _carried(verdict: RunVerdict) -> float:
    """The most core tension any piece may carry [Pa]."""
    return max(
        stress.high
        for piece in verdict.pieces
        for stress in piece.stresses
        if stress.limit is Limit.PERMANENT
    )


def _from_here(load: Load, verdict: RunVerdict, now: datetime, here: float) -> Load:
    """The load as it is now: at one temperature, strained, in the lehr."""
    begin = now.astimezone(UTC)
    strain = float(np.clip(_carried(verdict), *REHEATING_LIMITS["strain"]))
    return replace(
        load,
        button_time=begin,
        out_by=load.out_by if load.out_by is not None and load.out_by > begin else None,
        start_temperature=max(here, ZERO_CELSIUS),
        reheating=Reheating(ReheatKind.AGAIN, strain=strain),
        placings={
            name: replace(placing, put_in=None, core=None, skin=None)
            for name, placing in load.placings.items()
        },
    )
