"""The page “Pots and furnace”, used as at the furnace: typed, Enter, looked at, taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from app.furnace.curve import charge_markers
from app.furnace.page import FurnacePage, View
from app.furnace.record_panel import Listed, Span
from app.plots.curves import LineRole, MarkerRole
from app.settings import Settings
from app.studio import Studio
from app.widgets.banner import Weight
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.melt.melt_file import read_melt
from core.store.book import Book, ChargeRecord
from core.units import MassUnit, TemperatureUnit, UnitChoice

NOW = datetime(2026, 11, 25, 18, 5, 42, tzinfo=UTC)
ZONE = ZoneInfo("Europe/London")
FURNACE = "Shore furnace"


@pytest.fixture
def furnace_book(book: Book) -> Book:
    book.save_furnace(FURNACE)
    book.save_pot(Pot("Clear pot", FURNACE, 90.0))
    book.save_pot(Pot("Green pot", FURNACE))
    yesterday = NOW - timedelta(hours=20)
    book.add_charge(Charge(yesterday, "Clear pot", "own cullet", 20.0, "washed"))
    book.add_furnace_reading(FurnaceReading(yesterday, FURNACE, 273.15 + 1190))
    return book


@pytest.fixture
def shop(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Studio:
    studio.zone = ZONE
    monkeypatch.setattr(studio, "now", lambda: NOW)
    return studio


@pytest.fixture
def page(furnace_book: Book, shop: Studio, qtbot: QtBot) -> FurnacePage:
    made = FurnacePage(shop)
    qtbot.addWidget(made)
    made.resize(1000, 700)
    made.show()
    return made


def enter(qtbot: QtBot, box: object, text: str) -> None:
    qtbot.keyClicks(box, text)
    qtbot.keyClick(box, Qt.Key.Key_Return)


def test_a_temperature_takes_its_digits_and_enter(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    assert page.focusWidget() is page.entry.temperature
    enter(qtbot, page.entry.temperature, "1215,5")
    latest = furnace_book.furnace_readings(FURNACE)[-1]
    assert latest.temperature == pytest.approx(273.15 + 1215.5)
    assert latest.time == NOW
    assert page.entry.told.text == "Recorded 18:05, 1216 °C."
    assert page.entry.told.weight is Weight.GOOD
    assert page.entry.temperature.text() == ""
    assert page.record.entries[0] == latest
    assert page.record.table.model().index(0, 0).data() == "today 18:05"
    assert page.record.table.model().index(0, 2).data() == "1216 °C"


def test_fahrenheit_and_pounds(
    page: FurnacePage, shop: Studio, furnace_book: Book, qtbot: QtBot
) -> None:
    shop.set_units(
        replace(UnitChoice(), temperature=TemperatureUnit.FAHRENHEIT, mass=MassUnit.POUND)
    )
    enter(qtbot, page.entry.temperature, "2200")
    # 2200 °F = (2200 - 32) / 1.8 °C, NIST SP 811 B.8.
    assert furnace_book.furnace_readings(FURNACE)[-1].temperature == pytest.approx(
        273.15 + (2200 - 32) / 1.8
    )
    assert "2200 °F" in page.entry.told.text
    enter(qtbot, page.entry.charge.mass, "10")
    # 1 lb = 0.453 592 37 kg exactly, NIST SP 811 B.8.
    assert furnace_book.charges()[-1].charge.mass == pytest.approx(4.5359237)
    assert "10 lb" in page.entry.told.text
    assert page.entry.today.text() == "Charged today: Clear pot 10 lb"


def test_an_impossible_temperature_is_refused_beside_the_field(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    enter(qtbot, page.entry.temperature, "12155")
    assert "not possible" in page.entry.temperature_field.error
    assert page.entry.temperature.text() == "12155"
    assert len(furnace_book.furnace_readings(FURNACE)) == 1
    qtbot.keyClick(page.entry.temperature, Qt.Key.Key_Backspace)
    assert page.entry.temperature_field.error == ""
    enter(qtbot, page.entry.temperature, "")
    assert len(furnace_book.furnace_readings(FURNACE)) == 2


def test_nothing_typed_is_asked_for(page: FurnacePage, furnace_book: Book, qtbot: QtBot) -> None:
    enter(qtbot, page.entry.temperature, "")
    assert page.entry.temperature_field.error == "A number is needed here."
    assert len(furnace_book.furnace_readings(FURNACE)) == 1


@pytest.mark.parametrize("language", ["de_DE", "en_US"])
def test_a_charge_with_a_decimal_comma(
    language: str,
    page: FurnacePage,
    furnace_book: Book,
    qtbot: QtBot,
    choose_locale: Callable[[str], None],
) -> None:
    choose_locale(language)
    form = page.entry.charge
    # The pot's last material stands there already: the mass is all there is to type.
    assert (form.pot.value, form.material.text()) == ("Clear pot", "own cullet")
    qtbot.keyClicks(form.note, "dry")
    enter(qtbot, form.mass, "28,5")
    charge = furnace_book.charges()[-1].charge
    assert charge == Charge(NOW.replace(microsecond=0), "Clear pot", "own cullet", 28.5, "dry")
    mark = "," if language == "de_DE" else "."
    assert page.entry.told.text == f"Recorded 18:05, 28{mark}5 kg own cullet into Clear pot."
    assert (form.mass.text(), form.note.text()) == ("", "")
    assert form.material.text() == "own cullet"
    assert page.entry.today.text() == f"Charged today: Clear pot 28{mark}5 kg"


def test_materials_are_completed_and_keep_their_spelling(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    form = page.entry.charge
    form.material.setFocus()
    form.material.clear()
    qtbot.keyClicks(form.material, "OWN")
    assert form.material.text().casefold() == "own cullet"
    qtbot.keyClick(form.material, Qt.Key.Key_Return)  # no mass yet: go there, no complaint
    assert form.fields["mass"].error == ""
    assert page.focusWidget() is form.mass
    enter(qtbot, form.mass, "3")
    assert furnace_book.charges()[-1].charge.material == "own cullet"


def test_a_bad_mass_is_refused_beside_the_field(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    form = page.entry.charge
    enter(qtbot, form.mass, "lots")
    assert "not a number" in form.fields["mass"].error
    form.mass.clear()
    enter(qtbot, form.mass, "0")
    assert "not possible" in form.fields["mass"].error
    form.mass.clear()
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)
    assert form.fields["mass"].error == "A number is needed here."
    form.material.clear()
    enter(qtbot, form.mass, "5")
    assert "No material" in form.fields["material"].error
    assert len(furnace_book.charges()) == 1


def test_more_than_the_pot_holds_is_warned_of_and_taken(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    form = page.entry.charge
    qtbot.keyClicks(form.mass, "91")
    assert form.fields["mass"].message.text() == "Over 90 kg"
    qtbot.keyClick(form.mass, Qt.Key.Key_Return)
    assert furnace_book.charges()[-1].charge.mass == 91.0
    assert page.entry.told.weight is Weight.CAUTION
    assert "more than the 90 kg" in page.entry.told.text
    form.pot.set_value("Green pot")
    form.material.setText("batch")
    enter(qtbot, form.mass, "91")
    assert page.entry.told.weight is Weight.GOOD


def test_an_earlier_time_stays_until_sent_back_to_now(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    time = page.entry.time
    assert time.follows_now
    time.clock.time.clear()
    qtbot.keyClicks(time.clock.time, "0930")
    assert not time.follows_now
    assert not time.now.isHidden()
    enter(qtbot, page.entry.temperature, "1180")
    assert furnace_book.furnace_readings(FURNACE)[-1].time == NOW.replace(
        hour=9, minute=30, second=0
    )
    assert page.entry.told.text == "Recorded 09:30, 1180 °C."
    # The same minute twice is refused beside the time, and nothing is lost.
    enter(qtbot, page.entry.temperature, "1181")
    assert "at that time already" in time.error
    time.clock.time.clear()
    qtbot.keyClicks(time.clock.time, "2330")
    enter(qtbot, page.entry.temperature, "")
    assert "not come yet" in time.error
    assert page.entry.temperature.text() == "1181"
    time.now.linkActivated.emit("now")
    assert time.follows_now
    assert time.error == ""
    enter(qtbot, page.entry.temperature, "")
    assert furnace_book.furnace_readings(FURNACE)[-1].time == NOW.replace(microsecond=0)


def test_a_mistake_is_removed_and_put_back(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    table = page.record.table
    assert not page.record.remove.isEnabled()
    for row in range(2):
        table.setFocus()
        table.selectRow(row)
        before = page.record.entries
        qtbot.keyClick(table, Qt.Key.Key_Delete)
        assert len(page.record.entries) == len(before) - 1
        assert page.entry.told.text.startswith("Removed: yesterday 22:05, ")
        qtbot.mouseClick(page.entry.told.button, Qt.MouseButton.LeftButton)
        assert len(page.record.entries) == len(before)
    assert [record.charge.material for record in furnace_book.charges()] == ["own cullet"]
    assert len(furnace_book.furnace_readings(FURNACE)) == 1
    # A charge opened from the list is filled in again to be corrected.
    charge = next(entry for entry in page.record.entries if isinstance(entry, ChargeRecord))
    table.row_opened.emit(charge)
    assert page.entry.charge.record.text() == "Save correction"
    assert page.entry.charge.mass.value_si == 20.0


def test_the_last_entry_is_taken_back_at_once(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    enter(qtbot, page.entry.temperature, "121")
    qtbot.mouseClick(page.entry.told.button, Qt.MouseButton.LeftButton)
    assert len(furnace_book.furnace_readings(FURNACE)) == 1
    assert page.entry.told.text == "Removed: 18:05, 121 °C."


def test_it_is_there_after_reopening(
    page: FurnacePage, furnace_book: Book, settings: Settings, qtbot: QtBot
) -> None:
    enter(qtbot, page.entry.temperature, "1215")
    enter(qtbot, page.entry.charge.mass, "12")
    path: Path = furnace_book.path
    with Book.open(path) as again:  # a second program, while the first still has it open
        studio = Studio(again, settings, zone=ZONE)
        other = FurnacePage(studio)
        qtbot.addWidget(other)
        other.record.span.set_value(Span.ALL)
        assert other.furnace_name == FURNACE
        assert len(other.record.entries) == 4
        assert other.entry.charge.pot.value == "Clear pot"
        assert studio.jobs.shutdown(5.0)


def test_the_curve_shows_temperatures_and_charges(
    page: FurnacePage, shop: Studio, furnace_book: Book
) -> None:
    plot = page.record.plot
    assert plot.roles() == (LineRole.FURNACE,)
    assert "Clear pot 20 kg" in plot.description
    furnace_book.add_furnace_reading(FurnaceReading(NOW - timedelta(days=5), FURNACE, 1400.0))
    shop.tell_changed("furnace")
    assert len(page.record.entries) == 2
    page.record.span.set_value(Span.ALL)
    assert len(page.record.entries) == 3
    page.record.listed.set_value(Listed.CHARGES)
    assert page.record.table.model().rowCount() == 1
    assert len(page.record.entries) == 3


def test_many_charges_are_marked_by_day() -> None:
    charges = [
        Charge(NOW - timedelta(hours=12 * number), "Clear pot", "batch", 2.0)
        for number in range(40)
    ]
    markers = charge_markers(charges, UnitChoice(), ZONE)
    assert len(markers) == 20
    assert {marker.role for marker in markers} == {MarkerRole.CHARGE}
    assert markers[-1].label == "Wed 25 Nov: Clear pot 4 kg"
    year = [Charge(NOW - timedelta(days=number), "Clear pot", "batch", 2.0) for number in range(99)]
    assert charge_markers(year, UnitChoice(), ZONE) == ()


def test_without_a_furnace_it_leads_to_equipment(shop: Studio, book: Book, qtbot: QtBot) -> None:
    page = FurnacePage(shop)
    qtbot.addWidget(page)
    assert page.stack.currentWidget() is page.empty
    with qtbot.waitSignal(shop.page_wanted) as wanted:
        qtbot.mouseClick(page.empty.button, Qt.MouseButton.LeftButton)
    assert wanted.args == ["equipment"]
    book.save_furnace(FURNACE)
    shop.tell_changed("furnace")
    assert page.stack.currentIndex() == 0
    assert page.entry.charge.currentWidget() is page.entry.charge.empty
    assert "Nothing in the last 24 hours" in page.record.nothing.heading.text()
    # A furnace without pots still has a temperature.
    enter(qtbot, page.entry.temperature, "900")
    assert len(book.furnace_readings(FURNACE)) == 1


def test_each_furnace_has_its_own_pots_and_entries(
    page: FurnacePage, shop: Studio, furnace_book: Book, qtbot: QtBot
) -> None:
    furnace_book.save_furnace("Hill furnace")
    furnace_book.save_pot(Pot("Blue pot", "Hill furnace"))
    shop.tell_changed("furnace")
    assert page.furnace_name == FURNACE
    page.furnace.set_value("Hill furnace")
    assert page.entry.charge.pot.value == "Blue pot"
    assert page.record.entries == ()
    enter(qtbot, page.entry.temperature, "1100")
    assert len(furnace_book.furnace_readings("Hill furnace")) == 1
    assert len(furnace_book.furnace_readings(FURNACE)) == 1


def test_what_was_typed_survives_a_book_that_cannot_be_written(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    furnace_book.close()
    enter(qtbot, page.entry.temperature, "1215")
    assert page.entry.told.weight is Weight.PROBLEM
    assert "closed" in page.entry.told.text
    assert page.entry.temperature.text() == "1215"


def test_the_table_is_a_sound_model(page: FurnacePage) -> None:
    QAbstractItemModelTester(
        page.record.table.model(), QAbstractItemModelTester.FailureReportingMode.Fatal
    )
    page.record.listed.set_value(Listed.TEMPERATURES)
    assert page.record.table.model().rowCount() == 1


def test_every_view_fits_a_small_laptop(
    page: FurnacePage, furnace_book: Book, qtbot: QtBot
) -> None:
    task = read_melt(Path(__file__).parents[2] / "demo_data" / "quay_pot_overnight.toml")
    furnace_book.save_furnace_melt(FURNACE, task)
    page.resize(530, 380)
    scroll = page.stack.currentWidget()
    for view in View:
        page.views.setCurrentIndex(view)
        qtbot.waitUntil(lambda: not page._studio.jobs.is_busy(), timeout=20_000)
        qtbot.wait(20)
        assert scroll.horizontalScrollBar().maximum() == 0, view
