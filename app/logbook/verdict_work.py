"""Verdict on a run and repair of its night, worked out off the GUI thread, and what is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from app.logbook.run_sheet import RunSheet
from core.errors import RunError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.readings import Readings
from core.store.book import Book, RunRecord
from core.units import UnitChoice
from core.verdict.judge_run import verdict_of
from core.verdict.repair import Repair, repair
from core.verdict.verdict import RunVerdict

Progress = Callable[[float], None]
Cancelled = Callable[[], bool]

LEAST_READINGS = 2


@dataclass(frozen=True, eq=False)
class JudgedNight:
    """What a verdict rests on."""

    load: Load
    plan: Plan
    readings: Readings
    finished: bool

    @classmethod
    def of(cls, sheet: RunSheet) -> JudgedNight:
        """The night of a run."""
        return cls(sheet.load, sheet.plan, sheet.readings, sheet.run.finished)

    def same(self, other: JudgedNight) -> bool:
        """True when the verdict must be the same."""
        return (
            (self.load, self.plan, self.finished) == (other.load, other.plan, other.finished)
            and np.array_equal(self.readings.time, other.readings.time)
            and np.array_equal(self.readings.temperature, other.readings.temperature)
        )


def judge(night: JudgedNight, cancelled: Cancelled) -> RunVerdict:
    """The verdict on a night."""
    return verdict_of(
        night.load, night.plan, night.readings, finished=night.finished, stopped=cancelled
    )


def draw_up_repair(
    night: JudgedNight,
    now: datetime,
    present: float | None,
    units: UnitChoice,
    progress: Progress,
    cancelled: Cancelled,
) -> Repair:
    """How the night goes on from now; ``present`` is what the lehr reads [K], where known."""
    return repair(
        night.load,
        night.plan,
        night.readings,
        now,
        present=present,
        units=units,
        progress=progress,
        cancelled=cancelled,
    )


def keep_repair(
    book: Book, run: RunRecord, found: Repair, started_at: datetime | None
) -> RunRecord | None:
    """Keep a repair as a load and plan of its own, and start it as a run if wanted.

    Parameters
    ----------
    book : Book
    run : RunRecord
        The run repaired; still going on, it is ended where the new one begins.
    found : Repair
        With a plan.
    started_at : datetime or None
        When the new run begins; ``None``: only keep it.

    Raises
    ------
    RunError
        There is no plan to keep.
    """
    plan, load = found.plan, found.load
    if plan is None or load is None:
        raise RunError("There is nothing to repair, so no plan to keep.", field="plan")
    mended = replace(load, name=repaired_name(load.name))
    plan_id = book.save_plan(plan, book.save_load(mended))
    if started_at is None:
        return None
    if not run.finished:
        book.finish_run(run.id, max(started_at, run.started_at))
    return book.start_run(plan_id, started_at, f"Repair of “{run.load_name}”: {found.kind}.")


def repaired_name(name: str) -> str:
    """Name of a repaired load; a second repair keeps the name."""
    return name if name.endswith(", repaired") else f"{name}, repaired"
