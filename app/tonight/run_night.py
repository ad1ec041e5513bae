"""A night that is running, as the book has it; no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from app.tonight.load_keeper import LoadKeeper
from core.errors import RunError
from core.load.load import Load
from core.plan.best import best_plan
from core.plan.plan import Plan
from core.run.compare import Comparison, compare
from core.run.readings import Readings
from core.store.book import Book, RunRecord
from core.units import UnitChoice


@dataclass(frozen=True, eq=False)
class RunNight:
    """A run with its plan, its load, what was read so far, and both laid side by side."""

    record: RunRecord
    plan: Plan
    load: Load
    readings: Readings
    comparison: Comparison | None

    @property
    def run_id(self) -> int:
        """Number of the run in the book."""
        return self.record.id


def fetch_night(book: Book, run_id: int) -> RunNight:
    """Read a run from the book."""
    record = book.run(run_id)
    plan, readings = book.plan(record.plan_id), book.readings(run_id)
    return RunNight(record, plan, book.load(record.load_id), readings, _compared(plan, readings))


def open_nights(book: Book) -> tuple[RunNight, ...]:
    """All runs that were not ended, the newest first."""
    return tuple(fetch_night(book, run.id) for run in book.runs() if not run.finished)


def remove_reading(book: Book, run_id: int, moment: datetime) -> RunNight:
    """Take one reading out, and read the run again."""
    book.delete_reading(run_id, moment)
    return fetch_night(book, run_id)


def start_night(
    book: Book,
    keeper: LoadKeeper,
    load: Load,
    plan: Plan | None,
    units: UnitChoice,
    started_at: datetime,
) -> RunNight:
    """Enter load and plan in the book, and start the run.

    ``plan`` is the one shown for this very load; without it one is drawn up.
    """
    plan = best_plan(load, units) if plan is None else plan
    plan_id = book.save_plan(plan, keeper.write_now(load))
    return fetch_night(book, book.start_run(plan_id, started_at).id)


def _compared(plan: Plan, readings: Readings) -> Comparison | None:
    if not len(readings):
        return None
    try:
        return compare(plan, readings)
    except RunError:  # no reading falls into the plan's span yet
        return None
