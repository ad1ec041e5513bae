"""Two windows on one book, network folders, and addresses that are no files."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from core.errors import BookError, BookLockedError
from core.store import volumes
from core.store.book import Book
from core.store.check import check_book
from core.store.volumes import network_kind, place_risk

ROOT = Path(__file__).parents[3]
WINDOW = """
import sys
from datetime import datetime, timedelta
from pathlib import Path
from core.store.book import Book
book = Book.open(Path(sys.argv[1]))
print("open", flush=True)
sys.stdin.readline()
start = datetime.fromisoformat(sys.argv[3])
for second in range(int(sys.argv[4]), 40, 2):
    book.add_reading(int(sys.argv[2]), start + timedelta(seconds=second), 800.0)
"""


def test_two_windows_write_into_one_book(book: Book, run_id: int, evening: datetime) -> None:
    windows = [
        subprocess.Popen(
            [sys.executable, "-c", WINDOW, str(book.path), str(run_id), evening.isoformat(), lane],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
        for lane in ("0", "1")
    ]
    for window in windows:
        assert window.stdout is not None
        assert window.stdout.readline() == "open\n"
    for window in windows:
        window.communicate("go\n")
        assert window.returncode == 0
    kept = book.readings(run_id).time - evening.timestamp()
    assert kept.tolist() == list(range(40))
    assert check_book(book.path).sound


def test_a_book_held_by_another_program_is_waited_for_and_then_named(
    book: Book, run_id: int, evening: datetime
) -> None:
    with Book.open(book.path, busy_timeout=0.2) as patient:
        with closing(sqlite3.connect(book.path, isolation_level=None)) as other:
            other.execute("BEGIN EXCLUSIVE")
            began = time.monotonic()
            with pytest.raises(BookLockedError, match="in use by another program") as caught:
                patient.add_reading(run_id, evening, 800.0)
            assert time.monotonic() - began >= 0.15
            assert caught.value.remedy
        patient.add_reading(run_id, evening, 800.0)


MOUNTS = """\
22 1 254:0 / / rw,relatime - ext4 /dev/vda rw
30 22 0:30 / /mnt/quay rw - nfs4 server:/quay rw
31 30 0:31 / /mnt/quay/local rw - tmpfs tmpfs rw
32 22 0:32 / /mnt/net\\040loft rw shared:1 master:2 - cifs //server/loft rw
33 22 0:33 / /mnt/quayside rw - ext4 /dev/vdb rw
line that is none
"""


@pytest.mark.skipif(sys.platform == "win32", reason="drives are asked for otherwise there")
def test_a_network_folder_is_known_by_its_mount(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    table = tmp_path / "mountinfo"
    table.write_text(MOUNTS)
    monkeypatch.setattr(volumes._mounted, "__defaults__", (table,))
    assert network_kind(Path("/mnt/quay/books/book.sqlite")) == "nfs4"
    assert network_kind(Path("/mnt/net loft/book.sqlite")) == "cifs"
    for own in ("/home/book.sqlite", "/mnt/quay/local/b.sqlite", "/mnt/quayside/b.sqlite"):
        assert network_kind(Path(own)) is None
        assert place_risk(Path(own)) is None
    risk = place_risk(Path("/mnt/quay/book.sqlite"))
    assert risk is not None
    assert "two at once" in risk
    table.unlink()
    assert network_kind(Path("/mnt/quay/book.sqlite")) is None


def test_a_book_tells_what_is_at_risk_where_it_lies(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert book.risk is None
    monkeypatch.setattr(volumes, "network_kind", lambda path: "nfs4")
    with Book.open(book.path) as again:
        assert again.risk is not None


@pytest.mark.parametrize(
    "address",
    [
        "postgresql://bench/studio",
        "postgresql+psycopg://bench:5432/studio",
        "sqlite:///book.sqlite",
        "HTTPS://server/book.sqlite",
    ],
)
def test_the_address_of_a_server_is_refused(
    address: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BookError, match="kept in a file, not on a server") as caught:
        Book.open(Path(address))
    with pytest.raises(BookError, match="kept in a file, not on a server"):
        Book.open(Path(address).absolute())
    assert caught.value.field == "path"
    assert os.listdir(tmp_path) == []  # noqa: PTH208 - also what begins with a point


def test_odd_names_are_no_addresses(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("night 21:30.sqlite", "a:b/c.sqlite", "c:book.sqlite"):
        Book.open(Path(name)).close()
