"""The plot of the night: units in words, clock time, read-out, themes, speed settings, no leaks."""

import gc
import itertools
import weakref
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QApplication, QGraphicsScene
from pytestqt.qtbot import QtBot

from app.plots.curves import CurveLine, Level, LineRole, Marker, MarkerRole, ZoneBand
from app.plots.looks import line_look, marker_look
from app.plots.night_plot import NightPlot
from app.plots.point_plot import PointPlot
from app.settings import ThemeChoice
from app.theme import DARK, LIGHT, Appearance
from core.units import TemperatureUnit, UnitChoice

BERLIN = ZoneInfo("Europe/Berlin")
START = datetime(2026, 11, 25, 16, 0, tzinfo=UTC).timestamp()
PLAN_TIME = START + 3600.0 * np.array([0.0, 2.0, 6.5, 9.0, 16.0])
PLAN_KELVIN = 273.15 + np.array([532.0, 532.0, 482.0, 400.0, 45.0])
FAHRENHEIT = UnitChoice(TemperatureUnit.FAHRENHEIT)


def plan() -> CurveLine:
    return CurveLine("Plan", PLAN_TIME, PLAN_KELVIN, LineRole.PLAN)


def actual(count: int = 120) -> CurveLine:
    time = np.linspace(START, START + 10 * 3600, count)
    return CurveLine("Actual", time, np.interp(time, PLAN_TIME, PLAN_KELVIN) + 5.0, LineRole.ACTUAL)


def deviation() -> CurveLine:
    line = actual()
    return CurveLine("Deviation", line.time, np.full(line.time.size, 5.0), LineRole.ACTUAL)


def fill(plot: NightPlot) -> None:
    plot.show_night(
        [plan(), actual()],
        zones=[ZoneBand(273.15 + 527, 273.15 + 492, "annealing", "strain")],
        levels=[Level(273.15 + 532, "soak")],
        markers=[
            Marker(START + 15 * 3600, "out by 08:00", MarkerRole.OUT_BY),
            Marker(START + 16 * 3600, "ready 09:00", MarkerRole.LATE),
        ],
        deviation=deviation(),
    )


@pytest.fixture
def night(qtbot: QtBot, appearance: Appearance) -> NightPlot:
    made = NightPlot(zone=BERLIN)
    qtbot.addWidget(made)
    made.resize(900, 560)
    made.show()
    qtbot.waitExposed(made)
    return made


def test_the_unit_is_in_the_words_and_never_prefixed(night: NightPlot) -> None:
    hot = CurveLine("Furnace", PLAN_TIME, np.full(5, 273.15 + 1200.0), LineRole.FURNACE)
    night.show_night([hot])
    QApplication.processEvents()
    for frame in (night.upper, night.lower):
        for side in ("left", "bottom"):
            axis = frame.plot.getAxis(side)
            assert axis.labelUnits == ""
            assert axis.autoSIPrefix is False
            assert "k°C" not in axis.labelString()
    assert "Temperature, °C" in night.upper.left_axis.labelString()


def test_downsampling_is_set_on_the_plot_and_reaches_curves(night: NightPlot) -> None:
    night.show_night([plan(), actual(200_000)])
    for frame in (night.upper, night.lower):
        assert frame.plot.downsampleMode() == (1, True, "peak")
        assert frame.plot.clipToViewMode()
    for curve in night._drawn.items:
        assert curve.opts["autoDownsample"]
        assert curve.opts["clipToView"]
    assert night._drawn.items[1].opts["pen"].widthF() == 1.0
    assert night._drawn.items[1].opts["symbol"] is None
    assert not night._drawn.items[1].opts["antialias"]


def test_few_readings_get_dots_and_many_do_not(night: NightPlot) -> None:
    night.show_night([plan(), actual(12)])
    assert night._drawn.items[1].opts["symbol"] == "o"
    assert night._drawn.items[0].opts["symbol"] is None
    night.show_night([plan(), actual(500)])
    assert night._drawn.items[1].opts["symbol"] is None


def test_curves_are_reused(night: NightPlot) -> None:
    fill(night)
    before = list(night._drawn.items)
    items = len(night.upper.plot.items)
    for _ in range(5):
        fill(night)
    assert night._drawn.items == before
    assert len(night.upper.plot.items) == items
    night.clear()
    assert night._drawn.items == []


def test_fahrenheit_changes_numbers_and_words(night: NightPlot) -> None:
    fill(night)
    night.set_units(FAHRENHEIT)
    shown = night._drawn.items[0].getOriginalDataset()[1]
    # 532 °C is 989.6 °F (NIST SP 811, B.8).
    assert shown[0] == pytest.approx(989.6)
    assert "°F" in night.upper.left_axis.labelString()
    low, high = night.upper.view.viewRange()[1]
    assert low < 113.0
    assert high > 989.6
    # A difference of 5 K is 9 °F, not 41.
    assert night._strips.items[0].getOriginalDataset()[1][0] == pytest.approx(9.0)


