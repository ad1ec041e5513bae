"""Load files opened and saved from tonight's page."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from tonight_nights import Clock, fill_studio, tonight, wait_for_plan

from app.studio import Studio
from app.theme import Appearance
from app.tonight.page import TonightPage
from app.widgets.banner import Weight
from core.load.load_file import read_load
from core.store.book import Book

SCHEDULES = Path(__file__).parents[2] / "schedules"
NOON = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


@pytest.fixture
def page(
    studio: Studio, appearance: Appearance, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> Iterator[TonightPage]:
    monkeypatch.setattr(studio, "now", Clock(NOON))
    made = TonightPage(studio)
    qtbot.addWidget(made)
    made.show()
    yield made
    made.hide()


def choose(monkeypatch: pytest.MonkeyPatch, path: Path | None) -> None:
    answer = ("" if path is None else str(path), "")
    for name in ("getOpenFileName", "getSaveFileName"):
        monkeypatch.setattr(QFileDialog, name, lambda *_, **__: answer)


@pytest.mark.parametrize("path", sorted(SCHEDULES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_opens_into_a_new_book_and_is_kept(
    page: TonightPage, book: Book, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, path: Path
) -> None:
    choose(monkeypatch, path)
    page.beginning.file_button.click()
    wait_for_plan(qtbot, page)
    assert page.banner.weight is Weight.GOOD
    load = read_load(path, NOON)
    assert page.load_panel.load() == load
    page.hide()
    latest = book.latest_load()
    assert latest is not None
    assert latest.load == load


def test_a_damaged_file_is_told_with_its_line_and_changes_nothing(
    page: TonightPage, book: Book, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "tonight.toml"
    text = (SCHEDULES / "lamp_chimneys.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("wall_mm = 2", "wall_mm = 2000"), encoding="utf-8")
    choose(monkeypatch, path)
    page.load_panel.pieces.open_action.trigger()
    assert page.banner.weight is Weight.PROBLEM
    assert "tonight.toml, line 16" in page.banner.text
    assert book.loads() == ()


def test_a_load_is_saved_and_read_back(
    page: TonightPage,
    studio: Studio,
    book: Book,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    fill_studio(book, load=False)
    book.save_load(tonight())
    studio.tell_changed("load")
    wait_for_plan(qtbot, page)
    path = tmp_path / "kept.toml"
    choose(monkeypatch, path)
    page.load_panel.pieces.save_action.trigger()
    assert "kept.toml" in page.banner.text
    again = read_load(path)
    assert again.pieces == page.load_panel.load().pieces
    assert again.button_time == page.load_panel.load().button_time
    # The folder is remembered for the next time.
    assert studio.settings.text("tonight/folder") == str(tmp_path)


def test_a_file_that_cannot_be_written_is_told(
    page: TonightPage,
    studio: Studio,
    book: Book,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    fill_studio(book)
    studio.tell_changed("load")
    wait_for_plan(qtbot, page)
    choose(monkeypatch, tmp_path / "gone" / "kept.toml")
    page.load_panel.pieces.save_action.trigger()
    assert page.banner.weight is Weight.PROBLEM
    assert "cannot be written" in page.banner.text


def test_choosing_no_file_changes_nothing(
    page: TonightPage, book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    choose(monkeypatch, None)
    page.load_panel.pieces.open_action.trigger()
    assert page.banner.text == ""
    assert book.loads() == ()
