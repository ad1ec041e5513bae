"""The versions of a glass, seen and taken up again as a person does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
from PySide6.QtWidgets import QPushButton

from app.glass.glass_list import Shelf
from app.glass.page import GlassPage
from app.glass.version_words import change_words
from core.composition.parse import parse_composition
from core.glass.glass import Glass, MeasuredPoints
from core.glass.glass_changes import GlassChange
from core.glass.library import shipped_glasses
from core.units import TemperatureUnit, UnitChoice

FIRST = Glass("quay clear", parse_composition("SiO2 72, Na2O 15, CaO 10, MgO 3"))
SECOND = replace(
    FIRST,
    composition=parse_composition("SiO2 72, Na2O 14, CaO 11, MgO 3"),
    measured=MeasuredPoints(annealing_point=820.0),
)
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture(autouse=True)
def _pages_are_gone(qapp) -> Iterator[None]:
    yield
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def page(studio, appearance, qtbot) -> GlassPage:
    earlier = datetime.now(UTC) - timedelta(days=40)
    studio.book.save_glass(FIRST, saved_at=earlier)
    studio.book.save_glass(SECOND)
    made = GlassPage(studio)
    qtbot.addWidget(made)
    made.resize(1060, 720)
    made.show()
    made.open(Shelf.OWN, FIRST.name)
    made.views.setCurrentWidget(made.versions)
    return made


def test_versions_are_listed_with_date_and_what_changed(page):
    latest, first = page.versions.told
    assert latest.startswith("Version 2, saved today")
    assert "Na2O 15.00 → 14.00 wt%; CaO 10.00 → 11.00 wt%; Annealing – → 547 °C" in latest
    assert first.startswith("Version 1, saved")
    assert first.endswith("As first entered.")
    assert len(page.versions.uses) == 1


def test_units_change_in_what_changed(page, studio):
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    assert "Annealing – → 1016 °F" in page.versions.told[0]


def test_an_earlier_version_is_used_saved_and_becomes_the_latest(page, studio, qtbot):
    qtbot.mouseClick(page.versions.uses[0], LEFT)
    assert page.dirty
    assert page.form.glass() == FIRST
    assert [v.number for v in studio.book.glass_versions(FIRST.name)] == [1, 2]
    assert "Version 1" in page.state.text()
    qtbot.mouseClick(page.save, LEFT)
    kept = studio.book.glass_versions(FIRST.name)
    assert [v.number for v in kept] == [1, 2, 3]
    assert kept[-1].glass == FIRST
    assert len(page.versions.uses) == 2


def test_what_was_typed_is_asked_about_first(page, qtbot):
    page.form.note.setFocus()
    qtbot.keyClicks(page.form.note, "brought by the ferry")
    assert page.dirty
    qtbot.mouseClick(page.versions.uses[0], LEFT)
    assert page.form.note.text() == "brought by the ferry"
    ask = next(
        button for button in page.banner.findChildren(QPushButton) if "Discard" in button.text()
    )
    qtbot.mouseClick(ask, LEFT)
    assert page.form.glass() == FIRST


def test_glasses_of_the_library_and_new_ones_have_none(page):
    page.open(Shelf.LIBRARY, next(iter(shipped_glasses())))
    assert page.versions.told == []
    assert "once the glass is saved" in page.versions.about.text()
    page.open(Shelf.OWN, "")
    assert page.versions.told == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (GlassChange("MgO", 3.0, None), "MgO 3.00 → 0 wt%"),
        (GlassChange("trials", 0.0, 2.0), "Own trials 0 → 2"),
        (GlassChange("composition", None, "analysis"), "Analysis added"),
        (GlassChange("note", "a", "b"), "Note changed"),
        (GlassChange("source", "a", None), "Source removed"),
        (GlassChange("annealing_point_error", 5.0, 3.0), "Annealing known to ± 5.0 → 3.0 °C"),
        (GlassChange("expansion", 9e-6, None), "Expansion 90.0 ×10⁻⁷/K → –"),
        (GlassChange("composition_error", None, None), "Error or total of the analysis changed"),
    ],
)
def test_each_kind_of_change_in_words(change, words):
    assert change_words(change, UnitChoice()) == words
