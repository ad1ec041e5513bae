"""The best cooling by successive linear programmes on the stress engine's own figures.

Unknown are where each ramp ends and the logarithm of its rate. In every round the engine reckons a
batch of coolings, each with one unknown changed a little; time and the logarithm of every stress
over what is allowed are taken as linear around there (permanent stress grows about as a power of
each rate, so its logarithm nearly is), and a linear programme finds the best step within a trust
region. Steps that turn out worse shrink the region. (Griffith R.E., Stewart R.A. 1961, Manage.
Sci. 7, 379: successive linear programming.)

The multipliers of the last programme say what sets each ramp: how many seconds a limit costs.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import StoppedError
from core.plan.cooling import Cooling
from core.plan.guess import SHORTEST
from core.plan.programme import Goal, Programme, cooling_of, unknowns
from core.plan.setting import Setting
from core.plan.trials import Case, Row, rows_of

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
Stopped = Callable[[], bool]

CORNER_STEP, RATE_STEP = 2.5, 0.08
"""Changes of an unknown for its slopes: [K] and ln."""
FIRST_CORNER, FIRST_RATE = 14.0, 0.35
"""Trust region to begin with: [K] and ln."""
MOST_CORNER, MOST_RATE = 30.0, 0.7
BENT = 0.12
"""Ln by which a step of the first region goes over its limit, more or less; grows as its square."""
_LATE = 8.0
"""Price of being late, in units of ln of margin per share of the time."""
_SMALLEST = 0.012
"""Region of a rate [ln] in which nothing is left to gain."""
_FORGIVING = 1.6
"""Price of a stress over its limit when steps are compared, per unit of ln; more than easing costs,
so that the end is within limits."""


@dataclass(frozen=True)
class Pace:
    """How far a search goes.

    Attributes
    ----------
    region : float
        Share of the first trust region to begin with.
    enough : float
        Share of the cooling's time below which the gain of two rounds ends it.
    rounds : int
        At most.
    far : float
        Cases so far [ln] within their limits (or further than the worst) are left to the replay.
    shapes : tuple of (float, float)
        Shares of a step tried, and how much all rates are eased besides, in ``BENT``: the figures
        are curved, and a full step that goes over a limit by little is worth more than a short one
        within.
    """

    region: float = 1.0
    enough: float = 0.003
    rounds: int = 9
    far: float = 0.3
    shapes: tuple[tuple[float, float], ...] = (
        (1.0, 1.0),
        (1.0, 0.0),
        (1.0, 2.0),
        (0.5, 0.25),
        (0.5, 0.0),
        (0.2, 0.0),
    )


THOROUGH = Pace()
ROUGH = Pace(enough=0.01, rounds=4)
"""The first part of a search, by coarse reckoning."""
NEARBY = Pace(
    region=0.4, rounds=6, far=0.12, shapes=((1.0, 0.5), (1.0, 0.0), (0.5, 0.25), (0.2, 0.0))
)
"""The second, by steadier reckoning from near the answer."""


@dataclass(frozen=True)
class Binding:
    """What sets a ramp, and what it costs.

    Attributes
    ----------
    case : Case or None
        Piece and corner; ``None`` where the lehr sets it.
    row : Row or None
        Which of its stresses.
    """

    case: Case | None
    row: Row | None


@dataclass(frozen=True)
class Found:
    """Outcome of a search.

    Attributes
    ----------
    cooling : Cooling
        As found, not yet rounded for the controller.
    ratios : ndarray, shape (cases, columns)
        Ln of stress over what is allowed.
    slopes : ndarray, shape (cases, columns, unknowns)
    cases : tuple of Case
    bindings : tuple of Binding
        One a ramp.
    """

    cooling: Cooling
    ratios: FloatArray
    slopes: FloatArray
    cases: tuple[Case, ...]
    bindings: tuple[Binding, ...]

    @property
    def margin(self) -> float:
        """Smallest limit over stress."""
        return float(np.exp(-self.ratios.max()))


def search(
    setting: Setting,
    start: Cooling,
    cases: Sequence[Case],
    goal: Goal,
    *,
    stopped: Stopped | None = None,
    step_done: Callable[[], None] | None = None,
    pace: Pace = THOROUGH,
) -> Found:
    """Improve a cooling until nothing more is to be had.

    Parameters
    ----------
    setting : Setting
    start : Cooling
    cases : sequence of Case
        Those looked at; the others are left to the replay.
    goal : Goal
    stopped : callable, optional
        Answers true when the work is to be given up.
    step_done : callable, optional
        Called after every round.
    pace : Pace

    Raises
    ------
    StoppedError
        When stopped.
    """
    cases = tuple(cases)
    corner, rate = pace.region * FIRST_CORNER, pace.region * FIRST_RATE
    best = start
    first, slopes = _figures(setting, [], best, cases)
    ratios = first[0]
    nearest = ratios.max(axis=1)
    near = np.flatnonzero(nearest > min(float(nearest.max()), 0.0) - pace.far)
    cases = tuple(cases[i] for i in near)
    ratios, slopes = ratios[near], slopes[near]
    small = 0
    for _ in range(pace.rounds):
        if stopped is not None and stopped():
            raise StoppedError("Stopped.")
        answer = Programme(setting, best, ratios, slopes).solve(goal, corner, rate)
        if answer is None:
            break
        here = unknowns(best)
        ease = np.repeat((0.0, BENT * (rate / FIRST_RATE) ** 2), here.size // 2)
        tries = [
            cooling_of(best.soak, here + share * answer[0] - eased * ease)
            for share, eased in pace.shapes
        ]
        found, there = _figures(setting, tries[1:], tries[0], cases)
        merits = [_merit(setting, c, r, goal) for c, r in zip(tries, found, strict=True)]
        before = _merit(setting, best, ratios, goal)
        pick = int(np.argmin(merits))
        gain = before - merits[pick]
        if step_done is not None:
            step_done()
        if gain <= 0.0:
            corner, rate = corner * 0.35, rate * 0.35
        else:
            best, ratios = tries[pick], found[pick]
            if pick == 0:
                slopes = there
                corner, rate = min(corner * 1.5, MOST_CORNER), min(rate * 1.5, MOST_RATE)
            else:
                corner, rate = corner * 0.6, rate * 0.6
                _, slopes = _figures(setting, [], best, cases)
            small = small + 1 if gain < pace.enough else 0
        if small >= 2 or rate < _SMALLEST:
            break
    return Found(best, ratios, slopes, cases, _bindings(setting, best, ratios, slopes, cases, goal))


def split(cooling: Cooling, ramps: int) -> Cooling:
    """The same cooling in more ramps: the one that takes longest in two, again and again."""
    bottoms, rates = list(cooling.bottoms), list(cooling.rates)
    while len(rates) < ramps:
        falls = np.asarray([cooling.soak, *bottoms[:-1]]) - np.asarray(bottoms)
        times = np.where(falls > 3.0 * SHORTEST, falls / np.asarray(rates), 0.0)
        place = int(times.argmax())
        if times[place] == 0.0:
            break
        bottoms.insert(place, bottoms[place] + 0.5 * float(falls[place]))
        rates.insert(place, rates[place])
    return Cooling(cooling.soak, tuple(bottoms), tuple(rates))


def _merit(setting: Setting, cooling: Cooling, ratios: FloatArray, goal: Goal) -> float:
    """What a search makes small: about the change of ln time, or of ln margin."""
    time = cooling.duration(setting.lehr, setting.end)
    worst = float(ratios.max())
    if goal.within is None:
        return float(np.log(time)) + _FORGIVING * max(worst + setting.side, 0.0)
    return worst + 0.02 * float(np.log(time)) + _LATE * max(time / goal.within - 1.0, 0.0)


def _figures(
    setting: Setting, others: list[Cooling], centre: Cooling, cases: tuple[Case, ...]
) -> tuple[FloatArray, FloatArray]:
    """Ratios of the centre and others, shape (1 + others, cases, columns), and slopes there."""
    here = unknowns(centre)
    half = here.size // 2
    steps = np.zeros((here.size, here.size))
    for i in range(here.size):
        steps[i, i] = -CORNER_STEP if i < half else RATE_STEP
    if centre.bottoms[-1] - CORNER_STEP < setting.end:
        steps[half - 1, half - 1] = 0.4 * CORNER_STEP
    around = [cooling_of(centre.soak, here + step) for step in steps]
    table = setting.ratios([centre, *others, *around], cases)
    first, moved = table[: 1 + len(others)], table[1 + len(others) :]
    slopes = (moved - first[0]) / np.diag(steps)[:, None, None]
    return first, np.moveaxis(slopes, 0, -1)


def _bindings(
    setting: Setting,
    cooling: Cooling,
    ratios: FloatArray,
    slopes: FloatArray,
    cases: tuple[Case, ...],
    goal: Goal,
) -> tuple[Binding, ...]:
    """What sets each ramp: whatever costs most of the time its rate would save."""
    half = len(cooling.rates)
    rows = rows_of(half)
    answer = Programme(setting, cooling, ratios, slopes).solve(goal, 4.0, 0.1)
    if answer is None:
        return tuple(Binding(None, None) for _ in range(half))
    _, on_stress, on_lehr = answer
    flat = slopes.reshape(-1, 2 * half)
    bindings = []
    for i in range(half):
        price = on_stress * np.maximum(flat[:, half + i], 0.0)
        worst = int(price.argmax())
        if price[worst] <= on_lehr[i] or price[worst] <= 0.0:
            bindings.append(Binding(None, None))
        else:
            case, column = divmod(worst, len(rows))
            bindings.append(Binding(cases[case], rows[column]))
    return tuple(bindings)
