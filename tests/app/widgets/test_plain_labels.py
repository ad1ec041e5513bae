"""Names, notes and file names are shown as they were typed: they are never read as markup."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel
from pytestqt.qtbot import QtBot

from app.main_window import MainWindow
from app.studio import Studio
from app.theme import Appearance
from app.widgets.label import Label, tab_text, tip_text
from app.widgets.tables import Column, DataTable

LOOKS_LIKE_MARKUP = "<b>x</b> & <img src='deck.png'>"


def test_a_label_shows_a_name_as_it_is(qtbot: QtBot) -> None:
    label, auto = Label(LOOKS_LIKE_MARKUP), QLabel(LOOKS_LIKE_MARKUP)
    for one in (label, auto):
        qtbot.addWidget(one)
    assert label.textFormat() is Qt.TextFormat.PlainText
    assert label.text() == LOOKS_LIKE_MARKUP
    # As markup the same text is one bold letter and an empty picture: far narrower.
    assert label.sizeHint().width() > 2 * auto.sizeHint().width()
    label.setText("<u>another</u>")
    assert label.textFormat() is Qt.TextFormat.PlainText


def test_a_buddy_still_has_its_key(qtbot: QtBot) -> None:
    label, buddy = Label("&Name"), DataTable((), name="anything")
    for one in (label, buddy):
        qtbot.addWidget(one)
    label.setBuddy(buddy)
    assert label.textFormat() is Qt.TextFormat.PlainText
    assert label.sizeHint().width() < Label("&&Name&&").sizeHint().width()


@pytest.mark.parametrize("name", ["Decanter", "5 > 3 & 2", "No. 1 &amp; 2"])
def test_tips_without_markup_stay_as_they_are(name: str) -> None:
    assert tip_text(name) == name


def test_tips_show_markup_as_text(qtbot: QtBot) -> None:
    tip = tip_text("<b>x</b>")
    assert "<b>" not in tip
    assert "&lt;b&gt;x&lt;/b&gt;" in tip
    table = DataTable([Column("Piece", str, stretch=True)], ["<b>x</b>"], name="Pieces")
    qtbot.addWidget(table)
    assert table.model().index(0, 0).data(Qt.ItemDataRole.ToolTipRole) == tip
    assert table.model().index(0, 0).data() == "<b>x</b>"


def test_tabs_underline_no_letter_of_a_name() -> None:
    assert tab_text("Float & Sons' lehr") == "Float && Sons' lehr"


def test_no_label_of_the_window_guesses(
    qtbot: QtBot, studio: Studio, appearance: Appearance
) -> None:
    window = MainWindow(studio, appearance)
    qtbot.addWidget(window)
    guessing = {
        type(label.parent()).__name__
        for label in window.findChildren(QLabel)
        if label.textFormat() is Qt.TextFormat.AutoText
    }
    assert guessing == set()
