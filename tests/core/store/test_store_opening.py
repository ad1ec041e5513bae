"""Opening a book: new, older files aside, and every way in which it can be refused."""

from __future__ import annotations

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.errors import BookDamagedError, BookError, BookLockedError, BookTooNewError
from core.store.book import Book, default_book_path
from core.store.engine import connect, file_uri
from core.store.migrate import APPLICATION_ID, LAYOUT

NOBODY = 65534


@contextmanager
def plain_user() -> Iterator[None]:
    """Run as a user whom permissions bind, if the tests run as root."""
    if not hasattr(os, "geteuid") or os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def open_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder that every user may pass into, and write in."""
    changed = []
    for folder in (tmp_path, *tmp_path.parents):
        mode = folder.stat().st_mode
        if mode & 0o055 != 0o055:
            changed.append((folder, stat.S_IMODE(mode)))
            folder.chmod(stat.S_IMODE(mode) | 0o055)
    tmp_path.chmod(0o777)
    yield tmp_path
    for folder, mode in changed:
        folder.chmod(mode)


def execute(path: Path, statement: str, *values: object) -> None:
    with closing(sqlite3.connect(path)) as file, file:
        file.execute(statement, values)


def test_a_missing_folder_is_made(tmp_path: Path) -> None:
    path = tmp_path / "Häfen & co 100% #1?" / "a" / "studio book.sqlite"
    with Book.open(path) as book:
        assert book.path == path
        assert book.backup is None
        book.save_furnace("f")
    with Book.open(path) as book:
        assert book.furnaces() == ("f",)
    assert [file.name for file in path.parent.iterdir()] == [path.name]


def test_the_connection_is_set_up_as_promised(book: Book) -> None:
    # Codes of https://www.sqlite.org/pragma.html: synchronous 3 is EXTRA.
    with closing(connect(book.path, busy_timeout=0.3)) as file:
        ask = {
            name: file.execute(f"PRAGMA {name}").fetchone()[0]
            for name in (
                "foreign_keys",
                "synchronous",
                "journal_mode",
                "busy_timeout",
                "application_id",
                "trusted_schema",
            )
        }
    assert ask == {
        "foreign_keys": 1,
        "synchronous": 3,
        "journal_mode": "delete",
        "busy_timeout": 300,
        "application_id": APPLICATION_ID,
        "trusted_schema": 0,
    }


def test_write_ahead_logging_is_undone(book: Book) -> None:
    execute(book.path, "PRAGMA journal_mode=WAL")
    with Book.open(book.path) as again:
        again.save_furnace("f")
    # Bytes 18 and 19 of the header are 1 with a rollback journal, 2 with a write-ahead log
    # (https://www.sqlite.org/fileformat.html#the_database_header).
    assert book.path.read_bytes()[18:20] == b"\x01\x01"


def test_an_interrupted_making_is_taken_up(tmp_path: Path) -> None:
    empty = tmp_path / "empty.sqlite"
    empty.touch()
    without_tables = tmp_path / "no tables.sqlite"
    execute(without_tables, "VACUUM")
    execute(without_tables, "PRAGMA user_version=1")
    assert without_tables.stat().st_size > 0
    for path in (empty, without_tables):
        with Book.open(path) as book:
            assert book.furnaces() == ()


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="is a folder"):
        Book.open(tmp_path)


@pytest.mark.parametrize("name", ["nul\0.sqlite", "\udcff.sqlite"])
def test_a_name_no_file_can_have_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(BookError, match="no file can have"):
        Book.open(tmp_path / name)


@pytest.mark.skipif(not Path("/dev/null").exists(), reason="this system has no /dev/null")
def test_a_device_is_refused() -> None:
    with pytest.raises(BookError, match="a device"):
        Book.open(Path("/dev/null"))


@pytest.mark.parametrize("content", [b"x", b"hello", b"SQLite format 3\0"])
def test_a_file_of_a_few_bytes_is_refused_and_left_alone(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "note.txt"
    path.write_bytes(content)
    with pytest.raises(BookDamagedError):
        Book.open(path)
    assert path.read_bytes() == content


def test_a_folder_that_cannot_be_made(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(BookError) as caught:
        Book.open(tmp_path / "file" / "book.sqlite")
    assert caught.value.remedy


def test_another_kind_of_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.sqlite"
    path.write_bytes(b"Dear harbour master, " * 200)
    before = path.read_bytes()
    with pytest.raises(BookDamagedError):
        Book.open(path)
    assert path.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "photos.sqlite"
    execute(path, "CREATE TABLE photos (id INTEGER)")
    before = path.read_bytes()
    with pytest.raises(BookDamagedError, match="another program"):
        Book.open(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("keep", [0.5, 0.97])
def test_a_book_cut_short_is_damaged(book: Book, keep: float) -> None:
    whole = book.path.read_bytes()
    book.path.write_bytes(whole[: int(len(whole) * keep)])
    with pytest.raises(BookDamagedError):
        Book.open(book.path)


def test_a_book_overwritten_in_the_middle_is_damaged(book: Book) -> None:
    for number in range(150):
        book.save_furnace(f"furnace {number}")
    data = bytearray(book.path.read_bytes())
    data[8192:-8192] = b"\xa5" * (len(data) - 16_384)
    book.path.write_bytes(data)
    with pytest.raises(BookDamagedError):
        Book.open(book.path)


def test_a_newer_book_is_refused_and_left_alone(book: Book) -> None:
    execute(book.path, "UPDATE alembic_version SET version_num = ?", f"{int(LAYOUT) + 1:04}")
    before = book.path.read_bytes()
    with pytest.raises(BookTooNewError, match="newer version") as caught:
        Book.open(book.path)
    assert caught.value.remedy
    assert book.path.read_bytes() == before
    assert [file.name for file in book.path.parent.iterdir()] == [book.path.name]


@pytest.mark.parametrize("number", ["spring", "0000"])
def test_a_layout_number_nobody_gave_is_damage(book: Book, number: str) -> None:
    execute(book.path, "UPDATE alembic_version SET version_num = ?", number)
    with pytest.raises(BookDamagedError):
        Book.open(book.path)


def test_a_lost_layout_number_is_damage(book: Book) -> None:
    execute(book.path, "DELETE FROM alembic_version")
    with pytest.raises(BookDamagedError):
        Book.open(book.path)


@pytest.mark.skipif(sys.platform == "win32", reason="permissions work otherwise there")
def test_a_read_only_book(open_folder: Path) -> None:
    path = open_folder / "book.sqlite"
    Book.open(path).close()
    path.chmod(0o444)
    with plain_user(), pytest.raises(BookLockedError, match="read-only") as caught:
        Book.open(path)
    assert caught.value.remedy


@pytest.mark.skipif(sys.platform == "win32", reason="permissions work otherwise there")
def test_a_book_in_a_read_only_folder(open_folder: Path) -> None:
    path = open_folder / "book.sqlite"
    Book.open(path).close()
    path.chmod(0o666)
    open_folder.chmod(0o555)
    with plain_user():
        with pytest.raises(BookError) as caught:
            Book.open(path)
        with pytest.raises(BookError):
            Book.open(open_folder / "new.sqlite")
        with pytest.raises(BookError):
            Book.open(open_folder / "new" / "new.sqlite")
    assert caught.value.remedy


@pytest.mark.skipif(sys.platform == "win32", reason="permissions work otherwise there")
def test_a_book_one_may_not_read(open_folder: Path) -> None:
    path = open_folder / "book.sqlite"
    Book.open(path).close()
    path.chmod(0o000)
    with plain_user(), pytest.raises(BookError, match="cannot be opened"):
        Book.open(path)


HOLD = """
import sqlite3, sys
file = sqlite3.connect(sys.argv[1], isolation_level=None)
file.execute(sys.argv[2])
print("held", flush=True)
sys.stdin.read()
"""


@contextmanager
def held_by_another_program(path: Path, statement: str) -> Iterator[None]:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(path), statement],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as program:
        assert program.stdout is not None
        assert program.stdout.readline() == "held\n"
        yield
        program.communicate("")


@pytest.mark.parametrize("lock", ["IMMEDIATE", "EXCLUSIVE"])
def test_a_book_held_by_another_program(tmp_path: Path, lock: str) -> None:
    path = tmp_path / "book.sqlite"
    with Book.open(path, busy_timeout=0.1) as book:
        with held_by_another_program(path, f"BEGIN {lock}"):
            with pytest.raises(BookLockedError) as caught:
                book.save_furnace("f")
            assert caught.value.remedy
            with pytest.raises(BookLockedError):
                Book.open(path, busy_timeout=0.1)
        book.save_furnace("f")
        assert book.furnaces() == ("f",)


def test_a_book_that_is_gone_is_not_replaced_by_an_empty_one(book: Book) -> None:
    book.path.unlink()
    with pytest.raises(BookError, match="cannot be opened"):
        book.save_furnace("f")
    with pytest.raises(BookError):
        book.furnaces()
    assert not book.path.exists()


def test_a_full_disk_writes_nothing(book: Book, monkeypatch: pytest.MonkeyPatch) -> None:
    from core.store import engine

    ordinary = engine.connect

    def small(*args: object, **kwargs: object) -> sqlite3.Connection:
        connection = ordinary(*args, **kwargs)  # type: ignore[arg-type]
        # SQLite reports a file that may not grow as it does a full disk (SQLITE_FULL).
        connection.execute("PRAGMA max_page_count=1")
        return connection

    monkeypatch.setattr(engine, "connect", small)
    with pytest.raises(BookError, match="is full"):
        book.save_furnace("f" * 100_000)
    monkeypatch.undo()
    assert book.furnaces() == ()


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("/home/x/a b.sqlite", "file:/home/x/a%20b.sqlite?mode=rw"),
        ("/x/100%?#.sqlite", "file:/x/100%25%3F%23.sqlite?mode=rw"),
        ("C:/books/é.sqlite", "file:/C%3A/books/%C3%A9.sqlite?mode=rw"),
        ("//server/share/b.sqlite", "file:////server/share/b.sqlite?mode=rw"),
    ],
)
def test_addresses_of_files(path: str, uri: str) -> None:
    """Forms after https://www.sqlite.org/uri.html, section 3.1 and 3.2."""

    class Absolute:
        def absolute(self) -> Absolute:
            return self

        def as_posix(self) -> str:
            return path

    assert file_uri(Absolute(), "rw") == uri  # type: ignore[arg-type]


