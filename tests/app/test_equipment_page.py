"""The page “Equipment”: lehrs entered, measured, renamed and removed; furnaces with their pots."""

from __future__ import annotations

import math
from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QSignalSpy
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from app.equipment.opening import Kind, open_equipment
from app.equipment.page import EquipmentPage
from app.studio import Studio
from app.widgets.banner import Weight
from core.equipment.lehr import Controller, Entry, Lehr
from core.furnace.ledger import Charge, Pot
from core.store.book import Book
from core.store.demo import fill_demo
from core.units import ZERO_CELSIUS, TemperatureUnit, UnitChoice

BIG = Lehr("Quay lehr", cooling_time_constant=4.0 * 3600, ambient=ZERO_CELSIUS + 18)


@pytest.fixture
def page(book: Book, studio: Studio, qtbot: QtBot) -> EquipmentPage:
    book.save_lehr(BIG)
    book.save_lehr(Lehr("Boat lehr", 2.0 * 3600))
    made = EquipmentPage(studio)
    qtbot.addWidget(made)
    made.resize(900, 640)
    made.show()
    return made


def retype(qtbot: QtBot, box: QLineEdit, text: str) -> None:
    box.setFocus()
    box.selectAll()
    qtbot.keyClick(box, Qt.Key.Key_Delete)
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Tab)


def press(qtbot: QtBot, button: object) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def choose(page: EquipmentPage, name: str) -> None:
    (item,) = page.list.names.findItems(name, Qt.MatchFlag.MatchExactly)
    page.list.names.setCurrentItem(item)


def test_an_empty_book_says_what_to_do(studio: Studio, book: Book, qtbot: QtBot) -> None:
    page = EquipmentPage(studio)
    qtbot.addWidget(page)
    assert page.stack.currentWidget() is page.empty
    press(qtbot, page.empty.button)
    assert page.shown == (Kind.LEHR, "")
    press(qtbot, page.save)
    assert "needed" in page.lehr.lehr_form.field("cooling_time_constant").error
    retype(qtbot, page.lehr.constant, "4,5")
    press(qtbot, page.save)
    assert "no name" in page.lehr.lehr_form.field("name").error
    retype(qtbot, page.lehr.name, "Quay lehr")
    with qtbot.waitSignal(studio.changed) as told:
        press(qtbot, page.save)
    assert told.args == ["lehrs"]
    assert book.lehrs() == (Lehr("Quay lehr", cooling_time_constant=4.5 * 3600),)
    assert page.shown == (Kind.LEHR, "Quay lehr")
    assert page.state.text() == "Saved “Quay lehr”"


