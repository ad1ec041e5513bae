"""The watch over a run: readings against the plan, alarms raised and cleared."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.live.events import Signal, SignalKind
from core.live.robust_slope import BIN
from core.live.watch_limits import band_of
from core.live.watch_signs import (
    LOOK_BACK,
    Sign,
    breaks,
    cooling_too_fast,
    out_of_band,
    standing_still,
)
from core.live.watch_types import Alarm, AlarmKind, Tracker, WatchSettings, WatchState
from core.plan.plan import Plan
from core.run.readings import Readings

FloatArray = NDArray[np.float64]

_AT_ONCE = frozenset({AlarmKind.BROKEN, AlarmKind.STALE, AlarmKind.FLAT})
"""Kinds that have waited by themselves; they are raised without more delay."""
_SPACINGS = 20
"""As many of the last readings tell their usual spacing."""


def watch(
    plan: Plan,
    readings: Readings,
    now: datetime,
    settings: WatchSettings,
    previous: WatchState | None = None,
    *,
    begun: datetime | None = None,
    signal: Signal | None = None,
    arrived: datetime | None = None,
) -> WatchState:
    """Look at what has come since the last look.

    Looking once at the end of a night or after every reading raises the same alarms at the same
    times, those that depend on the present (no new reading, a source that says it is broken)
    apart.

    Parameters
    ----------
    plan : Plan
    readings : Readings
        All of the run so far; those older than three hours before the last look no longer matter.
    now : datetime
        Aware.
    settings : WatchSettings
    previous : WatchState, optional
        Of the last look at the same run.
    begun : datetime, optional
        When the program was begun (aware), by default as planned.
    signal : Signal, optional
        What the source of the readings says at present.
    arrived : datetime, optional
        When the last reading came, or the watch began, by the clock that tells ``now`` (aware).
        A logger's own clock may be wrong by hours: without this the age of the last reading is
        taken from its time.

    Raises
    ------
    RunError
        If a time has no zone.
    """
    for moment in (now, begun, arrived):
        if moment is not None and moment.tzinfo is None:
            raise RunError("The time has no zone.", field="now", remedy="Give it one.")
    state = previous if previous is not None else WatchState()
    shift = (begun - plan.start).total_seconds() if begun is not None else 0.0
    present = now.timestamp()
    signs = _signs_in_readings(plan, readings, settings, state.checked_until, shift)
    came = None if arrived is None else arrived.timestamp()
    stale = _stale(plan, readings, settings, (present, came), shift)
    signs[AlarmKind.STALE] = [stale] if stale is not None else []
    note = ""
    if signal is not None and signal.kind is SignalKind.BROKEN:
        # It clears by itself once readings come again.
        signs[AlarmKind.BROKEN].append(_one(present, bad=True, value=0.0, limit=0.0))
        note = signal.sentence
    alarms = list(state.alarms)
    trackers = []
    for kind, tracker in zip(AlarmKind, state.trackers, strict=True):
        moved = tracker
        for sign in signs[kind]:
            said = note if kind is AlarmKind.BROKEN else ""
            moved = _follow(kind, moved, sign, settings, alarms, said)
        trackers.append(moved)
    order = sorted(range(len(alarms)), key=lambda i: alarms[i].raised)
    place = {old: new for new, old in enumerate(order)}
    return WatchState(
        alarms=tuple(alarms[i] for i in order),
        now=now.astimezone(UTC),
        quiet=settings.quiet is not None and settings.quiet.cover(now),
        checked_until=max(
            state.checked_until, float(readings.time[-1]) if len(readings) else -np.inf
        ),
        trackers=tuple(
            replace(one, active=place[one.active]) if one.active is not None else one
            for one in trackers
        ),
    )


def _signs_in_readings(
    plan: Plan, readings: Readings, settings: WatchSettings, after: float, shift: float
) -> dict[AlarmKind, list[Sign]]:
    signs: dict[AlarmKind, list[Sign]] = {kind: [] for kind in AlarmKind}
    new = int(np.searchsorted(readings.time, after, side="right"))
    if new == len(readings):
        return signs
    band = band_of(plan, settings, shift)
    # One reading beyond the reach, so that the first within it is seen to change or not.
    back = max(0, int(np.searchsorted(readings.time, after - LOOK_BACK)) - 1)
    time, temperature = readings.time[back:], readings.temperature[back:]
    fresh = slice(new - back, None)
    hot, cold = out_of_band(time[fresh], temperature[fresh], band, settings.hysteresis)
    signs[AlarmKind.TOO_HOT].append(hot)
    signs[AlarmKind.TOO_COLD].append(cold)
    # A half minute that was not over at the last look has not been judged.
    judged = np.floor(after / BIN) * BIN if np.isfinite(after) else -np.inf
    fast = cooling_too_fast(time, temperature, plan, settings, np.nextafter(judged, -np.inf))
    signs[AlarmKind.TOO_FAST].append(fast)
    signs[AlarmKind.FLAT].append(_part(standing_still(time, temperature, band, settings), fresh))
    signs[AlarmKind.BROKEN].append(_part(breaks(time, temperature), fresh))
    return signs


def _part(sign: Sign, rows: slice) -> Sign:
    return Sign(
        sign.time[rows],
        sign.bad[rows],
        sign.good[rows],
        sign.value[rows],
        sign.limit[rows],
        sign.temperature[rows],
        sign.planned[rows],
    )


def _one(
    time: float, *, bad: bool, value: float, limit: float, temperature: float = np.nan
) -> Sign:
    return Sign(
        np.array([time]),
        np.array([bad]),
        np.array([not bad]),
        np.array([value]),
        np.array([limit]),
        np.array([temperature]),
        np.array([np.nan]),
    )


def _stale(
    plan: Plan,
    readings: Readings,
    settings: WatchSettings,
    clock: tuple[float, float | None],
    shift: float,
) -> Sign | None:
    """How long ago the last reading came, while the plan lasts; ``clock``: now, and when."""
    present, arrived = clock
    curve_time, _ = plan.curve()
    begin, end = float(curve_time[0]) + shift, float(curve_time[-1]) + shift
    limit = settings.stale_after
    last = begin
    if len(readings):
        last = max(begin, float(readings.time[-1]))
        if len(readings) > 2:
            usual = float(np.median(np.diff(readings.time[-_SPACINGS:])))
            limit = max(limit, 3.0 * usual)
    if arrived is not None:
        last = max(begin, arrived)
    age = present - last
    bad = begin <= present <= end and age > limit
    temperature = float(readings.temperature[-1]) if len(readings) else np.nan
    return _one(present, bad=bad, value=age, limit=limit, temperature=temperature)


def _follow(
    kind: AlarmKind,
    tracker: Tracker,
    sign: Sign,
    settings: WatchSettings,
    alarms: list[Alarm],
    note: str,
) -> Tracker:
    """Take one kind through its times, run by run of the same sign; alarms are added or changed."""
    if sign.time.size == 0:
        return tracker
    wait = 0.0 if kind in _AT_ONCE else settings.hold_before
    clear = 0.0 if kind is AlarmKind.STALE else settings.clear_after
    code = np.where(sign.bad, 2, np.where(sign.good, 0, 1))
    starts = np.flatnonzero(np.concatenate(([True], np.diff(code) != 0)))
    ends = np.append(starts[1:], code.size)
    for start, end in zip(starts.tolist(), ends.tolist(), strict=True):
        tracker = _run(int(code[start]), start, end, tracker, sign, (wait, clear), kind, alarms,
                       note)  # fmt: skip
    return tracker


def _run(
    code: int,
    start: int,
    end: int,
    tracker: Tracker,
    sign: Sign,
    waits: tuple[float, float],
    kind: AlarmKind,
    alarms: list[Alarm],
    note: str,
) -> Tracker:
    times = sign.time[start:end]
    bad_since, good_since, active = tracker.bad_since, tracker.good_since, tracker.active
    if code == 2:
        good_since = None
        bad_since = float(times[0]) if bad_since is None else bad_since
        first = start
        if active is None:
            first = start + int(np.searchsorted(times, bad_since + waits[0]))
            if first < end:
                active = len(alarms)
                raised = datetime.fromtimestamp(float(sign.time[first]), UTC)
                alarms.append(Alarm(kind, raised, note=note))
        if active is not None:
            alarms[active] = _worst(alarms[active], sign, slice(first, end))
        return Tracker(bad_since, good_since, active)
    if code == 1:
        return Tracker(None, None, active)
    good_since = float(times[0]) if good_since is None else good_since
    if active is not None:
        first = int(np.searchsorted(times, good_since + waits[1]))
        if first < times.size:
            cleared = datetime.fromtimestamp(float(times[first]), UTC)
            alarms[active] = replace(alarms[active], cleared=cleared)
            active = None
    return Tracker(None, good_since, active)


def _worst(alarm: Alarm, sign: Sign, rows: slice) -> Alarm:
    """Keep the furthest yet."""
    values = sign.value[rows]
    if values.size == 0:
        return alarm
    row = int(rows.start) + int(np.argmax(np.abs(values)))
    value = float(sign.value[row])
    if alarm.known and abs(value) <= abs(alarm.worst):
        return alarm
    return replace(
        alarm,
        known=True,
        worst=value,
        limit=float(sign.limit[row]),
        temperature=float(sign.temperature[row]),
        planned=float(sign.planned[row]),
    )
