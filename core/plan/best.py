"""The best plan: the shortest safe night, or the safest that is ready by the hour."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from core.errors import StoppedError
from core.load.load import Load
from core.plan.cooling import Cooling
from core.plan.corners import ALL, Margins
from core.plan.finish import finished
from core.plan.first_curve import first_cooling
from core.plan.guess import MOST_RAMPS, ClosedForms, Pattern, fitting, patterns_for, tidied
from core.plan.plan import Plan
from core.plan.planner import room_for_ramps, setting_for, too_few_for_long_ramps
from core.plan.polish import polished
from core.plan.programme import Goal
from core.plan.rounding import parts_of
from core.plan.search import NEARBY, ROUGH, Found, Stopped, search
from core.plan.setting import Setting
from core.plan.soak_search import WORTH, other_soak, shortest_hold
from core.plan.trials import FINAL, Case
from core.units import UnitChoice

Progress = Callable[[float], None]

_ROUNDING = 60.0
"""[s] Left for rounding when a night is made to fit an hour."""
_MORE_CASES = 2
"""How often pieces found wanting afterwards are taken into the search."""


@dataclass(frozen=True)
class Solved:
    """A search's outcome with the plan made of it."""

    setting: Setting
    found: Found
    cooling: Cooling
    plan: Plan


def best_plan(
    load: Load,
    units: UnitChoice | None = None,
    *,
    safest: bool = False,
    margins: Margins = ALL,
    progress: Progress | None = None,
    cancelled: Stopped | None = None,
) -> Plan:
    """The shortest safe night for a load, or the safest ready by the hour (about two seconds).

    Parameters
    ----------
    load : Load
    units : UnitChoice, optional
        Units used in the sentences.
    safest : bool
        Use all the time until the pieces must be out for the largest margin. Without such an hour,
        or where even the shortest night is late, the shortest night is drawn up.
    margins : Margins
        Which uncertainties it must hold against.
    progress : callable, optional
        Called with 0 to 1.
    cancelled : callable, optional
        Answers true when the work is to be given up.

    Raises
    ------
    GlassError
        If a glass's properties cannot be had.
    PlanError
        If this lehr or its controller cannot run any safe curve for the load.
    StoppedError
        When cancelled.
    """
    told = progress or (lambda _: None)
    solved = solve(load, units or UnitChoice(), margins, progress=told, cancelled=cancelled)
    if not safest or load.out_by is None or not solved.plan.feasible:
        told(1.0)
        return solved.plan
    plan = safest_within(solved, load.out_by, cancelled).plan
    told(1.0)
    return plan


def solve(
    load: Load,
    units: UnitChoice,
    margins: Margins = ALL,
    *,
    progress: Progress = lambda _: None,
    cancelled: Stopped | None = None,
    like: Solved | None = None,
) -> Solved:
    """The shortest night; see :func:`best_plan`.

    ``like`` is the solution of a load much the same, from which to begin.
    """
    setting = setting_for(load, units, margins)
    if like is not None:
        setting = replace(setting, room=like.setting.room)
        begun = tidied(replace(like.found.cooling, soak=setting.night.soak), setting)
        cases = setting.close_cases(setting.ratios([begun])[0])
        return _improved(setting, begun, cases, Goal(), progress, cancelled)
    return shortest(setting, progress=progress, cancelled=cancelled)


def shortest(
    setting: Setting,
    *,
    progress: Progress = lambda _: None,
    cancelled: Stopped | None = None,
) -> Solved:
    """The shortest night of a problem laid out."""
    forms = ClosedForms(setting)
    room = room_for_ramps(setting)
    setting = replace(setting, room=room)
    for ramps in range(min(room, MOST_RAMPS), 0, -1):
        patterns = [fitting(forms, pattern) for pattern in patterns_for(ramps)]
        best = _best_pattern(setting, forms, list(dict.fromkeys(patterns)), progress, cancelled)
        if len(best.cooling.rates) <= room:
            return _with_its_soak(best, cancelled)
        if parts_of(float(best.cooling.ramp_times().sum()), setting.lehr.controller) > room:
            break  # fewer ramps only take longer
    raise too_few_for_long_ramps(setting.lehr)


