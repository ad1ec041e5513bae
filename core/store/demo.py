"""An invented studio to open the program on: a harbour town, maritime glass. Nothing here is real.

No number in this file is a value to work by.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, time, timedelta

import numpy as np

from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import BookError
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import shipped_glasses
from core.load.gathering import Gathering
from core.load.load import Load
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.book import Book, NoteSubject, RunRecord
from core.store.demo_batch import fill_demo_batches
from core.store.demo_furnace import fill_demo_pots
from core.store.demo_nights import fill_demo_nights
from core.units import ZERO_CELSIUS

CLEAR, LEAD, POTASH = "harbour clear", "harbour lead crystal", "bottle green potash"
FURNACE = "Harbour furnace"
BIG_LEHR = Lehr("Big lehr", cooling_time_constant=3.0 * 3600, ambient=ZERO_CELSIUS + 18)
LITTLE_LEHR = Lehr(
    "Little lehr",
    cooling_time_constant=2.0 * 3600,
    ambient=ZERO_CELSIUS + 18,
    controller=Controller(entry=Entry.TIME, max_segments=12),
)
DECANTERS = Piece(
    "Ship's decanter",
    6,
    Shape.VESSEL,
    CLEAR,
    wall_thickness=0.005,
    base_thickness=0.018,
    cooled_from=CooledFrom.ONE,
    base_cooled_from=CooledFrom.BOTH,
)
FLOATS = Piece(
    "Fishing float", 8, Shape.PLATE, CLEAR, wall_thickness=0.003, cooled_from=CooledFrom.ONE
)
PRISMS = Piece("Deck prism", 2, Shape.CYLINDER, CLEAR, diameter=0.080, height=0.018)
CHIMNEYS = Piece("Lamp chimney", 12, Shape.PLATE, CLEAR, wall_thickness=0.002)

_READING_EVERY = 120.0
"""Seconds between the readings of last night's logger."""


def fill_demo(book: Book, now: datetime) -> None:
    """Write the invented studio into an empty book.

    Parameters
    ----------
    book : Book
    now : datetime
        Aware, in the studio's zone: "tonight" and "last night" are counted from it.

    Raises
    ------
    BookError
        If the book is not empty, or ``now`` has no time zone.
    """
    if now.tzinfo is None:
        raise BookError("The demo's time has no time zone.", field="now")
    if book.glasses() or book.loads() or book.furnaces():
        raise BookError(
            f"“{book.path.name}” is not empty; the invented studio would mix with what is in it.",
            remedy="Choose a new file for the demo.",
        )
    glasses = {name: shipped_glasses()[name] for name in (CLEAR, LEAD, POTASH)}
    glasses[CLEAR] = tried(glasses[CLEAR])
    for name in (CLEAR, LEAD, POTASH):
        book.save_glass(glasses[name])
    for lehr in (BIG_LEHR, LITTLE_LEHR):
        book.save_lehr(lehr)
    _fill_furnace(book, now)
    fill_demo_batches(book, now)
    fill_demo_nights(book, glasses[CLEAR], BIG_LEHR, (DECANTERS, FLOATS), now)
    _fill_last_night(book, glasses, now)
    book.save_load(tonight(glasses, now), saved_at=now)


def tried(glass: Glass) -> Glass:
    """Give the clear glass the studio's own fibre test: surer of it, the nights are shorter."""
    test = MeasuredPoints(
        annealing_point=ZERO_CELSIUS + 518.0,
        annealing_point_error=3.0,
        source="the studio's own fibre test",
    )
    return replace(glass, measured=test)


def tonight(glasses: Mapping[str, Glass], now: datetime) -> Load:
    """Draw up tonight's load: thick decanter bases, floats, two flat deck prisms, lamp chimneys.

    The prisms were gathered from the pot an hour ago; whoever opens the load asks its ledger what
    glass that was.
    """
    evening = now.replace(hour=17, minute=30, second=0, microsecond=0)
    next_quarter = now + timedelta(minutes=15 - now.minute % 15)
    button = max(evening, next_quarter.replace(second=0, microsecond=0))
    morning = datetime.combine(button.date() + timedelta(days=1), time(8), tzinfo=now.tzinfo)
    # Whoever looks in late at night finds a studio that begins late.
    morning += timedelta(hours=max(0, button.hour - evening.hour))
    return Load(
        name="Tonight",
        pieces=(DECANTERS, FLOATS, PRISMS, CHIMNEYS),
        glasses={CLEAR: glasses[CLEAR]},
        lehr=BIG_LEHR,
        button_time=button,
        out_by=morning,
        gathered={
            PRISMS.name: Gathering(
                "Clear pot", now.replace(second=0, microsecond=0) - timedelta(hours=1)
            )
        },
    )


def _fill_last_night(book: Book, glasses: Mapping[str, Glass], now: datetime) -> None:
    """Enter the latest night whose run is over by now."""
    for days in (1, 2, 3):
        start = (now - timedelta(days=days)).replace(hour=20, minute=15, second=0, microsecond=0)
        load = Load(
            name="Floats and chimneys",
            pieces=(FLOATS, CHIMNEYS),
            glasses={CLEAR: glasses[CLEAR]},
            lehr=LITTLE_LEHR,
            button_time=start,
            out_by=start + timedelta(hours=11, minutes=45),
        )
        plan = make_plan(load)
        if plan.ready_at <= now:
            load_id = book.save_load(load, saved_at=start - timedelta(hours=1))
            plan_id = book.save_plan(plan, load_id, made_at=start - timedelta(minutes=50))
            _tell_of_the_night(book, plan, record_run(book, plan, plan_id).id)
            return


