"""The book's events and outcomes of runs."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import TypeVar

from sqlalchemy import select
from sqlalchemy.orm import Session

from core.errors import BookDamagedError
from core.run.run_event import EventKind, Outcome, OutcomeKind, RunEvent
from core.store.base import as_utc
from core.store.models import RunRow
from core.store.models_night import OutcomeRow, RunEventRow
from core.store.night_entries import OutcomeRecord, RunEventRecord
from core.store.pages import Pages, missing
from core.store.runs import run_row

K = TypeVar("K", bound=StrEnum)


class RunEventPages(Pages):
    """Events and outcomes, each known by its number; they go with their run."""

    def add_run_event(self, run_id: int, event: RunEvent) -> RunEventRecord:
        """Enter an event; it is on the disk when this returns. Its time comes back in UTC."""
        with self._writing() as session:
            run_row(session, run_id)
            row = RunEventRow(run_id=run_id)
            _fill_event(row, event)
            session.add(row)
            session.flush()
            return _event_record(row)

    def change_run_event(self, event_id: int, event: RunEvent) -> RunEventRecord:
        """Correct an event; BookError if it is not there."""
        with self._writing() as session:
            row = _event_row(session, event_id)
            _fill_event(row, event)
            session.flush()
            return _event_record(row)

    def delete_run_event(self, event_id: int) -> None:
        """Remove an event; BookError if it is not there."""
        with self._writing() as session:
            session.delete(_event_row(session, event_id))

    def run_events(self, run_id: int) -> tuple[RunEventRecord, ...]:
        """Events of a run in order of time."""
        with self._reading() as session:
            run_row(session, run_id)
            rows = session.scalars(
                select(RunEventRow)
                .where(RunEventRow.run_id == run_id)
                .order_by(RunEventRow.time, RunEventRow.id)
            )
            return tuple(_event_record(row) for row in rows)

    def add_outcome(self, run_id: int, outcome: Outcome) -> OutcomeRecord:
        """Enter what was found of a piece; on the disk when this returns."""
        with self._writing() as session:
            run_row(session, run_id)
            row = OutcomeRow(run_id=run_id)
            _fill_outcome(row, outcome)
            session.add(row)
            session.flush()
            return _outcome_record(row)

    def change_outcome(self, outcome_id: int, outcome: Outcome) -> OutcomeRecord:
        """Correct an outcome; BookError if it is not there."""
        with self._writing() as session:
            row = _outcome_row(session, outcome_id)
            _fill_outcome(row, outcome)
            session.flush()
            return _outcome_record(row)

    def delete_outcome(self, outcome_id: int) -> None:
        """Remove an outcome; BookError if it is not there."""
        with self._writing() as session:
            session.delete(_outcome_row(session, outcome_id))

    def outcomes(self, run_id: int | None = None) -> tuple[OutcomeRecord, ...]:
        """Outcomes of a run, or of all runs, in order of the runs and of finding."""
        query = (
            select(OutcomeRow)
            .join(RunRow, RunRow.id == OutcomeRow.run_id)
            .order_by(RunRow.started_at, OutcomeRow.found_at, OutcomeRow.id)
        )
        with self._reading() as session:
            if run_id is not None:
                run_row(session, run_id)
                query = query.where(OutcomeRow.run_id == run_id)
            return tuple(_outcome_record(row) for row in session.scalars(query))


def _event_row(session: Session, event_id: int) -> RunEventRow:
    row = session.get(RunEventRow, event_id)
    if row is None:
        raise missing("event", event_id)
    return row


def _outcome_row(session: Session, outcome_id: int) -> OutcomeRow:
    row = session.get(OutcomeRow, outcome_id)
    if row is None:
        raise missing("outcome", outcome_id)
    return row


def _fill_event(row: RunEventRow, event: RunEvent) -> None:
    row.time, row.kind = as_utc(event.time), event.kind.value
    row.piece, row.text = event.piece, event.text
    row.photos = _put_photos(event.photos)


def _event_record(row: RunEventRow) -> RunEventRecord:
    event = RunEvent(
        row.time,
        _kind(EventKind, row.kind, "event"),
        row.text,
        row.piece,
        _take_photos(row.photos),
    )
    return RunEventRecord(row.id, row.run_id, event)


def _fill_outcome(row: OutcomeRow, outcome: Outcome) -> None:
    row.piece, row.found_at = outcome.piece, as_utc(outcome.found_at, "found_at")
    row.kind, row.count = outcome.kind.value, outcome.count
    row.retardation_m, row.light_path_m = outcome.retardation, outcome.light_path
    row.grade, row.text = outcome.grade, outcome.text
    row.photos = _put_photos(outcome.photos)


def _outcome_record(row: OutcomeRow) -> OutcomeRecord:
    outcome = Outcome(
        row.piece,
        row.found_at,
        _kind(OutcomeKind, row.kind, "outcome"),
        row.count,
        row.retardation_m,
        row.light_path_m,
        row.grade,
        row.text,
        _take_photos(row.photos),
    )
    return OutcomeRecord(row.id, row.run_id, outcome)


def _kind(kinds: type[K], text: str, what: str) -> K:
    try:
        return kinds(text)
    except ValueError as error:
        raise BookDamagedError(
            f"An {what} in the book is of a kind this program does not know: “{text}”.",
            remedy="Update the program, or go back to a backup of the book.",
        ) from error


def _put_photos(photos: tuple[str, ...]) -> str:
    return json.dumps(list(photos), ensure_ascii=False)


def _take_photos(text: str) -> tuple[str, ...]:
    try:
        photos = json.loads(text)
    except ValueError:
        photos = None
    if not isinstance(photos, list):
        raise BookDamagedError(
            "A list of photos in the book cannot be read.",
            remedy="Go back to a backup of the book.",
        )
    return tuple(str(photo) for photo in photos)
