"""The book's notes, each on one thing in it."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import InstrumentedAttribute, Session

from core.errors import BookError
from core.store.base import as_utc
from core.store.entries import NoteRecord, NoteSubject
from core.store.models import EquipmentRow, GlassRow, LoadRow, NoteRow, PlanRow, PotRow, RunRow
from core.store.pages import Pages, missing

_COLUMN: dict[NoteSubject, InstrumentedAttribute[int | None]] = {
    NoteSubject.GLASS: NoteRow.glass_id,
    NoteSubject.LEHR: NoteRow.equipment_id,
    NoteSubject.FURNACE: NoteRow.equipment_id,
    NoteSubject.POT: NoteRow.pot_id,
    NoteSubject.LOAD: NoteRow.load_id,
    NoteSubject.PLAN: NoteRow.plan_id,
    NoteSubject.RUN: NoteRow.run_id,
}


class NotePages(Pages):
    """Notes; they go with what they are on."""

    def add_note(
        self, subject: NoteSubject, key: int | str, time: datetime, text: str
    ) -> NoteRecord:
        """Enter a note.

        Parameters
        ----------
        subject : NoteSubject
        key : int or str
            Number of the load, plan or run; name of the glass, lehr, furnace or pot.
        time : datetime
            Aware.
        text : str
        """
        if not text.strip():
            raise BookError("The note is empty.", field="text", remedy="Write something in it.")
        moment = as_utc(time)
        with self._writing() as session:
            row = NoteRow(time=moment, text=text)
            setattr(row, _COLUMN[subject].key, _subject_id(session, subject, key))
            session.add(row)
            session.flush()
            return NoteRecord(row.id, subject, key, moment, text)

    def notes(self, subject: NoteSubject, key: int | str) -> tuple[NoteRecord, ...]:
        """All notes on one thing, in order of time."""
        with self._reading() as session:
            number = _subject_id(session, subject, key)
            rows = session.execute(
                select(NoteRow.id, NoteRow.time, NoteRow.text)
                .where(_COLUMN[subject] == number)
                .order_by(NoteRow.time, NoteRow.id)
            ).all()
        return tuple(NoteRecord(row[0], subject, key, row[1], row[2]) for row in rows)

    def delete_note(self, note_id: int) -> None:
        """Remove a note; BookError if it is not there."""
        with self._writing() as session:
            row = session.get(NoteRow, note_id)
            if row is None:
                raise missing("note", note_id)
            session.delete(row)


def _subject_id(session: Session, subject: NoteSubject, key: int | str) -> int:
    """Find the row a note is on; raises BookError if it is not there."""
    match subject:
        case NoteSubject.GLASS:
            query = select(GlassRow.id).where(GlassRow.name == key)
        case NoteSubject.POT:
            query = select(PotRow.id).where(PotRow.name == key)
        case NoteSubject.LEHR | NoteSubject.FURNACE:
            query = select(EquipmentRow.id).where(
                EquipmentRow.kind == subject.value, EquipmentRow.name == key
            )
        case NoteSubject.LOAD:
            query = select(LoadRow.id).where(LoadRow.id == key)
        case NoteSubject.PLAN:
            query = select(PlanRow.id).where(PlanRow.id == key)
        case NoteSubject.RUN:
            query = select(RunRow.id).where(RunRow.id == key)
    number = session.scalar(query)
    if number is None:
        raise missing(subject.value, key)
    return number
