"""What was not read of a night: how cold it may have been, and a log filled the worst way."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from core.equipment.lehr import Lehr
from core.glass.properties import properties_of
from core.load.load import Load
from core.plan.corners import ALL, Corner, glasses_at
from core.plan.plan import Plan
from core.run.readings import Readings
from core.stress.engine import stresses_of_each
from core.stress.history import ChamberHistory
from core.verdict.engine_run import ENOUGH, engine_pieces
from core.verdict.gap_courses import Ends, coldest_of, quick
from core.verdict.histories import histories_of
from core.verdict.night_log import NightLog, night_of

_EVERY = 300.0
"""[s] between readings put into a gap."""
_WARM = 60.0
"""[K] above the room below which a gap hides nothing."""


@dataclass(frozen=True)
class Coldest:
    """The coldest a lehr was, or may have been, while nobody read it; controller readings.

    Attributes
    ----------
    low, high : float
        Between these [K]: power off all the while and heat lost as fast as can be, or never colder
        than was read at either end.
    likely : float
        Power off from the last reading, by the lehr's own law [K]; for a gap that is over the
        colder of what was read at its ends.
    start, end : float
        The gap [UTC epoch s]; its end is now where it is not over.
    over : bool
        False while there is still no reading.
    """

    low: float
    high: float
    likely: float
    start: float
    end: float
    over: bool


def coldest(load: Load, plan: Plan, readings: Readings, now: datetime) -> Coldest | None:
    """The coldest inferred temperature of a night's gaps, with bounds.

    Parameters
    ----------
    load : Load
    plan : Plan
    readings : Readings
        Controller readings; later ones than now are passed over.
    now : datetime
        Aware.

    Returns
    -------
    Coldest or None
        Of the gap that may have been coldest while the glass was hot; ``None`` without one.

    Raises
    ------
    RunError
        If fewer than two readings belong to the night.
    """
    return coldest_in(load.lehr, so_far(load, plan, readings, now), now)


def so_far(load: Load, plan: Plan, readings: Readings, now: datetime) -> NightLog:
    """The night's readings up to now; RunError if there are fewer than two."""
    before = readings.time <= now.timestamp()
    return night_of(load, plan, Readings(readings.time[before], readings.temperature[before]))


def coldest_in(lehr: Lehr, log: NightLog, now: datetime) -> Coldest | None:
    """As :func:`coldest`, of a night's own log."""
    offset, moment = lehr.thermocouple_offset, now.timestamp()
    found = []
    for gap in log.gaps:
        before, after = np.interp((gap.start, gap.end), log.time, log.reading)
        ends = Ends(gap.start, gap.end, float(before) - offset, float(after) - offset)
        likely = min(float(before), float(after))
        low = coldest_of(lehr, ends) + offset
        found.append(Coldest(low, likely, likely, gap.start, gap.end, over=True))
    last_time, last = float(log.time[-1]), float(log.reading[-1])
    if moment - last_time > log.gap_after:
        since = np.asarray(moment - last_time)
        likely = float(lehr.coasting(last - offset, since)) + offset
        low = float(quick(lehr).coasting(last - offset, since)) + offset
        found.append(Coldest(low, last, likely, last_time, moment, over=False))
    # Gaps once everything is cold hide nothing.
    hot = [c for c in found if c.high - offset > lehr.ambient + _WARM]
    return min(hot, key=lambda c: (c.over, c.low - c.high), default=None)


def with_present(log: NightLog, moment: float, present: float) -> NightLog:
    """A log with the reading of this moment [UTC epoch s], [K]."""
    earlier = log.time < moment - 1.0
    return replace(
        log,
        time=np.append(log.time[earlier], moment),
        reading=np.append(log.reading[earlier], present),
    )


def filled(
    load: Load, log: NightLog, moment: float, cancelled: Callable[[], bool] | None
) -> NightLog:
    """The log with its gaps filled the worst way, and up to now as if the power were off."""
    lehr, offset = load.lehr, load.lehr.thermocouple_offset
    last = float(log.time[-1])
    if moment - last > 60.0:
        since = np.append(np.arange(_EVERY, moment - last - 1.0, _EVERY), moment - last)
        lost = quick(lehr).coasting(float(log.reading[-1]) - offset, since) + offset
        log = replace(
            log, time=np.append(log.time, last + since), reading=np.append(log.reading, lost)
        )
    gaps = log.gaps
    if not gaps:
        return log
    found = histories_of(lehr, log, np.inf, finished=False)
    worst = _worst(load, (found.believed, *found.others), cancelled)
    time, reading = log.time, log.reading
    for gap in gaps:
        inside = np.arange(gap.start + _EVERY, gap.end - 0.5 * _EVERY, _EVERY)
        put = np.interp(inside, worst.time, worst.temperature) + offset
        place = np.searchsorted(time, inside)
        time, reading = np.insert(time, place, inside), np.insert(reading, place, put)
    return replace(log, time=time, reading=reading)


def _worst(
    load: Load, courses: tuple[ChamberHistory, ...], cancelled: Callable[[], bool] | None
) -> ChamberHistory:
    """The course that leaves most in any piece."""
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    glasses = glasses_at(load, properties, ALL, Corner.BELIEVED)
    pieces = engine_pieces(load, glasses, courses[0])
    answers = stresses_of_each(pieces, courses, accuracy=ENOUGH, stopped=cancelled)
    left = [
        max(max(abs(s.permanent_core), abs(s.permanent_joint)) for s in answer)
        for answer in answers
    ]
    return courses[int(np.argmax(left))]
