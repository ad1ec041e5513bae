"""Tonight's melt in the window: planned, ticked off late and light, planned anew, compared."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QAbstractItemModelTester
from pytestqt.qtbot import QtBot

from app.furnace.page import FurnacePage, View
from app.plots.curves import LineRole
from app.studio import Studio
from app.widgets.banner import Weight
from core.furnace.ledger import FurnaceReading, Pot
from core.melt.melt_file import read_melt
from core.melt.melt_task import MeltTask
from core.store.book import Book

FURNACE, POT = "Quay furnace", "Big pot"
TASK = replace(
    read_melt(Path(__file__).parents[2] / "demo_data" / "quay_pot_overnight.toml"), glass_mass=30.0
)
NOW = TASK.start


class Clock:
    """The present of a test, which it may move on."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def clock(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> Clock:
    made = Clock()
    studio.zone = UTC
    monkeypatch.setattr(studio, "now", made)
    return made


@pytest.fixture
def page(book: Book, studio: Studio, clock: Clock, qtbot: QtBot) -> FurnacePage:
    book.save_furnace(FURNACE)
    book.save_pot(Pot(POT, FURNACE, 59.0))
    book.save_furnace_melt(FURNACE, TASK)
    book.add_furnace_reading(FurnaceReading(clock.now - timedelta(hours=1), FURNACE, 1403.15))
    made = FurnacePage(studio)
    qtbot.addWidget(made)
    made.resize(1250, 900)
    made.views.setCurrentIndex(View.MELT)
    made.show()
    settle(made, qtbot)
    return made


def settle(page: FurnacePage, qtbot: QtBot) -> None:
    """Wait until nothing is reckoned any more."""
    qtbot.waitUntil(lambda: not page._studio.jobs.is_busy(), timeout=20_000)


def press_plan(page: FurnacePage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.melt.plan, Qt.MouseButton.LeftButton)
    settle(page, qtbot)


def assert_it_goes_on_when_opened_again(studio: Studio, lines: int, qtbot: QtBot) -> None:
    again = FurnacePage(studio)
    qtbot.addWidget(again)
    settle(again, qtbot)
    assert len(again.melt.list.lines) == lines
    assert again.melt.night is not None


def test_a_plan_becomes_a_list_that_is_ticked_off_and_planned_anew(
    page: FurnacePage, book: Book, studio: Studio, clock: Clock, qtbot: QtBot
) -> None:
    melt = page.melt
    assert not page.entry.isVisible()
    wishes = melt.wishes.material.value, melt.wishes.furnace_temperature.value_si
    assert wishes == ("crushed harbour clear", 1403.15)
    press_plan(page, qtbot)
    assert melt.banner.weight is Weight.GOOD
    assert melt.banner.text.startswith("3 charges bring the pot to 5")
    assert melt.verdict.text().startswith("Workable on Sat ")
    assert "kWh of electricity, EUR" in melt.told.text()
    assert melt.plot.roles() == (
        LineRole.OTHER,
        LineRole.PLAN,
        LineRole.PIECE,
        LineRole.FURNACE,
    )
    assert "workable" in melt.plot.description
    first = melt.list.lines[0]
    (kept,) = book.charge_lists()
    assert [line.planned.pot for line in kept.items] == [POT] * 3

    # What has not happened yet cannot be ticked off.
    melt.list.time.set_moment(clock.now + timedelta(hours=3))
    melt.list.time.edited.emit()
    melt.list.tick_off()
    assert "not come yet" in melt.list.fields["time"].error
    melt.list.show_list(kept, {})

    # Late by half an hour, and lighter than planned.
    clock.now = first.planned.time + timedelta(minutes=30)
    page.melt.look_at_clock()
    assert melt.list.told.text() == "0 of 3 made, 1 late"
    model = melt.list.table.model()
    assert model.index(0, 3).data() == "0:30 late"
    melt.list.table.selectRow(0)
    melt.list.mass.clear()
    qtbot.keyClicks(melt.list.mass, "10")
    qtbot.mouseClick(melt.list.tick, Qt.MouseButton.LeftButton)
    settle(page, qtbot)
    made = book.charges()[0].charge
    assert (made.mass, made.pot, made.time) == (10.0, POT, clock.now)
    assert melt.list.told.text() == "1 of 3 made"
    state = model.index(0, 3).data()
    assert (state[:5], state[-11:]) == ("made ", ", 0:30 late")
    assert "through the walls" in melt.told.toolTip()
    assert melt.night.charges[0].mass == 10.0

    clock.now += timedelta(minutes=20)
    qtbot.mouseClick(melt.list.replan, Qt.MouseButton.LeftButton)
    settle(page, qtbot)
    lines = melt.list.lines
    assert lines[0].done
    assert all(line.planned.time >= clock.now - timedelta(minutes=1) for line in lines[1:])
    assert sum(line.planned.mass for line in lines[1:]) + 10.0 == pytest.approx(25.0, abs=1.5)

    # The tick is taken back, and its charge with it.
    melt.list.table.selectRow(0)
    qtbot.mouseClick(melt.list.back, Qt.MouseButton.LeftButton)
    settle(page, qtbot)
    assert book.charges() == ()
    assert not melt.list.lines[0].done
    QAbstractItemModelTester(model, QAbstractItemModelTester.FailureReportingMode.Fatal)

    assert_it_goes_on_when_opened_again(studio, len(lines), qtbot)


