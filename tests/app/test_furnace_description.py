"""A furnace described on the page “Equipment”: begun, changed, loaded from a melt file, kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.equipment.opening import Kind
from app.equipment.page import EquipmentPage
from app.studio import Studio
from app.widgets.banner import Weight
from core.furnace.ledger import Pot
from core.melt.heat_source import GasBurner
from core.melt.melt_file import read_melt
from core.melt.pot_ledger import USUAL_DENSITY
from core.store.book import Book

EXAMPLE = Path(__file__).parents[2] / "demo_data" / "quay_pot_overnight.toml"
FURNACE = "Shore furnace"


@pytest.fixture
def page(book: Book, studio: Studio, qtbot: QtBot) -> EquipmentPage:
    book.save_furnace(FURNACE)
    book.save_pot(Pot("Clear pot", FURNACE, 60.0))
    made = EquipmentPage(studio)
    qtbot.addWidget(made)
    made.resize(1000, 700)
    made.show()
    made.open(Kind.FURNACE, FURNACE)
    return made


def press(qtbot: QtBot, button: object) -> None:
    qtbot.mouseClick(button, Qt.MouseButton.LeftButton)


def test_a_usual_furnace_is_begun_with_and_changed(
    page: EquipmentPage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    form = page.furnace.description
    assert form.body.isHidden()
    with qtbot.waitSignal(studio.changed) as changed:
        press(qtbot, form.begin)
    assert changed.args == ["furnace"]
    # Sized for the pot of 60 kg that stands in it.
    melt = book.furnace_melt(FURNACE)
    assert melt.pot.capacity(USUAL_DENSITY) == pytest.approx(60.0, rel=0.05)
    form.power.set_value_si(21.5)
    form.opening.set_value_si(0.2)
    form.price.set_value_si(0.31)
    form.idle.set_value_si(1300.0)
    press(qtbot, form.save)
    melt = book.furnace_melt(FURNACE)
    assert melt.furnace.source.power == pytest.approx(21_500.0)
    assert melt.furnace.opening.diameter == pytest.approx(0.2)
    assert (melt.furnace.energy.price, melt.programme.idle) == (0.31, pytest.approx(1300.0))
    form.working.set_value_si(1900.0)
    press(qtbot, form.save)
    assert "not possible" in form.form.field("working").error
    assert book.furnace_melt(FURNACE).programme.working < 1500.0


def test_elements_give_way_to_a_burner(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    form = page.furnace.description
    press(qtbot, form.begin)
    form.source.set_value("burner")
    assert form.form.field("area").isHidden()
    form.power.set_value_si(45.0)
    form.air_ratio.set_value_si(1.15)
    press(qtbot, form.save)
    source = book.furnace_melt(FURNACE).furnace.source
    assert isinstance(source, GasBurner)
    assert (source.power, source.air_ratio) == (pytest.approx(45_000.0), pytest.approx(1.15))


def test_walls_are_written_as_they_are_built(page: EquipmentPage, book: Book, qtbot: QtBot) -> None:
    form = page.furnace.description
    press(qtbot, form.begin)
    walls = form.walls
    count = len(walls.sections)
    qtbot.keyClicks(walls.name, "door")
    qtbot.keyClicks(walls.area, "0,05")
    qtbot.keyClicks(walls.layers, "64 mm insulating firebrick 26; 25 mm magic wool")
    press(qtbot, walls.keep)
    assert "magic wool" in walls.form.field("layers").error
    walls.layers.setText("64 mm insulating firebrick 26; 25 mm ceramic fibre blanket")
    press(qtbot, walls.keep)
    assert len(walls.sections) == count + 1
    walls.table.selectRow(0)
    press(qtbot, walls.remove)
    press(qtbot, form.save)
    sections = book.furnace_melt(FURNACE).furnace.sections
    assert sections[-1].name == "door"
    assert [layer.thickness for layer in sections[-1].layers] == [0.064, 0.025]
    assert len(sections) == count


def test_a_melt_file_is_loaded_and_saved(
    page: EquipmentPage, book: Book, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, qtbot: QtBot
) -> None:
    form = page.furnace.description
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(EXAMPLE), ""))
    press(qtbot, form.load)
    melt, file = book.furnace_melt(FURNACE), read_melt(EXAMPLE)
    assert melt.furnace.name == FURNACE
    assert melt.furnace.sections == file.furnace.sections
    assert "crushed harbour clear" in melt.materials
    out = tmp_path / "mine.toml"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(out), ""))
    press(qtbot, form.write)
    assert read_melt(out).furnace.sections == file.furnace.sections
    broken = tmp_path / "broken.toml"
    broken.write_text("furnace = 3\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(broken), ""))
    press(qtbot, form.load)
    assert page.banner.weight is Weight.PROBLEM
    assert "broken.toml" in page.banner.text
    assert book.furnace_melt(FURNACE) == melt


def test_a_pots_shape_is_entered_and_tells_what_it_holds(
    page: EquipmentPage, book: Book, qtbot: QtBot
) -> None:
    furnace = page.furnace
    furnace.table.selectRow(0)
    shape = furnace.shape
    shape.boxes["top_diameter"].set_value_si(0.34)
    press(qtbot, furnace.save_pot)
    assert "both the rim and the depth" in shape.form.field("depth").error
    assert book.pot_shape("Clear pot") is None
    shape.boxes["depth"].set_value_si(0.36)
    # A cylinder of 340 mm, filled to 30 mm below the rim: 2350 x pi/4 x 0.34^2 x 0.33 = 70.4 kg.
    assert shape.holds.text().startswith("Holds about 70.4 kg")
    press(qtbot, furnace.save_pot)
    vessel = book.pot_shape("Clear pot")
    assert (vessel.top_diameter, vessel.bottom_diameter, vessel.depth) == (0.34, 0.34, 0.36)
    furnace.table.selectRow(0)
    assert shape.boxes["depth"].value_si == pytest.approx(0.36)
    for name in ("top_diameter", "depth"):
        shape.boxes[name].set_value_si(None)
    press(qtbot, furnace.save_pot)
    assert book.pot_shape("Clear pot") is None
