"""The page's working area: verdict and buttons on top, load or run on the left, the curve."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QProgressBar,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTabBar,
    QVBoxLayout,
    QWidget,
)

from app.local_time import day_and_clock
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.tonight.load_panel import LoadPanel
from app.tonight.night_view import NightView
from app.tonight.run_night import RunNight
from app.tonight.run_panel import RunPanel
from app.tonight.start_question import StartQuestion
from app.tonight.verdict_panel import Tone, VerdictPanel
from app.widgets.empty_state import EmptyState
from app.widgets.label import tab_text
from app.widgets.quantity import local_sentence
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan
from core.plan.words import verdict_sentence

_NO_PIECES = (
    "No pieces yet",
    (
        "Add each kind of piece that goes into the lehr tonight. The curve is drawn up from the "
        "one that needs the slowest cooling."
    ),
    "Add a piece",
)
_LEFT, _LEFT_NARROW = 340, 290
_NARROW = 860
"""Widths of the left side, and of the page below which it gets the smaller one."""


class WorkArea(QWidget):
    """Shows a load with its plan, or a running night; decides nothing."""

    _built = False

    def __init__(
        self,
        studio: Studio,
        load_panel: LoadPanel,
        run_panel: RunPanel,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self.load_panel = load_panel
        self.run_panel = run_panel
        self.view = NightView(studio)
        self.verdict = VerdictPanel()
        self.question = StartQuestion()
        self._make_buttons()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        self.search = QProgressBar()
        self.search.setTextVisible(False)
        self.search.setFixedHeight(4)
        self.search.setRange(0, 100)
        self.search.setAccessibleName("Looking for a better curve")
        self._keep_height(self.search)
        column.addWidget(self.verdict)
        column.addWidget(self.search)
        column.addWidget(self.question)
        column.addWidget(self._make_middle(), 1)
        self._built = True
        self._tint()

    @staticmethod
    def _keep_height(bar: QProgressBar) -> None:
        """Nothing below jumps when it comes and goes."""
        policy = bar.sizePolicy()
        policy.setRetainSizeWhenHidden(True)
        bar.setSizePolicy(policy)
        bar.hide()

    def show_search(self, done: float) -> None:
        """Tell that a better curve than the one shown is being sought."""
        self.search.setValue(round(100 * done))
        self.search.show()

    def hide_search(self) -> None:
        """Nothing better is sought any more."""
        self.search.hide()

    def _make_buttons(self) -> None:
        self.card_button = QPushButton("Lehr card…")
        self.card_button.setToolTip("One page to print or keep beside the lehr")
        self.start_button = QPushButton("Start this run")
        set_role(self.start_button, "primary")
        self.finish_button = QPushButton("Finish the run")
        for button in (self.card_button, self.start_button, self.finish_button):
            button.setMinimumHeight(36)
            button.setAccessibleName(button.text())
            button.setText(f" {button.text()}")  # room between icon and words
            self.verdict.add_button(button)

    def _make_middle(self) -> QSplitter:
        self.tabs = QTabBar()
        self.tabs.setDrawBase(False)
        self.tabs.setExpanding(False)
        self.left = QStackedWidget()
        self.left.addWidget(self.load_panel)
        self.left.addWidget(self.run_panel)
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.tabs)
        column.addWidget(self.left, 1)
        self.no_pieces = EmptyState(*_NO_PIECES[:2], action=_NO_PIECES[2])
        self.no_pieces.button.setProperty("role", "")
        self.right = QStackedWidget()
        self.right.addWidget(self.view)
        self.right.addWidget(self.no_pieces)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.addWidget(side)
        self.splitter.addWidget(self.right)
        self.splitter.setStretchFactor(1, 1)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.setHandleWidth(14)
        side.setMinimumWidth(_LEFT_NARROW)
        self._left_given = 0
        return self.splitter

    def resizeEvent(self, event: QResizeEvent) -> None:
        """In a narrow window the curve gets what the load can spare."""
        super().resizeEvent(event)
        left = _LEFT_NARROW if self.width() < _NARROW else _LEFT
        if left != self._left_given:
            self._left_given = left
            self.splitter.setSizes([left, self.width() - left - self.splitter.handleWidth()])

    # -- what is shown ----------------------------------------------------------------------

    def show_tabs(self, nights: Iterable[RunNight], chosen: int | None) -> None:
        """One tab for the load and one for each run going on; none while nothing runs."""
        nights = tuple(nights)
        self.tabs.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        while self.tabs.count():
            self.tabs.removeTab(0)
        self.tabs.addTab("Next load")
        for night in nights:
            number = self.tabs.addTab(tab_text(f"{night.record.lehr_name}, running"))
            self.tabs.setTabData(number, night.run_id)
            if night.run_id == chosen:
                self.tabs.setCurrentIndex(number)
        self.tabs.blockSignals(False)  # noqa: FBT003
        self.tabs.setVisible(bool(nights))

    def show_side(self, *, running: bool, current: bool) -> None:
        """Show the load's side or the run's, with the buttons that go with it.

        ``current``: the load's plan is up to date, so that it can be started and printed.
        """
        self.left.setCurrentWidget(self.run_panel if running else self.load_panel)
        self.start_button.setVisible(not running)
        self.finish_button.setVisible(running)
        self.card_button.setEnabled(running or current)
        self.start_button.setEnabled(current)
        if running:
            self.question.hide()

    def show_curve(self, plan: Plan) -> None:
        """Draw a load's curve, before the rest of its plan is shown."""
        self.right.setCurrentWidget(self.view)
        self.view.show_curve(plan)

    def show_plan(self, load: Load, plan: Plan) -> None:
        """Show a load's plan."""
        self.right.setCurrentWidget(self.view)
        self.view.show_plan(load, plan)
        self._show_verdict(plan, local_sentence(f"Set by {plan.governing_reason}"))

    def show_nothing(self, problem: LehrkeeperError) -> None:
        """Say why there is no plan."""
        if problem.field == "pieces" and not self.load_panel.pieces.pieces:
            self._show_no_pieces()
            return
        self.right.setCurrentWidget(self.view)
        self.view.clear()
        self.verdict.show_verdict(Tone.LATE, "No curve for this load.", str(problem))

    def _show_no_pieces(self) -> None:
        self.right.setCurrentWidget(self.no_pieces)
        if self.load_panel.pieces.rows:
            self.no_pieces.set_words("Now its sizes", "The curve appears here once they are known.")
            reason = "Enter the sizes of the piece on the left."
        else:
            self.no_pieces.set_words(*_NO_PIECES)
            reason = "List the pieces on the left."
        self.verdict.show_verdict(Tone.PLAIN, "What goes into the lehr tonight?", reason)

    def show_night(self, night: RunNight) -> None:
        """Show a running night."""
        self.right.setCurrentWidget(self.view)
        self.view.show_night(night)
        self.run_panel.show_night(night)
        since = day_and_clock(
            night.record.started_at, now=self._studio.now(), zone=self._studio.zone
        )
        count = len(night.readings)
        told = f"{count} reading{'' if count == 1 else 's'}" if count else "no reading yet"
        reason = f"Running in “{night.record.lehr_name}” since {since}, {told}."
        self._show_verdict(night.plan, reason)

    def _show_verdict(self, plan: Plan, reason: str) -> None:
        if plan.replay is not None and not plan.safe:
            self.verdict.show_verdict(
                Tone.LATE, "Not safe as it stands.", local_sentence(plan.warnings[0])
            )
            return
        tone = Tone.PLAIN if plan.out_by is None else Tone.GOOD if plan.feasible else Tone.LATE
        self.verdict.show_verdict(tone, verdict_sentence(plan, self._studio.zone), reason)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.card_button.setIcon(themed_icon("print", theme))
        self.start_button.setIcon(themed_icon("start", theme, theme.accent_ink))
        self.finish_button.setIcon(themed_icon("good", theme))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