def test_wishes_that_cannot_be_are_told_beside_their_field(
    page: FurnacePage, clock: Clock, qtbot: QtBot
) -> None:
    wishes = page.melt.wishes
    wishes.closed.setText("all night")
    press_plan(page, qtbot)
    assert "not a span of hours" in wishes.form.field("closed").error
    wishes.closed.setText("23:00–06:00")
    wishes.to.set_value_si(500.0)
    press_plan(page, qtbot)
    assert "more than the pot holds" in wishes.form.field("to").error
    wishes.to.set_value_si(None)
    wishes.workable_by.set_moment(clock.now - timedelta(hours=1))
    press_plan(page, qtbot)
    assert "before the furnace starts" in wishes.form.field("workable_by").error


def test_what_else_the_furnace_is_asked(
    page: FurnacePage, book: Book, studio: Studio, qtbot: QtBot
) -> None:
    melt = page.melt
    # A plan can be stopped: nothing of it is left.
    melt.plan.click()
    assert melt.work.progress.isVisible()
    melt.work.stop.click()
    settle(page, qtbot)
    assert melt.plan.isEnabled()
    assert book.charge_lists() == ()
    # Idling against shutting down.
    melt.rest.hours.set_value_si(100 * 3600.0)
    qtbot.mouseClick(melt.rest.compare, Qt.MouseButton.LeftButton)
    settle(page, qtbot)
    assert melt.rest.told.text().startswith("Idling for 100 h takes ")
    assert "Shutting down" in melt.rest.told.text()
    # A furnace too weak tells its ceiling.
    weak: MeltTask = replace(
        TASK, furnace=replace(TASK.furnace, source=replace(TASK.furnace.source, power=2000.0))
    )
    book.save_furnace_melt(FURNACE, weak)
    studio.tell_changed("furnace")
    press_plan(page, qtbot)
    assert melt.banner.weight is Weight.PROBLEM
    assert "at full power it comes to rest at" in melt.banner.text
    # One nobody described leads to its description.
    book.save_furnace_melt(FURNACE, None)
    studio.tell_changed("furnace")
    assert melt.stack.currentWidget() is melt.empty
    with qtbot.waitSignal(studio.page_wanted) as wanted:
        qtbot.mouseClick(melt.empty.button, Qt.MouseButton.LeftButton)
    assert wanted.args == ["equipment"]
