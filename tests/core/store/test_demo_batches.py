"""The invented studio's shelf and batches."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from core.batch.stock import stock_after
from core.glass.library import shipped_glasses
from core.store.book import Book
from core.store.demo_batch import fill_demo_batches


@pytest.mark.parametrize(
    "now", [datetime(2026, 11, 25, 0, 1, tzinfo=UTC), datetime(2026, 11, 25, 17, 0, tzinfo=UTC)]
)
def test_its_batches_can_be_weighed_from_its_shelf(book: Book, now: datetime) -> None:
    book.save_glass(shipped_glasses()["harbour clear"])
    fill_demo_batches(book, now)
    kept = book.batches()
    assert [record.name for record in kept] == ["deck prism blue", "harbour clear, Monday's pot"]
    assert book.currency() == "EUR"
    for record in kept:
        assert record.made_at < now
        assert stock_after(book.materials(), record.batch)
        assert set(record.batch.unpriced) <= {"own trimmings"}
        # As near as the invented sand's iron lets it be.
        for one in record.batch.oxides:
            assert abs(one.difference) < 0.1, one.oxide
