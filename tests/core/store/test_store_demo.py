"""The invented studio fills a new book at any hour of the day."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from core.errors import BookError
from core.store.book import Book, NoteSubject
from core.store.demo import fill_demo
from core.store.demo_nights import NIGHTS

LISBON = ZoneInfo("Europe/Lisbon")


@pytest.mark.parametrize(
    "now",
    [
        datetime(2026, 11, 25, 10, 20, tzinfo=LISBON),
        datetime(2026, 11, 25, 0, 1, tzinfo=UTC),
        datetime(2026, 3, 28, 23, 59, tzinfo=LISBON),  # summer time begins that night
        datetime(2026, 10, 25, 1, 30, fold=1, tzinfo=LISBON),  # the hour that comes twice
    ],
)
def test_the_demo(book: Book, now: datetime) -> None:
    fill_demo(book, now)
    latest = book.latest_load()
    assert latest is not None
    assert [(piece.name, piece.count) for piece in latest.load.pieces] == [
        ("Ship's decanter", 6),
        ("Fishing float", 8),
        ("Deck prism", 2),
        ("Lamp chimney", 12),
    ]
    assert latest.load.button_time > now
    assert latest.load.out_by is not None
    assert latest.load.out_by > latest.load.button_time
    assert [lehr.cooling_time_constant / 3600 for lehr in book.lehrs()] == [3.0, 2.0]
    assert len(book.glasses()) == 3

    run, *earlier = book.runs()
    assert run.finished
    assert [record.lehr_name for record in earlier] == ["Big lehr"] * len(NIGHTS)
    assert all(record.finished and record.reading_count > 300 for record in earlier)
    assert run.finished_at is not None
    assert run.finished_at <= now
    plan, readings = book.plan(run.plan_id), book.readings(run.id)
    assert plan.start.timestamp() == readings.time[0]
    assert abs(readings.time[-1] - plan.ready_at.timestamp()) <= 120
    assert book.notes(NoteSubject.RUN, run.id)
    assert all(
        plan.start <= record.event.time <= plan.ready_at for record in book.run_events(run.id)
    )
    found = [record.outcome for record in book.outcomes(run.id)]
    assert sum(outcome.count for outcome in found) == 20  # every piece of the night

    (furnace,) = book.furnaces()
    assert len(book.pots(furnace)) == 2
    charges = book.charges(furnace=furnace)
    temperatures = book.furnace_readings(furnace)
    for time in (charges[-1].charge.time, temperatures[-1].time):
        assert now - timedelta(days=2) < time <= now
    assert now - timedelta(days=4) < temperatures[0].time < now - timedelta(days=2)
    entries = book.pot_entries(furnace=furnace)
    assert now - timedelta(days=13) < entries[0].entry.time < charges[0].charge.time
    assert entries[-1].entry.time <= now


def test_the_demo_does_not_mix_with_real_entries(book: Book) -> None:
    book.save_furnace("mine")
    with pytest.raises(BookError, match="not empty"):
        fill_demo(book, datetime(2026, 11, 25, 10, 20, tzinfo=UTC))
    assert book.glasses() == ()


def test_the_demo_wants_a_zone(book: Book) -> None:
    with pytest.raises(BookError):
        fill_demo(book, datetime(2026, 11, 25, 10, 20))  # noqa: DTZ001
