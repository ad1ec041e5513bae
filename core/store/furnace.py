"""The book's pots, charges and furnace temperatures."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Row, Select, exists, select
from sqlalchemy.orm import Session

from core.errors import BookError, FurnaceError
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.store.base import as_utc
from core.store.entries import ChargeRecord
from core.store.models import ChargeRow, EquipmentRow, PotRow, ReadingRow
from core.store.models_pot import PlannedChargeRow, PotEntryRow
from core.store.pages import Pages, furnace_row, in_use, missing


class FurnacePages(Pages):
    """Pots by name; charges by number; temperatures by their furnace and time."""

    def save_pot(self, pot: Pot, *, renamed_from: str | None = None) -> None:
        """Enter a pot, or change its capacity or name.

        Parameters
        ----------
        pot : Pot
        renamed_from : str, optional
            Name it had until now; its charges and notes stay with it.

        Raises
        ------
        BookError
            Its furnace is not in the book, or another pot has that name: a charge names only its
            pot, so pots' names must differ throughout the studio.
        """
        with self._writing() as session:
            furnace = furnace_row(session, pot.furnace)
            row = session.scalar(select(PotRow).where(PotRow.name == pot.name))
            if renamed_from is not None and renamed_from != pot.name:
                if row is not None:
                    raise BookError(
                        f"There is another pot called “{pot.name}”.",
                        field="name",
                        remedy="Choose another name.",
                    )
                row = pot_row(session, renamed_from)
                row.name = pot.name
            if row is None:
                session.add(
                    PotRow(equipment_id=furnace.id, name=pot.name, capacity_kg=pot.capacity)
                )
            elif row.equipment_id != furnace.id:
                raise BookError(
                    f"Another furnace has a pot called “{pot.name}”.",
                    field="name",
                    remedy="Give this one another name, such as one with its furnace in it.",
                )
            else:
                row.capacity_kg = pot.capacity

    def pots(self, furnace: str | None = None) -> tuple[Pot, ...]:
        """All pots, or those of one furnace, by name."""
        query = (
            select(PotRow.name, EquipmentRow.name, PotRow.capacity_kg)
            .join(EquipmentRow, EquipmentRow.id == PotRow.equipment_id)
            .order_by(EquipmentRow.name, PotRow.name)
        )
        with self._reading() as session:
            if furnace is not None:
                query = query.where(PotRow.equipment_id == furnace_row(session, furnace).id)
            return tuple(Pot(*row) for row in session.execute(query))

    def delete_pot(self, name: str) -> None:
        """Remove a pot and the notes on it; BookError once its ledger has entries."""
        with self._writing() as session:
            row = pot_row(session, name)
            if session.scalar(select(exists().where(ChargeRow.pot_id == row.id))):
                raise in_use("pot", name, "it was charged")
            if session.scalar(select(exists().where(PotEntryRow.pot_id == row.id))):
                raise in_use("pot", name, "its ledger has entries")
            if session.scalar(select(exists().where(PlannedChargeRow.pot_id == row.id))):
                raise BookError(
                    f"The pot “{name}” cannot be removed: charges are planned for it.",
                    field="pot",
                    remedy="Remove the list of charges first.",
                )
            session.delete(row)

    def add_charge(self, charge: Charge) -> ChargeRecord:
        """Enter a charge; it is on the disk when this returns. Its time comes back in UTC."""
        with self._writing() as session:
            row = charge_row_of(session, charge)
            session.add(row)
            session.flush()
            found = session.execute(_charge_columns().where(ChargeRow.id == row.id)).one()
            return _charge(found)

    def change_charge(self, charge_id: int, charge: Charge) -> ChargeRecord:
        """Correct a charge; BookError if it or its pot is not there."""
        with self._writing() as session:
            row = _charge_row(session, charge_id)
            row.pot_id = pot_row(session, charge.pot).id
            row.time, row.material = charge.time, charge.material
            row.mass_kg, row.note = charge.mass, charge.note
            session.flush()
            return _charge(session.execute(_charge_columns().where(ChargeRow.id == row.id)).one())

    def charges(
        self,
        *,
        furnace: str | None = None,
        pot: str | None = None,
        since: datetime | None = None,
    ) -> tuple[ChargeRecord, ...]:
        """Charges in order of time.

        Parameters
        ----------
        furnace, pot : str, optional
            Only those of this furnace or pot.
        since : datetime, optional
            Aware; only those at this time or later.
        """
        query = _charge_columns().order_by(ChargeRow.time, ChargeRow.id)
        with self._reading() as session:
            if furnace is not None:
                query = query.where(PotRow.equipment_id == furnace_row(session, furnace).id)
            if pot is not None:
                query = query.where(ChargeRow.pot_id == pot_row(session, pot).id)
            if since is not None:
                query = query.where(ChargeRow.time >= as_utc(since, "since"))
            return tuple(_charge(row) for row in session.execute(query))

    def delete_charge(self, charge_id: int) -> None:
        """Remove a charge entered by mistake; BookError if it is not there."""
        with self._writing() as session:
            session.delete(_charge_row(session, charge_id))

    def add_furnace_reading(self, reading: FurnaceReading) -> None:
        """Enter a furnace temperature; it is on the disk when this returns.

        Raises
        ------
        FurnaceError
            There is one at that time already.
        """
        with self._writing() as session:
            furnace = furnace_row(session, reading.furnace)
            if _reading_row(session, furnace.id, reading.time) is not None:
                raise FurnaceError(
                    f"“{reading.furnace}” has a temperature at that time already.",
                    field="time",
                    remedy="Give another time, or remove the earlier one first.",
                )
            session.add(
                ReadingRow(
                    equipment_id=furnace.id,
                    time=reading.time,
                    temperature_k=reading.temperature,
                    source="typed",
                    note=reading.note,
                )
            )

    def furnace_readings(
        self, furnace: str, since: datetime | None = None
    ) -> tuple[FurnaceReading, ...]:
        """Temperatures of a furnace in order of time, all or from an aware time on."""
        with self._reading() as session:
            query = (
                select(ReadingRow.time, ReadingRow.temperature_k, ReadingRow.note)
                .where(
                    ReadingRow.equipment_id == furnace_row(session, furnace).id,
                    ReadingRow.run_id.is_(None),
                )
                .order_by(ReadingRow.time)
            )
            if since is not None:
                query = query.where(ReadingRow.time >= as_utc(since, "since"))
            return tuple(
                FurnaceReading(time, furnace, temperature, note)
                for time, temperature, note in session.execute(query)
            )

    def delete_furnace_reading(self, furnace: str, time: datetime) -> None:
        """Remove the temperature at a time; BookError if there is none."""
        moment = as_utc(time)
        with self._writing() as session:
            row = _reading_row(session, furnace_row(session, furnace).id, moment)
            if row is None:
                raise missing("furnace temperature at", f"{moment:%Y-%m-%d %H:%M:%S} UTC")
            session.delete(row)


def pot_row(session: Session, name: str) -> PotRow:
    """Find a pot; raises BookError if it is not there."""
    row = session.scalar(select(PotRow).where(PotRow.name == name))
    if row is None:
        raise missing("pot", name)
    return row


def charge_row_of(session: Session, charge: Charge) -> ChargeRow:
    """A new row of a charge; raises BookError if its pot is not there."""
    return ChargeRow(
        pot_id=pot_row(session, charge.pot).id,
        time=charge.time,
        material=charge.material,
        mass_kg=charge.mass,
        note=charge.note,
    )


def _charge_row(session: Session, charge_id: int) -> ChargeRow:
    row = session.get(ChargeRow, charge_id)
    if row is None:
        raise missing("charge", charge_id)
    return row


def _reading_row(session: Session, equipment_id: int, time: datetime) -> ReadingRow | None:
    return session.scalar(
        select(ReadingRow).where(
            ReadingRow.equipment_id == equipment_id,
            ReadingRow.run_id.is_(None),
            ReadingRow.time == time,
        )
    )


def _charge_columns() -> Select[int, datetime, str, str, float, str]:
    return select(
        ChargeRow.id,
        ChargeRow.time,
        PotRow.name,
        ChargeRow.material,
        ChargeRow.mass_kg,
        ChargeRow.note,
    ).join(PotRow, PotRow.id == ChargeRow.pot_id)


def _charge(row: Row[int, datetime, str, str, float, str]) -> ChargeRecord:
    number, time, pot, material, mass, note = row
    return ChargeRecord(number, Charge(time, pot, material, mass, note))
