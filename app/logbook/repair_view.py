"""Repairing a night in one click: the schedule from here, and a way to keep it."""

from __future__ import annotations

from importlib import import_module

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.jobs import Job
from app.logbook.repair_words import CAUTION, HEADINGS, coldest_words, sound_words
from app.logbook.run_sheet import RunSheet
from app.logbook.verdict_work import JudgedNight, draw_up_repair, keep_repair
from app.plots.curves import CurveLine, LineRole, Marker, MarkerRole
from app.plots.night_plot import NightPlot
from app.plots.plan_curve import actual_line, plan_line, plan_moments, plan_zones, soak_level
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.tonight.segments_panel import SegmentsPanel
from app.widgets.banner import Banner, Weight
from app.widgets.caution import CautionStrip
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity, local_sentence
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.sentence import Sentence
from app.widgets.side_split import side_split
from core.errors import LehrkeeperError
from core.store.book import RunRecord
from core.units import ZERO_CELSIUS
from core.verdict.repair import Repair

_KIND = "logbook repair"
_NARROW = 640
"""Width [pixels] below which there is no room for the curve."""
_LOWEST, _HIGHEST = ZERO_CELSIUS - 20.0, ZERO_CELSIUS + 1300.0


class RepairView(QWidget):
    """Schedule, curve and reason; kept as a load and plan of its own, or started at once.

    Signals
    -------
    left()
        Back to the run.
    kept(RunRecord)
        The repair is in the book; the new run, or ``None`` when only load and plan were kept.
    drawn_up(Repair)
        A repair is shown.
    """

    left = Signal()
    kept = Signal(object)
    drawn_up = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._sheet: RunSheet | None = None
        self._job: Job | None = None
        self.found: Repair | None = None
        self.back = QPushButton(" &Back")
        set_role(self.back, "quiet")
        self.title = Label("Repair the night", role="heading", wrap=True)
        self.banner = Banner(closable=False)
        self.plot = NightPlot(units=studio.units, zone=studio.zone, name="The night and its repair")
        self.plot.upper.setMinimumHeight(140)
        self.kind = Label(role="heading", wrap=True)
        self.why = Label(wrap=True)
        self.coldest = Label(wrap=True)
        self.sound = Sentence(Weight.GOOD)
        self.not_sound = Sentence(Weight.CAUTION)
        self.present = QuantityEdit(
            Quantity.TEMPERATURE,
            units=studio.units,
            minimum=_LOWEST,
            maximum=_HIGHEST,
            optional=True,
        )
        self.present_field = Field(
            "The lehr reads &now", self.present, help_text="Makes the schedule surer"
        )
        self.again = QPushButton("Draw it &up again")
        self.segments = SegmentsPanel(studio.units, studio.zone)
        self.start = QPushButton("Keep it and &start the run")
        set_role(self.start, "primary")
        self.keep = QPushButton("&Keep it only")
        self.card = QPushButton("Lehr &card…")
        self.progress = QProgressBar()
        self.progress.setRange(0, 100)
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName("How far the schedule is")
        self.stop = QPushButton("S&top")
        self._lay_out()
        self.back.clicked.connect(self.leave)
        self.again.clicked.connect(self._work)
        self.present.returnPressed.connect(self._work)
        self.stop.clicked.connect(self._stop)
        self.start.clicked.connect(lambda: self._keep(start=True))
        self.keep.clicked.connect(lambda: self._keep(start=False))
        self.card.clicked.connect(self._show_card)
        studio.units_changed.connect(self._on_units)
        self._built = True
        self._tint()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.back)
        top.addWidget(self.title, 1)
        reads = QHBoxLayout()
        reads.setSpacing(10)
        reads.addWidget(self.present_field, 1)
        reads.addWidget(self.again, 0, Qt.AlignmentFlag.AlignVCenter)
        side = QWidget()
        side.setObjectName("page")
        beside = QVBoxLayout(side)
        beside.setContentsMargins(0, 0, 6, 0)
        beside.setSpacing(8)
        for part in (self.kind, self.why, self.coldest, self.sound, self.not_sound):
            part.setMinimumWidth(60)
            beside.addWidget(part)
        beside.addLayout(reads)
        self.segments.setMinimumHeight(230)
        beside.addWidget(self.segments, 1)
        beside.addWidget(CautionStrip(CAUTION))
        split = side_split(self.plot, side, least=250, shares=(1, 1), sizes=(500, 500))
        foot = QHBoxLayout()
        foot.setSpacing(10)
        for part in (self.start, self.keep, self.card, self.stop):
            foot.addWidget(part)
        foot.addWidget(self.progress, 1)
        foot.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 12, 20, 14)
        column.setSpacing(8)
        column.addLayout(top)
        column.addWidget(self.banner)
        column.addWidget(split, 1)
        column.addLayout(foot)

    # -- drawing it up ----------------------------------------------------------------------

    def begin(self, sheet: RunSheet) -> None:
        """Draw up how the night of a run goes on from now."""
        self._sheet = sheet
        self.title.setText(f"Repair the night: {sheet.run.load_name}")
        self.present.set_value_si(None)
        self._work()

    def _work(self) -> None:
        if self._sheet is None or self.present.error:
            return
        self.found = None
        self.banner.clear()
        self._show(None)
        self.kind.setText("The schedule is being drawn up …")
        self._set_busy(busy=True)
        self._job = self._studio.jobs.submit(
            draw_up_repair,
            JudgedNight.of(self._sheet),
            self._studio.now(),
            self.present.value_si,
            self._studio.units,
            on_done=self._on_found,
            on_failed=self._on_failed,
            on_progress=lambda done: self.progress.setValue(round(100 * done)),
            kind=_KIND,
            owner=self,
        )

    def _on_found(self, found: Repair) -> None:
        self.found = found
        self._set_busy(busy=False)
        self._show(found)
        self.drawn_up.emit(found)

    def _on_failed(self, error: LehrkeeperError) -> None:
        self._set_busy(busy=False)
        self.kind.setText("No schedule could be drawn up")
        self.banner.tell_error(error)

    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._set_busy(busy=False)
        self.kind.setText("Stopped; nothing was drawn up.")

    def leave(self) -> None:
        """Stop what is going on and go back."""
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self.left.emit()

    # -- what is shown ----------------------------------------------------------------------

    def _set_busy(self, *, busy: bool) -> None:
        self.progress.setValue(0)
        for part in (self.progress, self.stop):
            part.setVisible(busy)
        self.again.setEnabled(not busy)
        there = not busy and self.found is not None and self.found.plan is not None
        for part in (self.start, self.keep, self.card):
            part.setVisible(there)

    def _show(self, found: Repair | None) -> None:
        studio, sheet = self._studio, self._sheet
        if sheet is None:
            return
        self.kind.setText("" if found is None else HEADINGS[found.kind])
        self.why.setText("" if found is None else local_sentence(found.why))
        cold = None if found is None else found.coldest
        self.coldest.setText(coldest_words(cold, studio.units, studio.zone))
        self.coldest.setVisible(cold is not None)
        words = "" if found is None else sound_words(found)
        sound = found is not None and found.sound
        for sentence, wanted in ((self.sound, sound), (self.not_sound, not sound)):
            sentence.set_text(words if wanted else "")
            sentence.setVisible(bool(sentence.text))
        plan = None if found is None else found.plan
        self.segments.setVisible(plan is not None)
        if plan is not None:
            self.segments.show_plan(plan, sheet.load.lehr.controller)
        self._draw(sheet, found)

    def _draw(self, sheet: RunSheet, found: Repair | None) -> None:
        zone = self._studio.zone
        lines = [CurveLine("Plan before", *sheet.plan.curve(), LineRole.OTHER)]
        if len(sheet.readings):
            lines.append(actual_line(sheet.readings, sheet.comparison))
        shown = sheet.plan
        markers: list[Marker] = []
        if found is not None and found.plan is not None:
            shown = found.plan
            lines.append(plan_line(shown))
            markers = plan_moments(shown, zone)
            markers.append(Marker(shown.start.timestamp(), "from here", MarkerRole.NOW))
        self.plot.show_night(
            lines, zones=plan_zones(shown), levels=[soak_level(shown)], markers=markers
        )

    def _show_card(self) -> None:
        found = self.found
        if found is not None and found.plan is not None and found.load is not None:
            # Printing is loaded when it is first asked for.
            show_card = import_module("app.card.lehr_card").show_card
            show_card(self.window(), found.plan, found.load, None, self._studio)

    # -- keeping ----------------------------------------------------------------------------

    def _keep(self, *, start: bool) -> None:
        sheet, found = self._sheet, self.found
        if sheet is None or found is None:
            return
        for button in (self.start, self.keep):
            button.setEnabled(False)
        self._studio.jobs.submit(
            keep_repair,
            self._studio.book,
            sheet.run,
            found,
            found.plan.start if start and found.plan is not None else None,
            on_done=self._on_kept,
            on_failed=self._on_not_kept,
            kind="book",
            owner=self,
            supersede=False,
        )

    def _on_kept(self, run: RunRecord | None) -> None:
        self._can_keep()
        self.kept.emit(run)

    def _on_not_kept(self, error: LehrkeeperError) -> None:
        self._can_keep()
        self.banner.tell_error(error)

    def _can_keep(self) -> None:
        for button in (self.start, self.keep):
            button.setEnabled(True)

    def _on_units(self, units: object) -> None:
        self.plot.set_units(units)
        self.present.set_units(self._studio.units)
        self.segments.set_units(self._studio.units)
        if self.found is not None:
            self._show(self.found)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a small window the schedule matters more than its curve."""
        super().resizeEvent(event)
        self.plot.setVisible(self.width() >= _NARROW)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.back.setIcon(themed_icon("logbook", theme, theme.accent))
        self.card.setIcon(themed_icon("print", theme))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
