"""The migrations make what the models describe, and bring old books forward with all they hold."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine

from core.errors import BookDamagedError, BookError, BookLockedError, PlanInUseError
from core.store import engine, models
from core.store.backup import back_up
from core.store.base import Base
from core.store.book import Book, NoteSubject
from core.store.migrate import LAYOUT, MIGRATIONS, prepare

FROZEN = sorted(Path(__file__).parent.glob("layout_*.sql"))
FIRST = Path(__file__).with_name("layout_0001.sql")
LAST = FROZEN[-1]

PARENTS = ("equipment", "loads", "runs", "pots", "imports", "glasses")
REBUILD = '''
"""Rebuild every table that others hang on."""
import sqlalchemy as sa
from alembic import op

revision = "{number}"
down_revision = "{before}"


def upgrade() -> None:
    for table in {tables}:
        with op.batch_alter_table(table, recreate="always") as batch:
            batch.add_column(sa.Column("colour", sa.Text(), nullable=True))
{more}
'''


def thawed(text: Path, path: Path) -> Path:
    """A book's file from its frozen text."""
    with closing(sqlite3.connect(path)) as file:
        file.executescript(text.read_text(encoding="utf-8"))
    return path


def rows(path: Path) -> dict[str, int]:
    """Number of rows in each table."""
    with closing(sqlite3.connect(path)) as file:
        names = [
            name for (name,) in file.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        ]
        return {
            name: file.execute(f"SELECT count(*) FROM {name}").fetchone()[0]  # noqa: S608
            for name in names
        }


def statements(path: Path, kind: str) -> dict[str, set[str]]:
    """The parts of each statement in the schema, without their order or the commas between."""
    with closing(sqlite3.connect(path)) as file:
        return {
            # SQLite puts the name of a table that was rebuilt in quotes.
            name: {line.replace('"', "").strip().rstrip(",").strip() for line in text.splitlines()}
            for name, text in file.execute(
                "SELECT name, sql FROM sqlite_master WHERE type = ? AND sql IS NOT NULL", (kind,)
            )
            if name != "alembic_version"
        }


@pytest.fixture
def next_layout(tmp_path: Path) -> tuple[Path, str]:
    """The migrations with one more, and its number."""
    return extended(tmp_path, "")


def extended(tmp_path: Path, more: str, tables: tuple[str, ...] = PARENTS) -> tuple[Path, str]:
    folder = tmp_path / "100% migrations"
    shutil.copytree(MIGRATIONS, folder)
    number = f"{int(LAYOUT) + 1:04}"
    (folder / "versions" / f"v{number}_rebuild.py").write_text(
        REBUILD.format(number=number, before=LAYOUT, more=more, tables=tables), encoding="utf-8"
    )
    return folder, number


def test_the_layout_is_the_last_migration() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    config.set_main_option("path_separator", "os")
    script = ScriptDirectory.from_config(config)
    assert script.get_heads() == [LAYOUT]
    numbers = [revision.revision for revision in script.walk_revisions()]
    assert numbers == [f"{n:04}" for n in range(int(LAYOUT), 0, -1)]


def test_every_layout_is_frozen() -> None:
    assert [file.stem for file in FROZEN] == [f"layout_{n:04}" for n in range(1, int(LAYOUT) + 1)]


