"""The furnace fitted to its log from the window: told, run, judged, taken over."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFileDialog
from pytestqt.qtbot import QtBot

from app.furnace.page import FurnacePage, View
from app.plots.curves import LineRole
from app.studio import Studio
from app.widgets.banner import Weight
from core.furnace.ledger import FurnaceReading, Pot
from core.melt.furnace_fit import scaled_furnace
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import glass_melt
from core.melt.melt_file import read_melt
from core.melt.setting import Setting
from core.run.live_source import EquipmentKind
from core.store.book import Book

FURNACE, POT = "Quay furnace", "Big pot"
TASK = replace(
    read_melt(Path(__file__).parents[2] / "demo_data" / "quay_pot_overnight.toml"), glass_mass=20.0
)
START = datetime(2026, 11, 20, 18, tzinfo=UTC)
HOUR = 3600.0
TRUE_LOSS, TRUE_STORE = 1.3, 0.85


@pytest.fixture(scope="module")
def log() -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """A furnace off its description for 16 hours: hours, kelvin, kilowatts every six minutes."""
    furnace, pot = scaled_furnace(TASK.furnace, TASK.pot, TRUE_LOSS, TRUE_STORE, 1.0)
    run = FurnaceRun(furnace, pot, glass_melt(TASK.glass, TASK.tint), 1373.15, 20.0)
    run.settle_at(1373.15, 0.02)
    run.longest = 300.0
    for kelvin, hours in ((1373.15, 2.0), (1573.15, 5.0), (None, 5.0), (1373.15, 4.0)):
        run.go(Setting(0.0, kelvin, opening=0.02), run.time + hours * HOUR)
    course = run.course()
    time = np.arange(0.0, run.time, 360.0)
    energy = np.interp(time, course.time, course.bought)
    power = np.append(np.diff(energy) / 360.0, 0.0) / 1000.0
    noise = np.random.default_rng(4).normal(0.0, 1.5, len(time))
    return time / HOUR, np.interp(time, course.time, course.chamber) + noise, power


@pytest.fixture
def page(book: Book, studio: Studio, monkeypatch: pytest.MonkeyPatch, qtbot: QtBot) -> FurnacePage:
    studio.zone = UTC
    monkeypatch.setattr(studio, "now", lambda: START + timedelta(days=3))
    book.save_furnace(FURNACE)
    book.save_pot(Pot(POT, FURNACE, 59.0))
    book.save_furnace_melt(FURNACE, TASK)
    made = FurnacePage(studio)
    qtbot.addWidget(made)
    made.resize(1250, 900)
    made.views.setCurrentIndex(View.FIT)
    made.show()
    return made


def press_fit(page: FurnacePage, qtbot: QtBot) -> None:
    qtbot.mouseClick(page.fit.run, Qt.MouseButton.LeftButton)
    qtbot.waitUntil(lambda: not page._studio.jobs.is_busy(), timeout=60_000)


def test_a_log_from_a_file_is_fitted_and_taken_over(
    page: FurnacePage,
    book: Book,
    log: tuple[np.ndarray, ...],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    lines = ["time,temperature_C,power_kW"]
    for hours, kelvin, power in zip(*log, strict=True):
        clock = (START + timedelta(hours=float(hours))).isoformat()
        lines.append(f"{clock},{kelvin - 273.15:.1f},{power:.3f}")
    path = tmp_path / "weekend.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    view = page.fit
    qtbot.mouseClick(view.open, Qt.MouseButton.LeftButton)
    assert "160 readings over 16 h" in view.told.text()
    press_fit(page, qtbot)
    assert "everything is settled" in view.verdict.text()
    # What the log was made with; the intervals hold it nine times in ten.
    loss, store = view.fit.parameters
    assert loss.low < TRUE_LOSS < loss.high
    assert store.value == pytest.approx(TRUE_STORE, rel=0.15)
    assert view.plot.roles() == (LineRole.PLAN, LineRole.FURNACE)
    assert "Log less fit" in view.plot.description or view.plot.lower.isVisible()
    qtbot.mouseClick(view.accept, Qt.MouseButton.LeftButton)
    assert view.banner.weight is Weight.GOOD
    before = TASK.furnace.sections[0].layers[0].material.conductivity[0][1]
    after = book.furnace_melt(FURNACE).furnace.sections[0].layers[0].material.conductivity[0][1]
    assert after / before == pytest.approx(loss.value, rel=1e-6)
    (kept,) = book.fits(FURNACE, EquipmentKind.FURNACE)
    assert kept.fit.parameters[0].name == "loss"
    assert kept.fit.fitted_at == START + timedelta(hours=15.9)
    qtbot.waitUntil(lambda: not page._studio.jobs.is_busy(), timeout=20_000)


def test_readings_with_the_power_told_leave_open_what_they_cannot_tell(
    page: FurnacePage, book: Book, studio: Studio, log: tuple[np.ndarray, ...], qtbot: QtBot
) -> None:
    hours, kelvin, _ = log
    for i in np.flatnonzero((hours > 7.2) & (hours < 12.0))[::2]:
        book.add_furnace_reading(
            FurnaceReading(START + timedelta(hours=float(hours[i])), FURNACE, float(kelvin[i]))
        )
    studio.tell_changed("furnace")
    view = page.fit
    press_fit(page, qtbot)
    assert "Nothing is told of the power" in view.banner.text
    stretches = view.stretches
    assert stretches.start.moment is not None
    stretches.power.set_value_si(0.0)
    qtbot.mouseClick(stretches.add, Qt.MouseButton.LeftButton)
    assert len(stretches.stretches) == 1
    press_fit(page, qtbot)
    assert view.fit is not None
    # A cooling alone: heat lost and heat held go together.
    assert not view.fit.determined
    assert "not everything is settled" in view.verdict.text()
    assert view.remarks.text() != ""
    assert "left open" in {view.table.model().index(row, 2).data() for row in range(2)}


def test_a_broken_log_and_a_standing_furnace_are_refused(
    page: FurnacePage,
    book: Book,
    studio: Studio,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    qtbot: QtBot,
) -> None:
    path = tmp_path / "odd.csv"
    path.write_text("minutes,volts\n1,2\n", encoding="utf-8")
    monkeypatch.setattr(QFileDialog, "getOpenFileName", lambda *_: (str(path), ""))
    qtbot.mouseClick(page.fit.open, Qt.MouseButton.LeftButton)
    assert "odd.csv, line 1" in page.fit.banner.text
    for hour in range(40):
        moment = START + timedelta(hours=hour / 2)
        book.add_furnace_reading(FurnaceReading(moment, FURNACE, 1400.0 + hour % 3))
    studio.tell_changed("furnace")
    page.fit.stretches.power.set_value_si(5.0)
    qtbot.mouseClick(page.fit.stretches.add, Qt.MouseButton.LeftButton)
    press_fit(page, qtbot)
    assert "moves by only" in page.fit.banner.text
