"""The book's glasses and lehrs."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import select

from core.equipment.lehr import Lehr
from core.glass.glass import Glass
from core.store.models import EquipmentRow, GlassRow, RunRow
from core.store.pages import Pages, equipment_row, in_use, missing
from core.store.records import glass_from_json, glass_to_json, lehr_from_json, lehr_to_json


class GlassPages(Pages):
    """Glasses and lehrs, each known by its name."""

    def save_glass(self, glass: Glass) -> None:
        """Enter a glass, or replace the one of the same name; loads keep theirs as it was."""
        snapshot = glass_to_json(glass)
        now = datetime.now(UTC)
        with self._writing() as session:
            row = session.scalar(select(GlassRow).where(GlassRow.name == glass.name))
            if row is None:
                session.add(GlassRow(name=glass.name, snapshot=snapshot, saved_at=now))
            else:
                row.snapshot, row.saved_at = snapshot, now

    def glasses(self) -> tuple[Glass, ...]:
        """All glasses by name."""
        with self._reading() as session:
            texts = session.scalars(select(GlassRow.snapshot).order_by(GlassRow.name)).all()
        return tuple(glass_from_json(text) for text in texts)

    def delete_glass(self, name: str) -> None:
        """Remove a glass and the notes on it; loads keep their copy. BookError if not there."""
        with self._writing() as session:
            row = session.scalar(select(GlassRow).where(GlassRow.name == name))
            if row is None:
                raise missing("glass", name)
            session.delete(row)

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
