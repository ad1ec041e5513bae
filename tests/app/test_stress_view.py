"""What a night does to the glass, as somebody looks at it under the curve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from PySide6.QtGui import QColor
from tonight_nights import BIG_LEHR, BUTTON, DECANTER, FLOAT, QUAY_GLASS

from app.plots.curves import LineRole
from app.plots.night_plot import NightPlot
from app.plots.plan_night import draw_plan
from app.stress.stress_view import StressView
from app.theme import DARK, ThemeChoice
from core.load.load import Load, StressLimits
from core.load.load_stress import drawn_history, judge_by, stresses_of_load
from core.plan.planner import make_plan
from core.run.readings import Readings
from core.units import TemperatureUnit, UnitChoice

LOAD = Load("harbour night", (FLOAT, DECANTER), {QUAY_GLASS.name: QUAY_GLASS}, BIG_LEHR, BUTTON)


@pytest.fixture(scope="module")
def plan():
    return make_plan(LOAD)


@pytest.fixture
def plot(studio, qtbot, appearance, plan) -> NightPlot:
    made = NightPlot(units=studio.units)
    qtbot.addWidget(made)
    draw_plan(made, plan, (), readings=None, comparison=None, keep_view=False)
    return made


@pytest.fixture
def view(studio, qtbot, plot) -> StressView:
    made = StressView(studio, plot)
    qtbot.addWidget(made)
    made.resize(900, 240)
    return made


def wait_for_stress(view: StressView, qtbot) -> None:
    qtbot.waitUntil(lambda: bool(view.found) or bool(view.sentence.property("role") == "error"))


def test_nothing_is_reckoned_until_somebody_looks(view, plan, qtbot, studio):
    view.show_plan(LOAD, plan)
    assert not studio.jobs.is_busy("stress")
    assert view.found == ()
    view.show()
    wait_for_stress(view, qtbot)
    assert [stress.name for stress in view.found] == [FLOAT.name, DECANTER.name]


def test_each_part_can_be_chosen_with_its_own_numbers(view, plan, qtbot):
    view.show_plan(LOAD, plan)
    view.show()
    wait_for_stress(view, qtbot)
    names = [view.choice.itemText(row) for row in range(view.choice.count())]
    assert names == [FLOAT.name, f"{DECANTER.name}, wall", f"{DECANTER.name}, base"]
    expected = stresses_of_load(LOAD, drawn_history(*plan.curve(), LOAD.lehr))[1].sections[1]
    view.choice.setCurrentIndex(2)
    assert f"{expected.permanent_core / 1e6:.2f} MPa in the core" in view.sentence.text()
    assert f"{expected.peak.stress / 1e6:.2f} MPa of tension" in view.sentence.text()
    assert "MPa" in view.profile.accessibleDescription()
    assert "nm/cm" in view.told.text()


def test_core_and_skin_stand_on_the_curve_only_while_one_looks(view, plan, plot, qtbot):
    view.show_plan(LOAD, plan)
    view.show()
    wait_for_stress(view, qtbot)
    assert LineRole.PIECE in plot.roles()
    view.hide()
    assert plot.roles() == (LineRole.PLAN,)
    view.show()
    assert LineRole.PIECE in plot.roles()


def test_the_clock_follows_the_curve_above(view, plan, plot, qtbot):
    view.show_plan(LOAD, plan)
    view.show()
    wait_for_stress(view, qtbot)
    middle = BUTTON.timestamp() + 3 * 3600.0
    plot.upper.view.setXRange(middle, middle + 3600.0, padding=0)
    assert view.stress.view.viewRange()[0] == pytest.approx([middle, middle + 3600.0])


def test_over_the_limits_is_said(view, plan, qtbot):
    strict = replace(LOAD, limits=StressLimits(permanent_tension=0.01e6))
    view.show_plan(strict, plan)
    view.show()
    wait_for_stress(view, qtbot)
    view.choice.setCurrentIndex(2)
    assert not judge_by(strict.limits, view.found[1]).within_limits
    assert view.verdict.text() == "Over its limits."
    assert view.verdict.property("role") == "late"


def test_a_log_is_followed_instead_of_the_plan(view, plan, qtbot):
    time = plan.start.timestamp() + np.arange(0.0, 5 * 3600.0, 300.0)
    readings = Readings(time, plan.temperature_at(time))
    view.show_log(LOAD, plan, readings)
    view.show()
    wait_for_stress(view, qtbot)
    assert view.found[0].sections[0].time[-1] == pytest.approx(readings.time[-1], abs=1.0)
    assert "what the lehr did" in view.told.text()


def test_an_impossible_night_is_told_and_nothing_stale_stays(view, plan, qtbot):
    view.show_plan(LOAD, plan)
    view.show()
    wait_for_stress(view, qtbot)
    time = np.array([0.0, 60.0]) + BUTTON.timestamp()
    view.show_log(LOAD, plan, Readings(time, np.array([5000.0, 5000.0])))
    qtbot.waitUntil(lambda: view.sentence.property("role") == "error")
    assert view.found == ()
    assert not view.choice.isEnabled()
    drawn = [item for item in view.stress.plot.listDataItems() if item.isVisible()]
    assert sum(np.size(item.getData()[0]) for item in drawn if item.getData()[0] is not None) == 0
    assert view.stress.accessibleDescription() == ""


def test_other_units_and_the_dark_theme(view, plan, studio, appearance, qtbot):
    view.show_plan(LOAD, plan)
    view.show()
    wait_for_stress(view, qtbot)
    studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    view.set_units(studio.units)
    assert "°F" in view.sentence.text()
    appearance.choose(ThemeChoice.DARK)
    ground = view.profile.backgroundBrush().color().name()
    assert ground.casefold() == QColor(DARK.plot_ground).name()
