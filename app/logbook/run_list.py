"""The list of runs, the newest first."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QStackedWidget, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.logbook.book_search import HitList, SearchBox
from app.logbook.run_sheet import RunLine
from app.logbook.run_words import count_words, planned_words, state_words
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.plan.words import verdict_sentence
from core.store.book import Hit


class RunList(QWidget):
    """All runs in a table; one is opened with its button, a double click or Return.

    Signals
    -------
    opened(int)
        Number of the run.
    overlay_wanted(int)
        That run and those before it are to be laid over each other.
    hit_opened(Hit)
        Something that was searched for is to be opened.
    learning_wanted()
        What all nights together teach is to be shown.
    """

    opened = Signal(int)
    overlay_wanted = Signal(int)
    hit_opened = Signal(object)
    learning_wanted = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.summary = Label(role="muted")
        self.open_button = QPushButton("&Open the run")
        set_role(self.open_button, "primary")
        self.open_button.setToolTip("Plan and actual, readings and notes (Return)")
        self.overlay_button = QPushButton("Nights o&ver each other")
        self.overlay_button.setToolTip("The selected run and the nights before it in one plot")
        self.table = DataTable(self._columns(), name="Runs, the newest first")
        self.table.horizontalHeader().setMinimumSectionSize(84)
        self.table.horizontalHeader().setMaximumSectionSize(280)
        self.learning_button = QPushButton("What the nights &teach")
        self.learning_button.setToolTip("Cracks against stress, thermocouples, ageing lehrs")
        self.search = SearchBox(studio)
        self.hits = HitList(studio)
        self.pages = QStackedWidget()
        self.pages.addWidget(self.table)
        self.pages.addWidget(self.hits)
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.search, 1)
        top.addWidget(self.open_button)
        below = QHBoxLayout()
        below.setSpacing(10)
        below.addWidget(self.summary, 1)
        below.addWidget(self.learning_button)
        below.addWidget(self.overlay_button)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(12)
        column.addLayout(top)
        column.addLayout(below)
        column.addWidget(self.pages, 1)
        self.search.found.connect(self._on_found)
        self.search.emptied.connect(self._show_all)
        self.hits.opened.connect(self.hit_opened)
        self.learning_button.clicked.connect(self.learning_wanted)
        self.table.row_opened.connect(self._open)
        self.table.row_selected.connect(self._on_selected)
        self.open_button.clicked.connect(lambda: self._open(self.table.selected_row()))
        self.overlay_button.clicked.connect(self._lay_over)
        self.setFocusProxy(self.table)
        self._built = True

    def _on_found(self, words: str, hits: tuple[Hit, ...]) -> None:
        self.hits.show_hits(words, hits)
        self.pages.setCurrentWidget(self.hits)

    def _show_all(self) -> None:
        self.pages.setCurrentWidget(self.table)

    def _columns(self) -> tuple[Column, ...]:
        zone, theme = self._studio.zone, theme_of(self)
        running = themed_icon("start", theme, theme.accent)
        done = themed_icon("good", theme, theme.good)
        late = themed_icon("caution", theme, theme.caution)

        def state_icon(line: RunLine) -> object:
            return None if line.run.finished else running

        def planned_icon(line: RunLine) -> object:
            if line.plan.out_by is None:
                return None
            return done if line.plan.feasible else late

        return (
            Column(
                "Begun",
                lambda line: day_and_clock(line.run.started_at, zone=zone, now=self._studio.now()),
                value=lambda line: line.run.started_at,
            ),
            Column("Load", lambda line: line.run.load_name),
            Column("State", lambda line: state_words(line.run), icon=state_icon),
            Column(
                "Planned ready",
                lambda line: planned_words(line.plan, zone),
                value=lambda line: line.plan.ready_at,
                icon=planned_icon,
                tip=lambda line: verdict_sentence(line.plan, zone),
            ),
            Column(
                "Readings",
                lambda line: str(line.run.reading_count),
                value=lambda line: line.run.reading_count,
                numeric=True,
            ),
            Column("Lehr", lambda line: line.run.lehr_name),
            Column(
                "Set by",
                lambda line: line.plan.governing_piece,
                tip=lambda line: line.plan.governing_reason,
                stretch=True,
                gives_way=1,
            ),
        )

    @property
    def lines(self) -> tuple[RunLine, ...]:
        """The runs shown."""
        return self.table.rows_model.rows

    def show_runs(self, lines: Sequence[RunLine]) -> None:
        """Show these runs, keeping the same one selected (at first the newest)."""
        before = self.table.selected_row()
        self.table.set_rows(lines)
        kept = [line for line in lines if before is not None and line.run.id == before.run.id]
        if lines:
            self.table.select((kept or lines)[0])
        running = [line for line in lines if not line.run.finished]
        words = [count_words(len(lines), "run", "runs")]
        if running:
            words.append(f"{len(running)} running")
        self.summary.setText(", ".join(words))

    def selected_run(self) -> int | None:
        """Number of the selected run."""
        line = self.table.selected_row()
        return None if line is None else line.run.id

    def select_run(self, run_id: int) -> None:
        """Select a run."""
        for line in self.lines:
            if line.run.id == run_id:
                self.table.select(line)

    def _on_selected(self, line: RunLine | None) -> None:
        for button in (self.open_button, self.overlay_button):
            button.setEnabled(line is not None)

    def _lay_over(self) -> None:
        selected = self.selected_run()
        if selected is not None:
            self.overlay_wanted.emit(selected)

    def _open(self, line: RunLine | None) -> None:
        if line is not None:
            self.opened.emit(line.run.id)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            before = self.selected_run()
            self.table.set_columns(self._columns())
            if before is not None:
                self.select_run(before)
