"""Invented nights of the big lehr, weeks back: decanters mostly sound, two nights that went wrong.

Nothing here is real; no number is a value to work by.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from core.equipment.lehr import Lehr
from core.glass.glass import Glass
from core.load.load import Load
from core.piece.piece import Piece
from core.plan.plan import Plan, SegmentKind
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import Book
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

_EVERY = 120.0
"""[s] between readings."""
_LAG = 240.0
"""[s] that the lehr is behind its controller."""
_AGEING = 0.004
"""Share of its time constant that the lehr's door seal costs it a week."""
_WEEK = 7 * 86400.0


@dataclass(frozen=True)
class InventedNight:
    """One night.

    Attributes
    ----------
    days : int
        Before now.
    fast : float
        Kelvin an hour faster than planned through the range; 0 as planned.
    cut : bool
        The power failed for a while, and the logger with it.
    cracked : int
        Decanters found cracked.
    seen : float or None
        Retardation in one decanter's base [m], through 18 mm.
    words : str
        Noted in the night.
    """

    days: int
    fast: float = 0.0
    cut: bool = False
    cracked: int = 0
    seen: float | None = None
    words: str = ""


NIGHTS = (
    InventedNight(58, seen=13e-9, words="new door seal, still stiff"),
    InventedNight(51),
    InventedNight(44, fast=45.0, cracked=2, seen=31e-9, words="door found ajar at midnight"),
    InventedNight(36, seen=12e-9),
    InventedNight(23, words="a stopper tried in its neck: fits"),
    InventedNight(12, fast=38.0, cut=True, cracked=1, seen=27e-9, words="the whole quay was dark"),
    InventedNight(5, seen=15e-9),
)


def fill_demo_nights(
    book: Book,
    glass: Glass,
    lehr: Lehr,
    pieces: tuple[Piece, ...],
    now: datetime,
) -> None:
    """Enter the nights with plans, logs, events and what was found.

    Parameters
    ----------
    book : Book
    glass : Glass
        Of all pieces.
    lehr : Lehr
    pieces : tuple of Piece
        The first is the one that cracks, or is looked at in the polariscope.
    now : datetime
        Aware, in the studio's zone.
    """
    begun = now.replace(hour=18, minute=45, second=0, microsecond=0)
    model = Load(
        name="Decanters and floats",
        pieces=pieces,
        glasses={glass.name: glass},
        lehr=lehr,
        button_time=begun,
    )
    # The same load gives the same curve: it is worked out once.
    drawn = make_plan(model)
    for number, night in enumerate(NIGHTS):
        start = begun - timedelta(days=night.days)
        load = replace(model, button_time=start)
        plan = _moved(drawn, -timedelta(days=night.days))
        load_id = book.save_load(load, saved_at=start - timedelta(hours=1))
        plan_id = book.save_plan(plan, load_id, made_at=start - timedelta(minutes=30))
        run = book.start_run(plan_id, start)
        weeks = (NIGHTS[0].days - night.days) * 86400.0 / _WEEK
        readings = invented_log(plan, lehr, night, weeks, np.random.default_rng(number))
        name = f"lehr {start:%Y-%m-%d}.csv"
        # No file stands behind the invented readings.
        book.add_readings(run.id, readings, "lehr logger", name, f"{number:064x}")
        book.finish_run(run.id, plan.ready_at)
        _tell(book, run.id, plan, night, pieces)


def _moved(plan: Plan, by: timedelta) -> Plan:
    """The same plan on another day."""
    segments = tuple(replace(s, start=s.start + by, end=s.end + by) for s in plan.segments)
    return replace(plan, segments=segments, start=plan.start + by, ready_at=plan.ready_at + by)


def invented_log(
    plan: Plan, lehr: Lehr, night: InventedNight, weeks: float, random: np.random.Generator
) -> Readings:
    """What a logger might have written, in tenths of a degree."""
    start, end = plan.start.timestamp(), plan.ready_at.timestamp()
    time = np.arange(start, end + 1.0, _EVERY)
    kelvin = np.interp(time - _LAG, *plan.curve())
    coast = next(s for s in plan.segments if s.kind is SegmentKind.COAST)
    off = coast.start.timestamp()
    if night.fast:
        kelvin = kelvin - _too_fast(time, plan, night.fast)
    room = lehr.ambient
    constant = lehr.cooling_time_constant * (1.0 - _AGEING * weeks)
    left = float(np.interp(off, time, kelvin))
    falling = room + (left - room) * np.exp(-np.clip(time - off, 0.0, None) / constant)
    kelvin = np.where(time > off, falling, kelvin)
    kelvin = kelvin + 0.8 * np.sin((time - start) / 410.0) + random.normal(0.0, 0.3, time.size)
    kept = np.ones(time.size, dtype=bool)
    if night.cut:
        slow = next(s for s in plan.segments if s.kind is SegmentKind.SLOW_COOL)
        dark = slow.start.timestamp() + 5400.0
        kept = (time < dark) | (time > dark + 2700.0)
    celsius = np.round(np.maximum(kelvin, room) - ZERO_CELSIUS, 1)
    return Readings(time[kept], celsius[kept] + ZERO_CELSIUS)


def _too_fast(time: FloatArray, plan: Plan, rate: float) -> FloatArray:
    """Kelvin below the plan: an hour too fast from the end of the soak on."""
    slow = next(s for s in plan.segments if s.kind is SegmentKind.SLOW_COOL)
    since = np.clip(time - slow.start.timestamp() - _LAG, 0.0, 3600.0)
    return np.asarray(rate * since / 3600.0)


def _tell(
    book: Book, run_id: int, plan: Plan, night: InventedNight, pieces: tuple[Piece, ...]
) -> None:
    first, *others = pieces
    book.add_run_event(run_id, RunEvent(plan.start, EventKind.PIECES_IN))
    later = plan.start + timedelta(seconds=plan.soak_time + 5400.0)
    if night.cut:
        book.add_run_event(run_id, RunEvent(later, EventKind.POWER_CUT, night.words))
    elif night.words:
        book.add_run_event(run_id, RunEvent(later, EventKind.NOTE, night.words))
    morning = plan.ready_at + timedelta(minutes=35)
    if night.cracked:
        text = "through the base, where it meets the wall"
        book.add_outcome(
            run_id, Outcome(first.name, morning, OutcomeKind.CRACKED, night.cracked, text=text)
        )
    sound = Outcome(first.name, morning, OutcomeKind.SOUND, first.count - night.cracked)
    book.add_outcome(run_id, sound)
    for piece in others:
        book.add_outcome(run_id, Outcome(piece.name, morning, OutcomeKind.SOUND, piece.count))
    if night.seen is not None:
        seen = Outcome(
            first.name,
            morning + timedelta(minutes=20),
            OutcomeKind.STRAIN_SEEN,
            1,
            night.seen,
            first.base_thickness,
            text="through the base",
        )
        book.add_outcome(run_id, seen)
