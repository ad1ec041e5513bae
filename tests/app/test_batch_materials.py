"""The tab “Materials”: entered by formula or analysis, changed, refused, removed."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QFileDialog, QLineEdit
from pytestqt.qtbot import QtBot

from app.batch.materials_view import MaterialsView
from app.studio import Studio
from app.widgets.banner import Weight
from core.batch.material import Hazard, Material, Use
from core.batch.material_file import shipped_materials
from core.store.book import Book
from core.units import MassUnit, UnitChoice

SAND = Material.from_analysis(
    "dune sand",
    {"SiO2": 99.55, "Al2O3": 0.25, "Fe2O3": 0.02},
    0.18,
    {"H2O": 100.0},
    moisture=0.01,
    price=0.62,
    stock=240.0,
    hazards=(Hazard.SILICA,),
    hazard="Fines are respirable.",
    source="the quarry's sheet",
)


@pytest.fixture
def view(book: Book, studio: Studio, qtbot: QtBot) -> MaterialsView:
    book.fill_materials([SAND, Material.from_formula("soda ash", "Na2CO3", stock=40.0)])
    made = MaterialsView(studio)
    qtbot.addWidget(made)
    made.resize(1000, 640)
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


def in_book(book: Book, name: str) -> Material:
    return next(material for material in book.materials() if material.name == name)


def error_of(view: MaterialsView, name: str) -> str:
    forms = (view.form.head, view.form.chemistry, view.form.shelf, view.form.about)
    return next(form.field(name).error for form in forms if name in form.fields)


def test_an_empty_shelf_begins_with_the_pure_compounds(book, studio, qtbot) -> None:
    view = MaterialsView(studio)
    qtbot.addWidget(view)
    view.show()
    assert view.stack.currentWidget() is view.empty
    assert not view.save.isVisible()
    with qtbot.waitSignal(view.written):
        press(qtbot, view.empty.button)
    assert len(book.materials()) == len(tuple(shipped_materials()))
    assert view.shown == book.materials()[0].name
    with qtbot.assertNotEmitted(view.written):
        view.add_shipped()
    assert view.banner.weight is Weight.INFORMATION


def test_what_is_shown_is_saved_again_unchanged(view, book, qtbot) -> None:
    assert view.shown == "dune sand"
    retype(qtbot, view.form.note, "third bag")
    press(qtbot, view.save)
    kept = in_book(book, "dune sand")
    assert kept.note == "third bag"
    assert dict(kept.oxides) == pytest.approx(dict(SAND.oxides), abs=2e-6)
    assert dict(kept.gases) == pytest.approx(dict(SAND.gases), abs=2e-6)
    for name in ("moisture", "price", "stock", "hazards", "hazard", "source", "use"):
        assert getattr(kept, name) == getattr(SAND, name), name


def test_a_material_by_its_formula(view, book, qtbot) -> None:
    press(qtbot, view.list.add)
    assert view.shown == ""
    form = view.form
    retype(qtbot, form.name, "saltpetre")
    retype(qtbot, form.formula, "KNO3")
    # 101.103 g of KNO3 leave 47.098 g of K2O (standard atomic weights).
    assert "K2O 466 g" in form.leaves.text()
    form.use.set_value(Use.ADDITION)
    retype(qtbot, form.moisture, "1,5")
    retype(qtbot, form.price, "2,4")
    retype(qtbot, form.stock, "5")
    form.hazards[Hazard.NITRATE].click()
    assert "oxidiser" in form.safety.text()
    with qtbot.waitSignal(view.written):
        press(qtbot, view.save)
    kept = in_book(book, "saltpetre")
    assert kept.formula == "KNO3"
    assert (kept.use, kept.moisture, kept.price, kept.stock) == (Use.ADDITION, 0.015, 2.4, 5.0)
    assert kept.hazards == (Hazard.NITRATE,)
    assert view.state.text() == "Saved “saltpetre”"
    assert "saltpetre" in view.list.names


def test_a_material_by_its_analysis(view, book, qtbot) -> None:
    press(qtbot, view.list.add)
    form = view.form
    retype(qtbot, form.name, "whiting")
    form.known_by.set_value("analysis")
    assert not form.chemistry.field("formula").isVisible()
    retype(qtbot, form.analysis, "CaO 55.3, MgO 0.4, SiO2 0.6")
    retype(qtbot, form.loss, "43.7")
    form.gas_rows.setData(form.gas_rows.index(0, 1), "100")
    press(qtbot, view.save)
    kept = in_book(book, "whiting")
    assert kept.oxides["CaO"] == pytest.approx(0.553)
    assert dict(kept.gases) == pytest.approx({"CO2": 0.437})


def test_an_analysis_that_cannot_be_is_refused_at_its_field(view, book, qtbot) -> None:
    before = book.materials()
    press(qtbot, view.list.add)
    retype(qtbot, view.form.name, "whiting")
    view.form.known_by.set_value("analysis")
    for oxides, loss, field, told in (
        ("CaO 55.3", "10", "oxides", "add up to 65.3"),
        ("CaO 55, sugar 2", "43", "oxides", "sugar"),
        ("CaO 56, MgO -1", "43", "oxides", "MgO"),
        ("", "43", "oxides", "missing"),
        ("CaO 56", "-3", "loss", "0 % to 100 %"),
    ):
        retype(qtbot, view.form.analysis, oxides)
        retype(qtbot, view.form.loss, loss)
        press(qtbot, view.save)
        assert told in error_of(view, field)
        assert book.materials() == before
    # Nothing typed is lost.
    assert view.form.name.text() == "whiting"


def test_numbers_that_cannot_be_are_refused_beside_the_box(view, book, qtbot) -> None:
    for box, text, told in (
        ("stock", "-4", "0 kg or more"),
        ("price", "-1", "0 or more"),
        ("moisture", "95", "0 % to 90 %"),
        ("stock", "a lot", "not a"),
    ):
        retype(qtbot, getattr(view.form, box), text)
        press(qtbot, view.save)
        assert told in error_of(view, box)
        assert in_book(book, "dune sand") == SAND


def test_bad_formula_and_names_that_are_taken(view, book, qtbot) -> None:
    press(qtbot, view.list.add)
    press(qtbot, view.save)
    assert "no name" in error_of(view, "name")
    retype(qtbot, view.form.name, "Soda Ash")
    press(qtbot, view.save)
    assert "formula is missing" in error_of(view, "formula")
    retype(qtbot, view.form.formula, "NaXx")
    press(qtbot, view.save)
    assert "NaXx" in error_of(view, "formula")
    retype(qtbot, view.form.formula, "Na2CO3")
    press(qtbot, view.save)
    assert "already" in error_of(view, "name")
    assert len(book.materials()) == 2


def test_renamed_moved_and_removed(view, book, qtbot) -> None:
    retype(qtbot, view.form.name, "beach sand")
    press(qtbot, view.save)
    assert [m.name for m in book.materials()] == ["beach sand", "soda ash"]
    view.list.down.trigger()
    assert [m.name for m in book.materials()] == ["soda ash", "beach sand"]
    assert view.list.table.selected_row().name == "beach sand"
    view.list.down.trigger()
    view.list.up.trigger()
    assert [m.name for m in book.materials()] == ["beach sand", "soda ash"]
    press(qtbot, view.remove)
    assert len(book.materials()) == 2  # asked first
    press(qtbot, view.banner._action)
    assert [m.name for m in book.materials()] == ["soda ash"]
    assert view.shown == "soda ash"


def test_typing_is_not_lost_by_choosing_another(view, qtbot) -> None:
    retype(qtbot, view.form.note, "half a thought")
    view.list.table.selectRow(1)
    assert view.shown == "dune sand"
    assert "not saved" in view.banner.text
    press(qtbot, view.banner._action)
    assert view.shown == "soda ash"
    assert not view.dirty


def test_currency_goes_into_the_book(view, book, qtbot) -> None:
    with qtbot.waitSignal(view.written):
        retype(qtbot, view.list.currency, "DKK")
    assert book.currency() == "DKK"
    assert "DKK" in view.form.shelf.field("price").message.text()


def test_a_list_is_written_to_a_file_and_read_again(
    view, book, studio, qtbot, monkeypatch, tmp_path
) -> None:
    book.set_currency("EUR")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_: (str(tmp_path / "shelf"), ""))
    view.list.write.trigger()
    assert view.banner.weight is Weight.GOOD
    book.delete_material("dune sand")
    monkeypatch.setattr(
        QFileDialog, "getOpenFileName", lambda *_: (str(tmp_path / "shelf.toml"), "")
    )
    with qtbot.waitSignal(view.written):
        view.list.read.trigger()
    assert "Materials added: 1; already there and left as they are: 1." in view.banner.text
    again = in_book(book, "dune sand")
    assert dict(again.oxides) == pytest.approx(dict(SAND.oxides))
    assert again.stock == SAND.stock
    (tmp_path / "shelf.toml").write_text("[[material]]\nname = 3\n", encoding="utf-8")
    view.list.read.trigger()
    assert view.banner.weight is Weight.PROBLEM
    assert "shelf.toml" in view.banner.text
    assert len(book.materials()) == 2


def test_list_gives_its_room_to_the_form_and_pounds(view, qtbot) -> None:
    view.resize(500, 400)
    assert not view.list.isVisible()
    assert view.picker.box.value == "dune sand"
    view.picker.box.set_value("soda ash")
    assert view.shown == "soda ash"
    view.set_units(UnitChoice(mass=MassUnit.POUND))
    # 1 lb is 0.45359237 kg exactly (international yard and pound agreement, 1959).
    assert view.form.stock.text() == f"{40 / 0.45359237:.4f}"
    assert f"{40 / 0.45359237:.2f} lb" in view.list.table.as_text()


def test_the_gases_keep_the_rules_of_models(view) -> None:
    mode = QAbstractItemModelTester.FailureReportingMode.Fatal
    tester = QAbstractItemModelTester(view.form.gas_rows, mode)
    view.form.gas_rows.setData(view.form.gas_rows.index(1, 1), "40")
    view.open("soda ash")
    view.open("dune sand")
    assert tester.model() is view.form.gas_rows
