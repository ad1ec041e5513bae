"""The book's glasses."""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import select

from core.glass.glass import Glass
from core.store.models import GlassRow
from core.store.pages import Pages, missing
from core.store.records import glass_from_json, glass_to_json


class GlassPages(Pages):
    """Glasses, each known by its name."""

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
