"""Tonight: a safe curve at once, and a better one when the search has found it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta

import pytest
from pytestqt.qtbot import QtBot
from tonight_nights import Clock, fill_studio, type_length, wait_for_plan

from app.studio import Studio
from app.theme import Appearance
from app.tonight import planner_desk, what_if_work
from app.tonight.page import TonightPage
from app.tonight.verdict_panel import Tone
from core.errors import PlanError, StoppedError
from core.load.load import Load
from core.plan.day_hold import day_hold
from core.plan.plan import Plan
from core.plan.planner import make_plan
from core.plan.trade_offs import TradeOffs, Without
from core.store.book import Book
from core.units import UnitChoice


class Search:
    """A search that goes on until the test lets it end."""

    def __init__(self) -> None:
        self.begun = threading.Event()
        self.let_go = threading.Event()
        self.stopped = threading.Event()
        self.asked: list[bool] = []
        self.fails = False

    def __call__(
        self,
        load: Load,
        units: UnitChoice | None = None,
        *,
        safest: bool = False,
        progress: Callable[[float], None],
        cancelled: Callable[[], bool],
    ) -> Plan:
        self.asked.append(safest)
        self.begun.set()
        progress(0.5)
        while not self.let_go.wait(0.01):
            if cancelled():
                self.stopped.set()
                raise StoppedError("given up")
        if self.fails:
            raise PlanError("no better one")
        first = make_plan(load, units)
        return replace(first, ready_at=first.ready_at - timedelta(hours=1))


@pytest.fixture
def search(monkeypatch: pytest.MonkeyPatch) -> Iterator[Search]:
    made = Search()
    monkeypatch.setattr(planner_desk, "best_plan", made)
    yield made
    made.let_go.set()


@pytest.fixture
def page(
    studio: Studio,
    appearance: Appearance,
    book: Book,
    qtbot: QtBot,
    search: Search,
    monkeypatch: pytest.MonkeyPatch,
) -> Iterator[TonightPage]:
    monkeypatch.setattr(studio, "now", Clock())
    fill_studio(book)
    made = TonightPage(studio)
    made.resize(1050, 720)
    qtbot.addWidget(made)
    made.show()
    wait_for_plan(qtbot, made)
    qtbot.waitUntil(search.begun.is_set)
    yield made
    search.let_go.set()
    made.hide()


def test_the_first_curve_can_be_used_while_a_better_one_is_sought(page, qtbot, search):
    first = page.plan
    qtbot.waitUntil(lambda: page.work.search.isVisible() and page.work.search.value() == 50)
    assert page.work.start_button.isEnabled()
    search.let_go.set()
    qtbot.waitUntil(lambda: page.plan != first)
    assert first.ready_at - page.plan.ready_at == timedelta(hours=1)
    qtbot.waitUntil(lambda: not page.work.search.isVisible())


def test_another_edit_gives_the_search_up(page, qtbot, search):
    search.begun.clear()
    type_length(qtbot, page, "wall_thickness", "7")
    qtbot.waitUntil(search.stopped.is_set)
    wait_for_plan(qtbot, page)
    qtbot.waitUntil(search.begun.is_set)
    assert page.plan == make_plan(page.load_panel.load())


def test_a_search_without_a_better_answer_leaves_the_first_curve(page, qtbot, search):
    first = page.plan
    search.fails = True
    search.let_go.set()
    qtbot.waitUntil(lambda: not page.work.search.isVisible())
    assert page.plan == first


def test_the_aim_is_passed_on_and_remembered(page, qtbot, search, studio):
    assert search.asked == [False]
    search.begun.clear()
    page.load_panel.hours.aim.set_value(True)
    qtbot.waitUntil(search.begun.is_set)
    assert search.asked[-1] is True
    other = TonightPage(studio)
    qtbot.addWidget(other)
    assert other.load_panel.hours.aim.value is True
    assert other.planner.safest


def test_a_curve_that_is_not_safe_says_so_first(page):
    plan = make_plan(page.load_panel.load())
    assert plan.replay is not None
    failing = replace(
        plan.replay,
        checks=tuple(replace(c, stress=2.0 * c.allowed) for c in plan.replay.checks),
    )
    page.work.show_plan(
        page.load_panel.load(), replace(plan, replay=failing, warnings=("Not safe: trial.",))
    )
    assert page.work.verdict.tone is Tone.LATE
    assert page.work.verdict.sentence.text() == "Not safe as it stands."
    assert page.work.verdict.reason.text() == "Not safe: trial."


def test_what_would_change_the_night_is_told_to_whoever_looks(page, qtbot, search, monkeypatch):
    asked: list[Load] = []

    def neighbours(load: Load, units: UnitChoice, **_: object) -> TradeOffs:
        asked.append(load)
        return TradeOffs(Without("Fishing float", 7200.0, "Ship's decanter"), None, ())

    monkeypatch.setattr(what_if_work, "trade_offs", neighbours)
    view = page.work.view
    assert asked == []
    view.segments.setCurrentWidget(view.what_if)
    qtbot.waitUntil(lambda: "2:00 earlier" in view.what_if.changes.text())
    assert asked == [page.load_panel.load()]
    assert view.what_if.before.text().splitlines() == list(day_hold(asked[0]).said)
    assert view.what_if.granted.text().splitlines() == list(page.plan.assumptions)
    search.let_go.set()  # the better curve of the same load changes no neighbour
    qtbot.waitUntil(lambda: not page.work.search.isVisible())
    assert len(asked) == 1
