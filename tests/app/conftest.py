"""Every test of the window: own preferences and data folder, no display, no stray pop-ups."""

from __future__ import annotations

import os

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QLocale, QSettings, QThreadPool
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QMessageBox, QWidget
from pytestqt.qtbot import QtBot

from app.settings import Settings, ThemeChoice
from app.studio import Studio
from app.theme import Appearance
from app.tonight import planner_desk, run_night
from core.load.load import Load
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.store.book import Book
from core.units import UnitChoice

HARMLESS = ("This plugin does not support propagateSizeHints",)
"""Said by Qt's offscreen platform of every window with a smallest size; no window has a frame."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let Qt's harmless remark pass in the tests of the window, beside what a test allows."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            own = item.get_closest_marker("qt_log_ignore")
            allowed = HARMLESS + (own.args if own is not None else ())
            item.add_marker(pytest.mark.qt_log_ignore(*allowed), append=False)


@pytest.fixture(autouse=True)
def _own_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Nothing is read from or written to the home folder of whoever runs the tests."""
    for variable in ("XDG_DATA_HOME", "XDG_CONFIG_HOME", "XDG_CACHE_HOME", "LOCALAPPDATA"):
        monkeypatch.setenv(variable, str(tmp_path / variable.lower()))
    QSettings.setDefaultFormat(QSettings.Format.IniFormat)
    QSettings.setPath(QSettings.Format.IniFormat, QSettings.Scope.UserScope, str(tmp_path / "ini"))
    QLocale.setDefault(QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom))
    yield
    QLocale.setDefault(QLocale(QLocale.Language.English, QLocale.Country.UnitedKingdom))
    assert QThreadPool.globalInstance().waitForDone(3000)
    # Closed widgets go now, or every later test restyles them again.
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture(autouse=True)
def _no_pop_ups(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dialog nobody expects fails the test instead of waiting for ever."""

    def unexpected(*_: object, **__: object) -> None:
        pytest.fail("An unexpected dialog was opened.")

    for name in ("information", "question", "warning", "critical"):
        monkeypatch.setattr(QMessageBox, name, unexpected)
    for name in (
        "getOpenFileName",
        "getOpenFileNames",
        "getSaveFileName",
        "getExistingDirectory",
    ):
        monkeypatch.setattr(QFileDialog, name, unexpected)
    monkeypatch.setattr(QMessageBox, "exec", unexpected)
    monkeypatch.setattr(QDialog, "exec", unexpected)


@pytest.fixture(autouse=True)
def _widgets_live_until_closed(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """A widget that only its test knew must not be collected while Qt paints it afterwards."""
    kept: list[QWidget] = []
    add = QtBot.addWidget

    def keep(bot: QtBot, widget: QWidget, **options: object) -> None:
        kept.append(widget)
        add(bot, widget, **options)

    monkeypatch.setattr(QtBot, "addWidget", keep)
    yield
    kept.clear()


@pytest.fixture(autouse=True)
def _first_curve_is_the_best(monkeypatch: pytest.MonkeyPatch) -> None:
    """The search for the best curve takes seconds: only the tests about it wait for it."""

    def first(load: Load, units: UnitChoice | None = None, **_: object) -> Plan:
        return make_plan(load, units)

    for module in (planner_desk, run_night):
        monkeypatch.setattr(module, "best_plan", first)


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """Preferences in an ini file of the test's own."""
    return Settings(QSettings(str(tmp_path / "preferences.ini"), QSettings.Format.IniFormat))


@pytest.fixture
def appearance(qapp: QApplication) -> Iterator[Appearance]:
    """The light theme on the application; taken off again afterwards."""
    before = qapp.palette(), qapp.font()
    look = Appearance(qapp, ThemeChoice.LIGHT)
    yield look
    look.choose(ThemeChoice.SYSTEM)
    look.setParent(None)
    look.deleteLater()
    qapp.setStyleSheet("")
    qapp.setPalette(before[0])
    qapp.setFont(before[1])


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    """An empty book."""
    opened = Book.open(tmp_path / "harbour.sqlite")
    yield opened
    opened.close()


@pytest.fixture
def studio(qapp: QApplication, book: Book, settings: Settings) -> Iterator[Studio]:
    """A studio on an empty book; its background work is drained afterwards."""
    made = Studio(book, settings)
    yield made
    assert made.jobs.shutdown(5.0)
    qapp.processEvents()
    made.deleteLater()


@pytest.fixture
def choose_locale() -> Callable[[str], None]:
    """Make the machine speak another language: ``choose_locale("de_DE")``."""
    return lambda name: QLocale.setDefault(QLocale(name))
