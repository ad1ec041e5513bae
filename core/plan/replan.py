"""Finishing or repairing a night from wherever it stands.

The power failed, the door stood open, the lehr was reloaded with cold and strained pieces: what
the chamber has been through (the log so far) is put before every candidate, so the engine knows
what the pieces carry. If the cooling can go on from the present temperature within all limits, it
does; if what has frozen in already is too much, everything is brought back to the soak.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import ArrayLike

from core.errors import PlanError
from core.load.load import Load
from core.load.load_stress import logged_history
from core.load.reheating import ReheatKind
from core.plan.arrivals import Arrival
from core.plan.best import Solved, shortest
from core.plan.corners import ALL, Margins
from core.plan.night import Night
from core.plan.opening import casting_stages
from core.plan.plan import Plan
from core.plan.planner import setting_for
from core.plan.search import Stopped
from core.plan.setting import Setting
from core.plan.soak import soak_time
from core.stress.history import ChamberHistory
from core.units import UnitChoice, format_duration

Progress = Callable[[float], None]

_SAME_TIME = 1.0
"""[s] A present reading this near to the last one logged takes its place."""
_GOES_ON = "What has frozen in so far leaves room: the cooling goes on."
_NEARLY_MELTED = 15.0
"""[K] below the process hold at which cullet counts as melted to one mass."""
_NEARLY_SOAK = 3.0
"""[K] below the soak at which the night counts as still soaking."""


@dataclass(frozen=True)
class Replanned:
    """How a night goes on.

    Attributes
    ----------
    plan : Plan
        From the moment asked for.
    repairs : bool
        True when everything is brought back to the soak first.
    why : str
        In one sentence.
    """

    plan: Plan
    repairs: bool
    why: str


def replan(
    load: Load,
    now: datetime,
    time: ArrayLike,
    reading: ArrayLike,
    *,
    present: float | None = None,
    units: UnitChoice | None = None,
    margins: Margins = ALL,
    progress: Progress | None = None,
    cancelled: Stopped | None = None,
) -> Replanned:
    """Draw up how the night goes on.

    Parameters
    ----------
    load : Load
        As planned; pieces were in, and even, when its button was pressed.
    now : datetime
        Aware; when the new program begins.
    time : array_like, shape (n,)
        UTC epoch seconds of the log so far, rising.
    reading : array_like, shape (n,)
        Controller readings [K].
    present : float, optional
        Controller reading now [K]; the last one logged when left out.
    units, margins, progress, cancelled
        As in :func:`core.plan.best.best_plan`.

    Raises
    ------
    PlanError
        If there is nothing in the log by now, or nothing can be run.
    StressError
        If the log cannot be followed.
    StoppedError
        When cancelled.
    """
    units = units or UnitChoice()
    told = progress or (lambda _: None)
    past = _past(load, now, np.asarray(time, float), np.asarray(reading, float), present)
    here = float(past.temperature[-1])
    tonight = _from_now(load, now, here, past)
    whole = replace(setting_for(tonight, units, margins), past=past)
    melted = _melted(load, past)
    if melted is not None:
        came = tuple(Arrival(enters=melted - float(past.time[-1])) for _ in load.pieces)
        whole = replace(whole, came=came)
    going_on = None
    if here < whole.night.soak - _NEARLY_SOAK:
        going_on = _going_on(whole, here, told, cancelled)
    told(0.5)
    goes_on = going_on is not None and going_on.plan.safe
    if going_on is not None and goes_on and _seconds(going_on.plan) <= _least_repair(whole, here):
        told(1.0)
        return Replanned(going_on.plan, repairs=False, why=_GOES_ON)
    repaired = shortest(whole, progress=lambda d: told(0.5 + 0.5 * d), cancelled=cancelled)
    told(1.0)
    if going_on is not None and goes_on:
        sooner = _seconds(going_on.plan) - _seconds(repaired.plan)
        if sooner <= 0.0 or not repaired.plan.safe:
            return Replanned(going_on.plan, repairs=False, why=_GOES_ON)
        why = (
            "Going on from here keeps within the limits, but so slowly that going back to the "
            f"soak is {format_duration(sooner)} quicker."
        )
        return Replanned(repaired.plan, repairs=True, why=why)
    if going_on is None or going_on.plan.replay is None:
        why = "The pieces are still at the soak: the night begins anew from here."
        return Replanned(repaired.plan, repairs=False, why=why)
    worst = going_on.plan.replay.worst
    why = (
        f"Going on from here would leave “{worst.piece}” {worst.stress / 1e6:.2g} MPa of "
        f"{worst.limit}, {worst.allowed / 1e6:.2g} MPa is allowed: everything goes back to the "
        "soak."
    )
    return Replanned(repaired.plan, repairs=True, why=why)


def _seconds(plan: Plan) -> float:
    return (plan.ready_at - plan.start).total_seconds()


def _least_repair(setting: Setting, here: float) -> float:
    """No night that goes back to the soak is shorter [s]: heating, holding, the lehr's losses."""
    night, lehr = setting.night, setting.lehr
    up = max(night.soak - here, 0.0) / lehr.max_heating_rate
    hold = soak_time(night.responses, night.soak, setting.stiff).duration
    return up + hold + lehr.coast_time(night.soak, night.load.hand_warm)


