"""One step of structural relaxation at every node of every section.

Partial fictive temperatures Tf_k (Markovsky A., Soules T.F. 1984, J. Am. Ceram. Soc. 67, C-56)
relax towards T with times r_k tau, and tau itself runs over decades while the glass freezes. Their
implicit update with tau held over the step is of first order. Here each distance d_k = T - Tf_k is
carried over the step in reduced time, exactly for a drive that is linear there:

    d_k <- d_k exp(-y) + dT even(y) + (skew dT + bend) odd(y),      y = d(xi)/r_k,

with ``skew`` from tau at both ends and the bend of T's own path in time. That is of second order
in the step whether an element is slow, fast or at rest (without them it would be of first order
for those at rest, which feed the fictive temperature as the glass begins to freeze), and as stable.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from core.stress.batch import Batch
from core.stress.relaxation import log_rate

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_RIGID = 1e-7
"""Reduced time over the shortest structural time below which nothing relaxes."""
_COLD = 3e-3
"""Reduced time in which too little relaxes for its rate to matter."""
_MOST_CORRECTIONS = 6
_REST = 300.0
"""Reduced time after which structure and stress have long been at rest."""


def carry(y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What a relaxing element keeps over a step, and what it takes of its drive.

    For y >= 0 of any size: exp(-y), and the means over the step (0 <= u <= 1) of exp(-y (1 - u))
    and of exp(-y (1 - u)) (2 u - 1): the answers to a drive that is even over the step and to the
    odd part of one that is not. The last is y/6 for small y, and taken as 0 below 1e-4.
    """
    less = -1e-30 - y
    kept = np.expm1(less)
    even = kept / less
    kept += 1.0
    odd = even - kept
    odd /= less
    odd *= 2.0
    odd += even
    odd *= less < -1e-4
    return kept, even, odd


