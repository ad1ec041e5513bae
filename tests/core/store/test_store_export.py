"""Everything written out as CSV and JSON makes the same book again, table by table."""

from __future__ import annotations

import csv
import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.errors import BookDamagedError, BookError, BookTooNewError, StoppedError
from core.furnace.ledger import Charge, Pot
from core.glass.glass import Glass
from core.run.readings import Readings
from core.store.book import Book, NoteSubject
from core.store.export import CONTENTS, export_book
from core.store.import_book import import_book
from core.store.tables import JSON_COLUMNS, Column, ColumnKind, tables
from core.store.written_values import cell_reader, cells_of, member, member_value

FROZEN = Path(__file__).parents[2] / "migrations"


def whole(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """All rows of all tables, and the layout's own text."""
    with closing(sqlite3.connect(path)) as file:
        names = [name for (name,) in file.execute("SELECT name FROM sqlite_master")]
        found = {
            name: file.execute(f'SELECT rowid, * FROM "{name}" ORDER BY rowid').fetchall()  # noqa: S608 - names of its own tables
            for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        }
        found["layout"] = [(name,) for name in sorted(names)]
        return found


@pytest.fixture
def frozen(tmp_path: Path) -> Path:
    """A book with something in every table."""
    path = tmp_path / "frozen.sqlite"
    with closing(sqlite3.connect(path)) as file:
        file.executescript((FROZEN / "layout_0003.sql").read_text(encoding="utf-8"))
    return path


def test_every_table_and_column_comes_back(frozen: Path, tmp_path: Path) -> None:
    shares: list[float] = []
    with Book.open(frozen) as book:
        folder = export_book(book, tmp_path / "out" / "all", progress=shares.append)
    before = whole(frozen)
    assert all(before[table.name] for table in tables())  # no table is tried empty
    assert shares[-1] == 1.0
    made = import_book(folder, tmp_path / "in" / "again.sqlite")
    assert whole(made) == before
    with Book.open(made) as again:
        assert again.backup is None
        assert len(again.run_events(again.runs()[0].id)) == 2
    assert [file.name for file in made.parent.iterdir()] == [made.name]
    assert [file.name for file in folder.parent.iterdir()] == [folder.name]
    assert len(list(folder.iterdir())) == len(tables()) + 1


def test_columns_with_json_are_known() -> None:
    found = {
        table.name: column.name
        for table in tables()
        for column in table.columns
        if "JSON" in (column.doc or "") or column.name in ("snapshot", "settings")
    }
    assert found == JSON_COLUMNS


def test_awkward_words_and_numbers_come_back(
    book: Book, glass: Glass, run_id: int, evening: datetime, tmp_path: Path
) -> None:
    words = [
        '=1+1, "quoted"; ;',
        "two\r\nlines\rand\nmore",
        "\\",
        "\ufeff",
        " ",
        "Ø °C ü 玻璃",
        "'",
    ]
    book.save_furnace("f")
    for number, word in enumerate(words):
        book.save_pot(Pot(f"{number} {word}", "f"))
        book.add_charge(Charge(evening, f"{number} {word}", word.strip() or "x", 0.1, word))
        book.add_note(NoteSubject.RUN, run_id, evening, word + ".")
        book.save_glass(replace(glass, name=f"glass {word}", note=word))
    rng = np.random.default_rng(1)
    times = evening.timestamp() + np.cumsum(rng.uniform(1e-3, 9.0, 500))
    book.add_readings(run_id, Readings(times, rng.uniform(250, 1900, 500)), "l", "n.csv", "h")
    with closing(sqlite3.connect(book.path)) as file, file:
        # As no version of the program writes it.
        file.execute("UPDATE equipment SET settings = '{\"a\" :1}' WHERE kind = 'furnace'")
        file.execute("UPDATE pots SET shape = '' WHERE id = 1")
    made = import_book(export_book(book, tmp_path / "out"), tmp_path / "again.sqlite")
    assert whole(made) == whole(book.path)


TEXTS = st.none() | st.text(st.characters(codec="utf-8"))


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    texts=st.lists(TEXTS, min_size=1, max_size=20),
    numbers=st.lists(st.none() | st.floats(allow_nan=False), min_size=1, max_size=20),
    times=st.lists(st.none() | st.integers(-(10**16), 10**17), min_size=1, max_size=20),
)
def test_any_value_is_written_and_read_exactly(
    tmp_path: Path,
    texts: list[str | None],
    numbers: list[float | None],
    times: list[int | None],
) -> None:
    for kind, values in (
        (ColumnKind.TEXT, texts),
        (ColumnKind.JSON, texts),
        (ColumnKind.NUMBER, numbers),
        (ColumnKind.TIME, times),
        (ColumnKind.WHOLE, times),
    ):
        column = Column("c", kind, nullable=True)
        file = tmp_path / "c.csv"
        with file.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([cell, "x"] for cell in cells_of(column, values))
        with file.open(encoding="utf-8", newline="") as stream:
            read = [cell_reader(column)(cell) for cell, _ in csv.reader(stream)]
        assert read == values
        rows = json.loads(json.dumps([dict([member(column, value)]) for value in values]))
        assert [member_value(column, row) for row in rows] == values


