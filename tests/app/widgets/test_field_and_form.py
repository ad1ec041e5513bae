"""Labelled rows: what is wrong stands beside the input, and nothing moves when it appears."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLineEdit
from pytestqt.qtbot import QtBot

from app.theme import Appearance
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field, Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import PieceError
from core.units import LengthUnit, UnitChoice


@pytest.fixture
def form(qtbot: QtBot, appearance: Appearance) -> Form:
    made = Form(columns=2)
    qtbot.addWidget(made)
    made.add("name", "&Name", QLineEdit())
    made.add(
        "wall", "&Wall thickness", QuantityEdit(Quantity.LENGTH, maximum=0.3), help_text="Thin"
    )
    made.add("glass", "&Glass", ChoiceBox([("Harbour soda", "soda"), ("Lantern lead", "lead")]))
    made.resize(640, 300)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_label_is_buddy_and_accessible_name(form: Form) -> None:
    field = form.field("wall")
    assert field.label.buddy() is field.editor
    assert field.editor.accessibleName() == "Wall thickness"
    assert field.editor.accessibleDescription() == "Thin"
    assert field.editor.name == "wall"


def test_an_error_takes_the_place_of_the_help_and_moves_nothing(qtbot: QtBot, form: Form) -> None:
    field = form.field("wall")
    place, height = field.pos(), field.height()
    qtbot.keyClicks(field.editor, "900")
    qtbot.keyClick(field.editor, Qt.Key.Key_Return)
    qtbot.wait(10)
    assert field.message.text() == "Use 300 mm or less."
    assert field.editor.property("invalid") is True
    assert field.editor.accessibleDescription() == "Use 300 mm or less."
    assert (field.pos(), field.height()) == (place, height)
    field.editor.selectAll()
    qtbot.keyClicks(field.editor, "9")
    assert field.message.text() == "Thin"
    assert not field.editor.property("invalid")


def test_a_core_error_goes_to_its_field_and_leaves_with_the_next_edit(
    qtbot: QtBot, form: Form
) -> None:
    error = PieceError("The base is thinner than the wall.", field="wall", remedy="Swap them.")
    assert form.show_error(error)
    field = form.field("wall")
    assert field.message.text() == "The base is thinner than the wall. Swap them."
    assert form.focusWidget() is field.editor
    qtbot.keyClicks(field.editor, "5")
    assert field.error == ""


def test_an_error_of_no_field_is_left_to_the_page(form: Form) -> None:
    assert not form.show_error(PieceError("Too many pieces."))
    assert not form.show_error(PieceError("Too hot.", field="soak"))


def test_plain_text_and_choices_clear_their_errors_too(qtbot: QtBot, form: Form) -> None:
    form.show_error(PieceError("No name.", field="name"))
    qtbot.keyClicks(form.field("name").editor, "Float")
    assert form.field("name").error == ""
    form.show_error(PieceError("Unknown.", field="glass"))
    form.field("glass").editor.set_value("lead")
    assert form.field("glass").error == ""


def test_units_reach_every_number_box(form: Form) -> None:
    form.field("wall").editor.set_value_si(0.0254)
    form.set_units(UnitChoice(length=LengthUnit.INCH))
    assert form.field("wall").editor.text() == "1"
    assert form.is_valid()


def test_choices_keep_their_value_when_the_list_changes(qtbot: QtBot) -> None:
    box = ChoiceBox([("a", 1), ("b", 2)])
    qtbot.addWidget(box)
    box.set_value(2)
    told: list[object] = []
    box.chosen.connect(told.append)
    box.set_choices([("c", 3), ("b", 2)])
    assert box.value == 2
    assert told == []
    box.set_choices([("c", 3)])
    assert box.value == 3
    assert told == [3]
    assert not box.set_value(9)
    box.set_choices([])
    assert box.value is None


def test_a_note_gives_way_to_an_error(qtbot: QtBot) -> None:
    field = Field("Out by", QLineEdit(), name="out_by", help_text="help")
    qtbot.addWidget(field)
    field.set_note("comes twice")
    assert field.message.text() == "comes twice"
    field.set_error("too early")
    assert field.message.text() == "too early"
    field.clear_error()
    assert field.message.text() == "comes twice"