def _with_its_soak(solved: Solved, cancelled: Stopped | None) -> Solved:
    """The same night with the soak that suits its cooling, where that is ready sooner."""
    moved = other_soak(solved.setting, solved.cooling)
    if moved is not None:
        start = tidied(replace(solved.found.cooling, soak=moved.night.soak), moved)
        cases = moved.close_cases(moved.ratios([start])[0])
        other = _improved(moved, start, cases, Goal(), lambda _: None, cancelled)
        sooner = (solved.plan.ready_at - other.plan.ready_at).total_seconds()
        if other.plan.safe and sooner >= WORTH:
            solved = other
    hold = shortest_hold(solved.setting, solved.cooling, solved.plan.soak_time)
    if hold is not None and hold <= solved.plan.soak_time - WORTH:
        setting = replace(solved.setting, hold=hold)
        plan = finished(solved.cooling, setting, FINAL, solved.found.bindings)
        if plan.safe and plan.ready_at < solved.plan.ready_at:
            solved = replace(solved, setting=setting, plan=plan)
    return solved


def _best_pattern(
    setting: Setting,
    forms: ClosedForms,
    patterns: list[Pattern],
    progress: Progress,
    cancelled: Stopped | None,
) -> Solved:
    """The shortest night of some patterns, of those that fit into the controller if any does."""
    best: Solved | None = None
    for place, pattern in enumerate(patterns):
        done = place / len(patterns)

        def report(share: float, done: float = done) -> None:
            progress(done + share / len(patterns))

        start, cases = first_cooling(setting, forms, pattern)
        report(0.15)
        solved = _improved(setting, start, cases, Goal(), report, cancelled)
        if best is None or _preferred(solved, setting) < _preferred(best, setting):
            best = solved
    assert best is not None  # noqa: S101 -- there is always a pattern
    return best


def _preferred(solved: Solved, setting: Setting) -> tuple[bool, datetime]:
    """Fitting into the controller first, then the sooner ready."""
    fits = setting.room is None or len(solved.cooling.rates) <= setting.room
    return not fits, solved.plan.ready_at


def safest_within(found: Solved, deadline: datetime, cancelled: Stopped | None = None) -> Solved:
    """The safest night that is ready by a moment, from the shortest, which must be."""
    plan, setting = found.plan, found.setting
    spare = (deadline - plan.ready_at).total_seconds()
    within = found.cooling.duration(setting.lehr, setting.end) + spare - _ROUNDING
    if spare <= _ROUNDING:
        return found
    # All ramps slower by as much as there is time: near the answer already.
    ramps = float(found.found.cooling.ramp_times().sum())
    start = found.found.cooling.scaled(np.asarray(ramps / (ramps + spare)))
    cases = found.found.cases
    solved = _improved(setting, start, cases, Goal(within=within), lambda _: None, cancelled)
    return solved if solved.plan.ready_at <= deadline and solved.plan.safe else found


def margin_within(
    found: Solved, deadline: datetime, cancelled: Stopped | None = None
) -> float | None:
    """Smallest limit over stress of the best cooling that is ready by a moment sooner than safe.

    ``None`` where the lehr does not get there at all.
    """
    setting = found.setting
    sooner = (found.plan.ready_at - deadline).total_seconds()
    within = found.cooling.duration(setting.lehr, setting.end) - sooner
    ramps = float(found.found.cooling.ramp_times().sum())
    if within <= 0.0:
        return None
    quicker = found.found.cooling.scaled(np.asarray(ramps / max(ramps - sooner, 0.1 * ramps)))
    goal = Goal(within=within)
    best = search(setting, tidied(quicker, setting), setting.cases, goal, stopped=cancelled)
    if best.cooling.duration(setting.lehr, setting.end) > within * 1.005:
        return None
    return best.margin


def _improved(
    setting: Setting,
    start: Cooling,
    cases: tuple[Case, ...],
    goal: Goal,
    report: Progress,
    cancelled: Stopped | None,
) -> Solved:
    """Search, bring onto the controller's grid, replay all; again with pieces found wanting."""
    rounds = [0]
    steady = setting.steadied()

    def step_done() -> None:
        rounds[0] += 1
        report(0.15 + 0.5 * rounds[0] / (rounds[0] + 4.0))

    for _ in range(_MORE_CASES + 1):
        rough = search(
            setting, start, cases, goal, stopped=cancelled, step_done=step_done, pace=ROUGH
        )
        found = search(
            steady,
            rough.cooling,
            rough.cases,
            goal,
            stopped=cancelled,
            step_done=step_done,
            pace=NEARBY,
        )
        cooling = polished(steady, found, goal, cancelled)
        every = steady.ratios([cooling])[0].max(axis=1)
        missing = tuple(
            case
            for case, worst in zip(setting.cases, every, strict=True)
            if worst > 0.0 and case not in found.cases
        )
        if not missing:
            break
        cases = (*found.cases, *missing)
        start = found.cooling
    if cancelled is not None and cancelled():
        raise StoppedError("Stopped.")
    report(0.9)
    plan = finished(cooling, setting, FINAL, found.bindings)
    return Solved(setting, found, cooling, plan)
