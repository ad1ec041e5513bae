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
from core.stress.conduction import STAGES, Conduction
from core.stress.structure import Structure, StructureStep

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_MOST_STEPS = 200_000
_SHORTEST = 1e-6
"""Step [s] below which the error control gives in."""
_FIRST = 1.0
"""First step tried [s]."""
_CORNER = 4.0
"""Corners that stand out by less than so many floors of the temperature control need no stop."""
_LEAST_WEIGHT = 0.1
"""Weight of a path's curvature where no glass relaxes."""
_TOO_MUCH = 2.0
"""Error over tolerance at which a step is repeated; the aim is below 1."""


@dataclass(frozen=True, eq=False)
class Course:
    """Chamber temperature a piece meets, from when it enters; straight lines between corners.

    Attributes
    ----------
    time : ndarray, shape (c,)
        [s], strictly rising from 0.
    temperature : ndarray, shape (c,)
        [K].
    """

    time: FloatArray
    temperature: FloatArray


@dataclass(frozen=True, eq=False)
class Paths:
    """What the march found; pieces that needed fewer steps stay where they ended.

    Attributes
    ----------
    count : ndarray of int, shape (pieces,)
        Steps of each piece; m is the greatest.
    time : ndarray, shape (m + 1, pieces)
        Since each piece entered [s].
    temperature, fictive : ndarray, shape (m + 1, s, n)
        [K].
    reduced, skew : ndarray, shape (m, s, n)
        Of every step, see :func:`core.stress.structure.reduced_step`.
    bend : ndarray, shape (m, s, n)
        (dTf/dt at the end less at the start) over their sum, of sizes: how much of a step's change
        of fictive temperature falls later in time.
    """

    count: IntArray
    time: FloatArray
    temperature: FloatArray
    fictive: FloatArray
    reduced: FloatArray
    skew: FloatArray
    bend: FloatArray


class _Clocks:
    """Where every piece is in its history, and what its chamber is at any time of it.

    Steps end at corners that stand out from a line between their neighbours by more than
    ``smallest_corner`` [K]; those of a curve drawn with many corners may be passed over.
    """

    def __init__(self, courses: Sequence[Course], smallest_corner: float) -> None:
        span = max(float(c.time[-1]) for c in courses) + 1.0
        lengths = np.array([c.time.size for c in courses])
        self.origin = span * np.arange(lengths.size)
        self.key = np.concatenate([c.time for c in courses]) + np.repeat(self.origin, lengths)
        self.temperature = np.concatenate([c.temperature for c in courses])
        self.last = np.cumsum(lengths) - 1
        self.first = self.last - lengths + 1
        stops = [c.time[_standing_out(c, smallest_corner)] for c in courses]
        self.stop = np.concatenate(stops)
        self.end = np.cumsum([s.size for s in stops]) - 1
        self.next = np.concatenate(([0], self.end[:-1] + 1))
        self.now = np.zeros(lengths.size)
        self.going = np.ones(lengths.size, dtype=bool)

    def left(self) -> FloatArray:
        """Seconds to each piece's next stop; 0 at the end."""
        return np.asarray(self.stop[self.next] - self.now)

    def chamber(self, later: FloatArray) -> FloatArray:
        """Chamber temperature of each piece, shape (..., pieces), so many seconds from now."""
        sought = self.origin + self.now + later
        at = np.searchsorted(self.key, sought, side="right") - 1
        at = np.minimum(np.maximum(at, self.first), self.last - 1)
        low, high = self.key[at], self.key[at + 1]
        share = (sought - low) / (high - low)
        return np.asarray((1.0 - share) * self.temperature[at] + share * self.temperature[at + 1])

    def advance(self, step: FloatArray, accepted: BoolArray, reaches: BoolArray) -> None:
        """Move accepted pieces on; those that reach a stop stand on it exactly."""
        self.now = np.where(accepted, self.now + step, self.now)
        arrived = accepted & reaches
        if arrived.any():
            self.now = np.where(arrived, self.stop[self.next], self.now)
            self.going = self.going & ~(arrived & (self.next == self.end))
            self.next = np.minimum(self.next + arrived, self.end)


def _standing_out(course: Course, smallest: float) -> BoolArray:
    """Corners (the first never, the last always) a step must end at."""
    before, after = np.diff(course.time)[:-1], np.diff(course.time)[1:]
    rise = np.diff(course.temperature)
    from_line = (rise[1:] * before - rise[:-1] * after) / (before + after)
    return np.concatenate(([False], np.abs(from_line) > smallest, [True]))


