"""The weigh-out that comes nearest to a target: bounded least squares, and a rule for ties.

All masses here are per kilogram of glass. ``yields[i, j]`` is the mass of oxide ``i`` that one
kilogram of material ``j`` leaves in the glass; ``missing[i]`` is what the target still wants of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, lsq_linear, milp

from core.batch.request import Prefer
from core.errors import BatchError

Floats = NDArray[np.float64]

EQUALLY_NEAR = 1e-4
"""[kg/kg] Batches whose every oxide, times its weight, lies within 0.01 wt% of the nearest are as
good as it (our choice: no studio's scale or analysis tells them apart)."""
_CHEAPEST_SLACK = 1e-6
"""[kg/kg] Less, or the search for a lower cost would always lean on it."""
_TOTAL_WEIGHT = 1e4
"""The oxides must add up to the whole: this many times the greatest weight of an oxide."""
_NOTHING = 1e-9
"""[kg/kg] Less of a material than this is none."""


@dataclass(frozen=True)
class Problem:
    """What least squares is asked.

    Attributes
    ----------
    yields : array, shape (oxides, materials)
        [kg/kg]
    missing : array, shape (oxides,)
        [kg/kg] Target less what is fixed; may be negative where the cullet brings too much.
    weights : array, shape (oxides,)
    lowest, highest : array, shape (materials,)
        [kg per kg of glass]; ``inf`` where there is no limit.
    """

    yields: Floats
    missing: Floats
    weights: Floats
    lowest: Floats
    highest: Floats

    @property
    def total(self) -> float:
        """Mass the materials together leave in the glass, per kg of it."""
        return float(self.missing.sum())

    def error(self, amounts: Floats) -> float:
        """Weighted root of the sum of squares of the deviations [wt%]."""
        return float(100.0 * np.linalg.norm(self.weights * (self.yields @ amounts - self.missing)))

    def without_limits(self) -> Problem:
        """The same with no upper bound on any material."""
        return Problem(
            self.yields,
            self.missing,
            self.weights,
            self.lowest,
            np.full_like(self.highest, np.inf),
        )


def nearest(problem: Problem) -> Floats:
    """Amounts whose glass comes nearest to the target and adds up to the whole.

    Minimises the weighted sum of squares of the deviations of every oxide.

    Parameters
    ----------
    problem : Problem

    Returns
    -------
    array, shape (materials,)
        [kg per kg of glass]

    Raises
    ------
    BatchError
        If the bounds leave too little or too much for the whole.
    """
    sums = problem.yields.sum(axis=0)
    # All amounts are positive, so none can be more than the whole by itself.
    highest = np.minimum(problem.highest, max(problem.total, 0.0) / sums)
    lowest = problem.lowest
    if float(lowest @ sums) > problem.total + 1e-9:
        raise BatchError(
            "The amounts that must be in the batch make more glass than the melt.",
            field="bounds",
            remedy="Ask for less of them, less cullet or a larger melt.",
        )
    if float(np.minimum(problem.highest, 1.0 / sums) @ sums) < problem.total - 1e-9:
        raise BatchError(
            "The materials allowed do not make so much glass.",
            field="bounds",
            remedy="Raise the bounds, use more cullet or make a smaller melt.",
        )
    free = highest - lowest > 1e-12
    amounts = lowest.copy()
    if not free.any():
        return amounts
    total_weight = _TOTAL_WEIGHT * max(1.0, float(problem.weights.max()))
    left = problem.missing - problem.yields @ amounts
    rows = np.vstack((problem.weights[:, None] * problem.yields, total_weight * sums))[:, free]
    wanted = np.append(problem.weights * left, total_weight * left.sum())
    room = (highest - lowest)[free]
    # Scaled so that every amount lies between 0 and 1: pinches and shovelfuls solve alike.
    found = lsq_linear(rows * room, wanted, (0.0, 1.0), method="bvls", max_iter=1000)
    amounts[free] += room * np.clip(found.x, 0.0, 1.0)
    amounts[amounts < _NOTHING] = 0.0
    return np.maximum(amounts, lowest)


def decide(
    problem: Problem, amounts: Floats, prefer: Prefer, prices: Floats | None = None
) -> Floats:
    """Of all batches as near to the target as this one, the cheapest or that of fewest materials.

    Parameters
    ----------
    problem : Problem
    amounts : array, shape (materials,)
        From :func:`nearest`.
    prefer : Prefer
        Fewest: the least number of materials, each oxide within 0.01 wt% over its weight of the
        nearest; among equally many those standing first in the list. Cheapest: the least sum of
        price times amount.
    prices : array, shape (materials,), optional
        Per kg; needed for the cheapest.

    Returns
    -------
    array, shape (materials,)
        [kg per kg of glass]
    """
    if prefer is Prefer.CHEAPEST and prices is not None:
        cheapest = _least_cost(problem, amounts, prices)
        return amounts if cheapest is None else cheapest
    used = _fewest(problem, amounts)
    if used is None:
        return amounts
    narrowed = Problem(
        problem.yields[:, used],
        problem.missing,
        problem.weights,
        problem.lowest[used],
        problem.highest[used],
    )
    settled = np.zeros_like(amounts)
    settled[used] = nearest(narrowed)
    return settled


def _least_cost(problem: Problem, amounts: Floats, prices: Floats) -> Floats | None:
    lowest, highest = _ranges(problem)
    found = milp(
        prices + 1e-9 * np.arange(1, len(prices) + 1),
        constraints=_as_near(problem, amounts, _CHEAPEST_SLACK),
        bounds=Bounds(lowest, highest),
    )
    if found.x is None:
        return None
    settled = np.where(found.x < 1e-7, 0.0, found.x)
    return np.clip(settled, lowest, highest)


def _fewest(problem: Problem, amounts: Floats) -> NDArray[np.bool_] | None:
    """Which materials the batch of fewest materials holds."""
    count = len(amounts)
    lowest, highest = _ranges(problem)
    near = _as_near(problem, amounts, EQUALLY_NEAR)
    both = LinearConstraint(
        np.hstack((np.asarray(near.A), np.zeros((len(near.lb), count)))), near.lb, near.ub
    )
    # Amount j may be more than nothing only if its switch is on.
    switched = LinearConstraint(np.hstack((np.eye(count), -np.diag(highest))), -np.inf, 0.0)
    order = np.arange(1, count + 1) / (count * (count + 1.0))
    found = milp(
        np.concatenate((np.zeros(count), 1.0 + order)),
        constraints=(both, switched),
        bounds=Bounds(
            np.concatenate((lowest, (lowest > 0).astype(float))),
            np.concatenate((highest, np.ones(count))),
        ),
        integrality=np.concatenate((np.zeros(count), np.ones(count))),
    )
    if found.x is None:
        return None
    used: NDArray[np.bool_] = (found.x[count:] > 0.5) & (found.x[:count] > 1e-7)
    return used | (problem.lowest > 0)


def _ranges(problem: Problem) -> tuple[Floats, Floats]:
    sums = problem.yields.sum(axis=0)
    highest = np.minimum(problem.highest, 1.0001 * max(problem.total, 0.0) / sums)
    return problem.lowest, np.maximum(highest, problem.lowest)


def _as_near(problem: Problem, amounts: Floats, slack: float) -> LinearConstraint:
    """Every oxide that matters as near as in ``amounts``; the whole stays the whole."""
    reached = problem.yields @ amounts
    matter = problem.weights > 0
    rows, wanted = problem.yields[matter], reached[matter]
    within = slack / problem.weights[matter]
    sums = problem.yields.sum(axis=0)
    # In per cent, which the solver's own tolerance of 1e-7 suits better.
    return LinearConstraint(
        100.0 * np.vstack((rows, sums)),
        100.0 * np.append(wanted - within, reached.sum() - 1e-9),
        100.0 * np.append(wanted + within, reached.sum() + 1e-9),
    )