def test_gaps_stay_gaps(night: NightPlot) -> None:
    kelvin = PLAN_KELVIN.copy()
    kelvin[2] = np.nan
    night.show_night([CurveLine("Actual", PLAN_TIME, kelvin, LineRole.ACTUAL)])
    assert night._drawn.items[0].opts["connect"] == "finite"
    assert "nan" not in night.description.lower()


def test_the_read_out_follows_the_mouse(qtbot: QtBot, night: NightPlot) -> None:
    fill(night)
    moments: list[float] = []
    night.cursor_moved.connect(moments.append)
    viewport = night.upper.viewport()
    qtbot.mouseMove(viewport, QPoint(viewport.width() // 2, viewport.height() // 2))
    qtbot.mouseMove(viewport, QPoint(viewport.width() // 2 + 5, viewport.height() // 2))
    qtbot.waitUntil(lambda: bool(moments))
    assert "Plan" in night.read_out.text()
    night.set_cursor(START + 3600.0)
    text = night.read_out.text()
    assert "18:00" in text
    assert "532 °C" in text
    assert "537 °C" in text
    assert "+5 °C" in text


def test_the_read_out_moves_with_the_arrow_keys(qtbot: QtBot, night: NightPlot) -> None:
    fill(night)
    night.set_cursor(START + 3600.0)
    qtbot.keyClick(night.upper, Qt.Key.Key_Right)
    assert night.crosshair.moment > START + 3600.0
    qtbot.keyClick(night.upper, Qt.Key.Key_Left)
    assert night.crosshair.moment == pytest.approx(START + 3600.0)


def test_zoom_and_back(qtbot: QtBot, night: NightPlot) -> None:
    fill(night)
    whole = night.upper.view.viewRange()[0]
    qtbot.keyClick(night.upper, Qt.Key.Key_Plus)
    zoomed = night.upper.view.viewRange()[0]
    assert zoomed[1] - zoomed[0] < whole[1] - whole[0]
    night.resize(1000, 600)
    QApplication.processEvents()
    assert night.upper.view.viewRange()[0] == pytest.approx(zoomed)
    qtbot.keyClick(night.upper, Qt.Key.Key_Home)
    again = night.upper.view.viewRange()[0]
    assert again[0] == pytest.approx(whole[0], abs=60)


def test_zooming_in_shows_the_part_larger(qtbot: QtBot, night: NightPlot) -> None:
    fill(night)
    for _ in range(8):
        qtbot.keyClick(night.upper, Qt.Key.Key_Plus)
    start, end = night.upper.view.viewRange()[0]
    low, high = night.upper.view.viewRange()[1]
    inside = np.interp([start, end], PLAN_TIME, PLAN_KELVIN) - 273.15
    assert low < inside.min() <= inside.max() < high
    assert high - low < 300.0
    qtbot.keyClick(night.upper, Qt.Key.Key_0)
    assert night.upper.view.viewRange()[1][0] < 45.0


def test_the_strip_below_shares_the_clock(night: NightPlot) -> None:
    fill(night)
    assert not night.lower.isVisible()
    night.show_deviation(True)
    QApplication.processEvents()
    assert night.lower.isVisible()
    assert night.lower.view.viewRange()[0] == pytest.approx(night.upper.view.viewRange()[0], abs=90)
    assert not night.upper.clock_axis.style["showValues"]
    low, high = night.lower.view.viewRange()[1]
    assert low == pytest.approx(-high)
    assert high >= 10.0


def test_the_description_has_the_largest_values(night: NightPlot) -> None:
    fill(night)
    text = night.upper.accessibleDescription()
    for words in (
        "532 °C",
        "Largest deviation +5 °C",
        "annealing 527 °C",
        "strain 492 °C",
        "ready",
    ):
        assert words in text
    night.clear()
    assert night.description == "No curve yet."


def test_zone_words_are_apart_and_beside_what_is_drawn(night: NightPlot) -> None:
    fill(night)
    QApplication.processEvents()
    labels = [beside.label for beside in night._annotations._edge_labels]
    assert [label.toPlainText() for label in labels] == [
        "annealing 527 °C",
        "strain 492 °C",
        "soak 532 °C",
    ]
    boxes = sorted(
        (label.mapRectToScene(label.boundingRect()) for label in labels), key=lambda b: b.top()
    )
    for upper, lower in itertools.pairwise(boxes):
        assert upper.bottom() <= lower.top() + 1.0
    drawn = night.upper.view.sceneBoundingRect()
    assert all(box.left() >= drawn.right() for box in boxes)
    assert max(box.right() for box in boxes) <= night.upper.sceneRect().right()
    night.show_deviation(True)
    QApplication.processEvents()
    below = night.lower.view.sceneBoundingRect()
    assert below.right() == pytest.approx(night.upper.view.sceneBoundingRect().right(), abs=1)


def test_names_of_moments_stand_above_the_curve(night: NightPlot) -> None:
    fill(night)
    night.resize(620, 300)
    QApplication.processEvents()
    to_scene = night.upper.view.mapViewToScene
    highest = to_scene(QPointF(START, 532.0)).y()
    for _, label in night._annotations._marker_labels:
        assert label.mapRectToScene(label.boundingRect()).bottom() <= highest


def test_long_names_of_zones_leave_room_for_the_curve(night: NightPlot) -> None:
    name = "the harbour's own soda glass, autumn batch: annealing"
    night.show_night([plan()], zones=[ZoneBand(800.0, 765.0, name, "strain")])
    QApplication.processEvents()
    assert night.upper.view.sceneBoundingRect().width() > night.upper.width() / 2
    label = night._annotations._edge_labels[0].label
    assert name in label.toolTip()


def test_a_furnace_need_not_reach_down_to_the_room(qtbot: QtBot, appearance: Appearance) -> None:
    plot = NightPlot(zone=BERLIN, from_room=False)
    qtbot.addWidget(plot)
    plot.resize(700, 400)
    plot.show()
    steady = CurveLine("Furnace", PLAN_TIME, np.full(5, 273.15 + 1150.0), LineRole.FURNACE)
    plot.show_night([steady])
    low, high = plot.upper.view.viewRange()[1]
    assert 1100.0 < low < 1150.0 < high < 1250.0
    # A steady furnace looks steady: noise of a degree must not fill the plot.
    assert high - low >= 40.0
    plot.set_units(FAHRENHEIT)
    low, high = plot.upper.view.viewRange()[1]
    assert low < 2102.0 < high  # 1150 °C (NIST SP 811, B.8)


def test_colours_follow_the_palette(night: NightPlot, appearance: Appearance) -> None:
    fill(night)
    assert night._drawn.items[0].opts["pen"].color() == QColor(LIGHT.plan)
    appearance.choose(ThemeChoice.DARK)
    QApplication.processEvents()
    assert night._drawn.items[0].opts["pen"].color() == QColor(DARK.plan)
    assert night.upper.backgroundBrush().color() == QColor(DARK.plot_ground)
    assert night.upper.left_axis.textPen().color() == QColor(DARK.ink)


@pytest.mark.parametrize("theme", [LIGHT, DARK], ids=lambda theme: theme.name)
def test_colour_is_never_the_only_difference(theme: object) -> None:
    curves = [line_look(role, theme) for role in LineRole if role is not LineRole.FURNACE]
    assert len({(look.width, look.dash) for look in curves}) == len(curves)
    marks = [
        marker_look(role, theme) for role in (MarkerRole.READY, MarkerRole.LATE, MarkerRole.OUT_BY)
    ]
    assert len({(look.width, look.dash) for look in marks}) == len(marks)


def test_pens_are_as_wide_at_200_per_cent() -> None:
    look = line_look(LineRole.ACTUAL, LIGHT)
    assert look.pen(2.0).widthF() == pytest.approx(2 * look.pen(1.0).widthF())
    assert look.pen(2.0).isCosmetic()


def test_nothing_to_show_is_no_trouble(night: NightPlot) -> None:
    empty = CurveLine("Actual", np.empty(0), np.empty(0), LineRole.ACTUAL)
    night.show_night([empty])
    night.set_cursor(START)
    night.show_night([CurveLine("Actual", np.array([START]), np.array([800.0]), LineRole.ACTUAL)])
    assert night.roles() == (LineRole.ACTUAL,)


def test_data_cannot_be_changed_from_outside() -> None:
    time = PLAN_TIME.copy()
    line = CurveLine("Plan", time, PLAN_KELVIN)
    time[0] = 0.0
    assert line.time[0] == START
    with pytest.raises(ValueError, match="read-only"):
        line.time[0] = 0.0
    with pytest.raises(ValueError, match="as many"):
        CurveLine("Plan", PLAN_TIME, PLAN_KELVIN[:2])


def test_a_closed_plot_leaves_nothing_behind(qtbot: QtBot, appearance: Appearance) -> None:
    plot = NightPlot(zone=BERLIN)
    plot.show()
    fill(plot)
    plot.show_deviation(True)
    QApplication.processEvents()
    parts = [weakref.ref(part) for part in (plot, plot.upper, plot.upper.plot, plot._annotations)]
    plot.close()
    plot.deleteLater()
    del plot
    QApplication.sendPostedEvents(None, 52)  # QEvent::DeferredDelete
    QApplication.processEvents()
    gc.collect()
    assert [part() for part in parts] == [None] * len(parts)


def test_no_plot_keeps_an_index_of_its_items(night: NightPlot, qtbot: QtBot) -> None:
    # Stale entries of Qt's index crash the program when it paints (found with nights laid over
    # each other in a window made smaller).
    points = PointPlot("points")
    qtbot.addWidget(points)
    for plot in (night.upper, night.lower, points):
        index = plot.scene().itemIndexMethod()
        assert index is QGraphicsScene.ItemIndexMethod.NoIndex
