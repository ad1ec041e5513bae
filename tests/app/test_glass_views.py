"""The page “Glass”: intervals, own trials, working it, and several glasses side by side."""

from __future__ import annotations

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QDialog

from app.glass.compare_view import MOST
from app.glass.glass_list import Shelf
from app.glass.page import GlassPage
from app.glass.trial_dialog import TrialDialog
from core.composition.parse import parse_composition
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import shipped_glasses
from core.glass.properties import properties_of
from core.glass.trial import FibreTest, SagTest
from core.units import TemperatureUnit, UnitChoice
from core.working.working_properties import working_properties_of

SODA = "SiO2 72.0, Na2O 14.0, CaO 9.0, MgO 3.0, Al2O3 2.0"


@pytest.fixture
def page(studio, appearance, qtbot) -> GlassPage:
    made = GlassPage(studio)
    qtbot.addWidget(made)
    made.resize(1200, 760)
    made.show()
    return made


def enter(page: GlassPage, qtbot, name: str = "quay clear") -> Glass:
    qtbot.mouseClick(page.list.add, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(page.form.name, name)
    QGuiApplication.clipboard().setText(SODA)
    page.form.analysis.text.setFocus()
    page.form.analysis.text.paste()
    qtbot.waitUntil(lambda: not page.form.analysis._pause.isActive(), timeout=2000)
    page.reckon()
    return Glass(name, parse_composition(SODA))


def fill(dialog: TrialDialog, **values: float) -> None:
    for name, value in values.items():
        dialog.page.form.field(name).editor.set_value_si(value)


def test_every_temperature_stands_with_where_nine_in_ten_lie(page, qtbot):
    glass = enter(page, qtbot)
    expected = properties_of(glass).annealing_point
    model = page.results.points.model()
    low, high = (int(end) + 273.15 for end in model.index(1, 2).data().split("–"))
    assert low == pytest.approx(expected.low, abs=0.5)
    assert high == pytest.approx(expected.high, abs=0.5)


def test_how_it_works_is_told_for_the_wall_chosen(page, qtbot):
    glass = enter(page, qtbot)
    section = page.results.working
    time = working_properties_of(glass).setting_time
    assert f"{time.value:.0f} s" in section.sentence.text()
    before = section.sentence.text()
    section.wall.set_value_si(0.006)
    assert section.sentence.text() != before


def test_a_trial_says_what_it_means_before_it_is_taken(qtbot, appearance):
    dialog = TrialDialog(UnitChoice())
    qtbot.addWidget(dialog)
    assert not dialog.take.isEnabled()
    fill(dialog, temperature=825.0, elongation=1.4e-3, duration=600.0)
    expected = FibreTest(
        temperature=825.0,
        diameter=0.65e-3,
        length=0.23,
        load=1.0,
        elongation=1.4e-3,
        duration=600.0,
    ).viscosity()
    assert dialog.take.isEnabled()
    assert f"10^{expected.log_viscosity:.2f} Pa s at 552 °C" in dialog.answer.text()


def test_a_trial_that_cannot_be_right_is_not_taken(qtbot, appearance):
    dialog = TrialDialog(UnitChoice())
    qtbot.addWidget(dialog)
    dialog.kinds.set_value(1)
    fill(dialog, temperature=850.0, thickness=0.004, sag=0.05, duration=3600.0)
    assert not dialog.take.isEnabled()
    assert "too deep" in dialog.answer.text()
    fill(dialog, sag=0.005)
    assert dialog.take.isEnabled()
    expected = SagTest(
        temperature=850.0, span=0.2, thickness=0.004, sag=0.005, duration=3600.0
    ).viscosity()
    assert dialog.measured == expected


def test_a_trial_moves_the_curve_narrows_it_and_can_be_taken_back(page, qtbot, monkeypatch):
    enter(page, qtbot)
    before = page.results.shown.annealing_point

    def seen(dialog: TrialDialog) -> int:
        dialog.kinds.set_value(2)
        fill(dialog, temperature=before.value + 15.0)
        dialog.accept()
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(TrialDialog, "exec", seen)
    qtbot.mouseClick(page.form.measured.trials.add, Qt.MouseButton.LeftButton)
    page.reckon()
    after = page.results.shown.annealing_point
    assert before.value < after.value < before.value + 15.0
    assert after.plus_minus < before.plus_minus
    assert "own trial" in page.results.plot.legend.text()
    page.save_shown()
    assert page.form.measured.trials.trials[0].source.startswith("strain seen to vanish")
    qtbot.mouseClick(page.form.measured.trials.removes[0], Qt.MouseButton.LeftButton)
    page.reckon()
    assert page.results.shown.annealing_point == before


def test_a_trial_outlives_the_window(studio, page, qtbot):
    glass = enter(page, qtbot)
    measured = FibreTest(825.0, 0.65e-3, 0.23, 1.0, 1.4e-3, 600.0).viscosity()
    page.form.measured.trials.show_trials((measured,))
    page.save_shown()
    (kept,) = (g for g in studio.book.glasses() if g.name == glass.name)
    assert kept.measured == MeasuredPoints(viscosities=(measured,))


def test_several_glasses_stand_on_one_plot_and_in_one_table(page, qtbot):
    glass = enter(page, qtbot)
    page.views.setCurrentWidget(page.compare)
    names = list(shipped_glasses())
    items = [page.compare.names.item(row) for row in range(page.compare.names.count())]
    for item in items[:2]:
        item.setCheckState(Qt.CheckState.Checked)
    assert [line.name for line in page.compare.plot._lines] == [glass.name, *names[:2]]
    model = page.compare.table.model()
    titles = [model.headerData(n, Qt.Orientation.Horizontal) for n in range(model.columnCount())]
    assert titles == ["", glass.name, *names[:2]]
    annealing = properties_of(shipped_glasses()[names[0]]).annealing_point.value - 273.15
    assert model.index(1, 2).data().startswith(f"{annealing:.0f} °C")


def test_no_more_glasses_than_can_be_told_apart(page, qtbot):
    enter(page, qtbot)
    page.views.setCurrentWidget(page.compare)
    for row in range(MOST + 1):
        page.compare.names.item(row).setCheckState(Qt.CheckState.Checked)
    assert len(page.compare.ticked) == MOST - 1
    assert len(page.compare.plot._lines) == MOST


def test_a_glass_nothing_can_be_said_of_does_not_stop_the_others(studio, page, qtbot):
    odd = Glass("odd", parse_composition("P2O5 60, Na2O 40 wt%"))
    studio.book.save_glass(odd)
    studio.tell_changed("glasses")
    page.open(Shelf.LIBRARY, next(iter(shipped_glasses())))
    page.views.setCurrentWidget(page.compare)
    page.compare.names.item(0).setCheckState(Qt.CheckState.Checked)
    assert page.compare.plot._lines


def test_fahrenheit_reaches_every_view(page, qtbot):
    glass = enter(page, qtbot)
    page._studio.set_units(UnitChoice(temperature=TemperatureUnit.FAHRENHEIT))
    value = properties_of(glass).annealing_point.value
    shown = page.results.points.model().index(1, 1).data()
    assert int(shown) == pytest.approx((value - 273.15) * 1.8 + 32, abs=0.6)
    assert "°F" in page.results.working.table.model().index(0, 1).data()