def _from_now(load: Load, now: datetime, here: float, past: ChamberHistory) -> Load:
    begin = now.astimezone(UTC)
    out_by = load.out_by if load.out_by is not None and load.out_by > begin else None
    # What the chamber has been through since the button stands for how pieces came before it.
    placings = {
        name: replace(placing, put_in=None, core=None, skin=None)
        for name, placing in load.placings.items()
    }
    casting = load.reheating is not None and load.reheating.kind is ReheatKind.CASTING
    kept = casting and _melted(load, past) is None
    return replace(
        load,
        button_time=begin,
        out_by=out_by,
        start_temperature=here,
        placings=placings,
        reheating=load.reheating if kept else None,
    )


def _melted(load: Load, past: ChamberHistory) -> float | None:
    """When a casting was one mass, on the history's clock [s]; ``None``: it is not, or is none."""
    if load.reheating is None or load.reheating.kind is not ReheatKind.CASTING:
        return None
    setting = setting_for(load, UnitChoice(), ALL)
    stages, _ = casting_stages(setting, load.reheating)
    hot = np.flatnonzero(past.temperature >= stages.process - _NEARLY_MELTED)
    return float(past.time[hot[-1]]) if hot.size else None


def _past(
    load: Load, now: datetime, time: np.ndarray, reading: np.ndarray, present: float | None
) -> ChamberHistory:
    """True chamber history from the button to now."""
    moment = now.timestamp()
    kept = (time >= load.button_time.timestamp()) & (time <= moment)
    time, reading = time[kept], reading[kept]
    if time.size < 2:
        raise PlanError(
            "The log tells nothing of the time between the button and now.",
            field="time",
            remedy="Give the readings since the button was pressed.",
        )
    if present is not None:
        earlier = time < moment - _SAME_TIME
        time = np.append(time[earlier], moment)
        reading = np.append(reading[earlier], present)
    elif time[-1] < moment - _SAME_TIME:
        # No reading since: the lehr has at worst been losing heat by itself.
        offset = load.lehr.thermocouple_offset
        since = np.linspace(0.0, moment - time[-1], 12)[1:]
        lost = load.lehr.coasting(float(reading[-1]) - offset, since) + offset
        time = np.append(time, time[-1] + since)
        reading = np.append(reading, lost)
    return logged_history(time, reading, load.lehr)


def _going_on(
    whole: Setting, here: float, told: Progress, cancelled: Stopped | None
) -> Solved | None:
    """The shortest cooling from the present temperature; ``None`` where there is none to be had."""
    night = whole.night
    if here <= max(night.load.hand_warm, night.lehr.ambient) + 5.0:
        return None
    onward = Night(night.load, night.responses, night.limits, here, night.units)
    setting = replace(whole, night=onward, continues=True)
    try:
        return shortest(setting, progress=lambda d: told(0.5 * d), cancelled=cancelled)
    except PlanError:
        return None
