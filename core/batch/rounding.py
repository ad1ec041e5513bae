"""Weights rounded to what the scale reads, chosen together so that the glass suffers least."""

from __future__ import annotations

import itertools
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

_MOST_TRIED_TOGETHER = 7
"""Of so many materials, those whose division tells most, every way is tried (4 to the 7th)."""
_MOST_STEPS = 500


def glass_error(masses: Floats, target: Floats, weights: Floats) -> Floats:
    """Weighted root of the sum of squares of the deviations from the target [wt%].

    Parameters
    ----------
    masses : array, shape (..., oxides)
        Of the oxides in the glass, in any unit: only shares count.
    target : array, shape (oxides,)
        Mass fractions.
    weights : array, shape (oxides,)
    """
    shares = masses / masses.sum(axis=-1, keepdims=True)
    error: Floats = 100.0 * np.linalg.norm(weights * (shares - target), axis=-1)
    return error


def round_together(
    amounts: Floats,
    divisions: Floats,
    yields: Floats,
    beside: Floats,
    target: Floats,
    weights: Floats,
    lowest: Floats,
    highest: Floats,
) -> Counts:
    """Whole divisions of every material, together nearest to the target.

    Starts from each amount rounded by itself. Of the seven materials whose division moves the
    glass most every way of taking one of the two divisions below or the two above is tried, then
    of all materials single steps and pairs of steps while they help. Never worse than each rounded
    by itself; no amount moves by more than two divisions.

    Parameters
    ----------
    amounts : array, shape (materials,)
        [kg]
    divisions : array, shape (materials,)
        [kg] What the scale reads to for each material.
    yields : array, shape (oxides, materials)
        [kg/kg]
    beside : array, shape (oxides,)
        [kg] What else is in the glass (cullet, additions).
    target, weights : array, shape (oxides,)
        As in :func:`glass_error`.
    lowest, highest : array, shape (materials,)
        [kg] Bounds kept where a whole number of divisions lies between them.

    Returns
    -------
    array of int, shape (materials,)
        Divisions; 0 where there is nothing of a material.
    """
    steps = amounts / divisions
    least = np.ceil(lowest / divisions - 1e-6)
    most = np.floor(np.minimum(highest / divisions, 1e15) + 1e-6)
    # A fixed amount between two divisions goes to the nearer.
    pinned = least > most
    least = np.where(pinned, np.round(lowest / divisions), least)
    most = np.where(pinned, least, most)
    used = amounts > 0
    nearest = np.where(used, np.clip(np.round(steps), least, most), 0.0)
    low = np.where(used, np.clip(np.floor(steps) - 1, np.maximum(least, 0.0), most), 0.0)
    high = np.where(used, np.clip(np.ceil(steps) + 1, least, most), 0.0)

    def error(counts: Floats) -> Floats:
        masses = (counts * divisions) @ yields.T + beside
        empty = masses.sum(axis=-1) <= 0
        masses = np.where(empty[..., None], 1.0, masses)
        return np.where(empty, np.inf, glass_error(masses, target, weights))

    best, reached = nearest, float(error(nearest))
    free = np.flatnonzero(high > low)
    telling = np.linalg.norm(weights[:, None] * yields * divisions, axis=0)
    tried = free[np.argsort(-telling[free], kind="stable")][:_MOST_TRIED_TOGETHER]
    if len(tried):
        steps_tried = np.array(list(itertools.product((-1.0, 0.0, 1.0, 2.0), repeat=len(tried))))
        ways = np.tile(nearest, (len(steps_tried), 1))
        ways[:, tried] = np.floor(steps[tried]) + steps_tried
        ways = np.clip(ways, low, high)
        errors = error(ways)
        if errors.min() < reached:
            best, reached = ways[int(errors.argmin())], float(errors.min())
    moves = _moves(free, len(amounts))
    for _ in range(_MOST_STEPS):
        ways = best + moves
        ways = ways[((ways >= low) & (ways <= high)).all(axis=1)]
        if not len(ways):
            break
        errors = error(ways)
        if not errors.min() < reached - 1e-12:
            break
        best, reached = ways[int(errors.argmin())], float(errors.min())
    return np.asarray(np.round(best), dtype=np.int64)


def _moves(free: NDArray[np.int64], count: int) -> Floats:
    single = []
    for index in free:
        for step in (-1.0, 1.0):
            move = np.zeros(count)
            move[index] = step
            single.append(move)
    pairs = [a + b for a, b in itertools.combinations(single, 2) if (a + b).any()]
    return np.array(single + pairs).reshape(-1, count)


def whole_divisions(amount: float, division: float) -> int:
    """Divisions nearest to an amount [kg] that is not nothing: at least one."""
    return max(round(amount / division), 1) if amount > 0 else 0


def weight_of(count: int, division: float) -> float:
    """Mass [kg] of a number of divisions, without the dust of binary fractions."""
    return float(count * Decimal(str(division)))
