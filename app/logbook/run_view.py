"""A chosen run: plan and actual, readings, notes, and the comparison."""

from __future__ import annotations

from importlib import import_module

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QTabWidget,
    QVBoxLayout,
    QWidget,
)

from app.logbook.against_plan import AgainstPlan
from app.logbook.finish_strip import FinishStrip
from app.logbook.reading_list import ReadingList
from app.logbook.run_night import show_run
from app.logbook.run_sheet import RunSheet
from app.logbook.run_words import plan_facts, run_facts
from app.logbook.story_panel import StoryPanel
from app.logbook.verdict_panel import VerdictPanel
from app.plots.night_plot import NightPlot
from app.stress.stress_view import StressView
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.label import Label, tip_text
from app.widgets.reading_entry import ReadingEntry
from core.store.book import Hit, HitKind, NoteRecord, OutcomeRecord, RunEventRecord

_RECORDS = {
    HitKind.EVENT: RunEventRecord,
    HitKind.OUTCOME: OutcomeRecord,
    HitKind.NOTE: NoteRecord,
}
_LOW, _NARROW = 480, 680
"""Height and width [pixels] below which the page leaves things out."""


class _Title(Label):
    """The name of the load, cut with dots where there is no room."""

    def minimumSizeHint(self) -> QSize:
        return QSize(80, super().minimumSizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        shown = self.fontMetrics().elidedText(
            self.text(), Qt.TextElideMode.ElideRight, self.width()
        )
        painter = QPainter(self)
        self.style().drawItemText(
            painter,
            self.rect(),
            int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft),
            self.palette(),
            self.isEnabled(),
            shown,
            self.foregroundRole(),
        )


