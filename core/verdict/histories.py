"""A night's log as chamber histories for the stress engine, one for every course of its gaps."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.stress.history import ChamberHistory
from core.stress.log_reduction import history_from_log, noise_of
from core.verdict.gap_courses import QUICKER, Course, Ends, course
from core.verdict.night_log import NightLog

FloatArray = NDArray[np.float64]

_TAIL_CORNERS = 14
_LEFT = 0.08
"""[K] Noise that averaging should leave."""
_WINDOWS = (30.0, 300.0)
"""Shortest and longest windows averaged over [s]."""
_WARM = 60.0
"""[K] above the room below which a gap hides nothing."""


@dataclass(frozen=True, eq=False)
class Histories:
    """What the chamber may have done.

    Attributes
    ----------
    believed : ChamberHistory
        Straight lines across gaps; after a log that ends hot the lehr's own cooling.
    others : tuple of ChamberHistory
        The extreme courses; without gaps none.
    ends_hot : bool
        The log ends with glass above its frozen range.
    """

    believed: ChamberHistory
    others: tuple[ChamberHistory, ...]
    ends_hot: bool


def histories_of(lehr: Lehr, log: NightLog, frozen: float, *, finished: bool) -> Histories:
    """Histories of a night.

    Parameters
    ----------
    lehr : Lehr
    log : NightLog
    frozen : float
        True temperature [K] below which all glass of the load is frozen.
    finished : bool
        A run that is over is followed on to where its glass is frozen; one that goes on is not.
    """
    true = log.reading - lehr.thermocouple_offset
    breaks = np.flatnonzero(np.diff(log.time) > log.gap_after) + 1
    stretches = [
        _reduced(t, v)
        for t, v in zip(np.split(log.time, breaks), np.split(true, breaks), strict=True)
    ]
    hides = any(
        max(log.reading[i - 1], log.reading[i]) - lehr.thermocouple_offset > lehr.ambient + _WARM
        for i in breaks.tolist()
    )
    hot = float(true[-1]) > frozen
    tail = hot and finished
    believed = _joined(lehr, stretches, Course.STRAIGHT, tail=1.0 if tail else None)
    others = []
    if hides or tail:
        courses = [Course.EARLY, Course.LATE, Course.COLDEST] if hides else [Course.EARLY]
        others = [
            _joined(lehr, stretches, which, tail=QUICKER if tail else None) for which in courses
        ]
    if tail:
        # Kindest of all: cooled evenly from where the log ends.
        others.append(_joined(lehr, stretches, Course.STRAIGHT, tail=None))
    return Histories(believed, tuple(others), hot)


def _reduced(time: FloatArray, true: FloatArray) -> tuple[FloatArray, FloatArray]:
    """A stretch without gaps, brought to few corners."""
    if time.size < 4:
        return time, true
    # Windows long enough that next to nothing of the noise is left: jitter is no history of a
    # chamber, and following it takes long. Where something happened they are halved anyway.
    noise, _ = noise_of(true)
    wanted = (noise / _LEFT) ** 2 * float(np.median(np.diff(time)))
    found = history_from_log(time, true, window=float(np.clip(wanted, *_WINDOWS)))
    return found.time, found.temperature


def _joined(
    lehr: Lehr,
    stretches: list[tuple[FloatArray, FloatArray]],
    which: Course,
    tail: float | None,
) -> ChamberHistory:
    times, values = [stretches[0][0]], [stretches[0][1]]
    for before, after in pairwise(stretches):
        ends = Ends(
            float(before[0][-1]), float(after[0][0]), float(before[1][-1]), float(after[1][0])
        )
        inside, curve = course(lehr, ends, which)
        times += [inside, after[0]]
        values += [curve, after[1]]
    if tail is not None:
        last_time, last = float(times[-1][-1]), float(values[-1][-1])
        constant = tail * lehr.cooling_time_constant
        # Corners at equal ratios of the fall bend least per chord.
        later = constant * np.linspace(0.0, 3.0, _TAIL_CORNERS)[1:]
        times.append(last_time + later)
        values.append(lehr.ambient + (last - lehr.ambient) * np.exp(-later / constant))
    return ChamberHistory(np.concatenate(times), np.concatenate(values))
