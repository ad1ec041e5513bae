"""When the pieces will be hand-warm, from the state the night is in now.

The log so far tells how hot every core is; from here the chamber follows what is left of the
program, then the lehr's own cooling, fitted to tonight's where the power has been off for long
enough. The engine follows the cores on. The interval comes from how well the lehr's cooling, the
room, the thermocouple and the place in the lehr are known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.errors import FurnaceError, RunError
from core.glass.properties import properties_of
from core.load.load import Load
from core.melt.lehr_fit import LEAST_SPAN, fit_lehr
from core.plan.corners import ALL, NONE, Corner, glasses_at
from core.plan.hand_warm import hand_warm_threshold, hotter_than_read, last_warm
from core.plan.plan import Plan, SegmentKind
from core.plan.trials import COARSE
from core.run.coasting import coasting_of
from core.run.readings import Readings
from core.stress.engine import stresses_of_each
from core.stress.history import ChamberHistory
from core.stress.result import PieceStress
from core.units import format_duration
from core.verdict.engine_run import engine_pieces
from core.verdict.histories import histories_of
from core.verdict.night_log import NightLog, night_of

FloatArray = NDArray[np.float64]

UNSURE = 0.15
"""Share by which a lehr's time constant may be off while tonight's cooling does not tell it;
common practice, no source."""
ROOM_UNSURE = 3.0
"""[K] by which the room may be warmer or cooler; common practice, no source."""
_CORNERS = 40
_FOLDS = 6.0
"""The coasting is followed for so many time constants."""
_AT_SOAK = 5.0
"""[K] below the soak at which the program is known to have gone on."""


@dataclass(frozen=True)
class HandWarm:
    """When the last core is hand-warm.

    Attributes
    ----------
    when : datetime
        UTC.
    earliest : datetime
        Everything uncertain the kind way.
    latest : datetime or None
        Everything uncertain the other way; ``None`` where it may then never be.
    piece : str
        The last one.
    time_constant : float
        Of the lehr's cooling, as taken [s].
    fitted : bool
        Whether tonight's own cooling tells it.
    """

    when: datetime
    earliest: datetime
    latest: datetime | None
    piece: str
    time_constant: float
    fitted: bool

    @property
    def why(self) -> str:
        """What it rests on, in a sentence."""
        source = "as tonight's cooling shows" if self.fitted else "as entered for the lehr"
        return (
            f"“{self.piece}” is the last; the lehr loses its heat with a time constant of "
            f"{format_duration(self.time_constant)} (h:mm), {source}."
        )


def hand_warm_at(load: Load, plan: Plan, readings: Readings, now: datetime) -> HandWarm:
    """When the pieces will be hand-warm, if nothing else happens.

    Parameters
    ----------
    load : Load
    plan : Plan
        That runs.
    readings : Readings
        So far; later ones are passed over.
    now : datetime
        Aware.

    Raises
    ------
    RunError
        If the night has fewer than two readings yet, or it never gets hand-warm in this lehr.
    """
    moment = now.timestamp()
    before = readings.time <= moment
    so_far = Readings(readings.time[before], readings.temperature[before])
    log = night_of(load, plan, so_far)
    lehr, spread, fitted = _lehr_of_tonight(load.lehr, plan, log)
    past = histories_of(load.lehr, log, np.inf, finished=False).believed
    variants = (
        lehr,
        _changed(lehr, 1.0 - spread, -ROOM_UNSURE),
        _changed(lehr, 1.0 + spread, ROOM_UNSURE),
    )
    courses = tuple(_followed(plan, load.lehr, variant, past) for variant in variants)
    properties = {name: properties_of(glass) for name, glass in load.glasses.items()}
    glasses = glasses_at(load, properties, ALL, Corner.BELIEVED)
    pieces = engine_pieces(load, glasses, courses[0])
    answers = stresses_of_each(pieces, courses, accuracy=COARSE)
    hand = load.hand_warm
    off = _off_temperature(plan, load.lehr, float(past.temperature[-1]))
    believed, worst = hotter_than_read(load, NONE), hotter_than_read(load, ALL)
    thresholds = (
        [hand_warm_threshold(variants[0], hotter, off, hand) for hotter in believed],
        [hand + load.lehr.thermocouple_error] * len(pieces),
        [hand_warm_threshold(variants[2], hotter, off, hand) for hotter in worst],
    )
    expected, soonest, last = (
        _last(answer, course, each)
        for answer, course, each in zip(answers, courses, thresholds, strict=True)
    )
    if expected is None:
        raise RunError(
            "The pieces do not become hand-warm in this lehr.",
            field="hand_warm",
            remedy="Raise the hand-warm temperature, or correct the lehr's room temperature.",
        )
    when = _instant(expected[0])
    return HandWarm(
        when=when,
        earliest=min(when, _instant(soonest[0])) if soonest is not None else when,
        latest=None if last is None else max(when, _instant(last[0])),
        piece=load.pieces[expected[1]].name,
        time_constant=lehr.cooling_time_constant,
        fitted=fitted,
    )


def _last(
    answers: Sequence[PieceStress], course: ChamberHistory, thresholds: Sequence[float]
) -> tuple[float, int] | None:
    """When the last piece is below its threshold, and which; ``None`` where one never is."""
    latest: tuple[float, int] | None = None
    for index, (answer, threshold) in enumerate(zip(answers, thresholds, strict=True)):
        found = last_warm((answer,), course, threshold)
        if found is None:
            return None
        if latest is None or found.time > latest[0]:
            latest = (found.time, index)
    return latest


def _lehr_of_tonight(lehr: Lehr, plan: Plan, log: NightLog) -> tuple[Lehr, float, bool]:
    """The lehr as tonight's coasting shows it, the share it may be off by, and whether it does."""
    shown = coasting_of(plan, lehr, Readings(log.time, log.reading))
    if shown is None or shown.temperature_span < LEAST_SPAN:
        return lehr, UNSURE, False
    try:
        fit = fit_lehr(lehr, shown).time_constant
    except FurnaceError:
        return lehr, UNSURE, False
    half = 0.5 * (fit.high - fit.low) / fit.value
    if not fit.determined or half > UNSURE:
        return lehr, UNSURE, False
    return replace(lehr, cooling_time_constant=fit.value), max(half, 0.02), True