def test_an_export_of_an_earlier_layout_is_brought_forward(
    tmp_path: Path, frozen: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with Book.open(frozen) as book:
        folder = export_book(book, tmp_path / "out")
    # Written as the second layout would have been: without what the third brought.
    head = json.loads((folder / CONTENTS).read_text(encoding="utf-8"))
    with closing(sqlite3.connect(":memory:")) as file:
        file.executescript((FROZEN / "layout_0002.sql").read_text(encoding="utf-8"))
        old = {
            name: [row[1] for row in file.execute(f'PRAGMA table_info("{name}")')]
            for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        }
    head["layout"] = "0002"
    head["tables"] = {name: head["tables"][name] for name in head["tables"] if name in old}
    for name, table in head["tables"].items():
        table["columns"] = [c for c in table["columns"] if c["name"] in old[name]]
        file_ = folder / table["file"]
        if file_.suffix == ".csv":
            with file_.open(encoding="utf-8", newline="") as stream:
                rows = list(csv.DictReader(stream))
            with file_.open("w", encoding="utf-8", newline="") as stream:
                names = [c["name"] for c in table["columns"]]
                writer = csv.DictWriter(stream, names, extrasaction="ignore")
                writer.writeheader()
                writer.writerows(rows)
    (folder / CONTENTS).write_text(json.dumps(head), encoding="utf-8")
    made = import_book(folder, tmp_path / "again.sqlite")
    with Book.open(made) as again:
        assert [record.charge.mass for record in again.charges()] == [12.5, 7.75]
        assert again.pot_entries() == ()
    assert not list(tmp_path.glob(".*"))
    assert not list(tmp_path.glob("*backup*"))


def cut(file: Path, keep: float) -> None:
    data = file.read_bytes()
    file.write_bytes(data[: int(keep * len(data))])


def edit(file: Path, before: str, after: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert before in text
    file.write_text(text.replace(before, after, 1), encoding="utf-8")


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda f: (f / CONTENTS).unlink(), "no export"),
        (lambda f: cut(f / CONTENTS, 0.7), "cannot be read"),
        (lambda f: edit(f / CONTENTS, '"kind": "time"', '"kind": "hour"'), "time"),
        (lambda f: (f / "charges.csv").unlink(), "charges.csv"),
        (lambda f: cut(f / "readings.csv", 0.9), "readings.csv"),
        (lambda f: cut(f / "loads.json", 0.9), "loads.json"),
        (lambda f: edit(f / "readings.csv", "820.25", "820,25"), "readings.csv, line 3"),
        (lambda f: edit(f / "readings.csv", "820.25", "warm"), "“warm” is no number"),
        (lambda f: edit(f / "readings.csv", "820.25", "-4"), "temperature_possible"),
        (lambda f: edit(f / "readings.csv", "Z,", ","), "is no time"),
        (lambda f: edit(f / "readings.csv", "time,", "hour,"), "columns"),
        (lambda f: edit(f / "runs.csv", "1,1,1,", "1,7,1,"), "refers to a missing entry"),
        (lambda f: edit(f / "loads.json", '"saved_at"', '"kept_at"'), "no time"),
        (lambda f: (f / "loads.json").write_text("{}"), "list"),
        (lambda f: (f / "loads.json").write_text("[1, 2]"), "object"),
        (lambda f: (f / "charges.csv").write_bytes(b"\xff\xfe\x00"), "charges.csv"),
    ],
)
def test_a_spoilt_export_makes_nothing(
    frozen: Path, tmp_path: Path, spoil: Callable[[Path], object], said: str
) -> None:
    with Book.open(frozen) as book:
        folder = export_book(book, tmp_path / "out")
    spoil(folder)
    with pytest.raises(BookDamagedError) as caught:
        import_book(folder, tmp_path / "again.sqlite")
    assert said in str(caught.value)
    assert {file.name for file in tmp_path.iterdir()} == {"frozen.sqlite", "out"}


def test_an_export_of_a_newer_program_is_refused(frozen: Path, tmp_path: Path) -> None:
    with Book.open(frozen) as book:
        folder = export_book(book, tmp_path / "out")
    edit(folder / CONTENTS, '"layout": "0', '"layout": "9')
    with pytest.raises(BookTooNewError):
        import_book(folder, tmp_path / "again.sqlite")


def test_nothing_is_written_over_and_what_is_stopped_leaves_nothing(
    frozen: Path, tmp_path: Path
) -> None:
    with Book.open(frozen) as book:
        with pytest.raises(StoppedError):
            export_book(book, tmp_path / "out", cancelled=lambda: True)
        assert [file.name for file in tmp_path.iterdir()] == ["frozen.sqlite"]
        folder = export_book(book, tmp_path / "out")
        for there in (folder, frozen, frozen / "below a file"):
            with pytest.raises(BookError):
                export_book(book, there)
    with pytest.raises(StoppedError):
        import_book(folder, tmp_path / "again.sqlite", cancelled=lambda: True)
    with pytest.raises(BookError, match="already"):
        import_book(folder, frozen)
    assert {file.name for file in tmp_path.iterdir()} == {"frozen.sqlite", "out"}
