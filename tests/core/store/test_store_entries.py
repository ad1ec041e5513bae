"""Glasses, equipment, loads, plans, furnace entries and notes in the book."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest

from core.equipment.lehr import Lehr
from core.errors import BookError, FurnaceError
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.glass.glass import Glass
from core.load.load import Load
from core.piece.piece import Piece, Shape
from core.plan.plan import Plan
from core.store.book import Book, NoteSubject

SUMMER = timezone(timedelta(hours=1))


@pytest.fixture
def furnace(book: Book) -> str:
    book.save_furnace("shore furnace")
    book.save_pot(Pot("left pot", "shore furnace", 60.0))
    book.save_pot(Pot("right pot", "shore furnace"))
    return "shore furnace"


def test_a_new_book_is_empty(book: Book) -> None:
    assert book.glasses() == book.lehrs() == book.loads() == book.runs() == ()
    assert book.furnaces() == book.pots() == book.charges() == ()
    assert book.latest_load() is None


def test_a_glass_is_replaced_by_its_name(book: Book, glass: Glass) -> None:
    book.save_glass(glass)
    book.save_glass(replace(glass, name="Another"))
    changed = replace(glass, note="remelted")
    book.save_glass(changed)
    assert book.glasses() == (replace(glass, name="Another"), changed)
    book.delete_glass("Another")
    assert book.glasses() == (changed,)
    with pytest.raises(BookError, match="Another"):
        book.delete_glass("Another")


def test_a_load_keeps_its_glass_and_lehr_as_they_were(
    book: Book, load: Load, glass: Glass, lehr: Lehr
) -> None:
    book.save_glass(glass)
    book.save_lehr(lehr)
    number = book.save_load(load)
    book.save_lehr(replace(lehr, thermocouple_offset=9.0))
    book.delete_glass(glass.name)
    assert book.load(number) == load
    book.delete_lehr(lehr.name)
    assert book.load(number) == load


def test_a_lehr_with_runs_stays(book: Book, run_id: int, lehr: Lehr) -> None:
    with pytest.raises(BookError, match="runs were made in it"):
        book.delete_lehr(lehr.name)
    assert book.lehrs() == (lehr,)


def test_the_latest_load_is_the_one_saved_last(book: Book, load: Load, evening: datetime) -> None:
    old = book.save_load(load, saved_at=evening - timedelta(days=1))
    new = book.save_load(replace(load, name="new"), saved_at=evening)
    latest = book.latest_load()
    assert latest is not None
    assert (latest.id, latest.load.name, latest.saved_at) == (new, "new", evening)
    assert [record.id for record in book.loads()] == [new, old]


def test_a_load_in_the_making_is_replaced_until_a_plan_stands_on_it(
    book: Book, load: Load, plan: Plan
) -> None:
    number = book.save_load(load)
    fewer = replace(load, name="fewer", pieces=load.pieces[:1])
    assert book.save_load(fewer, replacing=number) == number
    assert book.load(number) == fewer
    book.save_plan(plan, number)
    other = book.save_load(load, replacing=number)
    assert other != number
    assert book.load(number) == fewer
    assert book.load(other) == load
    with pytest.raises(BookError):
        book.save_load(load, replacing=999)


def test_pieces_stand_in_the_book_in_order(book: Book, load: Load, glass: Glass) -> None:
    book.save_glass(glass)
    number = book.save_load(load)
    with closing(sqlite3.connect(book.path)) as file:
        rows = file.execute(
            "SELECT pieces.name, count, shape, base_thickness_m, diameter_m, glasses.name"
            " FROM pieces LEFT JOIN glasses ON glasses.id = glass_id"
            " WHERE load_id = ? ORDER BY position",
            (number,),
        ).fetchall()
    assert rows == [
        ("decanter", 6, "vessel", 0.022, None, glass.name),
        ("deck prism", 2, "cylinder", None, 0.06, glass.name),
    ]


def test_plans_of_a_load(book: Book, load: Load, plan: Plan, evening: datetime) -> None:
    number = book.save_load(load)
    first = book.save_plan(plan, number, made_at=evening)
    second = book.save_plan(replace(plan, warnings=()), number, made_at=evening)
    book.start_run(first, evening)
    assert [(p.id, p.in_use, p.load_id) for p in book.plans(number)] == [
        (second, False, number),
        (first, True, number),
    ]
    assert book.plan(first) == plan
    book.replace_plan(second, plan)
    assert book.plan(second) == plan
    book.delete_plan(second)
    with pytest.raises(BookError):
        book.plan(second)
    with pytest.raises(BookError):
        book.save_plan(plan, 999)


def test_an_unused_load_goes_with_its_plans(book: Book, load: Load, plan: Plan) -> None:
    number = book.save_load(load)
    plan_number = book.save_plan(plan, number)
    book.delete_load(number)
    for ask in (lambda: book.load(number), lambda: book.plan(plan_number)):
        with pytest.raises(BookError):
            ask()


def test_pots(book: Book, furnace: str) -> None:
    book.save_furnace(furnace)
    book.save_furnace("barn furnace")
    assert book.furnaces() == ("barn furnace", furnace)
    book.save_pot(Pot("right pot", furnace, 25.0))
    assert book.pots(furnace) == (
        Pot("left pot", furnace, 60.0),
        Pot("right pot", furnace, 25.0),
    )
    assert book.pots("barn furnace") == ()
    with pytest.raises(BookError) as caught:
        book.save_pot(Pot("left pot", "barn furnace"))
    assert caught.value.field == "name"
    with pytest.raises(BookError):
        book.save_pot(Pot("third pot", "no such furnace"))
    with pytest.raises(FurnaceError):
        book.save_furnace("  ")
    assert len(book.pots()) == 2


def test_charges_come_back_in_utc_and_in_order(book: Book, furnace: str, evening: datetime) -> None:
    local = evening.astimezone(SUMMER)
    later = book.add_charge(Charge(local, "left pot", "batch", 12.5, "damp"))
    first = book.add_charge(Charge(evening - timedelta(days=2), "left pot", "cullet", 30.0))
    other = book.add_charge(Charge(evening, "right pot", "cullet", 4.0))
    assert later.charge == Charge(evening, "left pot", "batch", 12.5, "damp")
    assert later.charge.time.tzinfo is UTC
    assert book.charges() == (first, later, other)
    assert book.charges(pot="left pot") == (first, later)
    assert book.charges(furnace=furnace, since=local) == (later, other)
    assert book.charges(pot="right pot", since=evening + timedelta(seconds=1)) == ()
    book.delete_charge(later.id)
    assert book.charges() == (first, other)
    with pytest.raises(BookError):
        book.delete_charge(later.id)
    with pytest.raises(BookError, match="middle pot"):
        book.add_charge(Charge(evening, "middle pot", "cullet", 4.0))
    with pytest.raises(BookError):
        book.charges(pot="middle pot")
    with pytest.raises(BookError, match="it was charged"):
        book.delete_pot("left pot")
    book.delete_charge(other.id)
    book.delete_pot("right pot")
    assert book.pots() == (Pot("left pot", furnace, 60.0),)


def test_furnace_temperatures(book: Book, furnace: str, evening: datetime) -> None:
    hot = FurnaceReading(evening, furnace, 1400.5, "after charging")
    book.add_furnace_reading(hot)
    book.add_furnace_reading(FurnaceReading(evening - timedelta(hours=3), furnace, 1390.0))
    assert [r.temperature for r in book.furnace_readings(furnace)] == [1390.0, 1400.5]
    assert book.furnace_readings(furnace, evening.astimezone(SUMMER)) == (hot,)
    with pytest.raises(FurnaceError) as caught:
        book.add_furnace_reading(replace(hot, temperature=1300.0))
    assert caught.value.field == "time"
    book.delete_furnace_reading(furnace, evening)
    assert book.furnace_readings(furnace, evening) == ()
    with pytest.raises(BookError):
        book.delete_furnace_reading(furnace, evening)
    with pytest.raises(BookError):
        book.furnace_readings("no such furnace")


def test_notes_are_on_one_thing_and_go_with_it(
    book: Book, run_id: int, furnace: str, lehr: Lehr, glass: Glass, evening: datetime
) -> None:
    book.save_glass(glass)
    record = book.run(run_id)
    keys: dict[NoteSubject, int | str] = {
        NoteSubject.GLASS: glass.name,
        NoteSubject.LEHR: lehr.name,
        NoteSubject.FURNACE: furnace,
        NoteSubject.POT: "left pot",
        NoteSubject.LOAD: record.load_id,
        NoteSubject.PLAN: record.plan_id,
        NoteSubject.RUN: run_id,
    }
    assert set(keys) == set(NoteSubject)
    for subject, key in keys.items():
        later = book.add_note(subject, key, evening, f"second on {subject}")
        first = book.add_note(subject, key, evening - timedelta(hours=1), "first")
        assert book.notes(subject, key) == (first, later)
    book.delete_note(book.notes(NoteSubject.POT, "left pot")[0].id)
    assert [note.text for note in book.notes(NoteSubject.POT, "left pot")] == ["second on pot"]
    book.delete_glass(glass.name)
    book.save_glass(glass)
    assert book.notes(NoteSubject.GLASS, glass.name) == ()
    assert len(book.notes(NoteSubject.RUN, run_id)) == 2


def test_notes_that_cannot_be(book: Book, evening: datetime) -> None:
    with pytest.raises(BookError, match="no run number 5"):
        book.add_note(NoteSubject.RUN, 5, evening, "x")
    with pytest.raises(BookError) as caught:
        book.add_note(NoteSubject.RUN, 5, evening, " ")
    assert caught.value.field == "text"
    with pytest.raises(BookError):
        book.delete_note(5)


def test_what_sqlite_cannot_hold_is_a_plain_error(book: Book, load: Load, glass: Glass) -> None:
    huge = Piece("float", 1, Shape.PLATE, glass.name, 0.003)
    object.__setattr__(huge, "count", 10**30)  # past the piece's own check
    with pytest.raises(BookError, match="too large"):
        book.save_load(replace(load, pieces=(huge,)))
    with pytest.raises(BookError, match="broken characters"):
        book.save_glass(replace(glass, name="half \ud83d emoji"))
    assert book.loads() == book.glasses() == ()


def test_a_closed_book_says_so(tmp_path: Path) -> None:
    with Book.open(tmp_path / "b.sqlite") as book:
        pass
    with pytest.raises(BookError, match="closed"):
        book.runs()
