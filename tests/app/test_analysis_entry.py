"""Entry of an analysis as it was reported: errors, limits, units and other names on screen."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit

from app.glass.analysis_edit import AnalysisEdit
from app.glass.analysis_table import ERROR, GIVEN, OTHER, OXIDE
from core.composition.composition import Basis
from core.composition.parse import parse_composition


@pytest.fixture
def edit(qapp, appearance, qtbot) -> AnalysisEdit:
    made = AnalysisEdit()
    qtbot.addWidget(made)
    made.resize(340, 700)
    made.show()
    return made


def cells(edit: AnalysisEdit) -> list[tuple[str, str, str]]:
    rows = edit.rows
    return [
        tuple(str(rows.index(row, column).data() or "") for column in (OXIDE, GIVEN, ERROR))
        for row in range(len(rows.rows))
    ]


def type_into(edit: AnalysisEdit, qtbot, row: int, column: int, text: str) -> None:
    index = edit.table.model().index(row, column)
    edit.table.setCurrentIndex(index)
    edit.table.edit(index)
    editor = edit.table.findChild(QLineEdit)
    assert editor is not None
    editor.selectAll()
    qtbot.keyClicks(editor, text)
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: edit.table.findChild(QLineEdit) is None, timeout=2000)


def test_a_spreadsheet_with_errors_fills_the_table(edit, qtbot):
    edit.paste("Oxide\twt%\t±\nSiO2\t70.5\t0.5\nNa2O\t16.5\t0.2\nCaO\t13.0\t")
    assert cells(edit) == [("SiO2", "70.5", "0.5"), ("Na2O", "16.5", "0.2"), ("CaO", "13", "")]
    assert "SiO2 and Na2O was taken as one standard error" in edit.readings.text()
    assert edit.readings.isVisible()


def test_an_error_typed_beside_an_amount_counts(edit, qtbot):
    edit.paste("SiO2 72, Na2O 15, CaO 13")
    type_into(edit, qtbot, 2, ERROR, "0.4")
    assert edit.composition == parse_composition("SiO2 72, Na2O 15, CaO 13 ± 0.4")
    assert "CaO 13 ± 0.4" in edit.text.toPlainText()
    type_into(edit, qtbot, 2, ERROR, " ")
    assert edit.composition == parse_composition("SiO2 72, Na2O 15, CaO 13")
    assert not edit.readings.isVisible()


@pytest.mark.parametrize("typed", ["<0.1", "tr.", "0.2-0.4", "450 ppm", "-", "n.d.", "0.2 ± 0.1"])
def test_amounts_are_typed_as_they_were_reported(edit, qtbot, typed):
    edit.paste("SiO2 72, Na2O 15, CaO 13, Fe2O3 0.3")
    type_into(edit, qtbot, 3, GIVEN, typed)
    assert edit.problem is None
    assert edit.composition == parse_composition(f"SiO2 72, Na2O 15, CaO 13, Fe2O3 {typed}")
    assert edit.readings.text()


def test_trade_names_stay_as_typed_and_find_their_oxide(edit, qtbot):
    edit.paste("SiO2 75, K2O 20")
    type_into(edit, qtbot, 2, OXIDE, "lead oxide 5")
    assert cells(edit)[2] == ("lead oxide", "5", "")
    assert edit.composition is not None
    assert edit.composition.as_entered["PbO"] == pytest.approx(5.0)
    assert edit.rows.index(2, OTHER).data() != ""
    assert "“lead oxide” as PbO" in edit.readings.text()


def test_two_readings_are_refused_and_the_row_is_marked(edit, qtbot):
    edit.paste("SiO2 72, Na2O 15, CaO 13")
    type_into(edit, qtbot, 1, OXIDE, "sodium")
    assert "could mean the element Na or Na2O" in edit.text_field.error
    shown = edit.rows.index(1, OXIDE).data(Qt.ItemDataRole.AccessibleTextRole)
    assert shown == "sodium, wrong"


def test_errors_follow_a_change_of_basis(edit, qtbot):
    edit.paste("SiO2 72, Na2O 15, CaO 13 ± 0.4")
    edit.basis.set_value(Basis.MOLE)
    assert edit.composition == parse_composition("SiO2 72, Na2O 15, CaO 13 ± 0.4 mol%")
    assert cells(edit)[2] == ("CaO", "13", "0.4")


def test_local_decimal_marks_in_errors_ranges_and_notes(edit, qtbot, choose_locale):
    choose_locale("de_DE")
    edit.paste("SiO2 72,5; Na2O 14,5; CaO 12,5 ± 0,4; P2O5 <0,5")
    assert cells(edit)[2] == ("CaO", "12,5", "0,4")
    type_into(edit, qtbot, 3, GIVEN, "0.2-0.4")
    assert "0,2-0,4" in edit.text.toPlainText()
    assert edit.problem is None
    assert "0,3 ± 0,058" in edit.readings.text()
