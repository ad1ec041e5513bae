"""The least change of an analysis that gives the glass wished properties.

“Least” is the least sum of squares of the changes in wt%, over the oxides that may change, one
against the other; all others keep their amounts. Properties are those reckoned from the analysis
alone. The wishes are linearised at the last glass tried and the least change that fulfils them
there is found, again and again until it stays.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import lsq_linear

from core.composition.composition import Composition
from core.errors import GlassError
from core.glass.many_glasses import properties_of_many

Floats = NDArray[np.float64]

_MOST_ROUNDS = 25
_NUDGE = 0.02
"""[wt%] Step of the slopes."""
_FIRM = 1e3
"""How much firmer the whole and the wishes are than the wish to change little."""
_LONGEST_STEP = 6.0
"""[wt%] No oxide moves further at once."""
_SETTLED = 1e-3
"""[wt%]"""
_HAIR = 1e-6
"""Of what counts as met: a wish left alone that is fulfilled so nearly is fulfilled."""


@dataclass(frozen=True)
class Wanted:
    """A property that shall lie in an interval.

    Attributes
    ----------
    key : str
        A key of :attr:`core.glass.many_glasses.ManyGlasses.values`.
    low, high : float
        SI; alike for one value only.
    close : float
        Deviation that does not matter, more than 0; it sets the scale of the search.
    shift : float
        Added to what is reckoned, as where a measurement stands beside it.
    """

    key: str
    low: float
    high: float
    close: float
    shift: float = 0.0


def least_change(
    composition: Composition,
    oxides: Sequence[str],
    wanted: Sequence[Wanted],
    most: float = math.inf,
) -> Floats:
    """Find the changes of the oxides.

    Parameters
    ----------
    composition : Composition
    oxides : sequence of str
        Canonical names of those that may change, present or not; two or more.
    wanted : sequence of Wanted
        One or two.
    most : float
        [wt%] Furthest any oxide may move.

    Returns
    -------
    array, shape (oxides,)
        Changes [wt%]; they add up to 0. Where the wishes cannot be met, the last that was tried:
        look with :func:`values_after` at what it gives.

    Raises
    ------
    GlassError
        If the model has no numbers for a glass on the way.
    """
    present = np.array([composition.weight(oxide) for oxide in oxides])
    low, high = -np.minimum(present, most), np.full(len(oxides), min(most, 100.0))
    change = np.zeros(len(oxides))
    scales = np.array([one.close for one in wanted])
    for _ in range(_MOST_ROUNDS):
        # Away from the bound, so that no oxide is asked for beyond it.
        nudge = np.where(change + _NUDGE <= high, _NUDGE, -_NUDGE)
        tried = np.vstack((change, change + np.diag(nudge)))
        values = values_after(composition, oxides, tried, wanted) / scales
        slopes = (values[1:] - values[0]).T / nudge
        ends = np.array([[one.low, one.high] for one in wanted]) / scales[:, None]
        found = _least(slopes, ends - (values[0] - slopes @ change)[:, None], low, high)
        step = found - change
        longest = float(np.max(np.abs(step)))
        change = np.clip(change + min(1.0, _LONGEST_STEP / max(longest, 1e-12)) * step, low, high)
        if longest < _SETTLED:
            break
    return change


def changed(composition: Composition, oxides: Sequence[str], change: Floats) -> Composition:
    """The composition with oxides changed by so many wt%, adding up to 100; none below 0."""
    percent = dict(composition.weight_percent)
    for oxide, by in zip(oxides, change.tolist(), strict=True):
        percent[oxide] = max(percent.get(oxide, 0.0) + by, 0.0)
    total = math.fsum(percent.values())
    return Composition.from_percent({o: 100.0 * a / total for o, a in percent.items()})


def values_after(
    composition: Composition, oxides: Sequence[str], changes: Floats, wanted: Sequence[Wanted]
) -> Floats:
    """Wanted properties after each of several changes, with their shifts.

    Parameters
    ----------
    composition : Composition
    oxides : sequence of str
    changes : array, shape (n, oxides)
        [wt%]
    wanted : sequence of Wanted

    Returns
    -------
    array, shape (n, wanted)
        SI.

    Raises
    ------
    GlassError
        If the model has no numbers for one of the glasses.
    """
    many = properties_of_many([changed(composition, oxides, row) for row in changes])
    if not many.physical.all():
        raise GlassError("The model gives no glass's numbers here.")
    return np.array([many.values[one.key].value + one.shift for one in wanted]).T


def _least(slopes: Floats, ends: Floats, low: Floats, high: Floats) -> Floats:
    """Least change x with a sum of 0 and ``ends[:, 0] <= slopes @ x <= ends[:, 1]``.

    Each wish is left alone or held at one of its ends; the least of what fulfils all is taken, and
    where nothing does, what misses least.
    """
    count = slopes.shape[1]
    choices = [
        [(row, end) for end in dict.fromkeys(ends[row].tolist())]
        if ends[row, 0] == ends[row, 1]
        else [None, *((row, end) for end in ends[row].tolist())]
        for row in range(len(slopes))
    ]
    best = (math.inf, math.inf, np.zeros(count))
    for choice in itertools.product(*choices):
        held = [one for one in choice if one is not None]
        rows = np.vstack(
            (np.eye(count), np.full(count, _FIRM), *(_FIRM * slopes[row] for row, _ in held))
        )
        aims = np.concatenate((np.zeros(count + 1), [_FIRM * end for _, end in held]))
        x = lsq_linear(rows, aims, (low - 1e-12, high), method="bvls", max_iter=1000).x
        got = slopes @ x
        missed = float(np.max(np.maximum(ends[:, 0] - got, got - ends[:, 1])))
        rank = (max(missed - _allowed(held), 0.0), float(x @ x), x)
        if rank[:2] < best[:2]:
            best = rank
    return np.clip(best[2], low, high)


def _allowed(held: Sequence[object]) -> float:
    """Miss that counts as none: what is held is only as firm as least squares hold it."""
    return 0.01 if held else _HAIR
