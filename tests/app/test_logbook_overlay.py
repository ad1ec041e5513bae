"""Runs laid on their plan otherwise than by the clock, and over each other."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from logbook_nights import enter_night
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from app.logbook.night_picks import NightPicks
from app.logbook.page import LogBookPage
from app.plots.curves import NIGHTS, LineRole
from app.plots.strip import OffBy
from core.run.alignment import Align
from core.run.compare import compare
from core.run.overlay import NightOfRun, overlay
from core.run.readings import Readings
from core.store.book import RunRecord

LATE = 1500.0
"""Seconds by which the second night was begun late."""


def fill(book, night, *, late=0.0, off=0.0):
    moments = night.moments(180.0)
    readings = Readings(moments + late, night.plan.temperature_at(moments) + off)
    book.add_readings(night.run.id, readings, "logger", "a.csv", "0" * 64)
    book.finish_run(night.run.id, night.plan.ready_at + timedelta(hours=1))


@pytest.fixture
def nights(book):
    evening = datetime.now(UTC).replace(hour=20, minute=0, second=0, microsecond=0)
    made = [enter_night(book, evening - timedelta(days=days)) for days in range(8, 2, -1)]
    for number, night in enumerate(made):
        late = number == 4
        fill(book, night, late=LATE * late, off=0.0 if late else 1.0 * number)
    return made


@pytest.fixture
def page(qtbot, studio, nights):
    made = LogBookPage(studio)
    qtbot.addWidget(made)
    made.resize(1200, 800)
    made.show()
    rest(qtbot, studio)
    return made


def rest(qtbot, studio):
    qtbot.waitUntil(lambda: not studio.jobs.is_busy(), timeout=8000)


def open_overlay(qtbot, studio, page):
    qtbot.mouseClick(page.runs.overlay_button, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    return page.side.overlay


def test_a_late_run_lies_on_its_plan_at_the_start_of_the_soak(qtbot, studio, book, nights, page):
    night = nights[4]
    page.open_run(night.run.id)
    rest(qtbot, studio)
    view = page.run_view
    by_clock = view.sheet.comparison
    assert by_clock.shift == 0.0
    view.against.align.set_value(Align.SOAK_END)
    rest(qtbot, studio)
    laid = view.sheet.comparison
    expected = compare(night.plan, book.readings(night.run.id), align=Align.SOAK_END)
    assert laid.shift == expected.shift == pytest.approx(LATE, abs=180.0)
    assert abs(laid.max_deviation) < abs(by_clock.max_deviation)
    plan = view.plot.night[0]
    assert plan.name.startswith("Plan, moved 0:2")
    np.testing.assert_allclose(plan.time, night.plan.curve()[0] + laid.shift)
    # Another run begins by the clock again.
    page.open_run(nights[5].run.id)
    rest(qtbot, studio)
    assert view.against.align.value is Align.CLOCK
    assert view.plot.night[0].name == "Plan"


def test_where_the_log_does_not_show_the_soak_it_is_said(qtbot, studio, book, page):
    start = datetime.now(UTC).replace(second=0, microsecond=0) - timedelta(hours=30)
    night = enter_night(book, start)
    moments = night.moments()[-20:]
    cold = Readings(moments, night.plan.temperature_at(moments))
    book.add_readings(night.run.id, cold, "logger", "a.csv", "0" * 64)
    page.open_run(night.run.id)
    rest(qtbot, studio)
    page.run_view.against.align.set_value(Align.SOAK_START)
    rest(qtbot, studio)
    assert page.run_view.sheet.align is Align.CLOCK
    assert "does not show" in page.run_view.against.not_laid.text
    assert page.run_view.against.align.value is Align.CLOCK


def test_the_strip_shows_how_late_the_run_was(qtbot, studio, nights, page):
    page.open_run(nights[4].run.id)
    rest(qtbot, studio)
    view = page.run_view
    view.against.strip.set_value(OffBy.TIME)
    plot = view.plot
    assert "Late, min" in plot.lower.left_axis.labelString()
    at = view.sheet.comparison.time[view.sheet.comparison.time.size // 2]
    plot.set_cursor(float(at))
    late = view.sheet.comparison.lateness
    assert np.nanmedian(late) == pytest.approx(LATE, abs=120.0)
    assert "later than planned" in plot.read_out.text()


def test_segments_stand_beside_what_was_planned(qtbot, studio, nights, page):
    page.open_run(nights[5].run.id)
    rest(qtbot, studio)
    table = page.run_view.against.segments
    rows = page.run_view.sheet.comparison.segments
    assert table.rows_model.rows == rows
    assert len(rows) == len(nights[5].plan.segments)
    model = table.model()
    cooling = next(n for n, row in enumerate(rows) if row.actual_rate is not None)
    actual, planned = (float(model.index(cooling, c).data().strip(" *")) for c in (1, 2))
    assert actual == pytest.approx(planned, rel=0.05)


def test_the_last_five_nights_of_the_lehr_lie_over_each_other(qtbot, studio, book, nights, page):
    view = open_overlay(qtbot, studio, page)
    newest = [night.run.id for night in reversed(nights)]
    assert [run.id for run in view.sheet.runs] == newest[:5]
    roles = view.plot.roles()
    assert roles[0] is LineRole.PLAN
    assert set(roles[1:]) == set(NIGHTS[:5])
    expected = overlay(
        [NightOfRun("", night.plan, book.readings(night.run.id)) for night in nights[:0:-1]]
    )
    for shown, core in zip(view.sheet.overlay.nights, expected.nights, strict=True):
        np.testing.assert_array_equal(shown.elapsed, core.elapsed)
    boxes = view.picks.boxes()
    boxes[0].setChecked(False)
    rest(qtbot, studio)
    assert [run.id for run in view.sheet.runs] == newest[1:5]


def test_no_more_nights_are_ticked_than_can_be_told_apart(qtbot):
    picks = NightPicks()
    qtbot.addWidget(picks)
    now = datetime.now(UTC)
    runs = [
        RunRecord(n, n, n, "Floats", "Big lehr", now - timedelta(days=n), now, "", 9)
        for n in range(1, 10)
    ]
    picks.show_runs(runs, 3, UTC, now)
    assert [run.id for run in picks.ticked] == [3, 4, 5, 6, 7]
    assert picks.told.isHidden()
    picks.boxes()[0].click()
    assert [run.id for run in picks.ticked] == [1, 3, 4, 5, 6, 7]
    assert len(picks.ticked) == len(NIGHTS)
    assert not picks.boxes()[1].isEnabled()
    assert not picks.told.isHidden()
    # Taking one out makes room again.
    picks.boxes()[2].click()
    assert picks.boxes()[1].isEnabled()
    assert [picks.role_of(run) for run in picks.ticked] == list(NIGHTS[:5])


def test_nights_are_listed_by_piece_too_and_a_night_opens(qtbot, studio, nights, page):
    view = open_overlay(qtbot, studio, page)
    words = [view.sets.itemText(n) for n in range(view.sets.count())]
    assert words == ["Nights in “Big lehr”", "Nights with “Fishing float”", "All nights"]
    view.table.selectRow(2)
    qtbot.mouseClick(view.open, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert page.views.currentWidget() is page.run_view
    assert page.run_view.sheet.run.id == nights[-3].run.id


def test_time_counts_from_the_soak_or_by_the_hour(qtbot, studio, nights, page):
    view = open_overlay(qtbot, studio, page)
    view.plot.set_cursor(3600.0)
    assert "+1:00 h" in view.plot.read_out.text()
    view.align.set_value(Align.CLOCK)
    rest(qtbot, studio)
    view.plot.set_cursor(0.0)
    begun = nights[-1].plan.start.astimezone(studio.zone)
    assert f"{begun:%H:%M}" in view.plot.read_out.text()


def test_a_change_elsewhere_leaves_the_nights_in_sight(qtbot, studio, nights, page):
    page.open_run(nights[2].run.id)
    rest(qtbot, studio)
    qtbot.mouseClick(page.run_view.against.overlay, Qt.MouseButton.LeftButton)
    rest(qtbot, studio)
    assert page.side.overlay.sheet.runs[0].id == nights[4].run.id  # five, the run among them
    studio.tell_changed("run")
    rest(qtbot, studio)
    assert page.views.currentWidget() is page.side.overlay
    qtbot.mouseClick(page.side.overlay.back, Qt.MouseButton.LeftButton)
    assert page.views.currentWidget() is page.run_view


def test_of_five_runs_of_a_hundred_thousand_points_only_what_is_seen_is_drawn(
    qtbot, studio, nights, page
):
    view = open_overlay(qtbot, studio, page)
    generator = np.random.default_rng(3)
    for line in view.plot._night[1:]:
        time_s = np.linspace(line.time[0], line.time[-1], 100_000)
        noisy = np.interp(time_s, line.time, line.temperature) + generator.normal(0, 0.7, 100_000)
        for name, values in (("time", time_s), ("temperature", noisy)):
            object.__setattr__(line, name, values)
    view.plot._redraw()
    QApplication.processEvents()
    drawn = [item.getOriginalDataset()[0].size for item in view.plot._drawn.items[1:]]
    assert max(drawn) <= 5 * view.plot.upper.width() + 2
    low, high = view.plot.upper.view.viewRange()[0]
    view.plot.show_moment(0.5 * (low + high))
    whole = view.plot._night[1].time
    left, right = view.plot.upper.view.viewRange()[0]
    seen = view.plot._drawn.items[1].getOriginalDataset()[0]
    assert np.ptp(seen) == pytest.approx(right - left, rel=0.02)
    assert seen.size < whole.size / 10
