"""The weigh-out that comes nearest to a target: bounded least squares, and a rule for ties.

All masses here are per kilogram of glass. ``yields[i, j]`` is the mass of oxide ``i`` that one
kilogram of material ``j`` leaves in the glass; ``missing[i]`` is what the target still wants of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog, lsq_linear

from core.batch.request import Prefer
from core.errors import BatchError

Floats = NDArray[np.float64]

EQUALLY_NEAR = 1e-4
"""[kg/kg] Batches whose every oxide, times its weight, lies within 0.01 wt% of the nearest are as
good as it (our choice: no studio's scale or analysis tells them apart)."""
_CHEAPEST_SLACK = 1e-6
"""[kg/kg] Less, or the search for a lower cost would always lean on it."""
_TOTAL_WEIGHT = 1e3
"""The oxides must add up to the whole: this many times the greatest weight of an oxide."""
_NOTHING = 1e-9
"""[kg/kg] Less of a material than this is none."""
_TRACE = 1e-7
"""[kg/kg] The same where a linear programme's tolerance of 1e-7 decides."""


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

    def only(self, kept: NDArray[np.bool_]) -> Problem:
        """The same with these materials alone."""
        return Problem(
            self.yields[:, kept],
            self.missing,
            self.weights,
            self.lowest[kept],
            self.highest[kept],
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
    """Of all batches as near to the target as this one, the cheapest or one of few materials.

    Parameters
    ----------
    problem : Problem
    amounts : array, shape (materials,)
        From :func:`nearest`.
    prefer : Prefer
        Fewest: beginning at the end of the list every material is left out without which the
        nearest batch is as near, so that none can be left out of what remains and those standing
        first in the list stay. As near: each oxide within 0.01 wt% over its weight. Cheapest: the
        least sum of price times amount.
    prices : array, shape (materials,), optional
        Per kg; needed for the cheapest.

    Returns
    -------
    array, shape (materials,)
        [kg per kg of glass]
    """
    if prefer is Prefer.CHEAPEST and prices is not None:
        return _least_cost(problem, amounts, prices)
    return _fewest(problem, amounts)


def _least_cost(problem: Problem, amounts: Floats, prices: Floats) -> Floats:
    """Linear programme over all batches as near; the nearest itself if the solver fails."""
    reached = problem.yields @ amounts
    matter = problem.weights > 0
    rows = 100.0 * problem.yields[matter]
    within = 100.0 * _CHEAPEST_SLACK / problem.weights[matter]
    wanted = 100.0 * reached[matter]
    sums = problem.yields.sum(axis=0)
    highest = np.minimum(problem.highest, 1.0001 * problem.total / sums)
    highest = np.maximum(highest, problem.lowest)
    found = linprog(
        # The last digit keeps those first in the list where prices are the same.
        prices + 1e-9 * np.arange(1, len(prices) + 1),
        A_ub=np.vstack((rows, -rows)),
        b_ub=np.concatenate((wanted + within, within - wanted)),
        A_eq=100.0 * sums[None, :],
        b_eq=[100.0 * reached.sum()],
        bounds=list(zip(problem.lowest.tolist(), highest.tolist(), strict=True)),
        method="highs-ds",
    )
    if found.x is None:
        return amounts
    settled = np.where(found.x < _TRACE, 0.0, found.x)
    return np.clip(settled, problem.lowest, highest)


def _fewest(problem: Problem, amounts: Floats) -> Floats:
    """Leave out what can be, from the end of the list."""
    reached = problem.yields @ amounts
    matter = problem.weights > 0
    within = EQUALLY_NEAR / problem.weights[matter]
    best, kept = amounts, np.ones(len(amounts), dtype=bool)
    for j in reversed(range(len(amounts))):
        if problem.lowest[j] > 0:
            continue
        trial = kept.copy()
        trial[j] = False
        try:
            found = nearest(problem.only(trial))
        except BatchError:
            continue
        off = problem.yields[:, trial] @ found - reached
        if np.all(np.abs(off[matter]) <= within) and abs(off.sum()) < 1e-6:
            kept = trial
            best = np.zeros_like(amounts)
            best[kept] = found
    return best
