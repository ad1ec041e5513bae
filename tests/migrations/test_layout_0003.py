"""A book frozen in the layout that brought the pot ledger, events and live sources."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.furnace.pot_events import LevelSeen, NewPot, Removal, Taken
from core.load.gathering import Gathering
from core.run.live_source import SourceKind
from core.run.run_event import EventKind, OutcomeKind
from core.store.book import Book, HitKind

FROZEN = Path(__file__).with_name("layout_0003.sql")
START = datetime(2026, 3, 14, 21, 30, tzinfo=UTC)
HOUR = timedelta(hours=1)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "book.sqlite"
    with closing(sqlite3.connect(path)) as file:
        file.executescript(FROZEN.read_text(encoding="utf-8"))
    return path


@pytest.fixture
def book(path: Path) -> Iterator[Book]:
    with Book.open(path) as opened:
        yield opened


def test_the_furnace_is_all_there(book: Book) -> None:
    sand, soda, chalk = book.materials()
    assert (sand.name, sand.moisture, sand.price, sand.stock) == ("dune sand", 0.03, 0.4, 250.0)
    assert (soda.name, chalk.name, book.currency()) == ("soda ash", "chalk", "EUR")
    shape = book.pot_shape("Left pot")
    assert shape is not None
    assert (shape.top_diameter, shape.bottom_diameter, shape.depth) == (0.4, 0.34, 0.38)
    entries = [record.entry for record in book.pot_entries(pot="Left pot")]
    assert [entry.event for entry in entries] == [
        NewPot(START - HOUR),
        Taken(START + HOUR, 4.5, 0.6),
        Taken(START + 2 * HOUR, 0.5, 0.1, Removal.SKIMMED),
        LevelSeen(START + 3 * HOUR, 6.0, 1.0),
    ]
    assert [entry.note for entry in entries] == ["set in", "two prisms", "", ""]
    batch, cullet = (record.answer for record in book.charged_glasses())
    assert (batch.material, batch.glass, batch.glass_yield) == ("batch", "quay clear", 0.83)
    assert cullet.glass == book.glasses()[0].composition
    assert (cullet.pot, cullet.since) == ("Left pot", START)
    (sheet,) = book.batches()
    assert (sheet.name, sheet.made_at) == ("quay clear", START)
    assert sheet.batch.request.size == 20.0
    assert [line.material for line in sheet.batch.weighings] == ["dune sand", "soda ash", "chalk"]
    (planned,) = book.charge_lists()
    first, second = planned.items
    assert (first.done, first.ticked_at, second.done) == (True, START + 2 * HOUR, False)
    assert (second.planned.mass, second.planned.note) == (4.0, "small")
    assert [record.charge.mass for record in book.charges()] == [12.5, 7.75]


def test_the_night_is_all_there(book: Book) -> None:
    again, before = (record.load for record in book.loads())
    assert before.gathered == {}
    assert again.gathered == {"Deck prism": Gathering("Left pot", START - HOUR)}
    (run,) = book.runs()
    events = [record.event for record in book.run_events(run.id)]
    assert [event.kind for event in events] == [EventKind.DOOR_OPEN, EventKind.PIECES_IN]
    assert (events[0].photos, events[1].piece) == (("pictures/lehr.jpg",), "Deck prism")
    strained, sound = (record.outcome for record in book.outcomes(run.id))
    assert (strained.kind, strained.retardation) == (OutcomeKind.STRAIN_SEEN, 40e-9)
    assert (strained.light_path, strained.grade) == (0.05, "temper 1")
    assert (sound.kind, sound.count) == (OutcomeKind.SOUND, 8)
    remembered = book.log_format_for("night 7.csv")
    assert remembered is not None
    assert (remembered.format.delimiter, remembered.format.decimal_mark) == (";", ",")
    (source,) = book.live_sources()
    assert source.source.kind is SourceKind.MODBUS_TCP
    assert source.source.settings == {
        "host": "127.0.0.1",
        "port": 502,
        "register": 1,
        "scale": 0.1,
    }
    (alarm,) = book.alarms(run.id)
    assert (alarm.kind, alarm.value, alarm.is_open) == ("too cold", -31.0, False)
    assert alarm.acknowledged_at == START + 4.5 * HOUR
    (fit,) = book.fits("Net loft lehr")
    assert (fit.fit.run_id, fit.fit.scatter) == (run.id, 1.2)
    assert fit.fit.parameters[0].value == 4.4 * 3600
    assert {hit.kind for hit in book.search("prism")} >= {HitKind.LOAD, HitKind.OUTCOME}


@pytest.mark.parametrize(
    ("statement", "refusal"),
    [
        ("UPDATE pot_entries SET kind = 'spilt' WHERE kind = 'level'", "kind_known"),
        ("UPDATE pot_entries SET mass_kg = NULL", "mass_if_any"),
        ("UPDATE pot_entries SET mass_kg = -1 WHERE kind = 'level'", "mass_possible"),
        ("UPDATE pot_entries SET error_kg = -1 WHERE kind = 'level'", "error_possible"),
        ("UPDATE outcomes SET kind = 'lost'", "kind_known"),
        ("UPDATE outcomes SET count = 0", "count_at_least_one"),
        ("UPDATE outcomes SET retardation_m = -1e-9", "retardation_possible"),
        ("UPDATE outcomes SET light_path_m = 0", "light_path_possible"),
        ("UPDATE alarms SET cleared_at = raised_at - 1", "cleared_after_raised"),
        ("UPDATE planned_charges SET mass_kg = 0", "mass_possible"),
        ("UPDATE planned_charges SET ticked_at = NULL", "tick_has_time"),
        ("UPDATE planned_charges SET charge_id = 99, ticked_at = 0 WHERE id = 2", "FOREIGN KEY"),
        ("UPDATE planned_charges SET charge_id = 2, ticked_at = 0 WHERE id = 2", "UNIQUE"),
        ("UPDATE materials SET folded = 'chalk' WHERE id = 1", "UNIQUE"),
        ("UPDATE batch_sheets SET glass_kg = 0", "glass_possible"),
        ("DELETE FROM pots", "FOREIGN KEY"),
    ],
)
def test_the_new_tables_refuse(path: Path, statement: str, refusal: str) -> None:
    Book.open(path).close()
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA foreign_keys=ON")
        with pytest.raises(sqlite3.IntegrityError, match=refusal):
            file.execute(statement)


def test_a_charge_removed_from_the_ledger_is_to_be_made_again(book: Book) -> None:
    (planned,) = book.charge_lists()
    charged = planned.items[0].charge_id
    assert charged is not None
    book.delete_charge(charged)
    (planned,) = book.charge_lists()
    assert [(item.done, item.ticked_at) for item in planned.items] == [(False, None)] * 2
