"""Hints that a lehr's thermocouple reads otherwise than it did, from one night to the next.

Two readings can be laid beside something known. At the soak the log stands against the program: a
logger with a thermocouple of its own shows there how far the two have come apart; the controller's
own log shows next to nothing, for it steers by that very reading, right or wrong. And a lehr that
has been cold for hours is as warm as its room. Neither proves a drift at the annealing point, where
it matters: a melting point or a good instrument does.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.learning.trend import FEWEST, Line, line_through
from core.plan.plan import Plan, SegmentKind
from core.run.fastest_cooling import slope_noise
from core.run.overlay import NightOfRun
from core.run.readings import Readings
from core.run.smoothing import spikes_of
from core.units import UnitChoice, interval_to

FloatArray = NDArray[np.float64]

_SETTLED = 0.5
"""Share of the soak, from its end, in which it is settled."""
_FEWEST_READINGS = 5
_STILL = 1.0 / 3600.0
"""[K/s] A lehr that changes by less is at rest."""
_COLD = 25.0
"""[K] above the room below which a lehr may be cold."""
_LONG_COLD = 1800.0
"""[s] A lehr must be at rest for so long."""
_YEAR = 365.25 * 86400.0
_ROOM_ERROR = 2.0
"""[K] Standard error with which the room is known on a night; common practice, no source."""


@dataclass(frozen=True)
class Offset:
    """How far a log stood above something known in one night.

    Attributes
    ----------
    label : str
    time : float
        UTC epoch seconds.
    value, error : float
        [K], and its standard error.
    """

    label: str
    time: float
    value: float
    error: float


@dataclass(frozen=True, eq=False)
class DriftReport:
    """What nights of one lehr say of its thermocouple.

    Attributes
    ----------
    lehr : str
    at_soak : tuple of Offset
        Reading less program in the settled soak.
    when_cold : tuple of Offset
        Reading less offset less room, once the lehr is cold.
    soak_line, cold_line : Line or None
        Through them; ``None`` of too few.
    """

    lehr: str
    at_soak: tuple[Offset, ...]
    when_cold: tuple[Offset, ...]
    soak_line: Line | None
    cold_line: Line | None

    def in_words(self, units: UnitChoice) -> tuple[str, ...]:
        """What they say, in sentences."""
        soak = f"“{self.lehr}”, at the soak against the program"
        cold = f"“{self.lehr}”, cold against its room"
        own = (
            "A log of the controller's own thermocouple cannot show its drift at the soak: "
            "check it against a melting point or a good instrument once a year."
        )
        return (
            _of_line(soak, self.at_soak, self.soak_line, units),
            _of_line(cold, self.when_cold, self.cold_line, units),
            own,
        )


def _of_line(what: str, offsets: Sequence[Offset], line: Line | None, units: UnitChoice) -> str:
    if line is None:
        return f"{what}: {len(offsets)} night{'s' if len(offsets) != 1 else ''}, too few to say."
    degree = units.temperature
    rates = [interval_to(rate * _YEAR, degree) for rate in (line.slope, line.low, line.high)]
    text = f"{rates[0]:+.1f} {degree.symbol} a year ({rates[1]:+.1f} to {rates[2]:+.1f})"
    off = interval_to(float(line.at(line.time[-1:])[0]), degree)
    now = f"it now reads {off:+.1f} {degree.symbol} off"
    if line.sure:
        return f"{what}: the reading drifts by {text}; {now}. Check the thermocouple."
    return f"{what}: no drift to be told ({text}); {now}."


def drift_of(nights: Sequence[NightOfRun], lehr: Lehr) -> DriftReport:
    """Hints of drift from nights of one lehr.

    Parameters
    ----------
    nights : sequence of NightOfRun
        In any order.
    lehr : Lehr
    """
    at_soak = [o for night in nights if (o := soak_offset(night.label, night.plan, night.readings))]
    cold = [o for night in nights if (o := cold_offset(night.label, lehr, night.readings))]
    at_soak.sort(key=lambda o: o.time)
    cold.sort(key=lambda o: o.time)
    return DriftReport(lehr.name, tuple(at_soak), tuple(cold), _line(at_soak), _line(cold))


def _line(offsets: Sequence[Offset]) -> Line | None:
    if len(offsets) < FEWEST:
        return None
    time, value, error = (
        np.array([getattr(o, name) for o in offsets]) for name in ("time", "value", "error")
    )
    return line_through(time, value, error)


def soak_offset(label: str, plan: Plan, readings: Readings) -> Offset | None:
    """How far the log stood above the program in the settled half of the soak.

    ``None`` where it does not show the soak, or the lehr was not at rest.
    """
    soak = next((s for s in plan.segments if s.kind is SegmentKind.SOAK), None)
    if soak is None or soak.hold_time <= 0.0:
        return None
    end = soak.end.timestamp()
    begin = end - _SETTLED * soak.hold_time
    inside = (readings.time >= begin) & (readings.time <= end)
    time, value = readings.time[inside], readings.temperature[inside] - plan.soak_temperature
    return _mean(label, time, value)


def cold_offset(label: str, lehr: Lehr, readings: Readings) -> Offset | None:
    """How far the log stood above the room at its end, less the known offset.

    ``None`` where the lehr was not cold and at rest by then.
    """
    if len(readings) < _FEWEST_READINGS:
        return None
    time = readings.time
    value = readings.temperature - lehr.thermocouple_offset - lehr.ambient
    last = time >= time[-1] - _LONG_COLD
    if time[0] > time[-1] - _LONG_COLD or float(np.median(np.abs(value[last]))) > _COLD:
        return None
    found = _mean(label, time[last], value[last])
    if found is None:
        return None
    return Offset(found.label, found.time, found.value, math.hypot(found.error, _ROOM_ERROR))


def _mean(label: str, time: FloatArray, value: FloatArray) -> Offset | None:
    """Mean of readings at rest, with an error that counts like neighbours for fewer."""
    lone = spikes_of(time, value)
    time, value = time[~lone], value[~lone]
    if time.size < _FEWEST_READINGS:
        return None
    slope = float(np.polyfit(time - time[0], value, 1)[0])
    if abs(slope) > _STILL and abs(slope) * float(time[-1] - time[0]) > 1.0:
        return None
    error = math.sqrt(max(slope_noise(time, value), 1e-4) / time.size)
    return Offset(label, float(time.mean()), float(np.median(value)), error)
