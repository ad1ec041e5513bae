"""The page “Glass”: the glass in the form together with another in one piece."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt

from app.glass.glass_list import Shelf
from app.glass.page import GlassPage
from app.widgets.banner import Weight
from core.glass.library import shipped_glasses
from core.joined.advice import advise
from core.joined.cylinders import Cylinders
from core.joined.joint import join
from core.joined.layers import Layers

CLEAR, GREEN = "harbour clear", "bottle green potash"


@pytest.fixture
def page(studio, appearance, qtbot) -> GlassPage:
    made = GlassPage(studio)
    qtbot.addWidget(made)
    made.resize(1200, 760)
    made.show()
    made.open(Shelf.LIBRARY, CLEAR)
    made.views.setCurrentWidget(made.together)
    made.together.partner.set_value(GREEN)
    return made


def settle(page: GlassPage, qtbot) -> None:
    view = page.together
    qtbot.waitUntil(
        lambda: not view._pause.isActive() and not page._studio.jobs.is_busy("pair"), timeout=5000
    )


def cell(page: GlassPage, row: int, column: int) -> str:
    return str(page.together.table.model().index(row, column).data())


def test_a_pair_is_judged_as_soon_as_it_is_chosen(page, qtbot):
    settle(page, qtbot)
    glasses = shipped_glasses()
    joint = join(glasses[CLEAR], glasses[GREEN], Cylinders(0.005, 0.008))
    assert page.together.verdict.text.casefold() == f"{joint.verdict.value}."
    assert (cell(page, 0, 1), cell(page, 0, 2)) == (CLEAR, GREEN)
    assert cell(page, 4, 1).startswith(f"{joint.core_tension.value / 1e6:.1f} ")
    assert page.together.advice.text() == advise(joint).sentence


def test_inside_out_swaps_core_and_casing(page, qtbot):
    page.together.side.set_value(False)
    settle(page, qtbot)
    assert (cell(page, 0, 1), cell(page, 0, 2)) == (GREEN, CLEAR)


def test_a_layer_asks_for_its_own_thicknesses(page, qtbot):
    view = page.together
    view.kind.set_value("layer")
    assert view.held.isVisible()
    view.first.set_value_si(0.006)
    view.second.set_value_si(0.002)
    view.held.setChecked(True)
    settle(page, qtbot)
    glasses = shipped_glasses()
    joint = join(glasses[CLEAR], glasses[GREEN], Layers(0.006, 0.002, free_to_bend=False))
    assert cell(page, 4, 2).startswith(f"{joint.casing_tension.value / 1e6:.1f} ")
    view.kind.set_value("thread")
    assert not view.form.field("second").isVisible()


def test_a_glass_on_itself_is_safe_and_needs_no_change(page, qtbot):
    page.together.same_house.setChecked(True)
    page.together.partner.set_value(CLEAR)
    settle(page, qtbot)
    assert page.together.verdict.weight is Weight.GOOD
    assert not page.together.advice.isVisible()


def test_the_smallest_change_that_matches_becomes_a_new_glass(page, qtbot):
    view = page.together
    settle(page, qtbot)
    qtbot.mouseClick(view.find, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(view.take.isVisible, timeout=10000)
    assert "Smallest change" in view.matched.text()
    qtbot.mouseClick(view.take, Qt.MouseButton.LeftButton)
    assert page.shown == (Shelf.OWN, "")
    assert page.form.name.text() == f"{CLEAR}, matched to {GREEN}"


def test_oxides_that_cannot_do_it_are_said_so(page, qtbot):
    view = page.together
    settle(page, qtbot)
    view.oxides.setText("SiO2")
    qtbot.mouseClick(view.find, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(view.find.isEnabled, timeout=10000)
    assert "two oxides" in view.match_form.field("adjustable").error
    assert not view.take.isVisible()
