"""Tables: a sound model, numbers to the right, copied as text, opened from the keyboard."""

from dataclasses import dataclass

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from app.widgets.tables import Column, DataTable, RowsModel


@dataclass(frozen=True)
class Row:
    name: str
    rate: float | None


ROWS = (Row("Soak", None), Row("Slow cool", 12.0), Row("Cool\tdown", 100.0))
COLUMNS = (
    Column("Segment", lambda row: row.name, stretch=True),
    Column(
        "Rate °C/h",
        lambda row: "–" if row.rate is None else f"{row.rate:.0f}",
        value=lambda row: row.rate,
        numeric=True,
        spoken=lambda row: "none" if row.rate is None else f"{row.rate:.0f} degrees an hour",
    ),
)


@pytest.fixture
def table(qtbot: QtBot) -> DataTable:
    made = DataTable(COLUMNS, ROWS, name="Segments", sortable=True)
    qtbot.addWidget(made)
    made.resize(500, 250)
    made.show()
    return made


def test_the_model_keeps_qts_rules() -> None:
    model = RowsModel(COLUMNS, ROWS)
    tester = QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)
    model.set_rows(ROWS[:1])
    model.set_rows(())
    model.set_columns(COLUMNS[:1])
    model.set_rows(ROWS)
    assert tester.model() is model
    assert model.rowCount() == 3
    assert model.rowCount(model.index(0, 0)) == 0


def test_numbers_stand_right_and_speak() -> None:
    model = RowsModel(COLUMNS, ROWS)
    cell = model.index(1, 1)
    assert cell.data(Qt.ItemDataRole.TextAlignmentRole) & Qt.AlignmentFlag.AlignRight
    assert cell.data(Qt.ItemDataRole.EditRole) == 12.0
    assert cell.data(Qt.ItemDataRole.AccessibleTextRole) == "12 degrees an hour"
    assert model.index(0, 0).data(Qt.ItemDataRole.ToolTipRole) == "Soak"


def test_copies_as_tab_separated_text(qtbot: QtBot, table: DataTable) -> None:
    table.setFocus()
    qtbot.keyClick(table, Qt.Key.Key_C, Qt.KeyboardModifier.ControlModifier)
    table.copy()
    expected = "Segment\tRate °C/h\nSoak\t–\nSlow cool\t12\nCool down\t100\n"
    assert QGuiApplication.clipboard().text() == expected
    table.select(ROWS[1])
    assert table.as_text() == "Segment\tRate °C/h\nSlow cool\t12\n"


def test_sorting_is_by_value_with_empty_ones_last(table: DataTable) -> None:
    def shown() -> list[str]:
        return [table.model().index(r, 1).data() for r in range(3)]

    table.sortByColumn(1, Qt.SortOrder.AscendingOrder)
    assert shown() == ["12", "100", "–"]
    table.sortByColumn(1, Qt.SortOrder.DescendingOrder)
    assert shown() == ["100", "12", "–"]


def test_selection_survives_new_rows_and_return_opens(qtbot: QtBot, table: DataTable) -> None:
    assert table.select(ROWS[1])
    assert table.selected_row() == ROWS[1]
    table.set_rows((Row("New", 1.0), *ROWS))
    assert table.selected_row() == ROWS[1]
    with qtbot.waitSignal(table.row_opened) as opened:
        qtbot.keyClick(table, Qt.Key.Key_Return)
    assert opened.args == [ROWS[1]]
    table.set_rows(())
    assert table.selected_row() is None


def test_other_columns_keep_the_row_that_was_chosen(table: DataTable) -> None:
    table.sortByColumn(1, Qt.SortOrder.DescendingOrder)
    table.select(ROWS[2])
    table.set_columns(COLUMNS[:1])
    assert table.selected_row() == ROWS[2]
    table.clearSelection()
    table.set_columns(COLUMNS)
    assert table.selected_row() is None


def test_of_two_equal_rows_the_chosen_one_stays_chosen(qtbot: QtBot) -> None:
    table = DataTable(COLUMNS, (ROWS[1], ROWS[1]), name="Segments")
    qtbot.addWidget(table)
    table.selectRow(1)
    table.set_columns(COLUMNS[:1])
    assert [index.row() for index in table.selectionModel().selectedRows()] == [1]


def test_columns_give_way_in_a_narrow_table_and_come_back(qtbot: QtBot) -> None:
    columns = [
        Column("Segment", lambda row: row.name),
        Column("Set by", lambda _: "the ship's decanter of the harbour master", gives_way=1),
        Column("Takes", lambda _: "12:30 and a little more", gives_way=2),
    ]
    table = DataTable(columns, ROWS, name="Segments")
    qtbot.addWidget(table)
    table.show()
    table.resize(800, 200)
    assert not any(table.isColumnHidden(number) for number in range(3))
    table.resize(360, 200)
    assert [table.isColumnHidden(number) for number in range(3)] == [False, True, False]
    table.resize(150, 200)
    assert [table.isColumnHidden(number) for number in range(3)] == [False, True, True]
    table.resize(800, 200)
    assert not any(table.isColumnHidden(number) for number in range(3))


def test_the_last_column_is_never_cut_to_fit(qtbot: QtBot) -> None:
    columns = [Column("One", lambda row: row.name), Column("read as temperature", lambda _: "5")]
    table = DataTable(columns, ROWS, name="Sample")
    qtbot.addWidget(table)
    table.show()
    table.resize(170, 200)
    header = table.horizontalHeader()
    assert header.sectionSize(1) >= header.sectionSizeHint(1)
    table.resize(600, 200)
    assert header.length() == table.viewport().width()


def test_a_column_left_out_comes_back_only_with_room_for_its_title(qtbot: QtBot) -> None:
    columns = (
        Column("Name", lambda row: row.name, stretch=True),
        Column("Rate with everything counted in", lambda _: "1", numeric=True, gives_way=1),
    )
    made = DataTable(columns, ROWS, name="Segments")
    qtbot.addWidget(made)
    made.show()
    for width in (120, 220, 260, 300, 400):
        made.resize(width, 200)
        if not made.isColumnHidden(1):
            header = made.horizontalHeader()
            assert header.sectionSize(0) >= made.sizeHintForColumn(0)
            assert header.sectionSize(1) >= header.sectionSizeHint(1)
    assert not made.isColumnHidden(1)