def test_models_and_migrations_agree(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    prepare(path)
    plain = create_engine(f"sqlite:///{path}")
    with plain.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []
    plain.dispose()


def test_models_and_migrations_agree_in_checks_and_foreign_keys(tmp_path: Path) -> None:
    # Alembic compares neither CHECK constraints nor ON DELETE; the schema's text has both.
    migrated = tmp_path / "migrated.sqlite"
    prepare(migrated)
    created = tmp_path / "created.sqlite"
    plain = create_engine(f"sqlite:///{created}")
    Base.metadata.create_all(plain)
    plain.dispose()
    for kind in ("table", "index"):
        assert statements(migrated, kind) == statements(created, kind)


def test_every_constraint_has_a_name() -> None:
    assert models.Base is Base
    for table in Base.metadata.tables.values():
        for constraint in table.constraints:
            assert constraint.name, f"{table.name}: {constraint}"


@pytest.mark.parametrize("text", FROZEN, ids=lambda file: file.stem)
def test_a_frozen_book_opens_with_all_it_held(text: Path, tmp_path: Path) -> None:
    path = thawed(text, tmp_path / "old book.sqlite")
    before = rows(path)
    with Book.open(path) as book:
        (run,) = book.runs()
        start = datetime(2026, 3, 14, 21, 30, tzinfo=UTC)
        assert (run.load_name, run.lehr_name) == ("Two prisms", "Net loft lehr")
        assert run.started_at == start
        assert run.finished_at == start + timedelta(hours=20)
        readings = book.readings(run.id)
        assert readings.temperature.tolist() == [
            820.15,
            820.25,
            819.95,
            820.05,
            820.35,
            820.15,
            819.15,
        ]
        assert readings.time[0] == start.timestamp()
        load = book.load(run.load_id)
        assert [piece.name for piece in load.pieces] == ["Deck prism", "Float"]
        assert load.out_by == start + timedelta(hours=40)
        assert book.plan(run.plan_id).zones[0].annealing_point == 815.15
        assert book.glasses() == (load.glasses["quay clear"],)
        assert book.lehrs() == (load.lehr,)
        assert book.charges(furnace="Shore furnace")[0].charge.mass == 12.5
        assert book.furnace_readings("Shore furnace")[0].note == "after charging"
        assert book.notes(NoteSubject.RUN, run.id)[0].text == "Both sound."
        (file,) = book.imports(run.id)
        assert (file.added, file.skipped) == (6, 0)
        with pytest.raises(PlanInUseError):
            book.delete_plan(run.plan_id)
    after = rows(path)
    assert {table: after[table] for table in before} == before
    with closing(sqlite3.connect(path)) as file_:
        assert file_.execute("PRAGMA foreign_key_check").fetchall() == []


def test_rebuilding_tables_loses_no_row(tmp_path: Path, next_layout: tuple[Path, str]) -> None:
    migrations, number = next_layout
    path = thawed(LAST, tmp_path / "old book.sqlite")
    before = rows(path)
    backup = prepare(path, migrations=migrations, layout=number)
    assert rows(path) == before
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("PRAGMA foreign_key_check").fetchall() == []
        assert file.execute("SELECT version_num FROM alembic_version").fetchone() == (number,)
        assert file.execute("SELECT colour FROM equipment").fetchall() == [(None,), (None,)]
    # The copy made beforehand is a whole book in the old layout.
    assert backup is not None
    assert backup.parent == path.parent
    assert f"layout {LAYOUT}" in backup.name
    with Book.open(backup) as old:
        assert old.backup is None
        assert len(old.readings(old.runs()[0].id)) == 7
    # A second opening finds nothing to do.
    assert prepare(path, migrations=migrations, layout=number) is None


def test_with_foreign_keys_on_the_rebuild_would_lose_rows(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Shows that the test above can fail: turning them off is what saves the rows.
    migrations, number = extended(tmp_path, "", ("imports",))
    ordinary = engine.connect

    def with_foreign_keys(path: Path, **options: Any) -> sqlite3.Connection:
        connection = ordinary(path, **options)
        connection.execute("PRAGMA foreign_keys=ON")
        return connection

    monkeypatch.setattr(engine, "connect", with_foreign_keys)
    path = thawed(LAST, tmp_path / "old book.sqlite")
    before = rows(path)["readings"]
    prepare(path, migrations=migrations, layout=number)
    assert rows(path)["readings"] == before - 6


@pytest.mark.parametrize(
    ("more", "kind"),
    [
        ('    op.execute("INSERT INTO no_such_table VALUES (1)")', BookError),
        ('    op.execute("DELETE FROM plans")', PlanInUseError),
        ('    op.execute("DELETE FROM equipment")', BookDamagedError),
    ],
    ids=["breaks off", "meets a trigger", "leaves loose ends"],
)
def test_a_migration_that_fails_changes_nothing(
    tmp_path: Path, more: str, kind: type[BookError]
) -> None:
    migrations, number = extended(tmp_path, more)
    path = thawed(FIRST, tmp_path / "old book.sqlite")
    with closing(sqlite3.connect(path)) as file:
        before = list(file.iterdump())
    with pytest.raises(kind, match="left as it was; a backup is in") as caught:
        prepare(path, migrations=migrations, layout=number)
    with closing(sqlite3.connect(path)) as file:
        assert list(file.iterdump()) == before
    (backup,) = tmp_path.glob("old book backup*.sqlite")
    assert backup.name in caught.value.message
    with Book.open(path) as book:
        assert len(book.runs()) == 1


def test_an_old_book_in_use_is_not_migrated(tmp_path: Path, next_layout: tuple[Path, str]) -> None:
    migrations, number = next_layout
    path = thawed(FIRST, tmp_path / "old book.sqlite")
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(BookLockedError):
            prepare(path, busy_timeout=0.05, migrations=migrations, layout=number)
    assert list(tmp_path.glob("*backup*")) == []


def test_a_backup_that_fails_leaves_nothing(tmp_path: Path) -> None:
    path = tmp_path / "book.sqlite"
    prepare(path)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(sqlite3.OperationalError):
            back_up(path, "test", busy_timeout=0.05)
    assert [file.name for file in tmp_path.iterdir()] == ["book.sqlite"]


IN_USE = "plan in use"
OTHER_PLAN = """
INSERT INTO plans SELECT id + 1, load_id, start_at, ready_at, snapshot, made_at FROM plans;
UPDATE runs SET plan_id = plan_id + 1
"""


@pytest.mark.parametrize(
    ("statement", "refusal"),
    [
        ("UPDATE plans SET snapshot = '{}'", IN_USE),
        ("DELETE FROM plans", IN_USE),
        ("DELETE FROM loads", IN_USE),
        ("UPDATE runs SET plan_id = 99", IN_USE),
        (OTHER_PLAN, IN_USE),
        ("DELETE FROM pots", "FOREIGN KEY"),
        ("DELETE FROM equipment WHERE kind = 'lehr'", "FOREIGN KEY"),
        ("UPDATE readings SET temperature_k = -1", "temperature_possible"),
        ("UPDATE readings SET temperature_k = 'hot'", "temperature_possible"),
        ("UPDATE readings SET temperature_k = NULL", "NOT NULL"),
        ("UPDATE readings SET time = 5", "UNIQUE"),
        ("UPDATE readings SET equipment_id = 2 WHERE run_id IS NOT NULL", "FOREIGN KEY"),
        ("UPDATE charges SET mass_kg = 0", "mass_possible"),
        ("UPDATE pieces SET count = 0", "count_at_least_one"),
        ("UPDATE pieces SET diameter_m = -0.1", "lengths_positive"),
        ("UPDATE runs SET finished_at = started_at - 1", "finished_after_start"),
        ("UPDATE loads SET out_by = button_time", "out_after_button"),
        ("UPDATE notes SET load_id = 1", "one_subject"),
        ("UPDATE notes SET run_id = NULL", "one_subject"),
        ("UPDATE equipment SET kind = 'oven'", "kind_known"),
    ],
)
def test_the_file_itself_refuses(tmp_path: Path, statement: str, refusal: str) -> None:
    """Whatever program writes into the book, with foreign keys on."""
    path = thawed(FIRST, tmp_path / "book.sqlite")
    Book.open(path).close()
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA foreign_keys=ON")
        with pytest.raises(sqlite3.IntegrityError, match=refusal):
            file.executescript(statement)


RUN_COPY = "SELECT id, plan_id + 1, equipment_id, started_at, finished_at, note FROM runs"
PLAN_COPY = "SELECT id, load_id, start_at, ready_at, '{}', made_at FROM plans"
SECOND_PLAN = OTHER_PLAN.splitlines()[1]
HOLES = [
    f"REPLACE INTO plans {PLAN_COPY}",
    f"INSERT OR REPLACE INTO plans {PLAN_COPY}",
    f"{SECOND_PLAN} UPDATE OR REPLACE plans SET id = 1 WHERE id = 2",  # noqa: S608 - our own text
    f"REPLACE INTO runs {RUN_COPY}",
    "UPDATE runs SET id = id + 1",
]


@pytest.mark.parametrize("text", FROZEN, ids=lambda file: file.stem)
@pytest.mark.parametrize("statement", HOLES)
def test_no_other_plan_takes_a_used_ones_place(tmp_path: Path, text: Path, statement: str) -> None:
    """Whatever program writes into the book, even with foreign keys off."""
    path = thawed(text, tmp_path / "book.sqlite")
    Book.open(path).close()
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA foreign_keys=OFF")
        with pytest.raises(sqlite3.IntegrityError, match=IN_USE):
            file.executescript(statement)
        file.rollback()
        (snapshot,) = file.execute("SELECT snapshot FROM plans WHERE id = 1").fetchone()
    assert '"kind": "plan"' in snapshot


def test_the_first_layout_had_that_hole(tmp_path: Path) -> None:
    # Shows that the test above can fail.
    path = thawed(FIRST, tmp_path / "book.sqlite")
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA foreign_keys=OFF")
        file.executescript(HOLES[0])
        assert file.execute("SELECT snapshot FROM plans").fetchall() == [("{}",)]


@pytest.mark.parametrize("text", FROZEN, ids=lambda file: file.stem)
def test_old_and_new_books_have_the_same_triggers(tmp_path: Path, text: Path) -> None:
    old = thawed(text, tmp_path / "old.sqlite")
    new = tmp_path / "new.sqlite"
    for path in (old, new):
        Book.open(path).close()
    assert statements(old, "trigger") == statements(new, "trigger")
    assert {"plans_in_use_change", "plans_keep_number"} <= statements(new, "trigger").keys()


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE glass_versions SET snapshot = '{}'",
        "UPDATE glass_versions SET number = number + 7",
        "REPLACE INTO glass_versions SELECT id, glass_id, number, '{}', 0 FROM glass_versions",
        "REPLACE INTO glass_versions SELECT NULL, glass_id, number, '{}', 0 FROM glass_versions",
    ],
)
def test_a_version_of_a_glass_never_changes(tmp_path: Path, statement: str) -> None:
    path = thawed(LAST, tmp_path / "book.sqlite")
    Book.open(path).close()
    with closing(sqlite3.connect(path)) as file:
        file.execute("PRAGMA foreign_keys=OFF")
        with pytest.raises(sqlite3.IntegrityError, match="glass version stays"):
            file.execute(statement)


