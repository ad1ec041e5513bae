"""Numbers by name: typed, usual, wrong."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from app.widgets.field import Field
from app.widgets.number_grid import NumberColumn, NumberGrid, NumberRows
from core.units import parse_number

USUAL = {"Na2O": 2.0, "PbO": 3.0}


def rows() -> NumberRows:
    made = NumberRows(
        "Oxide",
        [
            NumberColumn("Lost %", parse_number, lambda v: f"{v:g}", USUAL.get),
            NumberColumn("Weight", parse_number, lambda v: f"{v:g}"),
        ],
    )
    made.set_names(["Na2O", "PbO", "SiO2"])
    return made


def test_the_model_keeps_the_rules_of_models(qapp) -> None:
    model = rows()
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    assert model.setData(model.index(0, 1), "1,5")
    assert model.setData(model.index(1, 2), "many")
    model.set_names(["PbO", "K2O"])
    model.set_values(0, {"K2O": 4.0})
    model.set_columns([NumberColumn("a", parse_number, str), NumberColumn("b", parse_number, str)])
    model.forget()
    assert tester.model() is model


def test_usual_numbers_count_until_another_is_typed(qapp) -> None:
    model = rows()
    assert model.values(0) == USUAL
    assert model.typed_values(0) == {}
    model.setData(model.index(0, 1), "1,5")
    assert model.values(0) == {"Na2O": 1.5, "PbO": 3.0}
    assert model.typed_values(0) == {"Na2O": 1.5}
    assert model.data(model.index(2, 1)) == "–"
    # Kept for when the oxide comes back.
    model.set_names(["PbO"])
    assert model.typed_values(0) == {}
    model.set_names(["Na2O", "PbO"])
    assert model.values(0)["Na2O"] == 1.5
    model.setData(model.index(0, 1), "")
    assert model.values(0) == USUAL


def test_names_cannot_be_typed_over(qapp) -> None:
    model = rows()
    assert not model.flags(model.index(0, 0)) & Qt.ItemFlag.ItemIsEditable
    assert model.flags(model.index(0, 1)) & Qt.ItemFlag.ItemIsEditable
    assert not model.setData(model.index(0, 0), "CaO")


def test_what_is_wrong_stays_in_sight_and_is_told(qtbot: QtBot) -> None:
    grid = NumberGrid(rows(), name="losses")
    field = Field("Losses", grid, name="losses", help_text="help")
    qtbot.addWidget(field)
    field.show()
    grid.rows.setData(grid.rows.index(1, 1), "1,2,3")
    assert "PbO" in grid.error
    assert "not a number" in field.error
    assert not grid.is_valid()
    assert grid.rows.data(grid.rows.index(1, 1)) == "1,2,3"
    assert "PbO" not in grid.rows.typed_values(0)
    assert grid.rows.values(0)["PbO"] == pytest.approx(3.0)
    grid.rows.setData(grid.rows.index(1, 1), "1.25")
    assert field.error == ""
    assert grid.is_valid()


def test_delete_puts_the_usual_number_back(qtbot: QtBot) -> None:
    grid = NumberGrid(rows())
    qtbot.addWidget(grid)
    grid.show()
    grid.rows.setData(grid.rows.index(0, 1), "7")
    grid.setCurrentIndex(grid.rows.index(0, 1))
    qtbot.keyClick(grid, Qt.Key.Key_Delete)
    assert grid.rows.values(0) == USUAL
