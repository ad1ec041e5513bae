"""What the log book shows of runs, fetched from the book and compared off the GUI thread."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
from numpy.typing import NDArray

from core.errors import RunError
from core.load.load import Load
from core.plan.plan import Plan
from core.run.alignment import Align
from core.run.compare import Comparison, compare
from core.run.readings import Readings
from core.store.book import (
    TYPED,
    AlarmRecord,
    Book,
    ImportRecord,
    NoteRecord,
    NoteSubject,
    ReadingRecord,
    RunRecord,
)
from core.store.night_entries import OutcomeRecord, RunEventRecord

FloatArray = NDArray[np.float64]

MOST_LISTED = 10_000
"""Readings in the list; more than that nobody scrolls through."""


@dataclass(frozen=True)
class RunLine:
    """A run in the list."""

    run: RunRecord
    plan: Plan


@dataclass(frozen=True)
class ReadingLine:
    """A reading in the list; ``planned`` and ``deviation`` [K] are NaN outside the plan."""

    time: datetime
    temperature: float
    planned: float
    deviation: float
    source: str
    typed: bool


@dataclass(frozen=True, eq=False)
class RunSheet:
    """Everything shown of one run.

    Attributes
    ----------
    run : RunRecord
    plan : Plan
    load : Load
    readings : Readings
    lines : tuple of ReadingLine
        The newest first; of very many readings only the newest :data:`MOST_LISTED`.
    comparison : Comparison or None
        ``None`` without a reading in the hours of the plan.
    align : Align
        How log and plan are laid on each other.
    align_note : str
        Why they could not be laid as was asked for; ``""`` otherwise.
    imports : tuple of ImportRecord
    notes : tuple of NoteRecord
    events : tuple of RunEventRecord
    outcomes : tuple of OutcomeRecord
    alarms : tuple of AlarmRecord
        Of the watch, while the run was recorded.
    """

    run: RunRecord
    plan: Plan
    load: Load
    readings: Readings
    lines: tuple[ReadingLine, ...]
    comparison: Comparison | None
    align: Align
    align_note: str
    imports: tuple[ImportRecord, ...]
    notes: tuple[NoteRecord, ...]
    events: tuple[RunEventRecord, ...]
    outcomes: tuple[OutcomeRecord, ...]
    alarms: tuple[AlarmRecord, ...]


def list_runs(
    book: Book, known: Mapping[int, Plan], cancelled: Callable[[], bool]
) -> tuple[RunLine, ...]:
    """Fetch all runs with their plans, the newest first.

    Parameters
    ----------
    book : Book
    known : mapping of int to Plan
        Plans fetched before: one that a run uses never changes.
    cancelled : callable
    """
    plans = dict(known)
    lines: list[RunLine] = []
    for run in book.runs():
        if cancelled():
            break
        if run.plan_id not in plans:
            plans[run.plan_id] = book.plan(run.plan_id)
        lines.append(RunLine(run, plans[run.plan_id]))
    return tuple(lines)


def fetch_sheet(book: Book, run_id: int, align: Align = Align.CLOCK) -> RunSheet:
    """Fetch a run and lay its readings beside its plan; by the clock where it cannot be else."""
    run = book.run(run_id)
    plan, load = book.plan(run.plan_id), book.load(run.load_id)
    imports = book.imports(run_id)
    readings, records = _fetch_readings(book, run, imports)
    comparison, align, align_note = _laid(run, plan, readings, align)
    nothing = np.full(len(readings), np.nan)
    planned = comparison.planned if comparison is not None else nothing
    deviation = comparison.deviation if comparison is not None else nothing
    listed = slice(len(readings) - len(records), None)
    return RunSheet(
        run=run,
        plan=plan,
        load=load,
        readings=readings,
        lines=_lines(records, planned[listed], deviation[listed]),
        comparison=comparison,
        align=align,
        align_note=align_note,
        imports=imports,
        notes=book.notes(NoteSubject.RUN, run_id),
        events=book.run_events(run_id),
        outcomes=book.outcomes(run_id),
        alarms=book.alarms(run_id),
    )


def _fetch_readings(
    book: Book, run: RunRecord, imports: tuple[ImportRecord, ...]
) -> tuple[Readings, tuple[ReadingRecord, ...]]:
    """All readings, and those to be listed, each with where it came from."""
    if run.reading_count > MOST_LISTED and sum(r.added for r in imports) == run.reading_count:
        # All from files: a million need no record each, of which nobody reads a tenth.
        readings = book.readings(run.id)
        source = imports[-1].file_name if len(imports) == 1 else "logger"
        pairs = zip(
            readings.time[-MOST_LISTED:].tolist(),
            readings.temperature[-MOST_LISTED:].tolist(),
            strict=True,
        )
        listed = (
            ReadingRecord(datetime.fromtimestamp(time, UTC), kelvin, source, None)
            for time, kelvin in pairs
        )
        return readings, tuple(listed)
    records = book.reading_records(run.id)
    readings = Readings(
        np.array([record.time.timestamp() for record in records], dtype=np.float64),
        np.array([record.temperature for record in records], dtype=np.float64),
    )
    return readings, records


def _laid(
    run: RunRecord, plan: Plan, readings: Readings, align: Align
) -> tuple[Comparison | None, Align, str]:
    """Comparison, how it was laid, and why not as asked for."""
    note = ""
    if align is not Align.CLOCK and len(readings):
        try:
            return compare(plan, readings, finished=run.finished, align=align), align, ""
        except RunError as error:
            note = str(error)
    with suppress(RunError):  # no reading falls into the plan's span
        return compare(plan, readings, finished=run.finished), Align.CLOCK, note
    return None, Align.CLOCK, note


def _lines(
    records: tuple[ReadingRecord, ...], planned: FloatArray, deviation: FloatArray
) -> tuple[ReadingLine, ...]:
    return tuple(
        ReadingLine(
            record.time, record.temperature, plan, off, record.source, record.source == TYPED
        )
        for record, plan, off in zip(
            reversed(records),
            reversed(planned.tolist()),
            reversed(deviation.tolist()),
            strict=True,
        )
    )