class _Record:
    """Every tried step, and which of them each piece took."""

    def __init__(self) -> None:
        self.fields: tuple[list[FloatArray], ...] = ([], [], [], [], [], [])
        self.accepted: list[BoolArray] = []
        self.now: list[FloatArray] = []

    def add(
        self, temperature: FloatArray, step: StructureStep, accepted: BoolArray, now: FloatArray
    ) -> None:
        """Keep one tried step."""
        state = step.state
        values = (temperature, state.fictive, step.reduced, step.skew, step.pace, state.log_rate)
        for field, value in zip(self.fields, values, strict=True):
            field.append(value)
        self.accepted.append(accepted)
        self.now.append(now)

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

        temperature, fictive, reduced, skew, pace, log_rate = (
            np.stack(field)[tried, row] for field in self.fields
        )
        rates = np.concatenate((first[2][None], pace * np.exp(log_rate)))
        size = np.abs(rates[1:]) + np.abs(rates[:-1])
        time = np.take_along_axis(np.stack(self.now), order, axis=0)
        return Paths(
            count=count.astype(np.intp),
            time=np.concatenate((np.zeros((1, count.size)), time)),
            temperature=np.concatenate((first[0][None], temperature)),
            fictive=np.concatenate((first[1][None], fictive)),
            reduced=reduced * valid,
            skew=skew * valid,
            bend=np.diff(rates, axis=0) / np.where(size > 0, size, 1.0) * valid,
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
    clocks = _Clocks(courses, _CORNER * accuracy.temperature_floor)
    record = _Record()
    conduction, structure = Conduction(batch), Structure(batch)
    t = np.concatenate((clocks.chamber(np.zeros(1))[batch.piece, None], temperature), axis=1)
    slope = np.zeros_like(t)
    state = structure.begin(temperature, fictive)
    first = temperature, fictive, structure.pace(state) * np.exp(state.log_rate)
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
        tried = structure.step(state, t[:, 1:], new[:, 1:], rows)
        lag = np.abs(new[:, 1:] - around[1, :, None])
        error = _errors(batch, curved[:, 1:], lag, tried, accuracy)
        accepted = clocks.going & ((error <= _TOO_MUCH) | (step <= _SHORTEST))
        if not np.isfinite(error[accepted]).all():
            raise StressError("These temperatures cannot be followed.", field="temperature")
        clocks.advance(step, accepted, reaches)
        record.add(new[:, 1:], tried, accepted, clocks.now)
        if accepted.all():
            slope = (new - t) / rows[:, None]
            t, state = new, tried.state
        else:
            moved = accepted[batch.piece]
            column = moved[:, None]
            rate = (new - t) / np.maximum(rows, _SHORTEST)[:, None]
            slope = np.where(column, rate, slope)
            t = np.where(column, new, t)
            state = state.taken(tried.state, moved)
        wanted = _next_step(wanted, step, error, accepted)
    return record.paths(batch, first)


def _errors(
    batch: Batch, curved: FloatArray, lag: FloatArray, tried: StructureStep, accuracy: Accuracy
) -> FloatArray:
    """Error of each piece's step over what is allowed; both grow with the step's square.

    Curvature counts in full where the glass relaxes, as structure and stress take temperature as
    straight over a step; elsewhere only the second-order error it foretells matters.
    """
    weight = _LEAST_WEIGHT + (1.0 - _LEAST_WEIGHT) * tried.activity
    share = accuracy.temperature_share * lag.max(axis=1)
    path = (curved / (accuracy.temperature_floor + share[:, None] / weight)).max(axis=1)
    shift = (tried.change * tried.activity).max(axis=1)
    of_row = np.maximum(path, (shift / accuracy.largest_shift) ** 2)
    error = np.maximum.reduceat(of_row, batch.first_row)
    return np.where(np.isnan(error), np.inf, error)


def _next_step(
    wanted: FloatArray, step: FloatArray, error: FloatArray, accepted: BoolArray
) -> FloatArray:
    """The step each piece should try next [s]."""
    growth = np.minimum(np.maximum(0.85 / np.sqrt(np.maximum(error, 1e-6)), 0.2), 4.0)
    again = step * np.minimum(growth, 0.5)
    onward = step * growth
    # A step cut short at a corner says little against the longer one that was wanted.
    onward = np.where((step < wanted) & (growth > 1.0), np.maximum(wanted, onward), onward)
    return np.maximum(np.where(accepted, onward, again), _SHORTEST)
