"""The book's runs."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Select, func, select
from sqlalchemy.orm import Session

from core.errors import RunError
from core.store.base import as_utc
from core.store.entries import RunRecord
from core.store.loads import plan_row
from core.store.models import EquipmentRow, LoadRow, PlanRow, ReadingRow, RunRow
from core.store.pages import Pages, equipment_row, missing
from core.store.records import lehr_to_json, load_from_json


class RunPages(Pages):
    """Runs, each known by its number."""

    def start_run(self, plan_id: int, started_at: datetime, note: str = "") -> RunRecord:
        """Start a run from a plan, which from now on cannot be changed.

        The load's lehr is entered in the book if it is not there yet.

        Parameters
        ----------
        plan_id : int
        started_at : datetime
            Aware.
        note : str
        """
        started = as_utc(started_at, "started_at")
        with self._writing() as session:
            plan = plan_row(session, plan_id)
            load = session.get_one(LoadRow, plan.load_id)
            lehr = load_from_json(load.snapshot).lehr
            # The load's own link comes first: its snapshot may carry a name since changed.
            equipment = (
                session.get_one(EquipmentRow, load.equipment_id)
                if load.equipment_id is not None
                else equipment_row(session, "lehr", lehr.name)
            )
            if equipment is None:
                equipment = EquipmentRow(kind="lehr", name=lehr.name, settings=lehr_to_json(lehr))
                session.add(equipment)
                session.flush()
            row = RunRow(plan_id=plan_id, equipment_id=equipment.id, started_at=started, note=note)
            session.add(row)
            session.flush()
            return _run(session, row.id)

    def runs(self) -> tuple[RunRecord, ...]:
        """All runs, the newest first."""
        with self._reading() as session:
            rows = session.execute(
                _run_columns().order_by(RunRow.started_at.desc(), RunRow.id.desc())
            ).all()
        return tuple(RunRecord(*row) for row in rows)

    def run(self, run_id: int) -> RunRecord:
        """Return one run; BookError if it is not there."""
        with self._reading() as session:
            return _run(session, run_id)

    def goes_on(self, run_id: int) -> bool:
        """Tell whether a run is in the book and was not finished."""
        with self._reading() as session:
            row = session.get(RunRow, run_id)
            return row is not None and row.finished_at is None

    def finish_run(self, run_id: int, finished_at: datetime) -> RunRecord:
        """Enter when the run ended (again, to correct it); RunError before its start."""
        finished = as_utc(finished_at, "finished_at")
        with self._writing() as session:
            row = run_row(session, run_id)
            if finished < row.started_at:
                raise RunError(
                    f"The run cannot end at {finished:%H:%M} UTC, before it was started "
                    f"({row.started_at:%H:%M} UTC).",
                    field="finished_at",
                    remedy="Give a later time.",
                )
            row.finished_at = finished
            session.flush()
            return _run(session, run_id)

    def set_run_note(self, run_id: int, note: str) -> RunRecord:
        """Change what is noted on a run."""
        with self._writing() as session:
            run_row(session, run_id).note = note
            session.flush()
            return _run(session, run_id)

    def delete_run(self, run_id: int) -> None:
        """Remove a run started by mistake, with its readings, imports and notes."""
        with self._writing() as session:
            session.delete(run_row(session, run_id))


def _run_columns() -> Select[int, int, int, str, str, datetime, datetime | None, str, int]:
    """Select the fields of RunRecord in their order."""
    count = (
        select(func.count(ReadingRow.id)).where(ReadingRow.run_id == RunRow.id).scalar_subquery()
    )
    return (
        select(
            RunRow.id,
            RunRow.plan_id,
            PlanRow.load_id,
            LoadRow.name,
            EquipmentRow.name,
            RunRow.started_at,
            RunRow.finished_at,
            RunRow.note,
            count,
        )
        .join(PlanRow, PlanRow.id == RunRow.plan_id)
        .join(LoadRow, LoadRow.id == PlanRow.load_id)
        .join(EquipmentRow, EquipmentRow.id == RunRow.equipment_id)
    )


def _run(session: Session, run_id: int) -> RunRecord:
    row = session.execute(_run_columns().where(RunRow.id == run_id)).one_or_none()
    if row is None:
        raise missing("run", run_id)
    return RunRecord(*row)


def run_row(session: Session, run_id: int) -> RunRow:
    """Find a run; raises BookError if it is not there."""
    row = session.get(RunRow, run_id)
    if row is None:
        raise missing("run", run_id)
    return row
