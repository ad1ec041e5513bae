"""Banner, caution strip and empty state: icon, words and a way on."""

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from app.settings import ThemeChoice
from app.theme import Appearance
from app.widgets.banner import Banner, Weight
from app.widgets.caution import ADVICE, CautionStrip
from app.widgets.empty_state import EmptyState
from core.errors import LogFileError, Place


@pytest.mark.parametrize("weight", list(Weight))
def test_a_banner_has_an_icon_words_and_an_action(
    qtbot: QtBot, appearance: Appearance, weight: Weight
) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    assert banner.isHidden()
    banner.tell(weight, "Ready 10:40.", action="Show why")
    assert banner.isVisible()
    assert banner.text == "Ready 10:40."
    assert not banner._icon.pixmap().isNull()
    assert banner.accessibleName()
    with qtbot.waitSignal(banner.acted):
        qtbot.mouseClick(banner._action, Qt.MouseButton.LeftButton)
    appearance.choose(ThemeChoice.DARK)
    with qtbot.waitSignal(banner.dismissed):
        qtbot.mouseClick(banner._close, Qt.MouseButton.LeftButton)
    assert banner.isHidden()
    assert banner.text == ""


def test_a_banner_says_where_and_what_to_do(qtbot: QtBot) -> None:
    banner = Banner()
    qtbot.addWidget(banner)
    place = Place("log.csv", 4, "temperature")
    banner.tell_error(LogFileError("“hot” is not a number.", place=place, remedy="Correct it."))
    assert banner.weight is Weight.PROBLEM
    assert banner.text == "log.csv, line 4, column temperature: “hot” is not a number. Correct it."


def test_the_caution_cannot_be_put_away(qtbot: QtBot) -> None:
    strip = CautionStrip()
    qtbot.addWidget(strip)
    strip.show()
    assert strip.accessibleDescription() == ADVICE
    assert "polarised" in ADVICE


def test_an_empty_page_says_what_to_do(qtbot: QtBot) -> None:
    empty = EmptyState("No load yet", "List tonight's pieces.", action="Start the load")
    empty.resize(700, 420)
    qtbot.addWidget(empty)
    empty.show()
    with qtbot.waitSignal(empty.acted):
        qtbot.mouseClick(empty.button, Qt.MouseButton.LeftButton)
    empty.set_words("Nothing logged", "Log a charge, and say which pot it went into. " * 3)
    qtbot.waitUntil(lambda: empty.text.height() >= empty.text.heightForWidth(empty.text.width()))
    assert not empty.button.isVisible()


def test_an_empty_page_fits_a_narrow_place(qtbot: QtBot) -> None:
    empty = EmptyState("No load yet", "Write down what goes into the lehr. " * 4)
    qtbot.addWidget(empty)
    empty.resize(300, 420)
    empty.show()
    assert empty.width() == 300
    assert empty.text.width() <= 300
    assert empty.text.height() >= empty.text.heightForWidth(empty.text.width())
    empty.resize(1200, 420)
    qtbot.waitUntil(lambda: empty.text.width() == 440)
