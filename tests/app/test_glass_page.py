"""The page “Glass”, used as a person uses it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QModelIndex, Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QAbstractItemModelTester
from PySide6.QtWidgets import QLineEdit

from app.glass.analysis_table import GIVEN, OTHER, OXIDE, AnalysisRows
from app.glass.glass_list import Shelf
from app.glass.page import GlassPage
from app.settings import ThemeChoice
from app.studio import Studio
from app.theme import DARK
from app.widgets.banner import Weight
from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.errors import BookError
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import shipped_glasses
from core.glass.properties import properties_of
from core.units import TemperatureUnit, UnitChoice

SODA = "SiO2 72.0, Na2O 14.0, CaO 9.0, MgO 3.0, Al2O3 2.0"
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(autouse=True)
def _pages_are_gone(qapp) -> Iterator[None]:
    """Closed pages are deleted for good: a change of theme would restyle them all."""
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def page(studio, appearance, qtbot) -> GlassPage:
    made = GlassPage(studio)
    qtbot.addWidget(made)
    made.resize(1060, 720)
    made.show()
    return made


def new_glass(page: GlassPage, qtbot, name: str = "quay clear") -> None:
    qtbot.mouseClick(page.list.add, LEFT)
    qtbot.keyClicks(page.form.name, name)


def paste(page: GlassPage, qtbot, text: str) -> None:
    QGuiApplication.clipboard().setText(text)
    page.form.analysis.text.setFocus()
    page.form.analysis.text.selectAll()
    page.form.analysis.text.paste()
    qtbot.waitUntil(lambda: not page.form.analysis._pause.isActive(), timeout=2000)
    qtbot.waitUntil(lambda: not page._pause.isActive(), timeout=2000)


def type_number(page: GlassPage, qtbot, name: str, text: str) -> None:
    edit = page.form.measured.edit(name)
    edit.setFocus()
    edit.selectAll()
    qtbot.keyClicks(edit, text)
    qtbot.keyClick(edit, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: not page._pause.isActive(), timeout=2000)


def type_into_table(page: GlassPage, qtbot, row: int, column: int, text: str) -> None:
    table = page.form.analysis.table
    index = table.model().index(row, column)
    table.setCurrentIndex(index)
    table.edit(index)
    editor = table.findChild(QLineEdit)
    assert editor is not None
    editor.selectAll()
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    # Qt takes the text over once the editor has seen the key.
    qtbot.waitUntil(lambda: table.findChild(QLineEdit) is None, timeout=2000)
    qtbot.waitUntil(lambda: not page._pause.isActive(), timeout=2000)


def cells(page: GlassPage) -> list[tuple[str, str, str]]:
    model = page.form.analysis.rows
    return [
        tuple(str(model.index(row, column).data() or "") for column in (OXIDE, GIVEN, OTHER))
        for row in range(len(model.rows))
    ]


def shown_points(page: GlassPage) -> dict[str, str]:
    model = page.results.points.model()
    return {
        str(model.index(row, 0).data()): str(model.index(row, 1).data())
        for row in range(model.rowCount())
    }


# -- entering -----------------------------------------------------------------------------------


def test_empty_book_says_what_to_do_next(page, qtbot):
    assert page.stack.currentWidget() is page.empty
    assert page.empty.isVisible()
    assert not page.save.isVisible()
    qtbot.mouseClick(page.empty.button, LEFT)
    assert page.shown == (Shelf.OWN, "")
    assert page.form.name.hasFocus()


def test_a_pasted_analysis_is_reckoned_at_once(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    expected = properties_of(Glass("quay clear", parse_composition(SODA)))
    assert page.results.shown == expected
    annealing = f"{expected.annealing_point.value - 273.15:.0f}"
    assert shown_points(page)["Annealing"].startswith(annealing)
    assert [row[0] for row in cells(page)] == ["SiO2", "Al2O3", "Na2O", "CaO", "MgO"]
    assert "Adds up to 100 wt%" in page.form.analysis.total.text()


@pytest.mark.parametrize(
    "text",
    [
        "SiO2\t72.0\nNa2O\t14.0\nCaO\t9.0\nMgO\t3.0\nAl2O3\t2.0",
        "SiO2\tNa2O\tCaO\tMgO\tAl2O3\n72.0\t14.0\t9.0\t3.0\t2.0",
        "Oxide;wt%\nSiO2;72,0\nNa2O;14,0\nCaO;9,0\nMgO;3,0\nAl2O3;2,0",
    ],
    ids=["two columns", "two rows", "decimal commas"],
)
def test_a_table_from_elsewhere_can_be_pasted(page, qtbot, text):
    new_glass(page, qtbot)
    paste(page, qtbot, text)
    assert page.form.analysis.composition is not None
    assert dict(page.form.analysis.composition.weight_percent) == pytest.approx(
        dict(parse_composition(SODA).weight_percent)
    )


def test_a_table_pasted_onto_the_table_replaces_the_analysis(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 75, Na2O 25")
    QGuiApplication.clipboard().setText("SiO2\t72\nNa2O\t14\nCaO\t14")
    table = page.form.analysis.table
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_V, Qt.KeyboardModifier.ControlModifier)
    assert [row[:2] for row in cells(page)] == [("SiO2", "72"), ("Na2O", "14"), ("CaO", "14")]


def test_text_and_table_are_two_views_of_one_analysis(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    type_into_table(page, qtbot, 3, GIVEN, "11.0")  # CaO
    assert "CaO 11" in page.form.analysis.text.toPlainText()
    assert page.form.analysis.total.text() == "As given 102 wt%, scaled to 100."
    type_into_table(page, qtbot, 5, OXIDE, "k2o 0.5")  # the empty row takes both
    assert cells(page)[-1][:2] == ("K2O", "0.5")
    assert "K2O 0.5" in page.form.analysis.text.toPlainText()
    assert page.results.shown is not None


def test_an_oxide_is_left_out_with_the_delete_key(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    table = page.form.analysis.table
    table.setFocus()
    table.setCurrentIndex(table.model().index(4, OXIDE))
    qtbot.keyClick(table, Qt.Key.Key_Delete)
    assert "MgO" not in page.form.analysis.text.toPlainText()
    assert page.form.analysis.total.text() == "As given 97 wt%, scaled to 100."


def test_switching_the_basis_reads_the_same_numbers_anew(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    before = page.results.shown
    page.form.analysis.basis.set_value(Basis.MOLE)
    qtbot.waitUntil(lambda: not page._pause.isActive(), timeout=2000)
    assert page.form.analysis.composition == parse_composition(SODA, Basis.MOLE)
    assert cells(page)[0][:2] == ("SiO2", "72")
    assert page.results.shown is not None
    assert page.results.shown.annealing_point.value != before.annealing_point.value


def test_a_basis_named_in_the_text_is_taken_and_can_be_changed_again(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, f"mol% {SODA}")
    assert page.form.analysis.basis.value is Basis.MOLE
    page.form.analysis.basis.set_value(Basis.WEIGHT)
    assert "mol" not in page.form.analysis.text.toPlainText()
    assert page.form.analysis.composition == parse_composition(SODA, Basis.WEIGHT)


def test_both_bases_stand_beside_each_other(page, qtbot):
    new_glass(page, qtbot)
    # Na2O-2SiO2: one mole of soda to two of silica; weights by IUPAC 2021 atomic weights.
    paste(page, qtbot, "SiO2 66.6667, Na2O 33.3333 mol%")
    header = page.form.analysis.rows
    assert header.headerData(GIVEN, Qt.Orientation.Horizontal) == "mol%"
    assert header.headerData(OTHER, Qt.Orientation.Horizontal) == "wt%"
    silica, soda = 2 * 60.083, 61.979
    assert float(cells(page)[0][2]) == pytest.approx(100 * silica / (silica + soda), abs=0.006)


def test_german_decimal_commas(page, qtbot, choose_locale):
    choose_locale("de_DE")
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 72,5; Na2O 14,5; CaO 10,0")
    assert cells(page)[0] == ("SiO2", "72,5", cells(page)[0][2])
    assert "," in cells(page)[0][2]
    assert "As given 97 wt%" in page.form.analysis.total.text()
    type_into_table(page, qtbot, 2, GIVEN, "12.5")  # a point is a decimal mark as well
    assert "CaO 12,5" in page.form.analysis.text.toPlainText()
    assert page.form.analysis.composition is not None
    assert page.form.analysis.composition.as_entered["CaO"] == pytest.approx(12.5)
    type_number(page, qtbot, "annealing_point", "540,5")
    assert page.results.shown is not None
    assert page.results.shown.annealing_point.value == pytest.approx(540.5 + 273.15)


# -- what is wrong ------------------------------------------------------------------------------


def test_a_wrong_oxide_is_named_beside_the_field(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 72, Na3O 14, CaO 14")
    error = page.form.analysis.text_field.error
    assert "“Na3O”" in error
    assert "line 1, column 10" in error
    assert page.results.shown is None
    assert not page.banner.isVisible()
    paste(page, qtbot, SODA)
    assert page.form.analysis.text_field.error == ""
    assert page.results.shown is not None


def test_a_wrong_oxide_in_the_table_is_named_and_marked(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    type_into_table(page, qtbot, 2, OXIDE, "Nu2O")
    assert "“Nu2O”" in page.form.analysis.text_field.error
    index = page.form.analysis.rows.index(2, OXIDE)
    assert index.data(Qt.ItemDataRole.ForegroundRole) is not None
    assert index.data(Qt.ItemDataRole.AccessibleTextRole) == "Nu2O, wrong"
    assert page.form.analysis.table.isEnabled()
    type_into_table(page, qtbot, 2, OXIDE, "na2o")
    assert page.form.analysis.text_field.error == ""
    assert cells(page)[2][0] == "Na2O"


def test_a_negative_amount_names_its_oxide(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 74, Na2O -14, CaO 30")
    assert "Na2O" in page.form.analysis.text_field.error


def test_half_an_analysis_is_no_mistake_while_it_is_typed(page, qtbot):
    new_glass(page, qtbot)
    page.form.analysis.text.setFocus()
    qtbot.keyClicks(page.form.analysis.text, "SiO2 70")
    qtbot.waitUntil(lambda: page.form.analysis.problem is not None, timeout=2000)
    assert page.form.analysis.text_field.error == ""
    page.form.name.setFocus()
    qtbot.waitUntil(lambda: "far from 100" in page.form.analysis.text_field.error, timeout=2000)


def test_contradicting_points_are_told_beside_the_value(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    type_number(page, qtbot, "annealing_point", "540")
    type_number(page, qtbot, "strain_point", "560")
    assert "must lie below" in page.form.measured.form.field("strain_point").error
    assert page.results.shown is None
    type_number(page, qtbot, "annealing_point", "590")  # mended at the other value
    assert page.form.measured.form.field("strain_point").error == ""
    assert page.results.shown is not None


def test_a_sheet_without_analysis_asks_for_the_expansion_in_its_place(page, qtbot):
    new_glass(page, qtbot)
    type_number(page, qtbot, "strain_point", "475")
    type_number(page, qtbot, "annealing_point", "515")
    assert "expansion" in page.form.measured.form.field("expansion").error
    type_number(page, qtbot, "expansion", "95")
    assert page.form.measured.form.field("expansion").error == ""
    assert page.results.shown is not None
    assert page.results.shown.expansion.value == pytest.approx(95e-7)
    assert shown_points(page)["Softening"] == "–"
    assert not page.results.models.isVisible()


def test_what_was_shown_stays_greyed_while_something_is_wrong(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    paste(page, qtbot, f"{SODA}, Xx2O 1")
    assert page.results.points.isVisible()
    assert not page.results.points.isEnabled()
    assert "marked field" in page.results.waiting.text()


# -- what follows -------------------------------------------------------------------------------


def test_a_measured_point_wins_and_says_so(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    page.form.measured.source.setFocus()
    qtbot.keyClicks(page.form.measured.source, "supplier's sheet 7")
    type_number(page, qtbot, "annealing_point", "571")
    assert shown_points(page)["Annealing"] == "571"
    model = page.results.points.model()
    assert model.index(1, 3).data() == "measured: supplier's sheet 7"
    low, high = model.index(1, 2).data().split("–")
    assert int(low) < 571 < int(high)
    assert "moved" in model.index(0, 3).data()


def test_both_models_stand_side_by_side_with_how_far_outside(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 57, PbO 29, K2O 11, Na2O 2.5, Al2O3 0.5")
    model = page.results.models.model()
    titles = [model.headerData(n, Qt.Orientation.Horizontal) for n in range(model.columnCount())]
    assert titles == ["Model", "Fluegel 2007", "Lakatos 1976"]
    rows = {
        model.index(row, 0).data(): [model.index(row, n).data() for n in (1, 2)]
        for row in range(model.rowCount())
    }
    assert rows["This glass"] == ["in range", "out of range"]
    # Lakatos et al. (1976) fitted 10^2 to 10^6 poise: the annealing point lies far beyond.
    assert rows["Annealing"][1].startswith("(")
    assert not rows["Annealing"][0].startswith("(")
    assert not rows["Working"][1].startswith("(")
    assert "PbO 29 wt% is above" in page.results.outside.text()
    assert "extrapolated" in page.results.brackets.text()


def test_lead_is_cautioned_of(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    assert not page.results.lead.isVisible()
    paste(page, qtbot, "SiO2 57, PbO 29, K2O 11, Na2O 2.5, Al2O3 0.5")
    assert page.results.lead.isVisible()
    assert "poisonous" in page.results.lead.accessibleDescription()
    assert not any("poisonous" in text for text in page.results.warnings.texts)


def test_each_point_tells_its_standard_and_meaning(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    rows = page.results.points.rows_model.rows
    for row, point in zip(rows, FIXED_POINTS, strict=True):
        page.results.points.select(row)
        assert point.standard in page.results.meaning.text()
        assert point.meaning in page.results.meaning.text()


def test_fahrenheit_changes_what_is_shown_and_typed(page, studio, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    type_number(page, qtbot, "annealing_point", "550")
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    assert page.form.measured.edit("annealing_point").text() == "1022"  # 550 * 1.8 + 32
    assert shown_points(page)["Annealing"] == "1022"
    assert "°F" in page.results.plot.description


# -- the plot -----------------------------------------------------------------------------------


def drawn(page: GlassPage) -> list[tuple[np.ndarray, np.ndarray, Qt.PenStyle]]:
    curves = []
    for item in page.results.plot._items:
        if type(item).__name__ == "PlotDataItem":
            x, y = item.getOriginalDataset()
            curves.append((x, y, item.opts["pen"].style()))
    return curves


def test_plot_names_its_units_and_dashes_what_is_extrapolated(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    left, bottom = page.results.plot.frame.axes
    assert left.labelText == "log₁₀ of viscosity, Pa s"
    assert bottom.labelText == "Temperature, °C"
    for axis in (left, bottom):
        assert not axis.labelUnits
        assert not axis.autoSIPrefix
    dashed = [c for c in drawn(page) if c[2] is Qt.PenStyle.DashLine]
    solid = [c for c in drawn(page) if c[2] is Qt.PenStyle.SolidLine]
    # Melting to strain point is what the open data measured.
    assert np.nanmax(solid[0][1]) == pytest.approx(13.5)
    assert np.nanmin(solid[0][1]) == pytest.approx(1.0)
    assert np.nanmax(dashed[0][1]) == pytest.approx(14.0)
    for name in ("strain", "annealing", "softening", "working", "melting"):
        assert name in page.results.plot.description


def test_plot_is_read_with_the_arrow_keys(page, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    assert "Point at" in page.results.plot.read_out.text()
    page.results.plot.frame.setFocus()
    qtbot.keyClick(page.results.plot.frame, Qt.Key.Key_Right)
    assert "Pa s" in page.results.plot.read_out.text()


def test_plot_follows_the_theme(page, appearance, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, SODA)
    appearance.choose(ThemeChoice.DARK)
    plot = page.results.plot
    assert plot.frame.backgroundBrush().color().name().upper() == DARK.plot_ground
    assert drawn(page)[0][2] is not None
    pens = {
        item.opts["pen"].color().name().upper()
        for item in plot._items
        if type(item).__name__ == "PlotDataItem"
    }
    assert DARK.plan in pens


# -- keeping ------------------------------------------------------------------------------------


def test_saved_glass_is_there_when_the_book_is_opened_again(page, studio, settings, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, f"mol% {SODA}")
    type_number(page, qtbot, "annealing_point", "555.5")
    told: list[str] = []
    studio.changed.connect(told.append)
    qtbot.mouseClick(page.save, LEFT)
    assert told == ["glasses"]
    assert page.state.text() == "Saved “quay clear”"
    assert not page.dirty
    (kept,) = studio.book.glasses()
    assert kept.composition == parse_composition(SODA, Basis.MOLE)
    assert kept.measured.annealing_point == pytest.approx(555.5 + 273.15)

    again = Studio(type(studio.book).open(studio.book.path), settings)
    other = GlassPage(again)
    qtbot.addWidget(other)
    assert other.shown == (Shelf.OWN, "quay clear")
    assert other.form.name.text() == "quay clear"
    assert other.form.analysis.composition == kept.composition
    assert other.form.analysis.basis.value is Basis.MOLE
    assert other.form.measured.edit("annealing_point").text() == "555.5"
    assert other.results.shown is not None
    again.close()


def test_a_glass_needs_a_name(page, studio, qtbot):
    new_glass(page, qtbot, name="")
    paste(page, qtbot, SODA)
    qtbot.mouseClick(page.save, LEFT)
    assert "no name" in page.form.head.field("name").error
    assert page.form.name.hasFocus()
    assert studio.book.glasses() == ()


def test_nothing_wrong_is_saved(page, studio, qtbot):
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 72, Na3O 14, CaO 14")
    qtbot.mouseClick(page.save, LEFT)
    assert "Na3O" in page.form.analysis.text_field.error
    assert studio.book.glasses() == ()


def test_a_name_in_use_is_not_overwritten(page, studio, qtbot):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    studio.tell_changed("glasses")
    new_glass(page, qtbot)
    paste(page, qtbot, "SiO2 75, Na2O 15, CaO 10")
    qtbot.mouseClick(page.save, LEFT)
    assert "already" in page.form.head.field("name").error
    assert studio.book.glasses()[0].composition == parse_composition(SODA)


def test_a_library_glass_is_only_read_but_makes_a_start(page, studio, qtbot):
    name = "clear float"
    page.list.chosen.emit(Shelf.LIBRARY, name)
    assert page.form.name.isReadOnly()
    assert page.form.analysis.text.isReadOnly()
    assert not page.save.isVisible()
    assert not page.remove.isVisible()
    qtbot.mouseClick(page.start_from, LEFT)
    assert page.shown == (Shelf.OWN, "")
    assert not page.form.name.isReadOnly()
    assert page.results.shown is not None
    qtbot.keyClicks(page.form.name, "our float")
    qtbot.mouseClick(page.save, LEFT)
    (kept,) = studio.book.glasses()
    assert kept.name == "our float"
    theirs = shipped_glasses()[name]
    assert kept.composition is not None
    assert dict(kept.composition.weight_percent) == pytest.approx(
        dict(theirs.composition.weight_percent), rel=1e-5
    )


def test_opening_and_saving_unchanged_keeps_every_digit(page, studio, qtbot):
    points = MeasuredPoints(strain_point=748.123456, annealing_point=788.987654, expansion=9.51e-6)
    composition = parse_composition("SiO2 71.234567, Na2O 16.765433, CaO 10.2")
    studio.book.save_glass(Glass("exact", composition, points))
    page.open(Shelf.OWN, "exact")
    page.form.note.setFocus()
    qtbot.keyClicks(page.form.note, "seen")
    qtbot.mouseClick(page.save, LEFT)
    (kept,) = studio.book.glasses()
    assert kept.note == "seen"
    assert kept.measured == points
    assert kept.composition == composition


def test_changes_are_not_lost_by_choosing_another_glass(page, studio, qtbot):
    for name in ("harbour one", "harbour two"):
        studio.book.save_glass(Glass(name, parse_composition(SODA)))
    page.open(Shelf.OWN, "harbour one")
    qtbot.keyClicks(page.form.note, "half a thought")
    page.list.chosen.emit(Shelf.OWN, "harbour two")
    assert page.shown == (Shelf.OWN, "harbour one")
    assert page.banner.weight is Weight.CAUTION
    assert "not saved" in page.banner.text
    assert page.form.note.text() == "half a thought"
    page.banner.acted.emit()
    assert page.shown == (Shelf.OWN, "harbour two")


def test_removing_asks_first(page, studio, qtbot):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    page.open(Shelf.OWN, "quay clear")
    qtbot.mouseClick(page.remove, LEFT)
    assert len(studio.book.glasses()) == 1
    page.banner.acted.emit()
    assert studio.book.glasses() == ()
    assert page.stack.currentWidget() is page.empty


def test_why_a_glass_cannot_be_removed_is_told(page, studio, qtbot, monkeypatch):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    page.open(Shelf.OWN, "quay clear")

    def refuse(_name: str) -> None:
        raise BookError("“quay clear” is in tonight's load.", remedy="Take it out there first.")

    monkeypatch.setattr(studio.book, "delete_glass", refuse)
    qtbot.mouseClick(page.remove, LEFT)
    page.banner.acted.emit()
    assert page.banner.weight is Weight.PROBLEM
    assert "tonight's load" in page.banner.text
    assert page.shown == (Shelf.OWN, "quay clear")


def test_another_name_renames_the_glass(page, studio, qtbot):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    page.open(Shelf.OWN, "quay clear")
    page.form.name.selectAll()
    qtbot.keyClicks(page.form.name, "quay clear 2")
    qtbot.mouseClick(page.save, LEFT)
    assert [glass.name for glass in studio.book.glasses()] == ["quay clear 2"]
    assert page.shown == (Shelf.OWN, "quay clear 2")
    assert page.state.text() == "Saved “quay clear 2”, until now “quay clear”"


def test_a_change_is_a_new_version(page, studio, qtbot):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    page.open(Shelf.OWN, "quay clear")
    paste(page, qtbot, "SiO2 73, Na2O 14, CaO 13")
    qtbot.mouseClick(page.save, LEFT)
    assert "version 2" in page.state.text()
    first, second = studio.book.glass_versions("quay clear")
    assert first.glass.composition == parse_composition(SODA)
    assert second.glass == studio.book.glasses()[0]


def test_list_is_narrowed_down_by_typing(page, qtbot):
    qtbot.keyClicks(page.list.find, "float")
    names = [page.list.names.item(row).text() for row in range(page.list.names.count())]
    assert "clear float" in names
    assert "harbour lead crystal" not in names


def test_narrow_window_chooses_from_one_line(page, studio, qtbot):
    studio.book.save_glass(Glass("quay clear", parse_composition(SODA)))
    page.open(Shelf.OWN, "quay clear")
    page.resize(790, 600)
    qtbot.waitUntil(page.picker.isVisible, timeout=2000)
    assert not page.list.isVisible()
    assert page.picker.box.currentText() == "quay clear"
    page.picker.box.set_value((Shelf.LIBRARY, "clear float"))
    assert page.shown == (Shelf.LIBRARY, "clear float")
    assert page.start_from.isVisible()
    # Nothing is cut off at the side: neither half needs more room than it has.
    for half in (page.form, page.results):
        assert half.widget().width() <= half.viewport().width()


def test_every_shipped_glass_can_be_looked_at(page):
    for name in shipped_glasses():
        page.open(Shelf.LIBRARY, name)
        assert page.results.shown is not None, name
        assert page.form.analysis.text_field.error == "", name


# -- the model behind the table -----------------------------------------------------------------


def test_model_of_the_table_keeps_qts_rules(qapp, qtbot):
    rows = AnalysisRows()
    tester = QAbstractItemModelTester(rows, QAbstractItemModelTester.FailureReportingMode.Fatal)
    rows.show_composition(parse_composition(SODA))
    assert rows.setData(rows.index(0, GIVEN), "70")
    assert rows.setData(rows.index(5, OXIDE), "ZnO 2")
    assert rows.rows[5] == ("ZnO", "2", "")
    assert not rows.setData(rows.index(0, OTHER), "5")
    assert not rows.setData(rows.index(6, GIVEN), "5")
    rows.remove(5)
    rows.set_editable(editable=False)
    assert rows.rowCount() == 5
    assert not rows.setData(rows.index(0, GIVEN), "70")
    assert rows.rowCount(rows.index(0, 0)) == 0
    assert rows.data(QModelIndex()) is None
    tester.deleteLater()
