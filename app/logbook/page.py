"""The page “Log book”: the record of runs, their readings, and how they went against the plan."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QFileDialog, QStackedWidget, QVBoxLayout, QWidget

from app.logbook.import_panel import ImportPanel
from app.logbook.import_queue import FileTaken, queue_words
from app.logbook.reading_removal import ReadingRemoval
from app.logbook.report_desk import ReportDesk
from app.logbook.run_list import RunList
from app.logbook.run_sheet import RunLine, RunSheet, fetch_sheet, list_runs
from app.logbook.run_view import RunView
from app.logbook.side_views import SideViews
from app.studio import Studio
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from core.errors import LehrkeeperError
from core.plan.plan import Plan
from core.run.alignment import Align
from core.store.book import Hit, HitKind, RunRecord

LOG_FILTER = "Loggers' files (*.csv *.txt *.tsv *.log *.dat);;All files (*)"
_FOLDER = "logbook/folder"
_ELSEWHERE = {
    HitKind.CHARGE: "furnace",
    HitKind.POT_ENTRY: "furnace",
    HitKind.FURNACE_READING: "furnace",
    HitKind.LOAD: "tonight",
}
"""Pages of what belongs to no run."""


class LogBookPage(QWidget):
    """Runs, one chosen run, and the panel that takes a logger's file into it.

    Signals
    -------
    shown(RunSheet)
        A run was fetched and shown.
    """

    shown = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._plans: dict[int, Plan] = {}
        self._run_id: int | None = None
        self._running_seen: set[int] = set()
        self._whole_wanted = False
        self._opening = False
        self._hit: Hit | None = None
        self._align = Align.CLOCK
        self._waiting_files: tuple[Path, ...] = ()
        self.banner = Banner()
        self.empty = EmptyState(
            "No run yet",
            "Draw up a curve on Tonight and start it. What the lehr then did is kept here, "
            "beside what was planned.",
            action="Go to Tonight",
            icon="logbook",
        )
        self.runs = RunList(studio)
        self.run_view = RunView(studio)
        self.importing = ImportPanel(studio)
        self.views = QStackedWidget()
        self.side = SideViews(studio, self.views)
        self.report = ReportDesk(studio, self.run_view)
        self.removal = ReadingRemoval(studio, self.run_view, self.banner)
        for view in (QWidget(), self.empty, self.runs, self.run_view, self.importing):
            self.views.addWidget(view)
        told = QVBoxLayout()
        told.setContentsMargins(20, 0, 20, 0)
        told.addWidget(self.banner)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(told)
        column.addWidget(self.views, 1)
        self.setAcceptDrops(True)
        self._connect()
        self._fetch_runs()

    def _connect(self) -> None:
        studio, view, panel = self._studio, self.run_view, self.importing
        studio.changed.connect(self._on_changed)
        self.empty.acted.connect(lambda: studio.page_wanted.emit("tonight"))
        self.runs.opened.connect(self.open_run)
        self.runs.overlay_wanted.connect(self.lay_over)
        self.runs.hit_opened.connect(self.open_hit)
        self.runs.search.failed.connect(self.banner.tell_error)
        view.back_wanted.connect(self.show_runs)
        view.import_wanted.connect(self.choose_file)
        view.overlay_wanted.connect(self.lay_over)
        view.report_wanted.connect(self.report.show)
        self.report.working.connect(self._on_working)
        view.verdict.repair_wanted.connect(self.repair_run)
        view.entry.recorded.connect(self._on_written)
        view.finishing.finished.connect(self._on_written)
        view.story.written.connect(self._on_noted)
        view.align_wanted.connect(self._on_align)
        for part in (view.entry, view.story, view.finishing):
            part.failed.connect(self.banner.tell_error)
        self.runs.learning_wanted.connect(self.show_learning)
        self.side.left.connect(self._on_left)
        self.side.run_wanted.connect(self.open_run)
        self.side.repaired.connect(self._on_repaired)
        self.side.failed.connect(self.banner.tell_error)
        panel.imported.connect(self._on_imported)
        panel.left.connect(lambda: self.views.setCurrentWidget(view))
        panel.another_wanted.connect(self.choose_file)

    # -- runs -------------------------------------------------------------------------------

    def show_runs(self) -> None:
        """Show the list."""
        self._run_id = None
        self.banner.clear()
        self.views.setCurrentWidget(self.runs if self.runs.lines else self.empty)
        self.runs.table.setFocus()

    def open_run(self, run_id: int) -> None:
        """Show one run."""
        if run_id != self._run_id:
            self.banner.clear()
            self._align = Align.CLOCK
        self._run_id = run_id
        self._opening = True
        self.runs.select_run(run_id)
        self._fetch_sheet()

    def open_hit(self, hit: Hit) -> None:
        """Go to what was searched for: in its run, or on the page it belongs to."""
        if hit.run_id is not None:
            self._hit = hit
            self.open_run(hit.run_id)
        elif hit.kind in _ELSEWHERE:
            self._studio.page_wanted.emit(_ELSEWHERE[hit.kind])
        else:
            self.banner.tell(Weight.INFORMATION, f"{hit.subject}: {hit.text}")

    def _fetch_runs(self) -> None:
        self._studio.jobs.submit(
            list_runs,
            self._studio.book,
            dict(self._plans),
            on_done=self._on_runs,
            on_failed=self.banner.tell_error,
            kind="logbook runs",
            owner=self,
        )

    def _on_runs(self, lines: tuple[RunLine, ...]) -> None:
        self._plans = {line.run.plan_id: line.plan for line in lines}
        self.runs.show_runs(lines)
        running = [line.run.id for line in lines if not line.run.finished]
        new = [run_id for run_id in running if run_id not in self._running_seen]
        self._running_seen.update(running)
        here = self.views.currentWidget()
        if here in {self.run_view, self.importing} or self.side.has(here):
            return
        self.views.setCurrentWidget(self.runs if lines else self.empty)
        if new:
            # The run of tonight is what the log book is opened for.
            self.open_run(new[0])

    def _fetch_sheet(self, *, keep_view: bool = False) -> None:
        if self._run_id is None:
            return
        self._studio.jobs.submit(
            fetch_sheet,
            self._studio.book,
            self._run_id,
            self._align,
            on_done=lambda sheet: self._on_sheet(sheet, keep_view=keep_view),
            on_failed=self._on_no_sheet,
            kind="logbook run",
            owner=self,
        )

    def _on_sheet(self, sheet: RunSheet, *, keep_view: bool) -> None:
        if sheet.run.id != self._run_id:
            return
        self.run_view.show_sheet(sheet, keep_view=keep_view and not self._whole_wanted)
        self._whole_wanted = False
        if self._opening and self.views.currentWidget() is not self.importing:
            self.views.setCurrentWidget(self.run_view)
        self._opening = False
        hit, self._hit = self._hit, None
        if hit is not None and hit.run_id == sheet.run.id:
            self.run_view.go_to(hit)
        self.shown.emit(sheet)
        if self._waiting_files:
            paths, self._waiting_files = self._waiting_files, ()
            self.import_files(paths)

    def _on_no_sheet(self, error: LehrkeeperError) -> None:
        self._waiting_files = ()
        self.show_runs()
        self.banner.tell_error(error)

    # -- views beside the run's own -------------------------------------------------------------

    def lay_over(self, run_id: int) -> None:
        """Lay a run and the nights before it over each other."""
        self.banner.clear()
        self.side.lay_over(run_id)

    def repair_run(self) -> None:
        """Draw up how the night of the run shown goes on."""
        if self.run_view.sheet is not None:
            self.banner.clear()
            self.side.mend(self.run_view.sheet)

    def show_learning(self) -> None:
        """Show what all nights together teach."""
        self.banner.clear()
        self._run_id = None
        self.side.teach()

    def _on_repaired(self, run: RunRecord | None) -> None:
        if run is None:
            self.views.setCurrentWidget(self.run_view)
            self.banner.tell(
                Weight.GOOD,
                "The schedule is kept, with a load of its own.",
                action="Open it on Tonight",
                act=self._open_tonight,
            )
        else:
            self._running_seen.add(run.id)
            self.open_run(run.id)
            words = f"“{run.load_name}” runs from now on; key its schedule into the controller."
            self.banner.tell(Weight.GOOD, words)
        self._studio.tell_changed("run")

    def _open_tonight(self) -> None:
        self._studio.tell_changed("load")
        self._studio.page_wanted.emit("tonight")

    def _on_left(self, to_list: bool) -> None:  # noqa: FBT001 -- a signal's argument
        if to_list or self._run_id is None:
            self.show_runs()
        else:
            self.views.setCurrentWidget(self.run_view)

    # -- changes ----------------------------------------------------------------------------

    def _on_changed(self, kind: str) -> None:
        # Out of sight nothing is fetched: a live run writes every few seconds.
        if kind in {"run", "notes"} and self.isVisible():
            self._fetch_runs()
            self._fetch_sheet(keep_view=True)

    def _on_written(self) -> None:
        self.banner.clear()
        self._studio.tell_changed("run")

    def _on_working(self, words: str) -> None:
        if words:
            self.banner.tell(Weight.INFORMATION, words)
        else:
            self.banner.clear()

    def _on_align(self, align: Align) -> None:
        self._align = align
        self._fetch_sheet()

    def _on_noted(self) -> None:
        self._studio.tell_changed("notes")

    # -- a logger's file --------------------------------------------------------------------

    def choose_file(self) -> None:
        """Ask for loggers' files for the run shown."""
        folder = self._studio.settings.text(_FOLDER)
        names, _ = QFileDialog.getOpenFileNames(self, "Loggers' files", folder, LOG_FILTER)
        if names:
            paths = [Path(name) for name in names]
            self._studio.settings.set_text(_FOLDER, str(paths[0].parent))
            self.import_files(paths)

    def import_files(self, paths: Sequence[Path]) -> None:
        """Read files for the run shown, or for the one selected in the list."""
        sheet = self.run_view.sheet
        if self._run_id is None:
            selected = self.runs.selected_run()
            if selected is None:
                self.banner.tell(Weight.INFORMATION, "First open the run this file belongs to.")
                return
            self._waiting_files = tuple(paths)
            self.open_run(selected)
            return
        if sheet is None or sheet.run.id != self._run_id:
            self._waiting_files = tuple(paths)
            return
        self.banner.clear()
        self.views.setCurrentWidget(self.importing)
        self.importing.begin(sheet, paths)

    def _on_imported(self, taken: tuple[FileTaken, ...]) -> None:
        self.views.setCurrentWidget(self.run_view)
        new = any(one.outcome is not None and one.outcome.added for one in taken)
        words = queue_words(taken)
        if words:
            self.banner.tell(Weight.GOOD if new else Weight.INFORMATION, words)
        self._whole_wanted = True
        self._studio.tell_changed("run")

    def showEvent(self, event: QShowEvent) -> None:
        """Bring words such as "today" and the mark of the present up to date."""
        super().showEvent(event)
        self._on_changed("run")

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Take files."""
        if self._dropped(event):
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        """Read the files dropped."""
        paths = self._dropped(event)
        if paths:
            event.acceptProposedAction()
            self.import_files(paths)

    def _dropped(self, event: QDropEvent) -> list[Path]:
        if not self.runs.lines or self.importing.is_busy:
            return []
        urls = event.mimeData().urls()
        return [Path(url.toLocalFile()) for url in urls if url.isLocalFile()]
