"""Temperature and structure of many pieces through their histories, each at a pace of its own.

Every piece has its own clock, from the moment it enters, and its own step; the pieces only share
the array operations. Steps end at corners of the chamber's history. A step is repeated when
its curvature of temperature or its change of ln(tau) exceeds what :class:`Accuracy` allows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.errors import StoppedError, StressError
from core.stress.accuracy import Accuracy
from core.stress.batch import Batch
from core.stress.clocks import Clocks, Course
from core.stress.conduction import STAGES, Conduction
from core.stress.structure import Structure, StructureStep

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_MOST_STEPS = 100_000
_SHORTEST = 1e-6
"""Step [s] below which the error control gives in."""
_FIRST = 1.0
"""First step tried [s]."""
_FORETOLD = 0.06
"""Error of the foretold rate, over the square of the shift a step may make."""
_AT_A_CORNER = 4.0
"""Weight of the error in the first step after a corner, where paths are not smooth."""
_STEADY = 0.3
"""Weight of a steady curvature where the glass relaxes."""
_TOO_MUCH = 2.0
"""Error over tolerance at which a step is repeated; the aim is below 1."""


@dataclass(frozen=True, eq=False)
class Paths:
    """What the march found; pieces that needed fewer steps stay where they ended.

    Attributes
    ----------
    count : ndarray of int, shape (pieces,)
        Steps of each piece; m is the greatest.
    time : ndarray, shape (m + 1, pieces)
        Since each piece entered [s].
    at_corner : ndarray of bool, shape (m + 1, pieces)
        Where the chamber turns sharply.
    temperature, fictive : ndarray, shape (m + 1, s, n)
        [K].
    reduced, skew : ndarray, shape (m, s, n)
        Of every step, see :func:`core.stress.structure.reduced_step`.
    bend : ndarray, shape (m, s, n)
        How much of a step's change of temperature falls later in time [K].
    fictive_bend : ndarray, shape (m, s, n)
        (dTf/dt at the end less at the start) over their sum, of sizes: how much of a step's change
        of fictive temperature falls later in time.
    """

    count: IntArray
    time: FloatArray
    at_corner: BoolArray
    temperature: FloatArray
    fictive: FloatArray
    reduced: FloatArray
    skew: FloatArray
    bend: FloatArray
    fictive_bend: FloatArray


class _Record:
    """Every tried step, and which of them each piece took."""

    def __init__(self) -> None:
        self.fields: tuple[list[FloatArray], ...] = ([], [], [], [], [], [], [])
        self.accepted: list[BoolArray] = []
        self.now: list[FloatArray] = []
        self.turned: list[BoolArray] = []

    def add(
        self,
        temperature: FloatArray,
        bend: FloatArray,
        step: StructureStep,
        accepted: BoolArray,
        clocks: Clocks,
    ) -> None:
        """Keep one tried step."""
        state = step.state
        ends = temperature, state.fictive, step.pace, state.log_rate
        values = (*ends, bend, step.reduced, step.skew)
        for field, value in zip(self.fields, values, strict=True):
            field.append(value)
        self.accepted.append(accepted)
        self.now.append(clocks.now)
        self.turned.append(clocks.turned)

    def paths(self, batch: Batch, first: tuple[FloatArray, FloatArray, FloatArray]) -> Paths:
        """The steps taken, laid side by side."""
        accepted = np.stack(self.accepted)
        count = accepted.sum(axis=0)
        most = int(count.max())
        # Numbers of the steps taken come first, in order; the last is repeated behind them.
        order = np.argsort(~accepted, axis=0, kind="stable")[:most]
        place = np.arange(most)[:, None]
        order = np.take_along_axis(order, np.minimum(place, count - 1), axis=0)
        valid = (place < count)[:, batch.piece, None]
        tried = order[:, batch.piece]
        row = np.arange(batch.count)

        temperature, fictive, pace, log_rate, bend, reduced, skew = (
            np.stack(field)[tried, row] for field in self.fields
        )
        rates = np.concatenate((first[2][None], pace * np.exp(log_rate)))
        size = np.abs(rates[1:]) + np.abs(rates[:-1])
        time = np.take_along_axis(np.stack(self.now), order, axis=0)
        turned = np.take_along_axis(np.stack(self.turned), order, axis=0)
        return Paths(
            count=count.astype(np.intp),
            time=np.concatenate((np.zeros((1, count.size)), time)),
            at_corner=np.concatenate((np.ones((1, count.size), dtype=bool), turned)),
            temperature=np.concatenate((first[0][None], temperature)),
            fictive=np.concatenate((first[1][None], fictive)),
            reduced=reduced * valid,
            skew=skew * valid,
            bend=bend * valid,
            fictive_bend=np.diff(rates, axis=0) / np.where(size > 0, size, 1.0) * valid,
        )


def march(
    batch: Batch,
    courses: Sequence[Course],
    temperature: FloatArray,
    fictive: FloatArray,
    accuracy: Accuracy,
    stopped: Callable[[], bool] | None = None,
) -> Paths:
    """Follow all pieces through their courses.

    Parameters
    ----------
    batch : Batch
    courses : sequence of Course
        One a piece.
    temperature, fictive : ndarray, shape (s, n)
        As each piece enters [K].
    accuracy : Accuracy
    stopped : callable, optional
        Asked at every step; when it answers true, :class:`core.errors.StoppedError` is raised.

    Raises
    ------
    StressError
        If a history needs more steps than can be taken.
    """
    clocks = Clocks(courses)
    record = _Record()
    conduction = Conduction(batch)
    structure = Structure(batch, _FORETOLD * accuracy.largest_shift**2)
    t = np.concatenate((clocks.chamber(np.zeros(1))[batch.piece, None], temperature), axis=1)
    slope, bend, last = np.zeros_like(t), np.zeros_like(temperature), np.ones(batch.count)
    state = structure.begin(temperature, fictive)
    first = temperature, fictive, structure.lag_and_pace(state.distance)[1] * np.exp(state.log_rate)
    wanted = np.full(len(courses), _FIRST)
    while clocks.going.any():
        if stopped is not None and stopped():
            raise StoppedError("Stopped.")
        if len(record.now) >= _MOST_STEPS:
            raise StressError(
                "This history needs too many steps.",
                field="time",
                remedy="Shorten it, or reduce the log first.",
            )
        left = clocks.left()
        reaches = wanted * (1.0 + 1e-9) >= left
        step = np.where(reaches, left, np.minimum(wanted, 0.5 * left))
        rows = step[batch.piece]
        around = clocks.chamber(STAGES * step)[:, batch.piece]
        new, curved = conduction.step(t, slope, rows, around)
        curved = curved[:, 1:]
        tried = structure.step(state, t[:, 1:], new[:, 1:], curved, rows)
        lag = np.abs(new[:, 1:] - around[1, :, None])
        # Curvature at the pace of the step before is foreseen; what departs from it is not.
        sudden = curved - bend * np.square(rows / last)[:, None]
        error = _errors(batch, curved, sudden, lag, tried, accuracy)
        error = np.where(clocks.turned, _AT_A_CORNER * error, error)
        accepted = clocks.going & (error <= _TOO_MUCH)
        if not accepted.all():
            given_in = clocks.going & (step <= _SHORTEST)
            if not np.isfinite(error[given_in]).all():
                raise StressError("These temperatures cannot be followed.", field="temperature")
            accepted |= given_in
        clocks.advance(step, accepted, reaches)
        record.add(new[:, 1:], curved, tried, accepted, clocks)
        if accepted.all():
            slope = (new - t) / rows[:, None]
            t, state, bend, last = new, tried.state, curved, rows
        else:
            moved = accepted[batch.piece]
            column = moved[:, None]
            rate = (new - t) / np.maximum(rows, _SHORTEST)[:, None]
            slope = np.where(column, rate, slope)
            t = np.where(column, new, t)
            bend = np.where(column, curved, bend)
            last = np.where(moved, rows, last)
            state = state.taken(tried.state, moved)
        wanted = _next_step(wanted, step, error, accepted)
    return record.paths(batch, first)


def _errors(
    batch: Batch,
    curved: FloatArray,
    sudden: FloatArray,
    lag: FloatArray,
    tried: StructureStep,
    accuracy: Accuracy,
) -> FloatArray:
    """Error of each piece's step over what is allowed; both grow with the step's square.

    Of the paths' curvature what is sudden is an error in full, the rest in part where the glass
    relaxes: every step allows for its own, but to first order only.
    """
    lags = np.maximum.reduce(lag, axis=1)
    allowed = accuracy.temperature_floor + accuracy.temperature_share * lags
    curvature = np.abs(curved)
    smooth = np.minimum(curvature, np.abs(sudden))
    path = (smooth + _STEADY * tried.activity * (curvature - smooth)) / allowed[:, None]
    worst = np.maximum(path, np.square(tried.shift / accuracy.largest_shift))
    error = np.maximum.reduceat(worst.ravel(), batch.first_row * worst.shape[1])
    return np.where(np.isnan(error), np.inf, error)


def _next_step(
    wanted: FloatArray, step: FloatArray, error: FloatArray, accepted: BoolArray
) -> FloatArray:
    """The step each piece should try next [s]."""
    growth = np.minimum(np.maximum(0.85 / np.sqrt(np.maximum(error, 1e-6)), 0.05), 5.0)
    again = step * np.minimum(growth, 0.5)
    onward = step * growth
    # A step cut short at a corner says little against the longer one that was wanted.
    onward = np.where((step < wanted) & (growth > 1.0), np.maximum(wanted, onward), onward)
    return np.maximum(np.where(accepted, onward, again), _SHORTEST)
