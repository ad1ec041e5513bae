"""The book's loads and the plans drawn up for them."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import delete, exists, select
from sqlalchemy.orm import Session

from core.load.load import Load
from core.plan.plan import Plan
from core.store.base import as_utc
from core.store.entries import LoadRecord, PlanRecord
from core.store.faults import plan_in_use
from core.store.glasses import version_ids
from core.store.models import LoadRow, PieceRow, PlanRow, PotRow, RunRow
from core.store.pages import Pages, equipment_row, missing
from core.store.records import load_from_json, load_to_json, plan_from_json, plan_to_json


class LoadPages(Pages):
    """Loads and plans, each known by its number."""

    def save_load(
        self, load: Load, *, replacing: int | None = None, saved_at: datetime | None = None
    ) -> int:
        """Enter a load; returns its number.

        Parameters
        ----------
        load : Load
        replacing : int, optional
            Number of the load this one takes the place of, while it is being put together. If a
            plan was drawn up for that one already it stays, and the load gets a number of its own.
        saved_at : datetime, optional
            Aware; default now.
        """
        snapshot = load_to_json(load)
        now = datetime.now(UTC) if saved_at is None else as_utc(saved_at, "saved_at")
        with self._writing() as session:
            row = None if replacing is None else _load_row(session, replacing)
            if row is not None and session.scalar(
                select(exists().where(PlanRow.load_id == row.id))
            ):
                row = None
            lehr = equipment_row(session, "lehr", load.lehr.name)
            if row is None:
                row = LoadRow()
            else:
                session.execute(delete(PieceRow).where(PieceRow.load_id == row.id))
            row.name = load.name
            row.equipment_id = None if lehr is None else lehr.id
            row.button_time, row.out_by = load.button_time, load.out_by
            row.snapshot, row.saved_at = snapshot, now
            session.add(row)
            session.flush()
            session.add_all(_piece_rows(session, row.id, load))
            return row.id

    def load(self, load_id: int) -> Load:
        """Return one load; BookError if it is not there."""
        with self._reading() as session:
            text = _load_row(session, load_id).snapshot
        return load_from_json(text)

    def loads(self) -> tuple[LoadRecord, ...]:
        """All loads, the last saved first."""
        with self._reading() as session:
            rows = session.execute(
                select(LoadRow.id, LoadRow.saved_at, LoadRow.snapshot).order_by(
                    LoadRow.saved_at.desc(), LoadRow.id.desc()
                )
            ).all()
        return tuple(
            LoadRecord(number, saved, load_from_json(text)) for number, saved, text in rows
        )

    def latest_load(self) -> LoadRecord | None:
        """Return the load saved last, or ``None`` in an empty book."""
        with self._reading() as session:
            row = session.execute(
                select(LoadRow.id, LoadRow.saved_at, LoadRow.snapshot)
                .order_by(LoadRow.saved_at.desc(), LoadRow.id.desc())
                .limit(1)
            ).one_or_none()
        return None if row is None else LoadRecord(row[0], row[1], load_from_json(row[2]))

    def delete_load(self, load_id: int) -> None:
        """Remove a load, its pieces and unused plans; PlanInUseError if a run used one."""
        with self._writing() as session:
            row = _load_row(session, load_id)
            if session.scalar(
                select(exists().where(PlanRow.load_id == load_id, RunRow.plan_id == PlanRow.id))
            ):
                raise plan_in_use()
            session.delete(row)

    def save_plan(self, plan: Plan, load_id: int, *, made_at: datetime | None = None) -> int:
        """Enter a plan for a load; returns its number.

        Parameters
        ----------
        plan : Plan
        load_id : int
            The load it was drawn up for.
        made_at : datetime, optional
            Aware; default now.
        """
        snapshot = plan_to_json(plan)
        now = datetime.now(UTC) if made_at is None else as_utc(made_at, "made_at")
        with self._writing() as session:
            _load_row(session, load_id)
            row = PlanRow(
                load_id=load_id,
                start_at=plan.start,
                ready_at=plan.ready_at,
                snapshot=snapshot,
                made_at=now,
            )
            session.add(row)
            session.flush()
            return row.id

    def replace_plan(self, plan_id: int, plan: Plan) -> None:
        """Put another plan in a draft's place; PlanInUseError once a run was started from it."""
        snapshot = plan_to_json(plan)
        with self._writing() as session:
            row = _free_plan_row(session, plan_id)
            row.start_at, row.ready_at = plan.start, plan.ready_at
            row.snapshot, row.made_at = snapshot, datetime.now(UTC)

    def delete_plan(self, plan_id: int) -> None:
        """Remove a draft; PlanInUseError once a run was started from it."""
        with self._writing() as session:
            session.delete(_free_plan_row(session, plan_id))

    def plan(self, plan_id: int) -> Plan:
        """Return one plan; BookError if it is not there."""
        with self._reading() as session:
            text = plan_row(session, plan_id).snapshot
        return plan_from_json(text)

    def plans(self, load_id: int) -> tuple[PlanRecord, ...]:
        """All plans for a load, the last made first."""
        used = exists().where(RunRow.plan_id == PlanRow.id)
        with self._reading() as session:
            rows = session.execute(
                select(PlanRow.id, PlanRow.made_at, PlanRow.snapshot, used)
                .where(PlanRow.load_id == load_id)
                .order_by(PlanRow.made_at.desc(), PlanRow.id.desc())
            ).all()
        return tuple(
            PlanRecord(number, load_id, made, bool(in_use), plan_from_json(text))
            for number, made, text, in_use in rows
        )


def plan_row(session: Session, plan_id: int) -> PlanRow:
    """Find a plan; raises BookError if it is not there."""
    row = session.get(PlanRow, plan_id)
    if row is None:
        raise missing("plan", plan_id)
    return row


def _load_row(session: Session, load_id: int) -> LoadRow:
    row = session.get(LoadRow, load_id)
    if row is None:
        raise missing("load", load_id)
    return row


def _free_plan_row(session: Session, plan_id: int) -> PlanRow:
    row = plan_row(session, plan_id)
    if session.scalar(select(exists().where(RunRow.plan_id == plan_id))):
        raise plan_in_use()
    return row


def _piece_rows(session: Session, load_id: int, load: Load) -> list[PieceRow]:
    glasses = version_ids(session, dict(load.glasses))
    unknown = (None, None)
    pots = {
        name: session.scalar(select(PotRow.id).where(PotRow.name == gather.pot))
        for name, gather in load.gathered.items()
    }
    times = {name: gather.time for name, gather in load.gathered.items()}
    return [
        PieceRow(
            load_id=load_id,
            position=position,
            name=piece.name,
            count=piece.count,
            shape=piece.shape.value,
            glass_name=piece.glass,
            glass_id=glasses.get(piece.glass, unknown)[0],
            glass_version_id=glasses.get(piece.glass, unknown)[1],
            wall_thickness_m=piece.wall_thickness,
            base_thickness_m=piece.base_thickness,
            diameter_m=piece.diameter,
            height_m=piece.height,
            pot_id=pots.get(piece.name),
            gathered_at=times.get(piece.name),
        )
        for position, piece in enumerate(load.pieces)
    ]
