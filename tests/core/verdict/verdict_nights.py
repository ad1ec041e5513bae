"""An invented load with measured points, its plan, and logs that the verdict's tests share."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.run.readings import Readings

BUTTON = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
CLEAR = Glass(
    "measured clear",
    measured=MeasuredPoints(
        strain_point=273.15 + 478.0,
        annealing_point=273.15 + 518.0,
        annealing_point_error=3.0,
        expansion=93e-7,
        source="invented sheet",
    ),
)
LEHR = Lehr("quay lehr", 3.0 * 3600.0, thermocouple_offset=4.0)
DECANTER = Piece(
    "decanter",
    6,
    Shape.VESSEL,
    CLEAR.name,
    wall_thickness=0.004,
    base_thickness=0.016,
    cooled_from=CooledFrom.ONE,
    base_cooled_from=CooledFrom.BOTH,
)
LIGHT = Piece("deck light", 2, Shape.PLATE, CLEAR.name, wall_thickness=0.018)
CHIMNEY = Piece("chimney", 8, Shape.PLATE, CLEAR.name, wall_thickness=0.002)
LOAD = Load("quay night", (DECANTER, LIGHT, CHIMNEY), {CLEAR.name: CLEAR}, LEHR, BUTTON)
PLAN = make_plan(LOAD)
START, END = PLAN.start.timestamp(), PLAN.ready_at.timestamp()


def moved_by(plan: Plan, shift: timedelta) -> Plan:
    """The same plan at another time."""
    return replace(
        plan,
        start=plan.start + shift,
        ready_at=plan.ready_at + shift,
        segments=tuple(replace(s, start=s.start + shift, end=s.end + shift) for s in plan.segments),
    )


def followed(every: float = 60.0, until: float = END) -> Readings:
    """A log that follows the plan."""
    time = np.arange(START, until, every)
    return Readings(time, PLAN.temperature_at(time))


def hurried(factor: float, every: float = 60.0) -> Readings:
    """The plan's own curve gone through so many times as fast after the soak."""
    soak_end = PLAN.segments[0].end.timestamp()
    time = np.arange(START, END, every)
    ahead = np.where(time > soak_end, soak_end + (time - soak_end) * factor, time)
    curve_time, curve = PLAN.curve()
    return Readings(time, np.interp(ahead, curve_time, curve))


def without(readings: Readings, begin: float, end: float) -> Readings:
    """A log with a gap [s after the start]."""
    lost = (readings.time > START + begin) & (readings.time < START + end)
    return Readings(readings.time[~lost], readings.temperature[~lost])


def slow_range() -> tuple[float, float]:
    """When the plan is between annealing and strain point [s after its start]."""
    time, curve = PLAN.curve()
    falling = time >= PLAN.segments[0].end.timestamp()
    begin, end = (
        float(np.interp(-level, -curve[falling], time[falling]))
        for level in (PLAN.transformation_top, PLAN.transformation_bottom)
    )
    return begin - START, end - START
