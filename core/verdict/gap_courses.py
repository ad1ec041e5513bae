"""What a lehr may have done while nobody read it: the extreme courses its own law allows.

With the power off a lehr cools by Newton's law with its time constant; nothing that leaves the
door shut cools it faster. With full power it heats at its greatest rate. Between the last reading
before a gap and the first after it, every course lies between these.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from core.equipment.lehr import Lehr

FloatArray = NDArray[np.float64]

QUICKER = 0.85
"""Share of the lehr's time constant with which the quickest cooling is reckoned: a draught, a lehr
half empty. Common practice, no source."""
_DOOR = 300.0
"""[s] in which an open door may take a lehr down; common practice, no source."""
_CORNERS = 12


class Course(StrEnum):
    """How a gap is filled."""

    STRAIGHT = "a straight line"
    EARLY = "cooled at once, then held"
    LATE = "held, then cooled at the last"
    COLDEST = "power off as long as can be, then full power"


@dataclass(frozen=True)
class Ends:
    """Last reading before a gap and first after it: [s] and true chamber temperature [K]."""

    start: float
    end: float
    before: float
    after: float


def faster_than_the_law(lehr: Lehr, ends: Ends) -> bool:
    """True where the lehr came down faster than it can by itself: the door stood open."""
    if ends.after >= ends.before:
        return False
    quickest = quick(lehr)
    return float(quickest.coasting(ends.before, np.asarray(ends.end - ends.start))) > ends.after


def course(lehr: Lehr, ends: Ends, which: Course) -> tuple[FloatArray, FloatArray]:
    """Corners within a gap, ends left out.

    Parameters
    ----------
    lehr : Lehr
    ends : Ends
    which : Course

    Returns
    -------
    time, temperature : ndarray, shape (m,)
        [s] and true [K]; empty for a straight line.
    """
    nothing = np.empty(0)
    if which is Course.STRAIGHT:
        return nothing, nothing
    if which is Course.COLDEST:
        return _coldest(lehr, ends)
    if ends.after >= ends.before:
        # Heated: at once, or at the last.
        span = min((ends.after - ends.before) / lehr.max_heating_rate, ends.end - ends.start)
        return _one_corner(ends, span, which)
    if faster_than_the_law(lehr, ends):
        return _one_corner(ends, min(_DOOR, 0.5 * (ends.end - ends.start)), which)
    quickest = quick(lehr)
    span = _coast_time(quickest, ends.before, ends.after)
    inside = np.linspace(0.0, span, _CORNERS)
    curve = quickest.coasting(ends.before, inside)
    begin = ends.start if which is Course.EARLY else ends.end - span
    return _within(ends, begin + inside, curve)


def coldest_of(lehr: Lehr, ends: Ends) -> float:
    """Coldest true temperature [K] the chamber can have reached within a gap."""
    _, curve = _coldest(lehr, ends)
    return float(min(ends.before, ends.after, *curve.tolist()))


def _coldest(lehr: Lehr, ends: Ends) -> tuple[FloatArray, FloatArray]:
    quickest = quick(lehr)
    length = ends.end - ends.start

    def too_warm(off: float) -> float:
        cooled = float(quickest.coasting(ends.before, np.asarray(off)))
        return cooled + lehr.max_heating_rate * (length - off) - ends.after

    if faster_than_the_law(lehr, ends) or too_warm(0.0) <= 0.0:
        return course(lehr, ends, Course.EARLY) if ends.after < ends.before else _nothing()
    if too_warm(length) >= 0.0:
        return _nothing()
    off = float(brentq(too_warm, 0.0, length, xtol=1.0))
    inside = np.linspace(0.0, off, _CORNERS)
    return _within(ends, ends.start + inside, quickest.coasting(ends.before, inside))


def _nothing() -> tuple[FloatArray, FloatArray]:
    return np.empty(0), np.empty(0)


def _one_corner(ends: Ends, span: float, which: Course) -> tuple[FloatArray, FloatArray]:
    if which is Course.EARLY:
        return _within(ends, np.array([ends.start + span]), np.array([ends.after]))
    return _within(ends, np.array([ends.end - span]), np.array([ends.before]))


def _within(ends: Ends, time: FloatArray, curve: FloatArray) -> tuple[FloatArray, FloatArray]:
    inside = (time > ends.start + 1.0) & (time < ends.end - 1.0)
    return time[inside], curve[inside]


def quick(lehr: Lehr) -> Lehr:
    """The lehr when it loses its heat as fast as can be with the door shut."""
    return replace(lehr, cooling_time_constant=max(300.0, QUICKER * lehr.cooling_time_constant))


def _coast_time(lehr: Lehr, start: float, end: float) -> float:
    """As :meth:`Lehr.coast_time`, for any end above the room."""
    return lehr.coast_time(start, max(end, lehr.ambient + 0.5))
