"""A night in the book and loggers' files of it, for the tests of the log book."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

from core.equipment.lehr import Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.load.load_file import read_load
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.best import best_plan
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.store.book import Book, RunRecord
from core.units import ZERO_CELSIUS

ROOT = Path(__file__).parents[2]
SHIPPED = ROOT / "demo_data"
"""Invented logs of the load below."""
DECANTERS = ROOT / "schedules" / "decanters_tonight.toml"
CLEAR = Glass(
    "harbour test glass",
    measured=MeasuredPoints(
        strain_point=ZERO_CELSIUS + 475.0,
        annealing_point=ZERO_CELSIUS + 515.0,
        expansion=95e-7,
        source="invented sheet",
    ),
)
FLOATS = Piece(
    "Fishing float",
    8,
    Shape.PLATE,
    CLEAR.name,
    wall_thickness=0.003,
    cooled_from=CooledFrom.ONE,
)


@dataclass(frozen=True)
class Night:
    """A run in the book with its plan."""

    run: RunRecord
    plan: Plan

    def moments(self, every: float = 300.0) -> np.ndarray:
        """Epoch seconds from a minute after the start to the end of the plan."""
        times, _ = self.plan.curve()
        return np.arange(times[0] + 60.0, times[-1], every)

    def celsius(self, moments: np.ndarray) -> np.ndarray:
        """What the lehr should read then, one degree high."""
        return np.round(self.plan.temperature_at(moments) - ZERO_CELSIUS + 1.0, 1)


def _floats(start: datetime, out_by: datetime | None) -> Load:
    return Load(
        name="Floats",
        pieces=(FLOATS,),
        glasses={CLEAR.name: CLEAR},
        lehr=Lehr("Big lehr", cooling_time_constant=4.5 * 3600),
        button_time=start,
        out_by=out_by,
        timezone="UTC",
    )


def enter_night(book: Book, start: datetime, *, out_by: datetime | None = None) -> Night:
    """Draw up a plan for floats and start a run."""
    load = _floats(start, out_by)
    plan = _moved(floats_plan(), start) if out_by is None else make_plan(load)
    plan_id = book.save_plan(plan, book.save_load(load))
    return Night(book.start_run(plan_id, start), plan)


@functools.cache
def floats_plan() -> Plan:
    """The plan for floats, drawn up once: on any other evening it is the same, moved."""
    return make_plan(_floats(datetime(2026, 3, 1, 20, 0, tzinfo=UTC), None))


def _moved(plan: Plan, start: datetime) -> Plan:
    by = start - plan.start
    segments = tuple(replace(s, start=s.start + by, end=s.end + by) for s in plan.segments)
    return replace(plan, segments=segments, start=start, ready_at=plan.ready_at + by)


def last_night(book: Book) -> Night:
    """A run begun a day ago, over by now but not ended in the book."""
    start = datetime.now(UTC).replace(microsecond=0, second=0) - timedelta(hours=24)
    return enter_night(book, start)


@functools.cache
def shipped_plan() -> tuple[Load, Plan]:
    """The load of the shipped logs with its best curve, which they were logged along."""
    load = read_load(DECANTERS)
    return load, best_plan(load)


def shipped_night(book: Book) -> Night:
    """The night that the shipped logs belong to."""
    load, plan = shipped_plan()
    plan_id = book.save_plan(plan, book.save_load(load))
    return Night(book.start_run(plan_id, plan.start), plan)


def stamp(moment: float) -> str:
    """A moment as a logger in UTC writes it."""
    return datetime.fromtimestamp(moment, UTC).strftime("%Y-%m-%d %H:%M:%S")


def clean_file(night: Night, folder: Path) -> Path:
    """Semicolons and decimal commas, every row good."""
    moments = night.moments()
    rows = [
        f"{stamp(time)};{value:.1f}".replace(".", ",")
        for time, value in zip(moments, night.celsius(moments), strict=True)
    ]
    return _write(folder / "clean night.csv", ["Time;Chamber °C", *rows])


def broken_file(night: Night, folder: Path) -> tuple[Path, dict[int, str]]:
    """Four bad rows; their lines, and a word of what is wrong with each."""
    moments = night.moments()
    lines = ["Time,Chamber °C"] + [
        f"{stamp(time)},{value:.1f}"
        for time, value in zip(moments, night.celsius(moments), strict=True)
    ]
    bad = {10: "OPEN", 11: "1372.0", 20: "", 30: "---"}
    for line, cell in bad.items():
        lines[line - 1] = lines[line - 1].split(",")[0] + "," + cell
    words = {10: "no thermocouple", 11: "type K", 20: "no temperature", 30: "no thermocouple"}
    return _write(folder / "broken thermocouple.csv", lines), words


def fahrenheit_file(night: Night, folder: Path) -> Path:
    """Fahrenheit under a header that says Celsius."""
    moments = night.moments()
    rows = [
        f"{stamp(time)},{value * 1.8 + 32:.1f}"
        for time, value in zip(moments, night.celsius(moments), strict=True)
    ]
    return _write(folder / "american logger.csv", ["Time,Chamber °C", *rows])


def two_channel_file(night: Night, folder: Path) -> Path:
    """Two thermocouples: the first at the door, 40 degrees cooler."""
    moments = night.moments()
    rows = [
        f"{stamp(time)},{value - 40:.1f},{value:.1f}"
        for time, value in zip(moments, night.celsius(moments), strict=True)
    ]
    return _write(folder / "two channels.csv", ["Time,Upper °C,Lower °C", *rows])


def undated_file(night: Night, folder: Path) -> Path:
    """Minutes since the start, no unit."""
    moments = night.moments()
    rows = [
        f"{(time - moments[0]) / 60:.0f},{value:.1f}"
        for time, value in zip(moments, night.celsius(moments), strict=True)
    ]
    return _write(folder / "no dates.csv", ["Minutes,Temp", *rows])


def _write(path: Path, lines: list[str]) -> Path:
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path
