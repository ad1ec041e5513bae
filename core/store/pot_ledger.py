"""The book's pot ledgers besides charges, shapes of pots, and which glass materials make."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from core.furnace.charged_glass import ChargedGlass
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import LevelSeen, NewPot, Removal, Taken, plain_name
from core.melt.pot_vessel import PotVessel
from core.store.base import as_utc
from core.store.furnace import pot_row
from core.store.furnace_entries import ChargedGlassRecord, PotEntryRecord
from core.store.models import PotRow
from core.store.models_pot import ChargedGlassRow, PotEntryRow
from core.store.pages import Pages, furnace_row, missing
from core.store.snapshot import read_snapshot, write_snapshot

_LEVEL, _NEW = "level", "new pot"


class PotLedgerPages(Pages):
    """Entries and answers by number; shapes by their pot's name."""

    def add_pot_entry(self, entry: PotEntry) -> PotEntryRecord:
        """Enter what happened to a pot; on the disk when this returns. Times come back in UTC."""
        with self._writing() as session:
            row = PotEntryRow()
            _fill(session, row, entry)
            session.add(row)
            session.flush()
            return PotEntryRecord(row.id, _entry(row, entry.pot))

    def change_pot_entry(self, entry_id: int, entry: PotEntry) -> PotEntryRecord:
        """Correct an entry; BookError if it is not there."""
        with self._writing() as session:
            row = _entry_row(session, entry_id)
            _fill(session, row, entry)
            session.flush()
            return PotEntryRecord(row.id, _entry(row, entry.pot))

    def delete_pot_entry(self, entry_id: int) -> None:
        """Remove an entry made by mistake; BookError if it is not there."""
        with self._writing() as session:
            session.delete(_entry_row(session, entry_id))

    def pot_entries(
        self,
        *,
        furnace: str | None = None,
        pot: str | None = None,
        since: datetime | None = None,
    ) -> tuple[PotEntryRecord, ...]:
        """Entries in order of time, of all pots, of a furnace's or of one; from a time on."""
        query = (
            select(PotEntryRow, PotRow.name)
            .join(PotRow, PotRow.id == PotEntryRow.pot_id)
            .order_by(PotEntryRow.time, PotEntryRow.id)
        )
        with self._reading() as session:
            if furnace is not None:
                query = query.where(PotRow.equipment_id == furnace_row(session, furnace).id)
            if pot is not None:
                query = query.where(PotEntryRow.pot_id == pot_row(session, pot).id)
            if since is not None:
                query = query.where(PotEntryRow.time >= as_utc(since, "since"))
            return tuple(
                PotEntryRecord(row.id, _entry(row, name)) for row, name in session.execute(query)
            )

    def save_pot_shape(self, pot: str, vessel: PotVessel | None) -> None:
        """Keep the shape of a pot, or forget it; BookError if there is no such pot."""
        text = None if vessel is None else write_snapshot("pot shape", vessel)
        with self._writing() as session:
            pot_row(session, pot).shape = text

    def pot_shape(self, pot: str) -> PotVessel | None:
        """Return the shape of a pot, ``None`` if it was not entered."""
        with self._reading() as session:
            text = pot_row(session, pot).shape
        return None if text is None else read_snapshot("pot shape", text, PotVessel)

    def save_charged_glass(self, answer: ChargedGlass) -> ChargedGlassRecord:
        """Say which glass a material makes; replaces what was said of the same pot and time.

        Raises
        ------
        BookError
            Its pot is not in the book.
        """
        text = write_snapshot("charged glass", replace(answer, pot=""))
        folded = plain_name(answer.material)
        since = None if answer.since is None else as_utc(answer.since, "since")
        with self._writing() as session:
            pot_id = pot_row(session, answer.pot).id if answer.pot else None
            row = session.scalar(
                select(ChargedGlassRow).where(
                    ChargedGlassRow.folded == folded,
                    ChargedGlassRow.pot_id.is_not_distinct_from(pot_id),
                    ChargedGlassRow.since.is_not_distinct_from(since),
                )
            )
            if row is None:
                row = ChargedGlassRow(folded=folded, pot_id=pot_id, since=since)
                session.add(row)
            row.snapshot = text
            session.flush()
            return ChargedGlassRecord(row.id, replace(answer, since=since))

    def charged_glasses(self) -> tuple[ChargedGlassRecord, ...]:
        """Everything said of what materials make, by material, then as it was entered."""
        with self._reading() as session:
            rows = session.execute(
                select(ChargedGlassRow.id, ChargedGlassRow.snapshot, PotRow.name)
                .outerjoin(PotRow, PotRow.id == ChargedGlassRow.pot_id)
                .order_by(ChargedGlassRow.folded, ChargedGlassRow.id)
            ).all()
        return tuple(
            ChargedGlassRecord(
                number,
                replace(read_snapshot("charged glass", text, ChargedGlass), pot=pot or ""),
            )
            for number, text, pot in rows
        )

    def delete_charged_glass(self, answer_id: int) -> None:
        """Forget what was said of a material; BookError if it is not there."""
        with self._writing() as session:
            row = session.get(ChargedGlassRow, answer_id)
            if row is None:
                raise missing("answer", answer_id)
            session.delete(row)


def _entry_row(session: Session, entry_id: int) -> PotEntryRow:
    row = session.get(PotEntryRow, entry_id)
    if row is None:
        raise missing("pot entry", entry_id)
    return row


def _fill(session: Session, row: PotEntryRow, entry: PotEntry) -> None:
    event = entry.event
    row.pot_id = pot_row(session, entry.pot).id
    row.time, row.note = as_utc(event.time), entry.note
    row.mass_kg = row.error_kg = None
    if isinstance(event, NewPot):
        row.kind = _NEW
        return
    row.kind = _LEVEL if isinstance(event, LevelSeen) else event.how.value
    row.mass_kg, row.error_kg = event.mass, event.error


def _entry(row: PotEntryRow, pot: str) -> PotEntry:
    if row.mass_kg is None or row.error_kg is None:
        return PotEntry(pot, NewPot(row.time), row.note)
    if row.kind == _LEVEL:
        return PotEntry(pot, LevelSeen(row.time, row.mass_kg, row.error_kg), row.note)
    taken = Taken(row.time, row.mass_kg, row.error_kg, Removal(row.kind))
    return PotEntry(pot, taken, row.note)
