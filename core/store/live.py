"""The book's live sources, and the alarms of its runs."""

from __future__ import annotations

import json
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from core.errors import BookDamagedError, BookError, RunError
from core.run.live_source import EquipmentKind, LiveSource, SourceKind
from core.store.base import as_utc
from core.store.models import EquipmentRow
from core.store.models_night import AlarmRow, LiveSourceRow
from core.store.night_entries import AlarmRecord, LiveSourceRecord
from core.store.pages import Pages, known_equipment, missing
from core.store.runs import run_row


class LivePages(Pages):
    """Sources by name; alarms by number."""

    def save_live_source(
        self, source: LiveSource, *, renamed_from: str | None = None
    ) -> LiveSourceRecord:
        """Enter a source, or change the one of the same name.

        Parameters
        ----------
        source : LiveSource
        renamed_from : str, optional
            Name it had until now.

        Raises
        ------
        BookError
            Its equipment is not in the book; there is no source of the earlier name, or another
            one of the new name.
        """
        try:
            settings = json.dumps(dict(source.settings), ensure_ascii=False, allow_nan=False)
        except ValueError as error:
            raise BookError("A setting of the source is not a number.", field="settings") from error
        with self._writing() as session:
            equipment = known_equipment(session, source.equipment_kind.value, source.equipment)
            row = session.scalar(select(LiveSourceRow).where(LiveSourceRow.name == source.name))
            if renamed_from is not None and renamed_from != source.name:
                if row is not None:
                    raise BookError(
                        f"There is another source called “{source.name}”.",
                        field="name",
                        remedy="Choose another name.",
                    )
                row = _source_row(session, renamed_from)
            if row is None:
                row = LiveSourceRow()
                session.add(row)
            row.name, row.equipment_id = source.name, equipment.id
            row.kind, row.settings = source.kind.value, settings
            session.flush()
            return LiveSourceRecord(row.id, source)

    def live_sources(self) -> tuple[LiveSourceRecord, ...]:
        """All sources by name."""
        with self._reading() as session:
            rows = session.execute(
                select(LiveSourceRow, EquipmentRow.name, EquipmentRow.kind)
                .join(EquipmentRow, EquipmentRow.id == LiveSourceRow.equipment_id)
                .order_by(LiveSourceRow.name)
            )
            return tuple(_source(row, name, kind) for row, name, kind in rows)

    def delete_live_source(self, name: str) -> None:
        """Forget a source; BookError if it is not there."""
        with self._writing() as session:
            session.delete(_source_row(session, name))

    def raise_alarm(
        self, run_id: int, kind: str, raised_at: datetime, text: str, value: float | None = None
    ) -> AlarmRecord:
        """Enter an alarm of a run; it is on the disk when this returns.

        Parameters
        ----------
        run_id : int
        kind : str
            In the words of the watch.
        raised_at : datetime
            Aware.
        text : str
        value : float, optional
            What set it off, in SI units.
        """
        with self._writing() as session:
            run_row(session, run_id)
            row = AlarmRow(
                run_id=run_id,
                kind=kind,
                raised_at=as_utc(raised_at, "raised_at"),
                text=text,
                value=value,
            )
            session.add(row)
            session.flush()
            return _alarm(row)

    def clear_alarm(self, alarm_id: int, cleared_at: datetime) -> AlarmRecord:
        """Enter when what an alarm warns of was over; RunError before it was raised."""
        moment = as_utc(cleared_at, "cleared_at")
        with self._writing() as session:
            row = _alarm_row(session, alarm_id)
            if moment < row.raised_at:
                raise RunError(
                    "An alarm cannot be over before it was raised.",
                    field="cleared_at",
                    remedy="Check the clock.",
                )
            row.cleared_at = moment
            session.flush()
            return _alarm(row)

    def acknowledge_alarm(self, alarm_id: int, acknowledged_at: datetime) -> AlarmRecord:
        """Enter when somebody said they had seen an alarm; the first time stays."""
        moment = as_utc(acknowledged_at, "acknowledged_at")
        with self._writing() as session:
            row = _alarm_row(session, alarm_id)
            if row.acknowledged_at is None:
                row.acknowledged_at = moment
            session.flush()
            return _alarm(row)

    def alarms(self, run_id: int | None = None) -> tuple[AlarmRecord, ...]:
        """Alarms of a run, or of all runs, in order of time."""
        query = select(AlarmRow).order_by(AlarmRow.raised_at, AlarmRow.id)
        with self._reading() as session:
            if run_id is not None:
                run_row(session, run_id)
                query = query.where(AlarmRow.run_id == run_id)
            return tuple(_alarm(row) for row in session.scalars(query))


def _source_row(session: Session, name: str) -> LiveSourceRow:
    row = session.scalar(select(LiveSourceRow).where(LiveSourceRow.name == name))
    if row is None:
        raise missing("source", name)
    return row


def _source(row: LiveSourceRow, equipment: str, kind: str) -> LiveSourceRecord:
    try:
        settings = json.loads(row.settings)
        source_kind = SourceKind(row.kind)
    except ValueError as error:
        raise BookDamagedError(
            f"The source “{row.name}” in the book cannot be read.",
            remedy="Update the program, or go back to a backup of the book.",
        ) from error
    source = LiveSource(row.name, equipment, source_kind, settings, EquipmentKind(kind))
    return LiveSourceRecord(row.id, source)


def _alarm_row(session: Session, alarm_id: int) -> AlarmRow:
    row = session.get(AlarmRow, alarm_id)
    if row is None:
        raise missing("alarm", alarm_id)
    return row


def _alarm(row: AlarmRow) -> AlarmRecord:
    return AlarmRecord(
        row.id,
        row.run_id,
        row.kind,
        row.raised_at,
        row.text,
        row.value,
        row.cleared_at,
        row.acknowledged_at,
    )
