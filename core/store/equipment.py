"""The book's lehrs and furnaces."""

from __future__ import annotations

import json

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from core.equipment.lehr import Lehr
from core.errors import BookError, FurnaceError
from core.store.models import EquipmentRow, PotRow, ReadingRow, RunRow
from core.store.pages import Pages, equipment_row, furnace_row, in_use, missing
from core.store.records import lehr_from_json, lehr_to_json


class EquipmentPages(Pages):
    """Lehrs and furnaces, each known by its name."""

    def save_lehr(self, lehr: Lehr, *, renamed_from: str | None = None) -> None:
        """Enter a lehr, or replace the one of the same name; loads keep theirs as it was.

        Parameters
        ----------
        lehr : Lehr
        renamed_from : str, optional
            Name it had until now; its runs and notes stay with it.

        Raises
        ------
        BookError
            There is no lehr of the earlier name, or another one of the new name.
        """
        settings = lehr_to_json(lehr)
        with self._writing() as session:
            row = _renamed(session, "lehr", lehr.name, renamed_from)
            if row is None:
                session.add(EquipmentRow(kind="lehr", name=lehr.name, settings=settings))
            else:
                row.settings = settings

    def lehrs(self) -> tuple[Lehr, ...]:
        """All lehrs by name."""
        with self._reading() as session:
            texts = session.scalars(
                select(EquipmentRow.settings)
                .where(EquipmentRow.kind == "lehr")
                .order_by(EquipmentRow.name)
            ).all()
        return tuple(lehr_from_json(text) for text in texts)

    def delete_lehr(self, name: str) -> None:
        """Remove a lehr and the notes on it; BookError if runs were made in it."""
        with self._writing() as session:
            row = equipment_row(session, "lehr", name)
            if row is None:
                raise missing("lehr", name)
            if session.scalar(select(RunRow.id).where(RunRow.equipment_id == row.id).limit(1)):
                raise in_use("lehr", name, "runs were made in it")
            session.delete(row)

    def save_furnace(self, name: str, *, renamed_from: str | None = None) -> None:
        """Enter a furnace, unless it is there already; or give one another name.

        Raises
        ------
        FurnaceError
            It has no name.
        BookError
            There is no furnace of the earlier name, or another one of the new name.
        """
        if not name.strip():
            raise FurnaceError("The furnace has no name.", field="name", remedy="Give it one.")
        with self._writing() as session:
            if _renamed(session, "furnace", name, renamed_from) is None:
                settings = json.dumps({"format_version": 1, "kind": "furnace"})
                session.add(EquipmentRow(kind="furnace", name=name, settings=settings))

    def furnaces(self) -> tuple[str, ...]:
        """Names of all furnaces."""
        with self._reading() as session:
            return tuple(
                session.scalars(
                    select(EquipmentRow.name)
                    .where(EquipmentRow.kind == "furnace")
                    .order_by(EquipmentRow.name)
                )
            )

    def delete_furnace(self, name: str) -> None:
        """Remove a furnace and the notes on it; BookError if it has pots or temperatures."""
        with self._writing() as session:
            row = furnace_row(session, name)
            if session.scalar(select(exists().where(PotRow.equipment_id == row.id))):
                raise BookError(
                    f"The furnace “{name}” cannot be removed: it has pots.",
                    field="furnace",
                    remedy="Remove its pots first.",
                )
            if session.scalar(select(exists().where(ReadingRow.equipment_id == row.id))):
                raise in_use("furnace", name, "temperatures of it were written down")
            session.delete(row)


def _renamed(session: Session, kind: str, name: str, before: str | None) -> EquipmentRow | None:
    """Find the row of that name, giving it the name first if it had another before."""
    if before is None or before == name:
        return equipment_row(session, kind, name)
    row = equipment_row(session, kind, before)
    if row is None:
        raise missing(kind, before)
    if equipment_row(session, kind, name) is not None:
        raise BookError(
            f"There is another {kind} called “{name}”.", field="name", remedy="Choose another name."
        )
    row.name = name
    return row