def reduced_step(
    start: FloatArray, end: FloatArray, step: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Reduced time of a step whose ln(1/tau) goes in a straight line from start to end.

    Returns
    -------
    reduced : ndarray
        Reduced time.
    skew : ndarray
        (tau_end - tau_start)/(tau_end + tau_start): how much of a drive steady in time falls
        later in reduced time.
    activity : ndarray
        Near 0 where the glass is rigid at both ends or at rest at both, near 1 between.
    """
    # A change of no size is given one, so small that it changes nothing.
    change = end - start
    change += 1e-9 * (np.abs(change) < 1e-9)
    half = np.tanh(0.5 * change)
    first, last = step * np.exp(start), step * np.exp(end)
    total = first + last
    fast = np.maximum(first, last)
    activity = fast / ((fast + _COLD) * (1.0 + (total - fast) * (1.0 / _REST)))
    return total * half / change, -half, activity


@dataclass(frozen=True, eq=False)
class StructureState:
    """Structure at one moment; shapes (s, n) unless said.

    Attributes
    ----------
    fictive : ndarray
        [K].
    distance : ndarray, shape (k, s, n)
        T - Tf_k [K].
    log_rate : ndarray
        ln(1/tau) [ln(1/s)].
    drift : ndarray
        Rate of the fictive temperature over the step before [K/s].
    """

    fictive: FloatArray
    distance: FloatArray
    log_rate: FloatArray
    drift: FloatArray

    def taken(self, new: StructureState, accepted: BoolArray) -> StructureState:
        """The new state in accepted rows, this one in the others."""
        column = accepted[:, None]
        return StructureState(
            np.where(column, new.fictive, self.fictive),
            np.where(column, new.distance, self.distance),
            np.where(column, new.log_rate, self.log_rate),
            np.where(column, new.drift, self.drift),
        )


@dataclass(frozen=True, eq=False)
class StructureStep:
    """What a step did; shapes (s, n).

    Attributes
    ----------
    state : StructureState
    foretold : ndarray
        ln(1/tau) at the end that the step was reckoned with.
    reduced, skew : ndarray
        See :func:`reduced_step`.
    pace : ndarray
        dTf/d(xi) at the end [K].
    shift : ndarray
        Change of ln(tau), in so far as the glass relaxes in this step without being at rest
        already.
    activity : ndarray
        See :func:`reduced_step`.
    """

    state: StructureState
    foretold: FloatArray
    reduced: FloatArray
    skew: FloatArray
    pace: FloatArray
    shift: FloatArray
    activity: FloatArray

    def taken(self, other: StructureStep, rows: BoolArray) -> StructureStep:
        """The other step in some rows, this one in the rest."""
        if rows.all():
            return other
        column = rows[:, None]
        values = [
            np.where(column, getattr(other, f.name), getattr(self, f.name))
            for f in fields(self)
            if f.name != "state"
        ]
        return StructureStep(self.state.taken(other.state, rows), *values)


class Structure:
    """Steps the structure of all sections of a batch.

    Parameters
    ----------
    batch : Batch
    foretold : float
        ln(1/tau) by which the rate foretold for a step's end may be wrong.
    """

    def __init__(self, batch: Batch, foretold: float = 0.005) -> None:
        self.foretold = foretold
        self.liquid = tuple(term[:, None] for term in batch.liquid)
        self.x = batch.non_linearity[:, None]
        self.rates = 1.0 / batch.structure_times[..., None]
        shares = batch.structure_shares
        self.sums = np.stack((shares, shares / batch.structure_times))
        self.fastest = float(self.rates.max())

    def _log_rate(self, temperature: FloatArray, fictive: FloatArray) -> FloatArray:
        a, b, t0 = self.liquid
        return log_rate(a, b, t0, self.x, temperature, fictive)

    def begin(self, temperature: FloatArray, fictive: FloatArray) -> StructureState:
        """State of glass whose every partial temperature is ``fictive`` [K]."""
        distance = np.repeat((temperature - fictive)[None], self.rates.shape[0], axis=0)
        return StructureState(
            fictive, distance, self._log_rate(temperature, fictive), np.zeros_like(fictive)
        )

    def lag_and_pace(self, distance: FloatArray) -> FloatArray:
        """T - Tf and dTf/d(xi) [K], shape (2, s, n)."""
        return np.asarray(np.einsum("jks,ksn->jsn", self.sums, distance))

    def step(
        self,
        now: StructureState,
        old: FloatArray,
        new: FloatArray,
        bend: FloatArray,
        step: FloatArray,
    ) -> StructureStep:
        """Carry the structure over a step from temperatures ``old`` to ``new`` [K].

        The rate at the end depends on the fictive temperature there, which is foretold from the
        step before and then corrected, until the rate is the one the step was reckoned with.

        Parameters
        ----------
        old, new, bend : ndarray, shape (s, n)
            Temperatures and the bend of their path, see :class:`core.stress.conduction.Conduction`.
        step : ndarray, shape (s,)
            [s].
        """
        fictive = now.fictive + step[:, None] * now.drift
        found = self._tried(now, (old, new, bend), step[:, None], self._log_rate(new, fictive))
        for _ in range(_MOST_CORRECTIONS):
            foretold, last = found.state.log_rate, found
            wrong = np.abs(foretold - last.foretold) * last.activity
            # Row by row, so that no section feels what is reckoned beside it.
            again = np.maximum.reduce(wrong, axis=1) > self.foretold
            if not again.any():
                break
            better = self._tried(now, (old, new, bend), step[:, None], foretold)
            found = last.taken(better, again)
        return found

    def _tried(
        self,
        now: StructureState,
        path: tuple[FloatArray, FloatArray, FloatArray],
        column: FloatArray,
        foretold: FloatArray,
    ) -> StructureStep:
        """Reckon the step as :meth:`step` with a foretold ln(1/tau) at its end."""
        old, new, bend = path
        change = new - old
        reduced, skew, activity = reduced_step(now.log_rate, foretold, column)
        if float(reduced.max()) * self.fastest < _RIGID:
            moved = now.distance + change
        else:
            kept, even, odd = carry(reduced * self.rates)
            kept *= now.distance
            even *= change
            odd *= change * skew + bend
            moved = kept
            moved += even
            moved += odd
        lag, pace = self.lag_and_pace(moved)
        fictive = new - lag
        drift = (fictive - now.fictive) / np.maximum(column, 1e-12)
        end = self._log_rate(new, fictive)
        state = StructureState(fictive, moved, end, drift)
        shift = np.abs(end - now.log_rate) * activity
        return StructureStep(state, foretold, reduced, skew, pace, shift, activity)
