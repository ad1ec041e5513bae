"""Start: no Qt for the terminal's commands, a book that cannot be opened, what went wrong."""

import logging
import subprocess
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QMessageBox
from pytestqt.qtbot import QtBot

from app import __main__ as entry
from app.equipment.equipment_list import Kind
from app.faults import FaultDialog, FaultHook, start_log
from app.keeping.damaged_dialog import DamagedDialog
from app.settings import Settings, ThemeChoice
from app.start import DEMO_FILE, Starter, book_to_open, make_application
from core.store.backup import DAILY, back_up_now, backups
from core.store.book import Book
from core.store.place import default_book_path
from core.version import VERSION

ROOT = Path(__file__).parents[2]


def run_python(code: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code],
        cwd=ROOT,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=60,
        check=False,
    )


@pytest.mark.parametrize("arguments", [["glass", "--help"], ["--help"], ["--version"]])
def test_the_terminal_needs_no_qt(arguments: list[str]) -> None:
    code = (
        "import sys\n"
        "from app.__main__ import main\n"
        "try:\n"
        f"    main({arguments!r})\n"
        "except SystemExit:\n"
        "    pass\n"
        "wrong = [m for m in sys.modules if m.startswith(('PySide6', 'pyqtgraph', 'shiboken6'))]\n"
        "sys.exit(repr(wrong) if wrong else 0)\n"
    )
    result = run_python(code)
    assert result.returncode == 0, result.stderr
    assert "lehrkeeper" in result.stdout.lower()


def test_options_reach_the_window(monkeypatch: pytest.MonkeyPatch) -> None:
    import app.start

    seen: list[dict[str, object]] = []
    monkeypatch.setattr(app.start, "open_window", lambda **options: seen.append(options) or 7)
    assert entry.main(["--database", "studio.sqlite", "--reset-settings"]) == 7
    assert entry.main(["--demo"]) == 7
    assert seen == [
        {"database": Path("studio.sqlite"), "demo": False, "reset_settings": True},
        {"database": None, "demo": True, "reset_settings": False},
    ]


@pytest.mark.parametrize("arguments", [["--colour"], ["--demo", "--database", "x"], ["bake"]])
def test_bad_options_end_with_status_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as stop:
        entry.main(arguments)
    assert stop.value.code == 2
    assert "lehrkeeper" in capsys.readouterr().err


def test_which_book(settings: Settings, tmp_path: Path) -> None:
    usual = default_book_path()
    assert str(usual).startswith(str(tmp_path))
    assert book_to_open(settings, None, demo=False) == usual
    assert book_to_open(settings, None, demo=True) == usual.with_name(DEMO_FILE)
    settings.last_book = str(tmp_path / "gone.sqlite")
    assert book_to_open(settings, None, demo=False) == usual
    (tmp_path / "here.sqlite").touch()
    settings.last_book = str(tmp_path / "here.sqlite")
    assert book_to_open(settings, None, demo=False) == tmp_path / "here.sqlite"
    assert book_to_open(settings, Path("b.sqlite"), demo=False) == Path.cwd() / "b.sqlite"


@pytest.fixture
def starter(qapp: QApplication, settings: Settings) -> Starter:
    before = qapp.palette(), qapp.font()
    settings.theme = ThemeChoice.LIGHT
    made = Starter(qapp, settings)
    yield made
    made.close()
    made.setParent(None)
    made.appearance.setParent(None)
    made.appearance.deleteLater()
    made.deleteLater()
    qapp.setStyleSheet("")
    qapp.setPalette(before[0])
    qapp.setFont(before[1])
    qapp.processEvents()


def test_a_fresh_book_opens_and_another_takes_its_place(
    qtbot: QtBot, starter: Starter, settings: Settings, tmp_path: Path
) -> None:
    assert starter.open(tmp_path / "first.sqlite")
    first = starter.window
    assert first.isVisible()
    assert settings.last_book == str(tmp_path / "first.sqlite")
    first.book_wanted.emit(tmp_path / "second.sqlite")
    assert starter.window is not first
    assert starter.studio.book.path == tmp_path / "second.sqlite"
    assert "second" in starter.window.windowTitle()


