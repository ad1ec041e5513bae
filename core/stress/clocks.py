"""Where many pieces are in their chamber histories, each on a clock of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_CORNER = 0.2
"""Corners that turn the curve off by less [K] are as likely its drawing as a fact."""
_GENTLE = 0.15
"""Change of slope at a corner, over the steeper of both, of a curve drawn with many corners."""


@dataclass(frozen=True, eq=False)
class Course:
    """Chamber temperature a piece meets, from when it enters, by its corners.

    Attributes
    ----------
    time : ndarray, shape (c,)
        [s], strictly rising from 0.
    temperature : ndarray, shape (c,)
        [K].
    """

    time: FloatArray
    temperature: FloatArray


class Clocks:
    """Where every piece is in its history, and what its chamber is at any time of it.

    Steps end at sharp corners. The others are those of a curve drawn with many: they are rounded
    by cubics through the same points, and may be passed over.
    """

    def __init__(self, courses: Sequence[Course]) -> None:
        span = max(float(c.time[-1]) for c in courses) + 1.0
        lengths = np.array([c.time.size for c in courses])
        self.origin = span * np.arange(lengths.size)
        self.key = np.concatenate([c.time for c in courses]) + np.repeat(self.origin, lengths)
        sharp = [_standing_out(c) for c in courses]
        curves = [_cubics(c, corners) for c, corners in zip(courses, sharp, strict=True)]
        self.cubic = np.concatenate(curves, axis=1)
        stops = [c.time[corners] for c, corners in zip(courses, sharp, strict=True)]
        self.stop = np.concatenate(stops)
        self.end = np.cumsum([s.size for s in stops]) - 1
        self.next = np.concatenate(([0], self.end[:-1] + 1))
        self.now = np.zeros(lengths.size)
        self.going = np.ones(lengths.size, dtype=bool)
        self.turned = np.ones(lengths.size, dtype=bool)

    def left(self) -> FloatArray:
        """Seconds to each piece's next stop; 0 at the end."""
        return np.asarray(self.stop[self.next] - self.now)

    def chamber(self, later: FloatArray) -> FloatArray:
        """Chamber temperature of each piece, shape (..., pieces), so many seconds from now."""
        sought = self.origin + self.now + later
        at = np.searchsorted(self.key, sought, side="right") - 1
        value, slope, bend, twist = self.cubic[:, at]
        since = sought - self.key[at]
        return np.asarray(((twist * since + bend) * since + slope) * since + value)

    def advance(self, step: FloatArray, accepted: BoolArray, reaches: BoolArray) -> None:
        """Move accepted pieces on; those that reach a stop stand on it exactly."""
        self.now = np.where(accepted, self.now + step, self.now)
        arrived = accepted & reaches
        self.turned = np.where(accepted, arrived, self.turned)
        if arrived.any():
            self.now = np.where(arrived, self.stop[self.next], self.now)
            self.going = self.going & ~(arrived & (self.next == self.end))
            self.next = np.minimum(self.next + arrived, self.end)


def _standing_out(course: Course) -> BoolArray:
    """Corners (the first never, the last always) a step must end at.

    Those from which the line of one side is off by more than ``_CORNER`` halfway along the other.
    Where a run of corners, near one another and turning the same way by little, draws a curve, they
    may be ten times as far off: what straight lines miss of such a curve is a quarter of that.
    """
    step = np.diff(course.time)
    chord = np.diff(course.temperature) / step
    turn = np.diff(chord)
    off = 0.5 * np.abs(turn) * np.maximum(step[:-1], step[1:])
    steeper = np.maximum(np.abs(chord[1:]), np.abs(chord[:-1]))
    little = (np.abs(turn) < _GENTLE * steeper) & (
        np.maximum(step[:-1], step[1:]) < 2.5 * np.minimum(step[:-1], step[1:])
    )
    alike = little[1:] & little[:-1] & (turn[1:] * turn[:-1] > 0)
    drawn = np.concatenate((alike, [False])) | np.concatenate(([False], alike))
    sharp = off > np.where(drawn[: turn.size], 10.0, 1.0) * _CORNER
    return np.concatenate(([False], sharp, [True]))


def _cubics(course: Course, sharp: BoolArray) -> FloatArray:
    """Coefficients of the curve in the time since each corner, shape (4, corners), lowest first.

    At a rounded corner the slope is that of the parabola through it and its neighbours; at a sharp
    one the stretch is a parabola, or straight between two. Behind the last corner all stays.
    """
    step, rise = np.diff(course.time), np.diff(course.temperature)
    chord = rise / step
    slope = np.zeros(course.time.size)
    slope[1:-1] = (chord[:-1] * step[1:] + chord[1:] * step[:-1]) / (step[:-1] + step[1:])
    edge = sharp.copy()
    edge[0] = True
    low, high = slope[:-1], slope[1:]
    after = np.where(edge[:-1], np.where(edge[1:], chord, 2.0 * chord - high), low)
    before = np.where(edge[1:], np.where(edge[:-1], chord, 2.0 * chord - low), high)
    found = np.zeros((4, course.time.size))
    found[0] = course.temperature
    found[1, :-1] = after
    found[2, :-1] = (3.0 * chord - 2.0 * after - before) / step
    found[3, :-1] = (after + before - 2.0 * chord) / step**2
    return found
