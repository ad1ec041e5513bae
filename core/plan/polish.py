"""A cooling found on paper brought onto the controller's grid with as little loss as possible.

A whole step of the rate may be a third of it, so rates are not just rounded down: each is tried
rounded down and up, the corners fitted to them by the search's linear programme, and the best is
improved by single moves of a corner or a rate. Everything is judged by the engine on the grid.
"""

from __future__ import annotations

from itertools import product

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Entry
from core.errors import PlanError
from core.plan.cooling import Cooling, followed_rate
from core.plan.guess import SHORTEST
from core.plan.keyed import keyed
from core.plan.programme import Goal, Programme, unknowns
from core.plan.search import Found, Stopped
from core.plan.setting import Setting
from core.plan.trials import Case
from core.units import interval_from, rate_from

FloatArray = NDArray[np.float64]

MOST_SEEDS = 10
COARSE_STEP = 0.03
"""A rate whose step is a smaller share than this is only rounded down."""
DEGREES = (1, -1, 4, -4)
"""Moves of a corner tried, in degrees of the controller."""
NEAR = 0.2
"""Pieces further [ln] from their limits than this behind the nearest are left to the replay."""
_ROUNDS = 6
_TOO_MANY = 100.0
"""Ln added to a cooling of more segments than the controller has."""
_FIT_CORNER = 15.0


def polished(setting: Setting, found: Found, goal: Goal, stopped: Stopped | None = None) -> Cooling:
    """The best cooling on the controller's grid near one that was found.

    Raises
    ------
    PlanError
        If the controller's smallest rate is too fast.
    StoppedError
        When stopped.
    """
    near = found.ratios.max(axis=1) > found.ratios.max() - NEAR
    cases = tuple(case for case, kept in zip(found.cases, near, strict=True) if kept)
    options = _unique([keyed(found.cooling, setting.lehr), *_seeds(setting, found, goal)])
    best, score = _best_of(setting, cases, options, goal)
    for _ in range(_ROUNDS):
        if stopped is not None and stopped():
            break
        moved, new = _best_of(setting, cases, _neighbours(setting, best), goal)
        if new >= score - 1e-4:
            break
        best, score = moved, new
    return best


def _best_of(
    setting: Setting, cases: tuple[Case, ...], options: list[Cooling], goal: Goal
) -> tuple[Cooling, float]:
    """The best of some coolings on the grid (possibly with different numbers of ramps)."""
    best, least = options[0], np.inf
    for count in sorted({len(option.rates) for option in options}):
        same = [option for option in options if len(option.rates) == count]
        table = setting.ratios(same, cases).reshape(len(same), -1).max(axis=1)
        for option, worst in zip(same, table.tolist(), strict=True):
            score = _score(setting, option, worst, goal)
            if score < least:
                best, least = option, score
    return best, least


def _score(setting: Setting, cooling: Cooling, worst: float, goal: Goal) -> float:
    """Ln of time, or minus ln of margin, with what is not allowed far behind."""
    time = cooling.duration(setting.lehr, setting.end)
    if setting.room is not None and len(cooling.rates) > setting.room:
        worst += _TOO_MANY
    if goal.within is None:
        over = max(worst + setting.grid_side, 0.0)
        return float(np.log(time)) + (100.0 + 100.0 * over if over > 0 else 0.0)
    late = max(time / goal.within - 1.0, 0.0)
    return worst + 1e-3 * float(np.log(time)) + (100.0 + 100.0 * late if late > 0 else 0.0)


def _seeds(setting: Setting, found: Found, goal: Goal) -> list[Cooling]:
    """Rates rounded down and up in all ways, each with corners fitted to them."""
    controller = setting.lehr.controller
    if controller.entry is Entry.TIME:
        return []
    step = rate_from(controller.rate_step, controller.unit)
    cooling = found.cooling
    choices = []
    for bottom, rate in zip(cooling.bottoms, cooling.rates, strict=True):
        low = max(np.floor(rate / step + 1e-6), 1.0) * step
        high = low + step
        coarse = step > COARSE_STEP * rate and high <= followed_rate(setting.lehr, bottom) * 1.05
        choices.append((low, high) if coarse else (low,))
    wanted = np.log(np.asarray(cooling.rates))
    combinations = sorted(
        product(*choices), key=lambda rates: float(np.abs(np.log(rates) - wanted).sum())
    )[:MOST_SEEDS]
    programme = Programme(setting, cooling, found.ratios, found.slopes)
    half = len(cooling.rates)
    seeds = []
    for rates in combinations:
        answer = programme.solve(goal, _FIT_CORNER, 0.0, np.log(np.asarray(rates)))
        if answer is None:
            continue
        corners = unknowns(cooling)[:half] + answer[0][:half]
        seed = _keyed_or_none(setting, Cooling(cooling.soak, tuple(corners.tolist()), rates))
        if seed is not None:
            seeds.append(seed)
    return seeds


def _neighbours(setting: Setting, cooling: Cooling) -> list[Cooling]:
    """Coolings on the grid one move away."""
    controller = setting.lehr.controller
    degree = interval_from(1.0, controller.unit)
    bottoms, rates = np.asarray(cooling.bottoms), np.asarray(cooling.rates)
    moved: list[tuple[FloatArray, FloatArray]] = []
    for i in range(rates.size):
        for degrees in DEGREES:
            other = bottoms.copy()
            other[i] += degrees * degree
            moved.append((other, rates))
        if controller.entry is Entry.RATE:
            step = rate_from(controller.rate_step, controller.unit)
            others = (rates[i] + step, rates[i] - step)
        else:
            others = (rates[i] * 1.015, rates[i] * 0.97)
        for rate in others:
            if 0 < rate <= followed_rate(setting.lehr, float(bottoms[i])):
                other = rates.copy()
                other[i] = rate
                moved.append((bottoms, other))
    neighbours = []
    for b, r in moved:
        tops = np.concatenate(([cooling.soak], b[:-1]))
        if (tops - b < 0.5 * SHORTEST).any() or b[-1] > setting.highest_off + 1e-6:
            continue
        if b[-1] < min(setting.end, bottoms[-1]) - 1e-6:
            continue
        option = _keyed_or_none(
            setting, Cooling(cooling.soak, tuple(b.tolist()), tuple(r.tolist()))
        )
        if option is not None and _followed(setting, option):
            neighbours.append(option)
    return _unique(neighbours) or [cooling]


def _followed(setting: Setting, cooling: Cooling) -> bool:
    return all(
        rate <= followed_rate(setting.lehr, bottom) * 1.001
        for bottom, rate in zip(cooling.bottoms, cooling.rates, strict=True)
    )


def _keyed_or_none(setting: Setting, cooling: Cooling) -> Cooling | None:
    try:
        return keyed(cooling, setting.lehr)
    except PlanError:
        return None


def _unique(coolings: list[Cooling]) -> list[Cooling]:
    return list(dict.fromkeys(coolings))