def test_the_glasses_of_the_first_layout_become_first_versions(tmp_path: Path) -> None:
    path = thawed(FIRST, tmp_path / "old book.sqlite")
    with closing(sqlite3.connect(path)) as file:
        (saved,) = file.execute("SELECT saved_at FROM glasses").fetchone()
    with Book.open(path) as book:
        assert book.backup is not None
        (version,) = book.glass_versions("quay clear")
        assert version.number == 1
        assert version.saved_at.timestamp() == pytest.approx(saved / 1e6)
        assert version.glass == book.glasses()[0]
        (run,) = book.runs()
        (use,) = book.glasses_of_plan(run.plan_id)
        assert (use.called, use.version, use.is_current) == ("quay clear", 1, True)


def test_a_load_with_another_glass_than_the_books_is_linked_to_no_version(tmp_path: Path) -> None:
    path = thawed(FIRST, tmp_path / "old book.sqlite")
    with closing(sqlite3.connect(path)) as file:
        file.execute("UPDATE glasses SET snapshot = replace(snapshot, '17.0', '17.5')")
        file.execute("UPDATE glasses SET snapshot = replace(snapshot, '11.0', '10.5')")
        file.commit()
    with Book.open(path) as book:
        (use,) = book.glasses_of_load(book.loads()[0].id)
        assert (use.name, use.version, use.latest) == ("quay clear", None, 1)


def test_an_unused_plan_may_be_changed_and_removed(tmp_path: Path) -> None:
    path = thawed(FIRST, tmp_path / "book.sqlite")
    with closing(sqlite3.connect(path)) as file:
        file.executescript(
            "PRAGMA foreign_keys=ON; DELETE FROM runs;"
            "UPDATE plans SET snapshot = '{}'; DELETE FROM plans;"
        )
        assert file.execute("SELECT count(*) FROM plans").fetchone() == (0,)