def _tell_of_the_night(book: Book, plan: Plan, run_id: int) -> None:
    """Enter what happened in it, and what was found in the morning."""
    opened = plan.start + timedelta(seconds=0.4 * plan.soak_time + 300.0)
    for event in (
        RunEvent(plan.start, EventKind.PIECES_IN, "floats on the left, chimneys by the door"),
        RunEvent(opened, EventKind.DOOR_OPEN, "to set a chimney upright", CHIMNEYS.name),
        RunEvent(opened + timedelta(seconds=40), EventKind.DOOR_CLOSED),
    ):
        book.add_run_event(run_id, event)
    for outcome in (
        Outcome(CHIMNEYS.name, plan.ready_at, OutcomeKind.SOUND, CHIMNEYS.count),
        Outcome(FLOATS.name, plan.ready_at, OutcomeKind.SOUND, FLOATS.count - 1),
        Outcome(
            FLOATS.name,
            plan.ready_at,
            OutcomeKind.STRAIN_SEEN,
            retardation=20e-9,
            text="along a cord; set aside",
        ),
    ):
        book.add_outcome(run_id, outcome)


def record_run(book: Book, plan: Plan, plan_id: int) -> RunRecord:
    """Enter a finished run of a plan, with readings such as a logger might have taken.

    The readings follow the plan as a controller does: a few minutes behind, a slow hunting of a
    degree or two, and a dip where somebody opened the door during the soak.

    Parameters
    ----------
    book : Book
    plan : Plan
    plan_id : int
        Its number in the book.
    """
    start, end = plan.start.timestamp(), plan.ready_at.timestamp()
    moments = np.arange(start, end + 1.0, _READING_EVERY)
    behind = np.interp(moments - 240.0, *plan.curve())
    since = moments - start
    hunting = 1.2 * np.sin(since / 410.0) + 0.5 * np.sin(since / 97.0 + 1.0)
    door = -14.0 * np.exp(-np.square((since - 0.4 * plan.soak_time - 300.0) / 240.0))
    # A logger writes tenths of a degree.
    celsius = np.round(behind + hunting + door - ZERO_CELSIUS, 1)
    run = book.start_run(plan_id, plan.start, "Door opened once to set a chimney upright.")
    book.add_readings(
        run.id,
        Readings(moments, celsius + ZERO_CELSIUS),
        "lehr logger",
        "last night.csv",
        # No file stands behind the invented readings.
        "0" * 64,
    )
    book.add_note(
        NoteSubject.RUN,
        run.id,
        plan.ready_at,
        "All twelve chimneys sound; one float with a cord, set aside.",
    )
    return book.finish_run(run.id, plan.ready_at)


def _fill_furnace(book: Book, now: datetime) -> None:
    """Enter three days at the furnace: charged in the evening, melted by night, worked by day."""
    book.save_furnace(FURNACE)
    book.save_pot(Pot("Clear pot", FURNACE, 90.0))
    book.save_pot(Pot("Green pot", FURNACE, 40.0))
    evenings = (
        (3, 18, 0, "Clear pot", "cullet", 30.0, "own trimmings, washed"),
        (3, 18, 20, "Clear pot", "batch", 25.0, ""),
        (3, 21, 0, "Clear pot", "batch", 15.0, "second fill"),
        (2, 17, 45, "Clear pot", "cullet", 22.0, ""),
        (2, 18, 10, "Green pot", "batch", 18.0, "ash batch, sieved twice"),
        (2, 20, 30, "Clear pot", "batch", 20.0, ""),
        (1, 18, 5, "Clear pot", "cullet", 28.0, "fine bubbles in the last gather"),
        (1, 18, 30, "Green pot", "cullet", 9.0, ""),
        (1, 21, 15, "Clear pot", "batch", 24.0, "second fill"),
    )
    for days, hour, minute, pot, material, mass, note in evenings:
        moment = (now - timedelta(days=days)).replace(
            hour=hour, minute=minute, second=0, microsecond=0
        )
        book.add_charge(Charge(moment, pot, material, mass, note))
    moment = now.replace(minute=0, second=0, microsecond=0) - timedelta(days=3)
    while moment <= now:
        book.add_furnace_reading(
            FurnaceReading(moment, FURNACE, ZERO_CELSIUS + furnace_celsius(moment.hour))
        )
        moment += timedelta(hours=2)
    fill_demo_pots(book, now)


def furnace_celsius(hour: int) -> float:
    """Temperature of the invented furnace at an hour of its day [°C], in whole degrees."""
    working, melting = 1135.0, 1285.0
    after_charging = (hour - 18) % 24
    if after_charging < 2:  # cold batch draws it down
        return working - 25.0
    if after_charging < 11:  # melting through the night
        return round(melting - (melting - working) * math.exp(-(after_charging - 1) / 2.0))
    return round(working + (melting - working) * math.exp(-(after_charging - 10) / 1.5))
