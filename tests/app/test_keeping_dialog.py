"""Backups by hand, a check, the book written out and made again, from the dialog."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.keeping.keep_dialog import KeepDialog
from app.studio import Studio
from app.theme import Appearance
from app.widgets.banner import Weight
from core.store.backup import back_up_now, backups
from core.store.book import Book


@pytest.fixture
def dialog(qtbot: QtBot, studio: Studio, appearance: Appearance) -> Iterator[KeepDialog]:
    studio.book.save_furnace("Quay furnace")
    made = KeepDialog(studio)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.reject()


def wait(qtbot: QtBot, dialog: KeepDialog) -> None:
    qtbot.waitUntil(lambda: not dialog.is_busy, timeout=20_000)


def test_a_backup_by_hand_is_made_and_listed(
    qtbot: QtBot, dialog: KeepDialog, studio: Studio
) -> None:
    qtbot.mouseClick(dialog.copy, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    (made,) = backups(studio.book.path)
    assert str(made.path) in dialog.banner.text
    assert dialog.table.model().rowCount() == 1
    with Book.open(made.path) as copy:
        assert list(copy.furnaces()) == ["Quay furnace"]


def test_putting_back_asks_first(qtbot: QtBot, dialog: KeepDialog, studio: Studio) -> None:
    made = back_up_now(studio.book.path, "by hand")
    dialog.fill()
    assert not dialog.put_back.isEnabled()
    assert dialog.table.select(made)
    qtbot.mouseClick(dialog.put_back, Qt.MouseButton.LeftButton)
    assert dialog.banner.weight is Weight.CAUTION
    assert "kept" in dialog.banner.text
    with qtbot.waitSignal(dialog.restore_wanted) as wanted:
        dialog.banner.acted.emit()
    assert wanted.args == [made.path]


def test_a_sound_book_is_told_to_be_sound(qtbot: QtBot, dialog: KeepDialog) -> None:
    qtbot.mouseClick(dialog.check, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    assert dialog.banner.weight is Weight.GOOD
    assert "all is well" in dialog.banner.text


def test_a_damaged_page_is_found(qtbot: QtBot, dialog: KeepDialog, studio: Studio) -> None:
    path = studio.book.path
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(size - 4096)
        file.write(b"\x5a" * 4096)
    qtbot.mouseClick(dialog.check, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    assert dialog.banner.weight is Weight.PROBLEM
    assert "damaged" in dialog.banner.text


def test_a_backup_that_cannot_be_made_is_told(
    qtbot: QtBot, dialog: KeepDialog, studio: Studio
) -> None:
    folder = studio.book.path.with_name(f"{studio.book.path.stem} backups")
    folder.write_text("in the way", encoding="utf-8")
    qtbot.mouseClick(dialog.copy, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    assert dialog.banner.weight is Weight.PROBLEM
    assert "could not be backed up" in dialog.banner.text


def test_written_out_and_made_a_book_again(
    qtbot: QtBot,
    dialog: KeepDialog,
    studio: Studio,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(out))
    qtbot.mouseClick(dialog.write_out, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    (folder,) = out.iterdir()
    assert str(folder) in dialog.banner.text

    again = tmp_path / "again"
    monkeypatch.setattr(QFileDialog, "getExistingDirectory", lambda *_: str(folder))
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(again), ""))
    qtbot.mouseClick(dialog.read_in, Qt.MouseButton.LeftButton)
    wait(qtbot, dialog)
    with qtbot.waitSignal(dialog.book_wanted) as wanted:
        dialog.banner.acted.emit()
    with Book.open(wanted.args[0]) as book:
        assert list(book.furnaces()) == ["Quay furnace"]
    assert wanted.args[0].suffix == ".sqlite"
