"""The watch over a running night: its source, what comes, alarms, and when it is hand-warm."""

from __future__ import annotations

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.local_time import weekday_clock
from app.studio import Studio
from app.theme import set_role
from app.tonight.run_night import RunNight
from app.watch.limits_dialog import LimitsDialog
from app.watch.source_dialog import SourceDialog
from app.watch.watched_run import WatchedRun, kept_alarms
from app.watch.words import NOT_RECORDED, alarm_state, last_reading, standing, warm_words
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.live.watch_types import Alarm
from core.live.watch_words import alarm_words
from core.run.live_source import EquipmentKind, LiveSource
from core.verdict.warm_hand import HandWarm, hand_warm_at

_WARM_EVERY = 60_000
_WARM = "hand-warm"


class WatchPanel(QScrollArea):
    """Shows and steers the recording of one run."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._night: RunNight | None = None
        self._sources: dict[str, LiveSource] = {}
        self._past: tuple[Alarm, ...] = ()
        self.sources = ChoiceBox()
        self.sources.setAccessibleName("Source of the readings")
        self.new = QPushButton("&New source…")
        self.change = QPushButton("&Change…")
        self.begin = QPushButton("&Begin recording")
        self.end = QPushButton("&End recording")
        self.limits = QPushButton("&Limits…")
        self.last = Label(role="figure")
        self.state = Label(role="muted", wrap=True)
        self.news = Label(role="small", wrap=True)
        self.warm = Label(role="small", wrap=True)
        self.table = DataTable(self._columns(), name="Alarms")
        self.none = Label("No alarm so far.", role="muted")
        self.words = Label(role="note", wrap=True)
        self.hear = QPushButton("I have &heard it")
        set_role(self.hear, "primary")
        self._lay_out()
        self._connect()
        self._clock = QTimer(self)
        self._clock.setInterval(_WARM_EVERY)
        self._clock.timeout.connect(self._reckon_warm)
        self._clock.start()

    def _lay_out(self) -> None:
        inside = QWidget()
        inside.setObjectName("page")
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.sources, 1)
        for button in (self.new, self.change, self.begin, self.end, self.limits):
            row.addWidget(button)
        told = QHBoxLayout()
        told.setSpacing(14)
        told.addWidget(self.last)
        beside = QVBoxLayout()
        beside.setSpacing(2)
        for label in (self.state, self.news, self.warm):
            beside.addWidget(label)
        told.addLayout(beside, 1)
        told.addWidget(self.hear)
        column = QVBoxLayout(inside)
        column.setContentsMargins(4, 10, 4, 4)
        column.setSpacing(8)
        column.addLayout(row)
        column.addLayout(told)
        column.addWidget(self.none)
        column.addWidget(self.table, 1)
        column.addWidget(self.words)
        self.table.setMinimumHeight(92)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)

    def _connect(self) -> None:
        desk = self._studio.watch
        desk.changed.connect(self._on_changed)
        self.new.clicked.connect(lambda: self._set_up(None))
        self.change.clicked.connect(
            lambda: self._set_up(self._sources.get(str(self.sources.value)))
        )
        self.begin.clicked.connect(self._begin)
        self.end.clicked.connect(self._end)
        self.limits.clicked.connect(self._ask_limits)
        self.hear.clicked.connect(self._hear)
        self.table.row_selected.connect(lambda _: self._show_words())
        self._studio.units_changed.connect(lambda _: self.table.set_columns(self._columns()))

    def _columns(self) -> list[Column]:
        zone = self._studio.zone
        return [
            Column("Since", lambda row: weekday_clock(row.raised, zone)),
            Column("Alarm", lambda row: row.kind.value),
            Column("State", self._state_of),
            Column(
                "What is wrong",
                lambda row: row.note or alarm_words(row, self._studio.units).sentence,
                stretch=True,
            ),
        ]

    def _state_of(self, alarm: Alarm) -> str:
        run = self._run
        watched = run is not None and run.recording and alarm not in self._past
        return alarm_state(alarm, self._studio.now(), self._studio.zone, watched=watched)

    # -- what is shown ----------------------------------------------------------------------

    def show_night(self, night: RunNight) -> None:
        """Show a run; cheap when it is the one shown already."""
        fresh = self._night is None or self._night.run_id != night.run_id
        self._night = night
        if fresh:
            self.warm.setText("")
            self._studio.jobs.cancel(_WARM)
            self._fill_sources()
            self._read_past()
            self._reckon_warm()
        self._show_state()

    @property
    def _run(self) -> WatchedRun | None:
        return None if self._night is None else self._studio.watch.run(self._night.run_id)

    def _fill_sources(self) -> None:
        if self._night is None:
            return
        try:
            records = self._studio.book.live_sources()
        except LehrkeeperError as error:
            self.state.setText(str(error))
            return
        lehr = self._night.record.lehr_name
        self._sources = {
            record.source.name: record.source
            for record in records
            if record.source.equipment == lehr
            and record.source.equipment_kind is EquipmentKind.LEHR
        }
        self.sources.set_choices([(name, name) for name in self._sources])

    def _read_past(self) -> None:
        """Read the alarms of earlier recordings of the run; those of this one are at hand."""
        run, night = self._run, self._night
        if night is None:
            return
        try:
            past = kept_alarms(self._studio.book, night.run_id)
        except LehrkeeperError as error:
            self.state.setText(str(error))
            return
        mine = set() if run is None else {(a.kind, a.raised) for a in run.watch.alarms}
        self._past = tuple(a for a in past if (a.kind, a.raised) not in mine)

    def _show_state(self) -> None:
        run = self._run
        recording = run is not None and run.recording
        ending = run is not None and run.ending
        known = bool(self._sources)
        for button in (self.new, self.change, self.begin):
            button.setEnabled(not ending)
        self.sources.setVisible(known)
        self.sources.setEnabled(not recording)
        self.new.setVisible(not recording)
        self.change.setVisible(known and not recording)
        self.begin.setVisible(known and not recording)
        self.end.setVisible(recording)
        alarms: tuple[Alarm, ...] = ()
        if run is None:
            self.last.hide()
            self.state.setText(NOT_RECORDED)
            self.news.setText("")
        else:
            alarms = run.watch.alarms
            self.last.setText(last_reading(run, self._studio.units))
            self.last.show()
            self.state.setText(standing(run, self._studio.now(), self._studio.zone))
            self.news.setText(local_sentence(str(run.events[-1])) if run.events else "")
        self.news.setVisible(bool(self.news.text()))
        self.warm.setVisible(bool(self.warm.text()))
        sounding = recording and any(a.active and a.heard is None for a in alarms)
        alarms = tuple(reversed(self._past + alarms))
        chosen = self.table.selected_row()
        self._set_rows(alarms)
        if isinstance(chosen, Alarm):
            same = next((a for a in alarms if a.raised == chosen.raised), None)
            if same is not None:
                self.table.select(same)
        self.table.setVisible(bool(alarms))
        self.none.setVisible(run is not None and not alarms)
        self.hear.setVisible(sounding)
        self._show_words()

    def _set_rows(self, alarms: tuple[Alarm, ...]) -> None:
        """Show the alarms; whoever scrolls through them is left where they are."""
        bar = self.table.verticalScrollBar()
        place = bar.value()
        self.table.set_rows(alarms)
        bar.setValue(place)

    def _show_words(self) -> None:
        run = self._run
        chosen = self.table.selected_row()
        if not isinstance(chosen, Alarm):
            chosen = None if run is None else next(iter(run.watch.active), None)
        told = "" if chosen is None else str(alarm_words(chosen, self._studio.units))
        if isinstance(chosen, Alarm) and chosen in self._past:
            told = chosen.note
        self.words.setText(local_sentence(told))
        self.words.setVisible(chosen is not None)

    def _on_changed(self, run_id: int) -> None:
        if self._night is not None and run_id == self._night.run_id:
            self._show_state()

    def _reckon_warm(self) -> None:
        night = self._night
        if night is None or not self.isVisible() or len(night.readings) < 2:
            return
        self._studio.jobs.submit(
            hand_warm_at,
            night.load,
            night.plan,
            night.readings,
            self._studio.now(),
            on_done=self._show_warm,
            on_failed=lambda error: self._tell_warm(str(error)),
            kind=_WARM,
            owner=self,
        )

    def _show_warm(self, warm: HandWarm) -> None:
        self._tell_warm(warm_words(warm, self._studio.now(), self._studio.zone))

    def _tell_warm(self, words: str) -> None:
        self.warm.setText(local_sentence(words))
        self.warm.show()

    # -- what a person does -----------------------------------------------------------------

    def _set_up(self, source: LiveSource | None) -> None:
        if self._night is None:
            return
        dialog = SourceDialog(self._studio, self._night.record.lehr_name, source, self)
        dialog.exec()
        self._fill_sources()
        if dialog.source is not None:
            self.sources.set_value(dialog.source.name)
        self._show_state()

    def _begin(self) -> None:
        night, source = self._night, self._sources.get(str(self.sources.value))
        if night is not None and source is not None:
            self._studio.watch.begin(night.record, night.plan, night.load, night.readings, source)
            self._read_past()
            self._show_state()

    def _end(self) -> None:
        if self._night is not None:
            self._studio.watch.stop(self._night.run_id)

    def _hear(self) -> None:
        if self._night is not None:
            self._studio.watch.hear(self._night.run_id)

    def _ask_limits(self) -> None:
        LimitsDialog(self._studio, self).exec()