def test_the_demo_studio_is_filled_once_and_not_remembered(
    starter: Starter, settings: Settings, tmp_path: Path
) -> None:
    path = tmp_path / DEMO_FILE
    assert starter.open(path, demo=True)
    filled = len(starter.studio.book.glasses())
    assert filled > 0
    assert "invented" in starter.window.banner.text
    assert settings.last_book == ""
    assert starter.open(path, demo=True)
    assert len(starter.studio.book.glasses()) == filled


def answer_damage(
    monkeypatch: pytest.MonkeyPatch, act: Callable[[DamagedDialog], object]
) -> list[str]:
    """Answer the question about a damaged book; collects what it said."""
    said: list[str] = []

    def answer(dialog: DamagedDialog) -> int:
        said.append(dialog.why.text())
        act(dialog)
        return dialog.result()

    monkeypatch.setattr(DamagedDialog, "exec", answer)
    return said


def press(monkeypatch: pytest.MonkeyPatch, words: str) -> list[str]:
    """Answer the next message box with the button of these words; collects what it said."""
    said: list[str] = []

    def answer(box: QMessageBox) -> int:
        said.append(f"{box.text()} {box.informativeText()}")
        button = next(b for b in box.buttons() if b.text() == words)
        monkeypatch.setattr(QMessageBox, "clickedButton", lambda _: button)
        return 0

    monkeypatch.setattr(QMessageBox, "exec", answer)
    return said


def damage(path: Path) -> None:
    """Spoil the last page of a book."""
    size = path.stat().st_size
    with path.open("r+b") as file:
        file.seek(size - 4096)
        file.write(b"\x5a" * 4096)