def test_the_usual_place() -> None:
    """Windows known folders, macOS library folders, XDG Base Directory Specification 0.8."""
    home = Path("/home/anna")
    end = Path("lehrkeeper") / "studio book.sqlite"

    def place(platform: str, environment: dict[str, str]) -> Path:
        return default_book_path(platform=platform, environment=environment, home=home)

    assert place("linux", {}) == home / ".local/share" / end
    assert place("linux", {"XDG_DATA_HOME": "/data"}) == Path("/data") / end
    assert place("linux", {"XDG_DATA_HOME": "relative"}) == home / ".local/share" / end
    assert place("linux", {"XDG_DATA_HOME": ""}) == home / ".local/share" / end
    assert place("darwin", {"XDG_DATA_HOME": "/data"}) == (
        home / "Library/Application Support" / end
    )
    assert place("win32", {"LOCALAPPDATA": "/Local"}) == Path("/Local") / end
    assert place("win32", {}) == home / "AppData/Local" / end


def test_the_usual_place_follows_this_process(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path))
    if sys.platform != "darwin":
        assert default_book_path() == tmp_path / "lehrkeeper" / "studio book.sqlite"
    assert not (tmp_path / "lehrkeeper").exists()


def test_opening_again_is_quick_and_needs_no_migration_library(book: Book) -> None:
    code = (
        "import sys; from pathlib import Path; from core.store.book import Book;"
        "Book.open(Path(sys.argv[1])).close(); print('alembic' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(book.path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[3],
    )
    assert done.stdout == "False\n"


def test_times_in_the_file_read_as_documented(book: Book) -> None:
    book.save_furnace("f")
    from core.furnace.ledger import FurnaceReading

    book.add_furnace_reading(
        FurnaceReading(datetime(2026, 3, 14, 21, 30, 15, 250_000, tzinfo=UTC), "f", 1400.0)
    )
    with closing(sqlite3.connect(book.path)) as file:
        (shown,) = file.execute(
            "SELECT datetime(time / 1000000, 'unixepoch') FROM readings"
        ).fetchone()
    assert shown == "2026-03-14 21:30:15"