def _changed(lehr: Lehr, share: float, warmer: float) -> Lehr:
    constant = max(300.0, lehr.cooling_time_constant * share)
    return replace(lehr, cooling_time_constant=constant, ambient=lehr.ambient + warmer)


def _off_temperature(plan: Plan, lehr: Lehr, here: float) -> float:
    """True temperature [K] at which the power goes off, or went off."""
    controlled = [s for s in plan.segments if s.kind is not SegmentKind.COAST]
    if not controlled:
        return here
    return controlled[-1].target - lehr.thermocouple_offset


def _followed(plan: Plan, read: Lehr, lehr: Lehr, past: ChamberHistory) -> ChamberHistory:
    """The log so far, what is left of the program, then coasting (true temperatures)."""
    now, here = float(past.time[-1]), float(past.temperature[-1])
    time, curve = _left_of_the_program(plan, read, now, here)
    times = [past.time, time]
    values = [past.temperature, curve]
    last_time = float(time[-1]) if time.size else now
    last = float(curve[-1]) if curve.size else here
    # Corners at equal ratios of the fall bend least per chord.
    later = lehr.cooling_time_constant * np.linspace(0.0, _FOLDS, _CORNERS)[1:]
    times.append(last_time + later)
    values.append(np.asarray(lehr.coasting(max(last, lehr.ambient), later)))
    return ChamberHistory(np.concatenate(times), np.concatenate(values))


def _left_of_the_program(
    plan: Plan, read: Lehr, now: float, here: float
) -> tuple[FloatArray, FloatArray]:
    """Corners of the controlled segments still to come, from the present temperature on."""
    offset = read.thermocouple_offset
    time: list[float] = []
    curve: list[float] = []
    for segment in plan.segments:
        if segment.kind is SegmentKind.COAST:
            continue
        begin = segment.start.timestamp()
        time += [begin + t for t in segment.curve_time]
        curve += [t - offset for t in segment.curve_temperature]
    t, v = np.asarray(time), np.asarray(curve)
    # Segments share their ends.
    once = np.append(np.diff(t) > 1e-3, True) if t.size else np.empty(0, dtype=bool)
    t, v = t[once], v[once]
    if not t.size:
        return t, v
    soak = plan.soak_temperature - offset
    if here >= soak - _AT_SOAK or now < plan.start.timestamp():
        place = now
    else:
        # On the way down: the program stands where it has the present temperature.
        cooler = np.flatnonzero(v > here)
        if not cooler.size or cooler[-1] == v.size - 1:
            return np.empty(0), np.empty(0)
        i = int(cooler[-1])
        place = float(t[i] + (v[i] - here) / (v[i] - v[i + 1]) * (t[i + 1] - t[i]))
    later = t > place + 1.0
    return t[later] + (now - place), v[later]


def _instant(seconds: float) -> datetime:
    return datetime.fromtimestamp(seconds, tz=UTC)
