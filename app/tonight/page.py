"""Tonight: the load on the left, its curve with the verdict on the right, the running night."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QTimer
from PySide6.QtGui import QHideEvent, QShowEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from app.studio import Studio
from app.tonight.beginning import Beginning
from app.tonight.load_desk import LoadDesk
from app.tonight.load_keeper import LoadKeeper
from app.tonight.load_panel import LoadPanel
from app.tonight.planner_desk import PlannerDesk
from app.tonight.repair_desk import RepairDesk, kept_words
from app.tonight.run_desk import RunDesk
from app.tonight.run_night import RunNight
from app.tonight.run_panel import RunPanel
from app.tonight.starting import Starting
from app.tonight.work_area import WorkArea
from app.widgets.banner import Banner, Weight
from app.widgets.caution import CautionStrip
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan
from core.store.book import RunRecord

CAUTION = (
    "Advice only, never control. The polariscope decides; glass stays hot long after it looks "
    "cold. Local codes, licensed trades (gas, electricity) and the supplier's safety sheet come "
    "first."
)

_SAFEST_KEY = "plan/safest"
_BETWEEN = 20
"""Milliseconds between drawing a curve and showing what belongs to it."""


class TonightPage(QWidget):
    """Tonight's load, its curve, and the night while it runs."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._load: Load | None = None
        self._planned: tuple[Load, Plan] | None = None
        self._problem: LehrkeeperError | None = None
        self._current = False
        self._touched = False
        self._edited_since = False
        self._run_id: int | None = None
        self.keeper = LoadKeeper(studio, self)
        self.load_panel = LoadPanel(studio)
        self.planner = PlannerDesk(studio, self.load_panel.load, self)
        self.desk = RunDesk(studio, self.keeper, self)
        self.run_panel = RunPanel(studio)
        self.work = WorkArea(studio, self.load_panel, self.run_panel)
        self.starting = Starting(studio, self.desk, self.work.question, self)
        self.banner = Banner()
        self.loads = LoadDesk(studio, self.keeper, self.banner, lambda: self._load, self)
        self._lay_out()
        self.repairs = RepairDesk(studio, self.pages, self)
        self._connect()
        self._open()

    # -- laying out -------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.beginning = Beginning()
        self.pages = QStackedWidget()
        self.pages.addWidget(self.work)
        self.pages.addWidget(self.beginning)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 12, 20, 12)
        column.setSpacing(8)
        column.addWidget(self.banner)
        column.addWidget(self.pages, 1)
        column.addWidget(CautionStrip(CAUTION))

    def _connect(self) -> None:
        studio, load, work = self._studio, self.load_panel, self.work
        load.hours.aim.set_value(studio.settings.flag(_SAFEST_KEY, default=False))
        self.planner.safest = bool(load.hours.aim.value)
        load.hours.aim.chosen.connect(self._on_aim)
        load.edited.connect(self.planner.plan_soon)
        load.pots_read.connect(self.planner.plan_now)
        load.pieces.open_action.triggered.connect(self.loads.open_file)
        load.pieces.save_action.triggered.connect(self.loads.save_file)
        work.no_pieces.acted.connect(self._add_piece)
        self.loads.opened.connect(self._on_opened)
        self.loads.moved.connect(self._show_load)
        self.beginning.page_wanted.connect(studio.page_wanted)
        self.beginning.file_wanted.connect(self.loads.open_file)
        self.planner.working.connect(self._on_working)
        self.planner.load_taken.connect(self._on_load)
        self.planner.load_refused.connect(self._on_refused)
        self.planner.planned.connect(self._on_planned)
        self.planner.plan_failed.connect(self._on_plan_failed)
        self.planner.searching.connect(self.work.show_search)
        self.planner.search_ended.connect(self.work.hide_search)
        self.keeper.failed.connect(self.banner.tell_error)
        work.card_button.clicked.connect(self._show_card)
        work.start_button.clicked.connect(self._start)
        work.finish_button.clicked.connect(self._finish)
        self.starting.begun.connect(self._begin)
        self.starting.refused.connect(self.banner.tell_error)
        self.run_panel.recorded.connect(self.desk.written)
        self.run_panel.failed.connect(self.banner.tell_error)
        self.run_panel.reading_unwanted.connect(self._remove_reading)
        self.run_panel.finish_wanted.connect(self._finish)
        self.run_panel.mistake_told.connect(self._forget_run)
        self.run_panel.repair_wanted.connect(self._repair)
        self.repairs.kept.connect(self._on_repaired)
        self.repairs.failed.connect(self.banner.tell_error)
        self.desk.changed.connect(self._on_runs)
        self.desk.started.connect(self._on_started)
        self.desk.finished.connect(self._on_finished)
        self.desk.failed.connect(self._on_run_failed)
        work.tabs.currentChanged.connect(self._on_tab)
        minute = QTimer(self)
        minute.setInterval(60_000)
        minute.timeout.connect(self._on_minute)
        minute.start()
        studio.changed.connect(self._on_changed)
        studio.units_changed.connect(self._on_units)

    # -- the load ---------------------------------------------------------------------------

    def _open(self) -> None:
        """Find everything as it was left."""
        latest = self._studio.book.latest_load()
        if latest is not None:
            self.keeper.take(latest.id)
            self._load = latest.load
        self._offer()
        if self._load is not None:
            self.load_panel.show_load(self._load)
        self.desk.read()
        if self.desk.nights:
            self._choose_run(next(iter(self.desk.nights)))
        elif self._load is not None:
            self.loads.tell_if_past(self._load)
        self.planner.plan_now()

    def _on_opened(self, load: Load) -> None:
        self._run_id = None
        self._show_tabs()
        self._show_load(load)

    def _show_load(self, load: Load) -> None:
        """Take another load into the panel and work with it."""
        self._load = load
        self._offer()
        self.load_panel.show_load(load)
        self.planner.plan_now()

    def _offer(self) -> None:
        """Offer the book's glasses and lehrs, and those only the load has."""
        glasses, lehrs = self.loads.choices(self._load)
        self.load_panel.set_choices(glasses, list(lehrs.values()))
        if self._load is None and self._studio.settings.last_lehr:
            self.load_panel.hours.choose(self._studio.settings.last_lehr)
        self.beginning.show_needs(glass=not glasses, lehr=not lehrs)
        self.pages.setCurrentIndex(0 if glasses and lehrs else 1)

    def _add_piece(self) -> None:
        self.load_panel.folds.open("pieces")
        self.load_panel.pieces.add()

    def _on_aim(self, safest: object) -> None:
        self.planner.safest = bool(safest)
        self._studio.settings.set_flag(_SAFEST_KEY, value=bool(safest))

    def _on_working(self) -> None:
        self.work.hide_search()
        self._current, self._touched, self._edited_since = False, True, True
        self.work.question.hide()
        self._show_mode()
        if self._run_id is None:
            self.work.verdict.show_stale("Out of date: the curve is being worked out again.")

    def _on_load(self, load: Load) -> None:
        # Looking at a load is no reason to write it again.
        changed = self._touched and load != self._load
        self._load = load
        if changed:
            self.keeper.keep(load)
            self._studio.settings.last_lehr = load.lehr.name

    def _on_refused(self, error: LehrkeeperError) -> None:
        self._current, self._problem = False, error
        if error.field == "pieces":
            self._planned = None
        self._show_mode()
        if self._run_id is None and self._planned is not None:
            self.work.verdict.show_stale(f"Out of date: {error}")

    def _on_planned(self, load: Load, plan: Plan) -> None:
        self._planned, self._problem, self._edited_since = (load, plan), None, False
        if self._run_id is None:
            self.work.show_curve(plan)
        # The rest in a turn of its own: the window answers in between.
        QTimer.singleShot(_BETWEEN, self, lambda: self._show_planned(plan))

    def _show_planned(self, plan: Plan) -> None:
        if self._planned is not None and self._planned[1] is plan and not self._edited_since:
            self._current = True
            self._show_mode()

    def _on_plan_failed(self, error: LehrkeeperError) -> None:
        self._planned = None
        self._current, self._problem = False, error
        self._show_mode()

    # -- what is shown ----------------------------------------------------------------------

    @property
    def plan(self) -> Plan | None:
        """The plan shown: of the load being put together, or of the run chosen."""
        night = self._night()
        if night is not None:
            return night.plan
        return self._planned[1] if self._planned is not None else None

    def _night(self) -> RunNight | None:
        return None if self._run_id is None else self.desk.nights.get(self._run_id)

    def _show_mode(self) -> None:
        """Show the load's plan or the run's night, whichever is chosen."""
        night = self._night()
        self.work.show_side(running=night is not None, current=self._current)
        if night is not None:
            self.work.show_night(night)
        elif self._current and self._planned is not None:
            self.work.show_plan(*self._planned)
        elif self._planned is None and self._problem is not None:
            self.work.show_nothing(self._problem)

    def _show_card(self) -> None:
        from app.card.lehr_card import show_card  # noqa: PLC0415 -- printing loads when wanted

        night = self._night()
        if night is not None:
            show_card(self, night.plan, night.load, night.readings, self._studio)
        elif self._planned is not None:
            load, plan = self._planned
            show_card(self, plan, load, None, self._studio)

    # -- starting and finishing -------------------------------------------------------------

    def _start(self) -> None:
        if self._planned is not None:
            self.starting.start(self._planned[0])

    def _begin(self, load: Load, started_at: datetime) -> None:
        self.work.start_button.setEnabled(False)
        self._load = load
        shown = self._planned[1] if self._planned is not None and self._planned[0] == load else None
        self.desk.start(load, shown, started_at)

    def _on_started(self, night: RunNight) -> None:
        self.banner.clear()
        self.load_panel.show_load(night.load)
        self.planner.plan_now()
        self._choose_run(night.run_id)
        self.run_panel.entry.temperature.setFocus()

    def _finish(self) -> None:
        if self._run_id is not None:
            self.desk.finish(self._run_id)

    def _on_finished(self, lehr: str) -> None:
        self.banner.tell(
            Weight.GOOD,
            f"The run in “{lehr}” is finished; it is in the log book from now on.",
            action="Move the load to tonight",
            act=self.loads.move_to_tonight,
        )

    def _repair(self) -> None:
        if self._run_id is not None:
            self.repairs.begin(self._run_id)

    def _on_repaired(self, run: RunRecord | None) -> None:
        self.banner.tell(Weight.GOOD, kept_words(run))
        if run is not None:
            self.desk.read()
            self._choose_run(run.id)
        self._studio.tell_changed("run")

    def _forget_run(self) -> None:
        if self._run_id is not None:
            self.desk.forget(self._run_id)

    def _remove_reading(self, moment: datetime) -> None:
        if self._run_id is not None:
            self.desk.remove(self._run_id, moment)

    def _on_run_failed(self, error: LehrkeeperError) -> None:
        self._show_mode()
        self.banner.tell_error(error)

    # -- runs as tabs -----------------------------------------------------------------------

    def _on_runs(self) -> None:
        if self._run_id is not None and self._run_id not in self.desk.nights:
            self._run_id = None
        self._show_tabs()
        self._show_mode()

    def _show_tabs(self) -> None:
        self.work.show_tabs(self.desk.nights.values(), self._run_id)

    def _choose_run(self, run_id: int) -> None:
        self._run_id = run_id
        self._show_tabs()
        self._show_mode()

    def _on_tab(self, number: int) -> None:
        self._run_id = self.work.tabs.tabData(number)
        self._show_mode()
        if self._run_id is None:
            self.planner.plan_now()

    # -- news -------------------------------------------------------------------------------

    def _on_changed(self, kind: str) -> None:
        if kind in {"glasses", "lehrs"}:
            self._offer()
            self.load_panel.pots.forget()
            self.planner.plan_soon()
        elif kind == "furnace":
            self._offer()
            self.load_panel.pots.forget()
        elif kind in {"run", "plans"}:
            self.desk.refresh()
        elif kind == "load":
            latest = self._studio.book.latest_load()
            if latest is not None and latest.id != self.keeper.load_id:
                self.keeper.take(latest.id)
                self._show_load(latest.load)

    def _on_units(self) -> None:
        self.load_panel.set_units()
        self.run_panel.set_units()
        self.work.view.set_units()
        self.planner.plan_soon()

    def showEvent(self, event: QShowEvent) -> None:
        """Ask about a load that has become last night's while the program stayed open."""
        super().showEvent(event)
        if self._load is not None and self._run_id is None and not self.banner.text:
            self.loads.tell_if_past(self._load)

    def _on_minute(self) -> None:
        """Move the present along the curve, unless somebody is reading it."""
        night = self._night()
        if night is not None and self.isVisible() and not self.work.view.plot.underMouse():
            self.work.view.show_night(night)

    def hideEvent(self, event: QHideEvent) -> None:
        """Leave nothing unsaved when the page or the window goes."""
        self.keeper.flush()
        super().hideEvent(event)
