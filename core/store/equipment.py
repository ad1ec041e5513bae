"""The book's lehrs and furnaces."""

from __future__ import annotations

import json

from sqlalchemy import select

from core.equipment.lehr import Lehr
from core.errors import FurnaceError
from core.store.models import EquipmentRow, RunRow
from core.store.pages import Pages, equipment_row, in_use, missing
from core.store.records import lehr_from_json, lehr_to_json


class EquipmentPages(Pages):
    """Lehrs and furnaces, each known by its name."""

    def save_lehr(self, lehr: Lehr) -> None:
        """Enter a lehr, or replace the one of the same name; loads keep theirs as it was."""
        settings = lehr_to_json(lehr)
        with self._writing() as session:
            row = equipment_row(session, "lehr", lehr.name)
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

    def save_furnace(self, name: str) -> None:
        """Enter a furnace, unless it is there already."""
        if not name.strip():
            raise FurnaceError("The furnace has no name.", field="name", remedy="Give it one.")
        with self._writing() as session:
            if equipment_row(session, "furnace", name) is None:
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
