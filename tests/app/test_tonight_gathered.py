"""Pieces gathered from a pot: their glass is what the pot's ledger says was in it then."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot
from tonight_nights import (
    BUTTON,
    FLOAT,
    NOON,
    Clock,
    fill_studio,
    tonight,
    type_into,
    wait_for_plan,
)

from app.studio import Studio
from app.theme import Appearance
from app.tonight.page import TonightPage
from app.tonight.piece_form import FromPot
from core.composition.composition import Composition
from core.furnace.ledger import Charge, Pot
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.store.book import Book

SODA = Glass("soda cullet", Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13}))
POTASH = Glass("potash cullet", Composition.from_percent({"SiO2": 64, "K2O": 16, "CaO": 20}))
POT = "Quay pot"
FIRST = NOON - timedelta(hours=20)
SECOND = NOON - timedelta(hours=2)


@pytest.fixture
def open_page(
    studio: Studio,
    book: Book,
    appearance: Appearance,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
) -> Callable[[], TonightPage]:
    monkeypatch.setattr(studio, "now", Clock(NOON))
    studio.zone = UTC
    fill_studio(book)
    book.save_glass(SODA)
    book.save_glass(POTASH)
    book.save_furnace("Harbour furnace")
    book.save_pot(Pot(POT, "Harbour furnace", 90.0))
    book.add_charge(Charge(FIRST, POT, SODA.name, 40.0))
    book.add_charge(Charge(SECOND, POT, POTASH.name, 40.0))

    def opened() -> TonightPage:
        page = TonightPage(studio)
        qtbot.addWidget(page)
        page.show()
        return page

    return opened


@pytest.fixture
def page(open_page: Callable[[], TonightPage], qtbot: QtBot) -> Iterator[TonightPage]:
    made = open_page()
    wait_for_plan(qtbot, made)
    yield made
    made.hide()


def gather(qtbot: QtBot, page: TonightPage, clock_time: str = "") -> None:
    """Choose the pot for the chosen piece, and when it was gathered."""
    form = page.load_panel.pieces.form
    form.glass.set_value(FromPot(POT))
    if clock_time:
        type_into(qtbot, form.gathered_at.time, clock_time)


def potash_of(page: TonightPage) -> float:
    assert page.plan is not None
    load = page.load_panel.load()
    return load.glasses[load.pieces[0].glass].composition.weight("K2O")


def planned_for(page: TonightPage) -> str:
    """The glass of the first piece in the plan shown."""
    planned = page._planned
    return "" if planned is None else planned[0].pieces[0].glass


def test_the_hour_of_gathering_decides_the_glass(page: TonightPage, qtbot: QtBot) -> None:
    form = page.load_panel.pieces.form
    assert not form.form.field("gathered_at").isVisible()
    gather(qtbot, page)
    assert form.gathered_at.moment == NOON
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 12:00")
    assert potash_of(page) > 5.0
    gather(qtbot, page, "9:00")
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 09:00")
    assert potash_of(page) == pytest.approx(0.0, abs=0.01)
    qtbot.waitUntil(lambda: "Anneals at" in form.form.field("gathered_at").message.text())
    form.glass.set_value("quay glass")
    qtbot.waitUntil(lambda: planned_for(page) == "quay glass")
    assert page.load_panel.load().gathered == {}


def test_two_kinds_from_one_pot_at_two_hours_are_two_glasses(
    page: TonightPage, qtbot: QtBot
) -> None:
    gather(qtbot, page, "9:00")
    page.load_panel.pieces.copy()
    gather(qtbot, page, "11:00")
    wanted = ["Quay pot 09:00", "Quay pot 11:00"]
    qtbot.waitUntil(
        lambda: (
            page._planned is not None
            and [piece.glass for piece in page._planned[0].pieces] == wanted
        )
    )


def test_an_empty_pot_is_told_beside_the_hour(page: TonightPage, qtbot: QtBot) -> None:
    gather(qtbot, page)
    field = page.load_panel.pieces.form.form.field("gathered_at")
    page.load_panel.pieces.form.gathered_at.set_moment(FIRST - timedelta(hours=3))
    page.load_panel.pieces.form._on_edited()
    qtbot.waitUntil(lambda: "begins on" in field.error)
    qtbot.waitUntil(lambda: "“Fishing float”" in page.work.verdict.reason.text())
    assert not page.work.start_button.isEnabled()


def test_a_charge_entered_later_changes_the_glass_of_tonight(
    page: TonightPage, qtbot: QtBot, book: Book, studio: Studio
) -> None:
    gather(qtbot, page, "9:00")
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 09:00")
    assert potash_of(page) == pytest.approx(0.0, abs=0.01)
    wait_for_plan(qtbot, page)
    book.add_charge(Charge(FIRST + timedelta(hours=1), POT, POTASH.name, 30.0))
    studio.tell_changed("furnace")
    qtbot.waitUntil(
        lambda: page._planned[0].glasses["Quay pot 09:00"]
        .composition.weight("K2O") > 3.0
    )  # fmt: skip


def test_the_night_keeps_the_glass_it_was_begun_with(
    page: TonightPage, qtbot: QtBot, book: Book, studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    gather(qtbot, page, "11:00")
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 11:00")
    wait_for_plan(qtbot, page)
    monkeypatch.setattr(studio, "now", Clock(BUTTON))
    page.work.start_button.click()
    qtbot.waitUntil(lambda: bool(page.desk.nights))
    run = next(iter(page.desk.nights))
    book.add_charge(Charge(SECOND + timedelta(minutes=5), POT, SODA.name, 30.0))
    studio.tell_changed("furnace")
    load = page.desk.nights[run].load
    glass = load.glasses[load.pieces[0].glass]
    assert glass.name == "Quay pot 11:00"
    assert load.gathered == {FLOAT.name: Gathering(POT, datetime(2026, 11, 25, 11, tzinfo=UTC))}
    assert glass.composition.weight("K2O") > 5.0


def test_it_is_all_there_when_the_page_is_opened_again(
    page: TonightPage, open_page: Callable[[], TonightPage], qtbot: QtBot, book: Book
) -> None:
    gather(qtbot, page, "11:00")
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 11:00")
    load = page.load_panel.load()
    page.hide()
    assert book.latest_load().load == load
    again = open_page()
    wait_for_plan(qtbot, again)
    assert again.load_panel.load() == load
    form = again.load_panel.pieces.form
    assert form.glass.value == FromPot(POT)
    assert form.gathered_at.moment == datetime(2026, 11, 25, 11, tzinfo=UTC)
    # The pot and the hour are the choice, not the glass they come to.
    assert "Quay pot 11:00" not in [form.glass.itemText(i) for i in range(form.glass.count())]


def test_a_load_file_brings_the_glass_of_a_pot_that_is_not_in_the_book(
    page: TonightPage,
    qtbot: QtBot,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
    book: Book,
) -> None:
    gather(qtbot, page, "11:00")
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 11:00")
    load = page.load_panel.load()
    path = str(tmp_path / "gathered.toml")
    for name in ("getOpenFileName", "getSaveFileName"):
        monkeypatch.setattr(QFileDialog, name, lambda *_, **__: (path, ""))
    page.load_panel.pieces.save_action.trigger()
    for record in book.charges(pot=POT):
        book.delete_charge(record.id)
    book.save_load(tonight(), replacing=page.keeper.load_id)
    book.delete_pot(POT)
    page.load_panel.pieces.open_action.trigger()
    qtbot.waitUntil(lambda: planned_for(page) == "Quay pot 11:00")
    opened = page.load_panel.load()
    assert opened.gathered == load.gathered
    glass = opened.glasses["Quay pot 11:00"]
    assert glass.composition.weight("K2O") == pytest.approx(potash_of(page), abs=0.01)