def test_a_damaged_book_gets_its_last_backup_put_in_its_place(
    starter: Starter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "harbour.sqlite"
    with Book.open(path) as book:
        book.save_furnace("Quay furnace")
    back_up_now(path, "by hand")
    damage(path)
    spoilt = path.read_bytes()
    said = answer_damage(monkeypatch, lambda dialog: dialog.put_back.click())
    assert starter.open(path)
    assert "damaged" in said[0]
    assert list(starter.studio.book.furnaces()) == ["Quay furnace"]
    # The damaged file is kept, and the window says where.
    aside = [file for file in tmp_path.glob("*.sqlite") if file.read_bytes() == spoilt]
    assert len(aside) == 1
    assert aside[0].name in starter.window.banner.text


def test_what_can_be_read_of_a_damaged_book_is_saved(
    qtbot: QtBot, starter: Starter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "harbour.sqlite"
    with Book.open(path) as book:
        book.save_furnace("Quay furnace")
    damage(path)

    def save(dialog: DamagedDialog) -> None:
        dialog.save.click()
        qtbot.waitUntil(lambda: not dialog.is_busy, timeout=20_000)

    answer_damage(monkeypatch, save)
    assert starter.open(path)
    assert starter.studio.book.path != path
    assert "damaged file stays" in starter.window.banner.text


def test_a_backup_is_put_in_the_place_of_the_open_book(starter: Starter, tmp_path: Path) -> None:
    path = tmp_path / "harbour.sqlite"
    assert starter.open(path)
    starter.studio.book.save_furnace("Quay furnace")
    backup = back_up_now(path, "by hand")
    starter.studio.book.save_furnace("Mistake")
    starter.window.restore_wanted.emit(backup.path)
    assert list(starter.studio.book.furnaces()) == ["Quay furnace"]
    assert "kept" in starter.window.banner.text


def test_a_backup_that_is_none_leaves_the_book_as_it_was(starter: Starter, tmp_path: Path) -> None:
    path = tmp_path / "harbour.sqlite"
    assert starter.open(path)
    starter.studio.book.save_furnace("Quay furnace")
    letter = tmp_path / "letter.sqlite"
    letter.write_text("Dear studio, " * 200, encoding="utf-8")
    starter.window.restore_wanted.emit(letter)
    assert list(starter.studio.book.furnaces()) == ["Quay furnace"]
    assert "cannot be used" in starter.window.banner.text


def test_the_day_s_backup_is_made_at_opening(
    qtbot: QtBot, starter: Starter, tmp_path: Path
) -> None:
    path = tmp_path / "harbour.sqlite"
    assert starter.open(path)
    qtbot.waitUntil(lambda: len(backups(path)) == 1)
    assert backups(path)[0].label == DAILY


def test_left_open_it_backs_up_again_once_a_day_has_passed(
    starter: Starter, qtbot: QtBot, tmp_path: Path
) -> None:
    path = tmp_path / "studio.sqlite"
    assert starter.open(path)
    qtbot.waitUntil(lambda: len(backups(path)) == 1)
    first = backups(path)[0]
    yesterday = first.taken_at - timedelta(days=1, hours=1)
    earlier = first.path.with_name(
        first.path.name.replace(
            f"{first.taken_at:%Y-%m-%d %H%M%S.%f}", f"{yesterday:%Y-%m-%d %H%M%S.%f}"
        )
    )
    first.path.rename(earlier)
    assert starter.studio is not None
    starter.studio.book.save_furnace("lit since")
    starter._hourly.timeout.emit()
    qtbot.waitUntil(lambda: len(backups(path)) == 2)


def test_leaving_asks_about_what_is_not_saved(
    starter: Starter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert starter.open(tmp_path / "harbour.sqlite")
    window = starter.window
    page = window.page("equipment")
    page.open(Kind.LEHR, "")
    page.lehr.name.setText("Long lehr")
    page.lehr.name.textEdited.emit("Long lehr")
    assert page.dirty
    said = press(monkeypatch, "Stay here")
    assert not window.close()
    assert "Equipment" in said[0]
    assert window.current_page == "equipment"
    press(monkeypatch, "Leave")
    assert window.close()


def test_a_file_that_is_no_book_is_left_alone_and_explained(
    starter: Starter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "letter.sqlite"
    path.write_text("Dear studio, " * 200, encoding="utf-8")
    before = path.read_bytes()
    said = answer_damage(monkeypatch, lambda dialog: dialog.leave.click())
    assert not starter.open(path)
    assert "letter.sqlite" in said[0]
    assert path.read_bytes() == before
    assert starter.window is None


def test_another_file_can_be_chosen_instead(
    starter: Starter, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "letter.sqlite"
    path.write_text("Dear studio, " * 200, encoding="utf-8")
    answer_damage(monkeypatch, lambda dialog: dialog.another.click())
    good = str(tmp_path / "good.sqlite")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: (good, ""))
    assert starter.open(path)
    assert starter.studio.book.path == tmp_path / "good.sqlite"


def test_the_program_has_a_name_before_anything_asks(qapp: QApplication) -> None:
    assert make_application() is qapp
    assert QCoreApplication.organizationName() == "Lehrkeeper"
    assert QCoreApplication.applicationName() == "Lehrkeeper"
    assert QCoreApplication.applicationVersion() == VERSION


def test_a_defect_is_logged_shown_to_copy_and_survived(
    qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    handler = start_log(tmp_path / "logs" / "lehrkeeper.log")
    shown: list[str] = []

    def look(dialog: FaultDialog) -> int:
        qtbot.addWidget(dialog)
        dialog.copy.click()
        shown.append(dialog.report.toPlainText())
        hook(ValueError, ValueError("a second one meanwhile"), None)
        return 0

    monkeypatch.setattr(QDialog, "exec", look)
    hook = FaultHook(VERSION)
    try:
        with pytest.raises(KeyError) as caught:
            {}["crucible"]
        hook(caught.type, caught.value, caught.tb)
    finally:
        logging.getLogger().removeHandler(handler)
        handler.close()
    assert len(shown) == 1
    assert "KeyError: 'crucible'" in shown[0]
    assert VERSION in shown[0]
    assert QGuiApplication.clipboard().text() == shown[0]
    written = (tmp_path / "logs" / "lehrkeeper.log").read_text(encoding="utf-8")
    assert "crucible" in written
    assert "a second one meanwhile" in written


def test_a_log_that_cannot_be_written_does_not_stop_the_start(tmp_path: Path) -> None:
    blocked = tmp_path / "file"
    blocked.touch()
    assert start_log(blocked / "lehrkeeper.log") is None
