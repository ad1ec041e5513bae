"""The window: pages by mouse and key, units and colours from the menu, place on the screen."""

from collections.abc import Callable, Iterator

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QAction, QGuiApplication
from PySide6.QtWidgets import QApplication, QFileDialog
from pytestqt.qtbot import QtBot

from app.main_window import PAGES, MainWindow
from app.settings import ThemeChoice
from app.studio import Studio
from app.theme import DARK, Appearance, theme_of
from app.widgets.banner import Weight
from core.units import LengthUnit, MassUnit, TemperatureUnit, UnitChoice


@pytest.fixture
def window(qtbot: QtBot, studio: Studio, appearance: Appearance) -> Iterator[MainWindow]:
    made = MainWindow(studio, appearance)
    qtbot.addWidget(made)
    made.show()
    qtbot.waitExposed(made)
    yield made
    made.close()


def action(window: MainWindow, words: str) -> QAction:
    found = [a for a in window.findChildren(QAction) if a.text().replace("&", "") == words]
    assert len(found) == 1, words
    return found[0]


def test_the_pages_are_in_the_order_of_the_day(window: MainWindow) -> None:
    assert [button.text().strip() for button in window._buttons] == [
        "Tonight",
        "Glass",
        "Batch",
        "Pots and furnace",
        "Log book",
        "Equipment",
    ]
    assert window.current_page == "tonight"


def test_pages_by_click_and_by_key(qtbot: QtBot, window: MainWindow, studio: Studio) -> None:
    qtbot.mouseClick(window._buttons[3], Qt.MouseButton.LeftButton)
    assert window.current_page == "furnace"
    assert window._title.text() == "Pots and furnace"
    for number, page in enumerate(PAGES):
        assert window._buttons[number].shortcut().toString() == f"Ctrl+{number + 1}"
        window._buttons[number].animateClick()
        qtbot.waitUntil(lambda key=page.key: window.current_page == key)
    studio.page_wanted.emit("glass")
    assert window.current_page == "glass"
    assert studio.settings.last_page == "glass"


def test_words_in_the_rail_have_room(window: MainWindow) -> None:
    for number, button in enumerate(window._buttons):
        window.open_page(PAGES[number].key)
        QApplication.processEvents()
        assert button.fontMetrics().horizontalAdvance(button.text()) + 24 < button.width()


def test_the_last_page_is_open_next_time(
    qtbot: QtBot, studio: Studio, appearance: Appearance
) -> None:
    studio.settings.last_page = "logbook"
    again = MainWindow(studio, appearance)
    qtbot.addWidget(again)
    assert again.current_page == "logbook"
    studio.settings.last_page = "no such page"
    other = MainWindow(studio, appearance)
    qtbot.addWidget(other)
    assert other.current_page == "tonight"


def test_units_from_the_menu_are_told_and_kept(window: MainWindow, studio: Studio) -> None:
    told: list[UnitChoice] = []
    studio.units_changed.connect(told.append)
    for words in ("°F", "in", "lb"):
        action(window, words).trigger()
    everything = UnitChoice(TemperatureUnit.FAHRENHEIT, LengthUnit.INCH, MassUnit.POUND)
    assert studio.units == everything
    assert studio.settings.units == everything
    assert len(told) == 3
    action(window, "°C").trigger()
    assert studio.units.temperature is TemperatureUnit.CELSIUS
    assert not action(window, "°F").isChecked()


def test_colours_from_the_menu(window: MainWindow, studio: Studio) -> None:
    action(window, "Dark").trigger()
    assert theme_of() is DARK
    assert studio.settings.theme is ThemeChoice.DARK


def test_where_is_my_book(window: MainWindow, studio: Studio) -> None:
    action(window, "Where is my book?").trigger()
    assert str(studio.book.path) in window.banner.text
    assert window.banner.isVisible()


def test_reset_settings(window: MainWindow, studio: Studio) -> None:
    action(window, "°F").trigger()
    action(window, "Dark").trigger()
    action(window, "Reset settings").trigger()
    assert studio.units == UnitChoice()
    assert studio.settings.theme is ThemeChoice.SYSTEM
    assert action(window, "°C").isChecked()


def test_another_book(qtbot: QtBot, window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("/x/other.sqlite", ""))
    with qtbot.waitSignal(window.book_wanted) as wanted:
        action(window, "Open another book…").trigger()
    assert wanted.args[0].name == "other.sqlite"
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: ("", ""))
    with qtbot.assertNotEmitted(window.book_wanted):
        action(window, "Open another book…").trigger()


def test_a_new_book(qtbot: QtBot, window: MainWindow, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(QFileDialog, "getSaveFileName", lambda *_, **__: ("/x/quay", ""))
    with qtbot.waitSignal(window.book_wanted) as wanted:
        action(window, "New book…").trigger()
    assert wanted.args[0].name == "quay.sqlite"


def test_the_place_is_kept(qtbot: QtBot, studio: Studio, appearance: Appearance) -> None:
    first = MainWindow(studio, appearance)
    qtbot.addWidget(first)
    first.show()
    first.setGeometry(0, 40, 780, 570)
    first.close()
    second = MainWindow(studio, appearance)
    qtbot.addWidget(second)
    assert second.size() == first.size()


def test_a_window_left_on_a_screen_that_is_gone_comes_back(window: MainWindow) -> None:
    window.move(QPoint(9000, -4000))
    window.bring_on_screen()
    bar = window.frameGeometry()
    bar.setHeight(30)
    seen = QGuiApplication.primaryScreen().availableGeometry().intersected(bar)
    assert seen.width() >= 120


def test_only_known_kinds_of_change_are_told(studio: Studio) -> None:
    told: list[str] = []
    studio.changed.connect(told.append)
    studio.tell_changed("furnace")
    assert told == ["furnace"]
    with pytest.raises(ValueError, match="no kind"):
        studio.tell_changed("weather")


def test_every_control_has_a_spoken_name(window: MainWindow) -> None:
    for button in window._buttons:
        assert button.accessibleName()
        assert button.toolTip()


def test_the_locale_does_not_matter(
    qtbot: QtBot, studio: Studio, appearance: Appearance, choose_locale: Callable[[str], None]
) -> None:
    choose_locale("de_DE")
    made = MainWindow(studio, appearance)
    qtbot.addWidget(made)
    made.show()
    for page in PAGES:
        made.open_page(page.key)
        QApplication.processEvents()


def test_an_alarm_is_told_on_any_page_until_somebody_has_heard_it(
    window: MainWindow, studio: Studio
) -> None:
    window.open_page("glass")
    studio.watch.alarmed.emit(1, "Big lehr: too hot.")
    assert window.banner.text == "Big lehr: too hot."
    studio.watch.heard.emit(2)
    assert window.banner.text
    studio.watch.heard.emit(1)
    assert not window.banner.text
    studio.watch.alarmed.emit(1, "Big lehr: too cold.")
    window.banner.tell(Weight.GOOD, "Kept.")
    studio.watch.ended.emit(1)
    assert window.banner.text == "Kept."
