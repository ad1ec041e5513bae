"""The pot's ledger in the window: written down, corrected, asked about, handed on."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from app.furnace.kinds import Kind
from app.furnace.page import FurnacePage, View
from app.furnace.pot_plot import Above, Below
from app.studio import Studio
from app.widgets.banner import Weight
from core.composition.composition import Composition
from core.furnace.charged_glass import ChargedGlass
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.furnace.pot_events import LevelSeen, NewPot, Removal, Taken
from core.glass.glass import Glass
from core.glass.properties import properties_of
from core.melt import pot_story as pot_story_module
from core.melt.pot_ledger import USUAL_DENSITY
from core.melt.pot_vessel import PotVessel
from core.store.book import Book
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice

NOW = datetime(2026, 11, 25, 18, 5, 42, tzinfo=UTC)
FURNACE, POT = "Shore furnace", "Clear pot"
CLEAR = Glass("harbour glass", Composition.from_percent({"SiO2": 72, "Na2O": 15, "CaO": 13}))
SHAPE = PotVessel(POT, 0.40, 0.36, 0.36)


@pytest.fixture
def page(book: Book, studio: Studio, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> FurnacePage:
    studio.zone = UTC
    monkeypatch.setattr(pot_story_module, "_POINTS", 6)  # a coarse curve: these tests read words
    monkeypatch.setattr(studio, "now", lambda: NOW)
    book.save_furnace(FURNACE)
    book.save_pot(Pot(POT, FURNACE, 90.0))
    book.save_pot_shape(POT, SHAPE)
    book.save_glass(CLEAR)
    book.save_charged_glass(ChargedGlass("cullet", CLEAR.name))
    book.add_charge(Charge(NOW - timedelta(hours=30), POT, "cullet", 40.0))
    book.add_furnace_reading(FurnaceReading(NOW - timedelta(hours=30), FURNACE, 273.15 + 1250))
    made = FurnacePage(studio)
    qtbot.addWidget(made)
    made.resize(1100, 900)
    made.views.setCurrentIndex(View.POT)
    made.show()
    told(made, qtbot)
    return made


def told(page: FurnacePage, qtbot: QtBot) -> None:
    """Wait until the pot has been reckoned."""
    qtbot.waitUntil(lambda: not page._studio.jobs.is_busy("pot story"), timeout=5000)


def record(page: FurnacePage, qtbot: QtBot, kind: Kind, **typed: str) -> None:
    form = page.entry.charge
    form.what.set_value(kind)
    for name, text in typed.items():
        box = getattr(form, name)
        box.clear()
        qtbot.keyClicks(box, text)
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)
    told(page, qtbot)


def test_the_glass_now_is_told_large_and_handed_to_tonights_pieces(
    page: FurnacePage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    answer = page.pot.answer
    assert answer.amount.number.text() == "40 kg"
    wanted = properties_of(CLEAR).annealing_point
    shown = answer.annealing.number.text().removesuffix(" °C")
    # A little soda has gone since: a fraction of a degree.
    assert float(shown) == pytest.approx(wanted.value - 273.15, abs=1.0)
    assert answer.annealing.below.text().startswith("nine in ten: ")
    assert "deep" in answer.amount.below.text()
    assert answer.drift.number.text() == "steady"
    assert "volatilised" in answer.drift.toolTip()
    assert page.entry.charge.fields["pot"].message.text() == "Holds 90 kg, has 40 kg"
    with qtbot.waitSignal(studio.changed) as changed:
        qtbot.mouseClick(page.pot.answer.use, Qt.MouseButton.LeftButton)
    assert changed.args == ["glasses"]
    (version,) = book.glass_versions(POT)
    assert version.glass.composition.weight("Na2O") == pytest.approx(15.0, abs=0.3)
    assert "pot ledger at 2026-11-25 18:05" in version.glass.source
    record(page, qtbot, Kind.CHARGE, material=CLEAR.name, mass="5")
    page.pot.use_glass()
    assert page.pot.banner.weight is Weight.GOOD
    with qtbot.waitSignal(studio.page_wanted) as wanted:
        page.pot.banner.acted.emit()
    assert wanted.args == ["tonight"]


def test_every_kind_of_entry_is_written_down(page: FurnacePage, book: Book, qtbot: QtBot) -> None:
    form = page.entry.charge
    form.what.set_value(Kind.PIECES)
    assert form.fields["mass"].label.text() == "&Mass of each"
    assert form.fields["material"].isHidden()
    qtbot.keyClicks(form.count, "5")
    qtbot.keyClick(form.count, Qt.Key.Key_Return)  # leads from the count to the weight
    assert page.focusWidget() is form.mass
    record(page, qtbot, Kind.WEIGHED, mass="3")
    record(page, qtbot, Kind.PIECES, count="6", mass="0,5", note="floats")
    record(page, qtbot, Kind.SKIMMED, mass="0.4")
    record(page, qtbot, Kind.DRAINED, mass="2")
    record(page, qtbot, Kind.LEVEL, level="150")
    events = [row.entry.event for row in book.pot_entries(pot=POT)]
    assert [type(event) for event in events] == [Taken, Taken, Taken, Taken, LevelSeen]
    assert [event.how for event in events[:4]] == [
        Removal.GATHERED,
        Removal.GATHERED,
        Removal.SKIMMED,
        Removal.DRAINED,
    ]
    assert events[1].mass == 3.0
    # A frustum of the floor's and the level's diameters, 210 mm of melt high.
    assert events[4].mass == pytest.approx(SHAPE.volume(0.21) * USUAL_DENSITY, rel=0.03)
    assert book.pot_entries(pot=POT)[1].entry.note == "6 pieces of 0.5 kg; floats"
    assert "level of Clear pot at" in page.entry.told.text
    rows = page.pot.table.model()
    assert rows.rowCount() == 6
    assert rows.index(0, 1).data().startswith("level seen – 150 mm below the rim")
    assert rows.index(1, 2).data() == "−2 kg"
    assert rows.index(5, 2).data() == "+40 kg"
    record(page, qtbot, Kind.NEW_POT)
    assert isinstance(book.pot_entries(pot=POT)[-1].entry.event, NewPot)
    assert page.pot.answer.amount.number.text() == "empty"
    assert page.entry.charge.kind is Kind.CHARGE


def test_overfilling_is_warned_of_and_a_level_without_a_shape_refused(
    page: FurnacePage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    form = page.entry.charge
    qtbot.keyClicks(form.mass, "30")  # 50 kg of room, but a heap takes twice that of glass
    assert form.fields["mass"].message.text() == "Over 25.5 kg, heaped"
    qtbot.keyClick(form.mass, Qt.Key.Key_Return)
    assert page.entry.told.weight is Weight.CAUTION
    assert "twice the room of glass" in page.entry.told.text
    told(page, qtbot)
    qtbot.keyClicks(form.mass, "30")
    assert form.fields["mass"].message.text() == "Over 20 kg"
    book.save_pot_shape(POT, None)
    studio.tell_changed("furnace")
    record(page, qtbot, Kind.LEVEL, level="150")
    assert "Equipment" in form.fields["level"].error
    assert book.pot_entries(pot=POT) == ()


def test_an_entry_is_corrected_and_brought_back(
    page: FurnacePage, book: Book, qtbot: QtBot
) -> None:
    record(page, qtbot, Kind.WEIGHED, mass="30", note="prisms")
    table = page.pot.table
    table.selectRow(0)
    qtbot.mouseClick(page.pot.correct, Qt.MouseButton.LeftButton)
    form = page.entry.charge
    assert form.record.text() == "Save correction"
    assert (form.kind, form.mass.value_si, form.note.text()) == (Kind.WEIGHED, 30.0, "prisms")
    assert not page.entry.time.follows_now
    form.mass.clear()
    qtbot.keyClicks(form.mass, "3")
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)
    told(page, qtbot)
    (entry,) = book.pot_entries(pot=POT)
    assert (entry.entry.event.mass, entry.entry.note) == (3.0, "prisms")
    assert page.entry.told.text.startswith("Corrected: 18:05, 3 kg gathered from Clear pot")
    assert page.entry.time.follows_now
    assert (form.record.text(), form.kind) == ("Record charge", Kind.CHARGE)
    qtbot.mouseClick(page.entry.told.button, Qt.MouseButton.LeftButton)
    assert book.pot_entries(pot=POT)[0].entry.event.mass == 30.0
    told(page, qtbot)


def test_a_correction_may_change_what_was_done_be_left_or_removed(
    page: FurnacePage, book: Book, qtbot: QtBot
) -> None:
    page.pot.table.selectRow(0)
    page.pot.table.row_opened.emit(page.pot.table.selected_row())
    form = page.entry.charge
    assert form.material.text() == "cullet"
    qtbot.mouseClick(page.entry.told.button, Qt.MouseButton.LeftButton)  # leave it as it was
    assert form.record.text() == "Record charge"
    page.pot.table.row_opened.emit(page.pot.table.selected_row())
    form.what.set_value(Kind.DRAINED)
    form.mass.set_value_si(4.0)
    qtbot.mouseClick(form.record, Qt.MouseButton.LeftButton)
    told(page, qtbot)
    assert book.charges() == ()
    assert book.pot_entries()[0].entry.event.how is Removal.DRAINED
    # Removed, and put back.
    page.pot.table.selectRow(0)
    qtbot.mouseClick(page.pot.remove, Qt.MouseButton.LeftButton)
    assert book.pot_entries() == ()
    assert page.entry.told.text.endswith("4 kg drained from Clear pot.")
    qtbot.mouseClick(page.entry.told.button, Qt.MouseButton.LeftButton)
    assert len(book.pot_entries()) == 1
    told(page, qtbot)


def test_what_a_material_makes_is_asked_and_answered(
    page: FurnacePage, book: Book, qtbot: QtBot
) -> None:
    record(page, qtbot, Kind.CHARGE, material="beach finds", mass="10")
    banner = page.pot.banner
    assert "“beach finds”" in banner.text
    assert page.pot.answer.amount.number.text() == "40 kg"
    banner.acted.emit()
    panel = page.pot.materials
    assert page.pot.stack.currentWidget() is panel
    assert panel.question.text() == "Which glass does “beach finds” make in the pot?"
    panel.makes.set_value("\0analysis")
    qtbot.keyClicks(panel.analysis, "SiO2 seventy")
    qtbot.mouseClick(panel.save, Qt.MouseButton.LeftButton)
    assert panel.form.field("composition").error
    panel.analysis.clear()
    qtbot.keyClicks(panel.analysis, "SiO2 70, Na2O 18, CaO 12")
    panel.glass_yield.clear()
    qtbot.keyClicks(panel.glass_yield, "90")
    qtbot.mouseClick(panel.save, Qt.MouseButton.LeftButton)
    told(page, qtbot)
    assert page.pot.answer.amount.number.text() == "49 kg"
    assert page.pot.banner.isHidden()
    (answer,) = [r.answer for r in book.charged_glasses() if r.answer.material == "beach finds"]
    assert (answer.pot, answer.glass_yield) == (POT, 0.9)


def test_the_plot_shows_level_and_oxides_in_the_units_chosen(
    page: FurnacePage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    record(page, qtbot, Kind.CHARGE, material="bottle green potash", mass="8")
    plot = page.pot.plot
    assert "48 kg" in plot.description
    plot.above.set_value(Above.LEVEL)
    plot.below.set_value(Below.OXIDES)
    assert "K2O" in plot.read_out.text()
    plot.set_cursor((NOW - timedelta(hours=20)).timestamp())
    assert "40 kg" in plot.read_out.text()
    plot.below.set_value(Below.EXPANSION)
    assert "/K" in plot.read_out.text()
    inches = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
    studio.set_units(inches)
    told(page, qtbot)
    assert "lb" in plot.read_out.text()
    assert page.pot.answer.annealing.number.text().endswith("°F")
    QAbstractItemModelTester(
        page.pot.table.model(), QAbstractItemModelTester.FailureReportingMode.Fatal
    )
    # A pot with nothing in it says what to do.
    book.save_pot(Pot("Green pot", FURNACE))
    studio.tell_changed("furnace")
    page.entry.charge.pot.set_value("Green pot")
    told(page, qtbot)
    assert not page.pot.nothing.isHidden()
    assert page.pot.answer.amount.below.text() == "nothing written down of it"
    assert not page.pot.answer.use.isEnabled()
