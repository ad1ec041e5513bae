"""The book's batch sheets."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from sqlalchemy import select

from core.batch.batch import Batch
from core.errors import BookError
from core.store.base import as_utc
from core.store.furnace_entries import BatchSheetRecord
from core.store.models_pot import BatchSheetRow
from core.store.pages import Pages, missing
from core.store.snapshot import read_snapshot, write_snapshot


class BatchSheetPages(Pages):
    """Batches as they were reckoned, each known by its number."""

    def save_batch(
        self, batch: Batch, *, name: str | None = None, made_at: datetime | None = None
    ) -> BatchSheetRecord:
        """Keep a batch with its request; the materials and prices of the day stay with it.

        Parameters
        ----------
        batch : Batch
        name : str, optional
            Default: that of the request.
        made_at : datetime, optional
            Aware; default now.
        """
        called = (batch.request.name if name is None else name).strip()
        if not called:
            raise BookError("The sheet has no name.", field="name", remedy="Give it one.")
        # The properties follow from the analyses, and are arrays and curves.
        kept = replace(batch, target_properties=None, base_properties=None, glass_properties=None)
        text = write_snapshot("batch", kept)
        moment = datetime.now(UTC) if made_at is None else as_utc(made_at, "made_at")
        with self._writing() as session:
            row = BatchSheetRow(
                name=called, made_at=moment, glass_kg=batch.balance.glass, snapshot=text
            )
            session.add(row)
            session.flush()
            return BatchSheetRecord(row.id, called, moment, row.glass_kg, kept)

    def batches(self) -> tuple[BatchSheetRecord, ...]:
        """All batches kept, the last made first."""
        with self._reading() as session:
            rows = session.execute(
                select(
                    BatchSheetRow.id,
                    BatchSheetRow.name,
                    BatchSheetRow.made_at,
                    BatchSheetRow.glass_kg,
                    BatchSheetRow.snapshot,
                ).order_by(BatchSheetRow.made_at.desc(), BatchSheetRow.id.desc())
            ).all()
        return tuple(
            BatchSheetRecord(number, name, made, glass, read_snapshot("batch", text, Batch))
            for number, name, made, glass, text in rows
        )

    def batch(self, batch_id: int) -> BatchSheetRecord:
        """Return one batch; BookError if it is not there."""
        with self._reading() as session:
            row = session.get(BatchSheetRow, batch_id)
            if row is None:
                raise missing("batch", batch_id)
            found = (row.id, row.name, row.made_at, row.glass_kg)
            text = row.snapshot
        return BatchSheetRecord(*found, read_snapshot("batch", text, Batch))

    def delete_batch(self, batch_id: int) -> None:
        """Remove a batch; BookError if it is not there."""
        with self._writing() as session:
            row = session.get(BatchSheetRow, batch_id)
            if row is None:
                raise missing("batch", batch_id)
            session.delete(row)