def test_everything_about_a_lehr_is_kept(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    choose(page, "Quay lehr")
    form = page.lehr
    retype(qtbot, form.name, "Pier lehr")
    retype(qtbot, form.ambient, "21,5")
    retype(qtbot, form.highest, "700")
    retype(qtbot, form.heating, "150")
    retype(qtbot, form.offset, "-3")
    form.entry.set_value(Entry.TIME)
    form.unit.set_value(TemperatureUnit.FAHRENHEIT)
    retype(qtbot, form.segments, "12")
    retype(qtbot, form.step, "0,1")
    retype(qtbot, form.unsure, "1,5")
    retype(qtbot, form.uneven, "3")
    retype(qtbot, form.slowest, "0,4")
    retype(qtbot, form.fastest, "999")
    retype(qtbot, form.longest, "99")
    assert page.state.text() == "Not saved yet"
    press(qtbot, page.save)
    (lehr,) = [lehr for lehr in book.lehrs() if lehr.name == "Pier lehr"]
    assert lehr.ambient == pytest.approx(ZERO_CELSIUS + 21.5)
    assert lehr.max_temperature == pytest.approx(ZERO_CELSIUS + 700)
    assert lehr.max_heating_rate == pytest.approx(150 / 3600)
    assert lehr.thermocouple_offset == pytest.approx(-3.0)
    assert lehr.cooling_time_constant == 4.0 * 3600
    assert lehr.thermocouple_error == pytest.approx(1.5)
    assert lehr.unevenness == pytest.approx(3.0)
    assert lehr.controller == Controller(
        Entry.TIME,
        TemperatureUnit.FAHRENHEIT,
        12,
        0.1,
        smallest_rate=0.4,
        greatest_rate=999.0,
        longest_segment=99 * 3600.0,
    )
    assert {lehr.name for lehr in book.lehrs()} == {"Boat lehr", "Pier lehr"}
    assert not page.dirty


def test_bad_numbers_are_refused_beside_the_field(
    page: EquipmentPage, book: Book, qtbot: QtBot
) -> None:
    choose(page, "Quay lehr")
    retype(qtbot, page.lehr.highest, "9000")
    assert page.lehr.lehr_form.field("max_temperature").error == "Use 100 °C to 1300 °C."
    retype(qtbot, page.lehr.segments, "2,5")
    assert "whole number" in page.lehr.controller_form.field("max_segments").error
    press(qtbot, page.save)
    assert next(lehr for lehr in book.lehrs() if lehr.name == "Quay lehr") == BIG
    press(qtbot, page.discard)
    assert page.lehr.highest.text() == "650"
    assert page.lehr.lehr_form.field("max_temperature").error == ""
    assert not page.dirty


def test_a_name_that_is_taken_is_refused(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    press(qtbot, page.list.add_lehr)
    retype(qtbot, page.lehr.name, "Quay lehr")
    retype(qtbot, page.lehr.constant, "3")
    press(qtbot, page.save)
    assert "already" in page.lehr.lehr_form.field("name").error
    press(qtbot, page.discard)
    choose(page, "Boat lehr")
    retype(qtbot, page.lehr.name, "Quay lehr")
    press(qtbot, page.save)
    assert "another lehr" in page.lehr.lehr_form.field("name").error
    assert BIG in book.lehrs()


def test_the_time_constant_is_measured(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    choose(page, "Quay lehr")
    cooling = page.lehr.cooling
    retype(qtbot, cooling.start, "500")
    retype(qtbot, cooling.end, "520")
    retype(qtbot, cooling.duration, "3:20")
    assert "must fall" in cooling.form.field("end").error
    assert not cooling.use.isEnabled()
    retype(qtbot, cooling.end, "150")
    assert cooling.form.field("end").error == ""
    # Newton's law of cooling in a room at 18 °C: tau = t / ln((500 - 18) / (150 - 18)).
    hours = (10 / 3) / math.log(482 / 132)
    assert cooling.result.text() == f"Time constant {hours:.2f} h"
    press(qtbot, cooling.use)
    assert page.dirty
    press(qtbot, page.save)
    saved = next(lehr for lehr in book.lehrs() if lehr.name == "Quay lehr")
    assert saved.cooling_time_constant == pytest.approx(hours * 3600)


def test_the_cooling_answers_to_what_is_typed(page: EquipmentPage, qtbot: QtBot) -> None:
    choose(page, "Quay lehr")
    cooling = page.lehr.cooling
    # 4 h ln(482/27) = 11.53 h to fall from 500 to 45 °C in a room at 18 °C.
    assert "from 500 °c it is at 45 °c after 11:32" in cooling.sentence.text().casefold()
    retype(qtbot, page.lehr.constant, "2")
    assert "after 5:46" in cooling.sentence.text()
    retype(qtbot, page.lehr.constant, "")
    assert cooling.table.isHidden()


def test_fahrenheit_shows_the_same_lehr(
    page: EquipmentPage, studio: Studio, book: Book, qtbot: QtBot
) -> None:
    choose(page, "Quay lehr")
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    # 650 °C = 1202 °F; a rate of 200 K/h = 360 °F/h; 18 °C = 64.4 °F (NIST SP 811 B.8).
    assert page.lehr.highest.text() == "1202"
    assert page.lehr.heating.text() == "360"
    assert page.lehr.ambient.text() == "64.4"
    assert "950 °F" in page.lehr.cooling.sentence.text()
    retype(qtbot, page.lehr.offset, "9")
    press(qtbot, page.save)
    saved = next(lehr for lehr in book.lehrs() if lehr.name == "Quay lehr")
    assert saved.thermocouple_offset == pytest.approx(5.0)
    assert saved.max_temperature == BIG.max_temperature


def test_the_wire_says_how_far_it_may_be_off(page: EquipmentPage) -> None:
    page.lehr.wire.set_value("K1")
    # IEC 60584-1:2013, type K class 1: the greater of 1.5 °C and 0.004 |t|.
    assert "2.1 °C at 520 °C" in page.lehr.wire_field.message.text()


def test_unsaved_changes_are_not_lost_in_passing(
    page: EquipmentPage, book: Book, qtbot: QtBot
) -> None:
    choose(page, "Quay lehr")
    retype(qtbot, page.lehr.highest, "600")
    choose(page, "Boat lehr")
    assert page.shown == (Kind.LEHR, "Quay lehr")
    assert page.list.names.currentItem().text() == "Quay lehr"
    assert page.lehr.highest.text() == "600"
    assert page.banner.weight is Weight.CAUTION
    page.banner.acted.emit()
    assert page.shown == (Kind.LEHR, "Boat lehr")
    assert BIG in book.lehrs()


def test_removing_asks_in_the_page(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    choose(page, "Boat lehr")
    press(qtbot, page.remove)
    assert len(book.lehrs()) == 2
    page.banner.acted.emit()
    assert book.lehrs() == (BIG,)
    assert page.shown == (Kind.LEHR, "Quay lehr")
    assert page.banner.text == "Removed “Boat lehr”."


def test_a_lehr_with_runs_stays(studio: Studio, book: Book, qtbot: QtBot) -> None:
    fill_demo(book, datetime(2026, 11, 25, 12, 0, tzinfo=UTC))
    page = EquipmentPage(studio)
    qtbot.addWidget(page)
    used = book.runs()[0].lehr_name
    page.open(Kind.LEHR, used)
    press(qtbot, page.remove)
    page.banner.acted.emit()
    assert "runs were made in it" in page.banner.text
    assert used in {lehr.name for lehr in book.lehrs()}


def test_a_furnace_and_its_pots_from_the_keyboard(
    page: EquipmentPage, studio: Studio, book: Book, qtbot: QtBot
) -> None:
    news = QSignalSpy(studio.changed)
    press(qtbot, page.list.add_furnace)
    furnace = page.furnace
    assert not furnace.pots.isVisible()
    qtbot.keyClicks(furnace.name, "Shore furnace")
    qtbot.keyClick(furnace.name, Qt.Key.Key_Return)
    assert book.furnaces() == ("Shore furnace",)
    assert page.focusWidget() is furnace.pot_name
    qtbot.keyClicks(furnace.pot_name, "Clear pot")
    qtbot.keyClicks(furnace.capacity, "62,5")
    qtbot.keyClick(furnace.capacity, Qt.Key.Key_Return)
    qtbot.keyClicks(furnace.pot_name, "Green pot")
    qtbot.keyClick(furnace.pot_name, Qt.Key.Key_Return)
    assert book.pots() == (
        Pot("Clear pot", "Shore furnace", 62.5),
        Pot("Green pot", "Shore furnace"),
    )
    assert news.count() == 3
    assert furnace.table.model().index(0, 1).data() == "62.5 kg"


def test_pots_are_renamed_and_refused(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    book.save_furnace("Shore furnace")
    book.save_pot(Pot("Clear pot", "Shore furnace", 60.0))
    page.open(Kind.FURNACE, "Shore furnace")
    furnace = page.furnace
    qtbot.keyClicks(furnace.pot_name, "Clear pot")
    press(qtbot, furnace.save_pot)
    assert "already" in furnace.pot_form.field("name").error
    furnace.pot_name.setText("Blue pot")
    qtbot.keyClicks(furnace.capacity, "0")
    press(qtbot, furnace.save_pot)
    assert furnace.pot_form.field("capacity").error
    furnace.table.selectRow(0)
    retype(qtbot, furnace.pot_name, "White pot")
    press(qtbot, furnace.save_pot)
    assert book.pots() == (Pot("White pot", "Shore furnace", 60.0),)
    book.add_charge(Charge(datetime(2026, 11, 25, tzinfo=UTC), "White pot", "cullet", 5.0))
    furnace.table.selectRow(0)
    press(qtbot, furnace.remove_pot)
    assert "it was charged" in page.banner.text
    press(qtbot, page.remove)
    page.banner.acted.emit()
    assert "it has pots" in page.banner.text
    assert book.furnaces() == ("Shore furnace",)


def test_a_furnace_is_renamed(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    book.save_furnace("Shore furnace")
    page.open(Kind.FURNACE, "Shore furnace")
    retype(qtbot, page.furnace.name, "Hill furnace")
    press(qtbot, page.save)
    assert book.furnaces() == ("Hill furnace",)
    assert page.shown == (Kind.FURNACE, "Hill furnace")


def test_other_pages_open_what_they_want(
    page: EquipmentPage, studio: Studio, book: Book, qtbot: QtBot
) -> None:
    book.save_furnace("Shore furnace")
    studio.tell_changed("furnace")
    open_equipment(studio, Kind.FURNACE, "Shore furnace")
    assert page.shown == (Kind.FURNACE, "Shore furnace")
    open_equipment(studio, Kind.LEHR)
    assert page.shown == (Kind.LEHR, "")
    again = EquipmentPage(studio)  # reopened, an unfinished new piece is not shown again
    qtbot.addWidget(again)
    assert again.shown == (Kind.LEHR, "Boat lehr")


def test_a_new_controller_speaks_the_degrees_of_the_studio(
    page: EquipmentPage, studio: Studio, qtbot: QtBot
) -> None:
    studio.set_units(UnitChoice(TemperatureUnit.FAHRENHEIT))
    press(qtbot, page.list.add_lehr)
    assert page.lehr.unit.value is TemperatureUnit.FAHRENHEIT
    choose(page, "Quay lehr")
    assert page.lehr.unit.value is TemperatureUnit.CELSIUS  # as it was entered
