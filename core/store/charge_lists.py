"""The book's lists of charges to be made, ticked off as they are."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from core.errors import BookError, FurnaceError
from core.furnace.planned_charge import PlannedCharge
from core.store.base import as_utc
from core.store.furnace import charge_row_of, pot_row
from core.store.furnace_entries import ChargeListRecord, PlannedChargeRecord
from core.store.models import ChargeRow, PotRow
from core.store.models_pot import ChargeListRow, PlannedChargeRow
from core.store.pages import Pages, missing

UNTICK_WITHIN = timedelta(hours=24)
"""How long a tick may be taken back together with its charge."""


class ChargeListPages(Pages):
    """Charge lists and their lines, each known by its number."""

    def save_charge_list(
        self, name: str, planned: Sequence[PlannedCharge], *, made_at: datetime | None = None
    ) -> ChargeListRecord:
        """Enter a list of charges to be made.

        Raises
        ------
        BookError
            It is empty or has no name, or a pot is not in the book.
        """
        if not name.strip():
            raise BookError("The list has no name.", field="name", remedy="Give it one.")
        if not planned:
            raise BookError(
                "The list has no charges.", field="planned", remedy="Plan at least one."
            )
        moment = datetime.now(UTC) if made_at is None else as_utc(made_at, "made_at")
        with self._writing() as session:
            row = ChargeListRow(name=name.strip(), made_at=moment)
            session.add(row)
            session.flush()
            for position, item in enumerate(planned):
                line = PlannedChargeRow(charge_list_id=row.id, position=position)
                _fill(session, line, item)
                session.add(line)
            session.flush()
            return _list(session, row)

    def charge_lists(self) -> tuple[ChargeListRecord, ...]:
        """All lists, the last made first."""
        with self._reading() as session:
            rows = session.scalars(
                select(ChargeListRow).order_by(
                    ChargeListRow.made_at.desc(), ChargeListRow.id.desc()
                )
            ).all()
            return tuple(_list(session, row) for row in rows)

    def charge_list(self, list_id: int) -> ChargeListRecord:
        """Return one list; BookError if it is not there."""
        with self._reading() as session:
            return _list(session, _list_row(session, list_id))

    def delete_charge_list(self, list_id: int) -> None:
        """Remove a list; what was charged stays in the ledger. BookError if it is not there."""
        with self._writing() as session:
            session.delete(_list_row(session, list_id))

    def add_planned_charge(self, list_id: int, planned: PlannedCharge) -> PlannedChargeRecord:
        """Add a line at the end of a list; BookError if the list or the pot is not there."""
        with self._writing() as session:
            _list_row(session, list_id)
            last = session.scalar(
                select(func.max(PlannedChargeRow.position)).where(
                    PlannedChargeRow.charge_list_id == list_id
                )
            )
            line = PlannedChargeRow(
                charge_list_id=list_id, position=0 if last is None else last + 1
            )
            _fill(session, line, planned)
            session.add(line)
            session.flush()
            return _item(line, planned.pot)

    def change_planned_charge(self, item_id: int, planned: PlannedCharge) -> PlannedChargeRecord:
        """Change a line that was not ticked yet; BookError if it is not there or ticked."""
        with self._writing() as session:
            line = _open_line(session, item_id)
            _fill(session, line, planned)
            session.flush()
            return _item(line, planned.pot)

    def delete_planned_charge(self, item_id: int) -> None:
        """Take a line that was not ticked yet off its list; BookError as for changing it."""
        with self._writing() as session:
            session.delete(_open_line(session, item_id))

    def tick_charge(
        self,
        item_id: int,
        time: datetime,
        *,
        mass: float | None = None,
        note: str | None = None,
        ticked_at: datetime | None = None,
    ) -> PlannedChargeRecord:
        """Tick a line off: its charge is entered in the ledger in the same breath.

        Parameters
        ----------
        item_id : int
        time : datetime
            When it was charged; aware.
        mass : float, optional
            What was charged [kg], if not what was planned.
        note : str, optional
            Default: the note of the plan.
        ticked_at : datetime, optional
            Aware; default now.

        Raises
        ------
        BookError
            It is not there, or was ticked off already, as in another window.
        FurnaceError
            An impossible mass.
        """
        moment = datetime.now(UTC) if ticked_at is None else as_utc(ticked_at, "ticked_at")
        with self._writing() as session:
            line = _open_line(session, item_id)
            pot = session.get_one(PotRow, line.pot_id).name
            charge = _planned(line, pot).charged(as_utc(time), mass, note)
            row = charge_row_of(session, charge)
            session.add(row)
            session.flush()
            line.charge_id, line.ticked_at = row.id, moment
            session.flush()
            return _item(line, pot)

    def untick_charge(self, item_id: int, *, now: datetime | None = None) -> PlannedChargeRecord:
        """Take a tick back: its charge leaves the ledger again.

        Raises
        ------
        BookError
            It is not there or not ticked.
        FurnaceError
            It was ticked more than :data:`UNTICK_WITHIN` ago.
        """
        moment = datetime.now(UTC) if now is None else as_utc(now, "now")
        with self._writing() as session:
            line = _line(session, item_id)
            if line.charge_id is None or line.ticked_at is None:
                raise BookError(
                    "This charge is not ticked off.",
                    field="charge",
                    remedy="Look at the list again; another window may have changed it.",
                )
            if moment - line.ticked_at > UNTICK_WITHIN:
                raise FurnaceError(
                    "This charge was ticked off more than a day ago and is part of the ledger.",
                    field="charge",
                    remedy="If it was never made, remove it in the ledger.",
                )
            charge = session.get_one(ChargeRow, line.charge_id)
            line.charge_id = line.ticked_at = None
            session.flush()
            session.delete(charge)
            pot = session.get_one(PotRow, line.pot_id).name
            return _item(line, pot)


def _list_row(session: Session, list_id: int) -> ChargeListRow:
    row = session.get(ChargeListRow, list_id)
    if row is None:
        raise missing("charge list", list_id)
    return row


def _line(session: Session, item_id: int) -> PlannedChargeRow:
    row = session.get(PlannedChargeRow, item_id)
    if row is None:
        raise missing("planned charge", item_id)
    return row


def _open_line(session: Session, item_id: int) -> PlannedChargeRow:
    line = _line(session, item_id)
    if line.charge_id is not None:
        raise BookError(
            "This charge is ticked off already.",
            field="charge",
            remedy="Look at the list again; to change it, take the tick back first.",
        )
    return line


def _fill(session: Session, line: PlannedChargeRow, planned: PlannedCharge) -> None:
    line.pot_id = pot_row(session, planned.pot).id
    line.time, line.material = as_utc(planned.time), planned.material
    line.mass_kg, line.note = planned.mass, planned.note


def _planned(line: PlannedChargeRow, pot: str) -> PlannedCharge:
    return PlannedCharge(line.time, pot, line.material, line.mass_kg, line.note)


def _item(line: PlannedChargeRow, pot: str) -> PlannedChargeRecord:
    ticked = None if line.charge_id is None else line.ticked_at
    return PlannedChargeRecord(line.id, _planned(line, pot), line.charge_id, ticked)


def _list(session: Session, row: ChargeListRow) -> ChargeListRecord:
    lines = session.execute(
        select(PlannedChargeRow, PotRow.name)
        .join(PotRow, PotRow.id == PlannedChargeRow.pot_id)
        .where(PlannedChargeRow.charge_list_id == row.id)
        .order_by(PlannedChargeRow.position)
    )
    items = tuple(_item(line, pot) for line, pot in lines)
    return ChargeListRecord(row.id, row.name, row.made_at, items)