class RunView(QWidget):
    """The record of one run.

    Signals
    -------
    back_wanted()
        To the list of runs.
    import_wanted()
        A logger's file is to be chosen for this run.
    align_wanted(Align)
        Lay it on its plan otherwise.
    overlay_wanted(int)
        This run and those before it are to be laid over each other.
    report_wanted()
        Its report is to be shown.
    """

    back_wanted = Signal()
    import_wanted = Signal()
    align_wanted = Signal(object)
    overlay_wanted = Signal(int)
    report_wanted = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.sheet: RunSheet | None = None
        self.back = QPushButton(" A&ll runs")
        set_role(self.back, "quiet")
        self.title = _Title()
        set_role(self.title, "heading")
        self.facts = Label(role="muted")
        self.promise = Label()
        for label in (self.facts, self.promise):
            label.setTextFormat(Qt.TextFormat.PlainText)
            label.setWordWrap(True)
        set_role(self.promise, "muted")
        self.load_file = QPushButton(" &Import a file…")
        self.load_file.setToolTip(
            "A logger's CSV or text file; it can also be dropped anywhere on this page"
        )
        self.card = QPushButton(" Lehr &card…")
        self.card.setToolTip("The plan and the readings on one sheet, to print")
        self.report = QPushButton(" Re&port…")
        self.report.setToolTip("Curves, segments, verdict, events and notes on paper or as PDF")
        shrinking = (self.back, self.load_file, self.card, self.report)
        self._words = {button: button.text() for button in shrinking}
        for button, words in self._words.items():
            button.setAccessibleName(words.replace("&", "").strip())
        self.back.setToolTip("All runs")
        self.finish = QPushButton("Fini&sh…")
        self.plot = NightPlot(
            units=studio.units, zone=studio.zone, name="Plan and actual by clock time"
        )
        # Curves first: on a small screen they may be low, but never hidden.
        self.plot.upper.setMinimumHeight(150)
        self.plot.lower.setMinimumHeight(116)
        self.stress = StressView(studio, self.plot, upright=True)
        self.against = AgainstPlan(studio)
        self.verdict = VerdictPanel(studio)
        self.readings = ReadingList(studio)
        self.story = StoryPanel(studio)
        self.entry = ReadingEntry(studio)
        self.finishing = FinishStrip(studio)
        self._lay_out()
        self._connect()
        self._built = True
        self._tint()

    def _connect(self) -> None:
        self.back.clicked.connect(self.back_wanted)
        self.load_file.clicked.connect(self.import_wanted)
        self.card.clicked.connect(self._show_card)
        self.report.clicked.connect(self.report_wanted)
        self.finish.clicked.connect(self._ask_end)
        self.finishing.left.connect(self._ask_no_more)
        self.finishing.finished.connect(self._ask_no_more)
        self.against.align_wanted.connect(self.align_wanted)
        self.against.overlay_wanted.connect(self._want_overlay)
        self.against.strip_wanted.connect(lambda _: self._draw(keep_view=True))
        self.story.moment_wanted.connect(self._show_moment)
        self.verdict.moment_wanted.connect(self._show_moment)
        self.tabs.currentChanged.connect(lambda _: self._make_room())
        self._studio.units_changed.connect(self._on_units)

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.back)
        top.addWidget(self.title, 1)
        for button in (self.load_file, self.card, self.report, self.finish):
            top.addWidget(button)
        self.tabs = QTabWidget()
        self.tabs.setDocumentMode(True)
        self.tabs.addTab(self.against, "Plan")
        self.tabs.addTab(self.verdict, "Verdict")
        self.tabs.addTab(self.stress, "Stress")
        self.tabs.addTab(self.readings, "Readings")
        self.tabs.addTab(self.story, "Events")
        self.tabs.setMinimumWidth(330)
        split = QSplitter(Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.setHandleWidth(14)
        split.addWidget(self.plot)
        split.addWidget(self.tabs)
        split.setStretchFactor(0, 3)
        split.setStretchFactor(1, 2)
        split.setSizes([570, 430])
        self.strips = QStackedWidget()
        self.strips.addWidget(self.entry)
        self.strips.addWidget(self.finishing)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 12, 20, 14)
        column.setSpacing(6)
        column.addLayout(top)
        column.addWidget(self.facts)
        column.addWidget(self.promise)
        column.addWidget(split, 1)
        column.addWidget(self.strips)

    def show_sheet(self, sheet: RunSheet, *, keep_view: bool = False) -> None:
        """Show a run, fetched anew."""
        same = self.sheet is not None and self.sheet.run.id == sheet.run.id
        self.sheet = sheet
        studio = self._studio
        now, zone = studio.now(), studio.zone
        self.title.setText(sheet.run.load_name)
        self.title.setToolTip(tip_text(sheet.run.load_name))
        self.facts.setText(run_facts(sheet.run, zone, now))
        self.promise.setText(plan_facts(sheet.plan, zone))
        self.finish.setText("Change &end…" if sheet.run.finished else "Fini&sh…")
        self._draw(keep_view=same and keep_view)
        self._make_room()
        self.against.show_sheet(sheet)
        self.verdict.show_sheet(sheet)
        self.stress.show_log(sheet.load, sheet.plan, sheet.readings)
        self.readings.show_sheet(sheet)
        self.story.show_sheet(sheet)
        self.entry.show_run(sheet.run)
        told = len(self.story.list.lines)
        self.tabs.setTabText(
            self.tabs.indexOf(self.story), f"Events ({told})" if told else "Events"
        )
        if not same:
            self._ask_no_more()

    def _draw(self, *, keep_view: bool) -> None:
        if self.sheet is not None:
            studio = self._studio
            show_run(
                self.plot,
                self.sheet,
                studio.zone,
                studio.now(),
                units=studio.units,
                off_by=self.against.off_by,
                keep_view=keep_view,
            )

    def _show_moment(self, moment: float) -> None:
        """Go to a moment on the curve, if the curve has it."""
        times = [line.time for line in self.plot.night if line.time.size]
        if times and min(t[0] for t in times) <= moment <= max(t[-1] for t in times):
            self.plot.show_moment(moment)

    def go_to(self, hit: Hit) -> None:
        """Show what was searched for: its line in the list, and its moment on the curve."""
        record = _RECORDS.get(hit.kind)
        if record is not None:
            self.tabs.setCurrentWidget(self.story)
            self.story.show_list()
            if self.story.list.select_record((record, hit.id)):
                return
        if hit.kind is not HitKind.RUN:
            self._show_moment(hit.time.timestamp())

    def _ask_end(self) -> None:
        if self.sheet is not None:
            self.strips.setCurrentWidget(self.finishing)
            self._make_room()
            self.finishing.ask(self.sheet.run)

    def _ask_no_more(self) -> None:
        self.strips.setCurrentWidget(self.entry)
        self._make_room()

    def _want_overlay(self) -> None:
        if self.sheet is not None:
            self.overlay_wanted.emit(self.sheet.run.id)

    def _show_card(self) -> None:
        if self.sheet is None:
            return
        # Printing is loaded when it is first asked for.
        show_card = import_module("app.card.lehr_card").show_card
        sheet = self.sheet
        readings = sheet.readings if sheet.lines else None
        show_card(self.window(), sheet.plan, sheet.load, readings, self._studio)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a small window leave out what can be spared, so that the curves stay readable."""
        super().resizeEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        low, narrow = self.height() < _LOW, self.width() < _NARROW
        self.promise.setVisible(not low)
        # On a low window the panel needs the room more than the strip for readings.
        here = self.tabs.currentWidget()
        wanted = here in {self.against, self.readings}
        asking = self.strips.currentWidget() is self.finishing
        self.strips.setVisible(not low or wanted or asking)
        for button, words in self._words.items():
            button.setText("" if narrow else words)
        self.plot.show_deviation(
            not low and self.sheet is not None and self.sheet.comparison is not None
        )
        self.tabs.setMinimumWidth(260 if narrow else 330)
        self.entry.clock.word.setVisible(not narrow)

    def _on_units(self, units: object) -> None:
        self.plot.set_units(units)
        self.stress.set_units(self._studio.units)
        self.verdict.set_units(self._studio.units)
        if self.sheet is not None:
            self.against.show_sheet(self.sheet)
            self.story.show_sheet(self.sheet)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.back.setIcon(themed_icon("logbook", theme, theme.accent))
        self.load_file.setIcon(themed_icon("open", theme))
        self.card.setIcon(themed_icon("print", theme))
        self.report.setIcon(themed_icon("save", theme))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
