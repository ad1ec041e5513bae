"""A logger's file on its way into a run: what was understood, what is asked, what is left out."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QWidget

from app.jobs import Job
from app.local_time import day_and_clock
from app.logbook.import_frame import ImportFrame
from app.logbook.import_preview import taken_before
from app.logbook.import_queue import ImportQueue
from app.logbook.import_work import (
    FileRead,
    LogContext,
    correct_file,
    open_file,
    read_again,
    store_log,
)
from app.logbook.run_sheet import RunSheet
from app.logbook.run_words import apart_words, count_words, run_name
from app.studio import Studio
from app.widgets.banner import Weight
from core.errors import LehrkeeperError, StoppedError
from core.run.log_answers import answered_format
from core.run.log_file import LogImport
from core.run.log_format import Doubt
from core.store.book import ImportOutcome

READING, STORING = "logbook file", "logbook store"
"""Kinds of job."""


class ImportPanel(ImportFrame):
    """Preview, questions, bad rows; then all good rows are taken in, or nothing.

    Signals
    -------
    imported(tuple of FileTaken)
        All files were gone through; what became of each.
    left()
        Nothing was taken in.
    another_wanted()
        Another file is to be chosen.
    """

    imported = Signal(object)
    left = Signal()
    another_wanted = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(studio, parent)
        self._studio = studio
        self._sheet: RunSheet | None = None
        self._context: LogContext | None = None
        self._guess: LogImport | None = None
        self._read: FileRead | None = None
        self._job: Job | None = None
        self._stop: threading.Event | None = None
        self._queue = ImportQueue(())
        self.questions.answered.connect(self._on_answered)
        self.corrections.corrected.connect(self._on_corrected)
        self.take.clicked.connect(self._store)
        self.take_rest.clicked.connect(self._store_rest)
        self.skip.clicked.connect(self._skip)
        self.another.clicked.connect(self.another_wanted)
        self.cancel.clicked.connect(self.leave)

    # -- reading ----------------------------------------------------------------------------

    @property
    def log(self) -> LogImport | None:
        """The file as read; what is shown, and what will be taken in."""
        return None if self._read is None else self._read.log

    @property
    def is_busy(self) -> bool:
        """True while the file is read or taken in."""
        return self._job is not None and self._job.running

    def begin(self, sheet: RunSheet, paths: Sequence[Path]) -> None:
        """Read files for a run, one after the other, and show how each was understood."""
        same = self._sheet is not None and self._sheet.run.id == sheet.run.id
        if same and self._queue.several:
            self._queue.add(paths)
            self.title.setText(self._queue.title)
            return
        self._queue = ImportQueue(paths)
        self._sheet = sheet
        self._open_current()

    def _open_current(self) -> None:
        sheet, path = self._sheet, self._queue.current
        if sheet is None or path is None:
            return
        self._drop_job()
        zone = self._studio.zone
        self._context = LogContext(
            plan=sheet.plan,
            near=sheet.run.started_at,
            start=sheet.run.started_at,
            timezone=sheet.load.timezone or getattr(zone, "key", ""),
        )
        self._guess = self._read = None
        self.questions.clear()
        self.corrections.clear()
        self.banner.clear()
        self.remarks.clear()
        self.title.setText(self._queue.title)
        name = run_name(sheet.run, zone, self._studio.now())
        self.belongs.setText(f"For the run {name}, in “{sheet.run.lehr_name}”")
        self._show_body(wanted=False)
        self._submit_reading(open_file, path, self._studio.book, self._context)
        self.cancel.setFocus()

    def _submit_reading(self, read: Callable[..., FileRead], *args: object) -> None:
        self._work("Reading the file…")
        self._job = self._studio.jobs.submit(
            read,
            *args,
            on_done=self._on_read,
            on_failed=self._on_unreadable,
            on_progress=self._on_progress,
            kind=READING,
            owner=self,
        )

    def _on_answered(self, field: str) -> None:
        read, guess, context = self._read, self._guess, self._context
        if read is None or guess is None or context is None:
            return
        if field == "temperature_column" and self._asked_by_us("unit"):
            # Whether the degrees look right is for the newly chosen column to say.
            self.questions.drop("unit")
        start = self.questions.start()
        if start is not None:
            self._context = context = replace(context, start=start)
        log_format = answered_format(guess.format, self.questions.answers())
        self._submit_reading(read_again, read.data, read.log.file_name, log_format, context)

    def _on_corrected(self) -> None:
        """Find out anew how the file is laid out, and ask anew."""
        read, context = self._read, self._context
        if read is None or context is None:
            return
        self._guess = None
        self.questions.clear()
        corrections = self.corrections.corrections
        self._submit_reading(correct_file, read.data, read.log.file_name, corrections, context)

    def _asked_by_us(self, field: str) -> bool:
        stated = self._guess.questions if self._guess is not None else ()
        return self.questions.question(field) is not None and all(
            doubt.field != field for doubt in stated
        )

    def _on_read(self, read: FileRead) -> None:
        self._read = read
        first = self._guess is None
        if first:
            self._guess = read.log
            if read.log.format.needs_start and self._context is not None:
                self.questions.ask(Doubt("start", ""), self._context.start)
            for doubt in read.log.questions:
                self.questions.ask(doubt)
        if read.unit_doubt is not None:
            self.questions.ask(read.unit_doubt)
        self._caution(read)
        self.preview.show_file(read)
        if first:
            self.corrections.show_log(read.log)
        self._show_remarks(read.log)
        self._show_body(wanted=True)
        self._rest()
        if first:
            self._go_on(read)

    def _caution(self, read: FileRead) -> None:
        cautions: list[str] = []
        if not read.comparable and self._context is not None:
            times, studio = read.log.readings.time, self._studio
            cautions.append(apart_words(self._context.plan, times, studio.zone, studio.now()))
        if read.unit_doubt is not None and not self._asked_by_us("unit"):
            cautions.append(read.unit_doubt.question)
        if cautions:
            self.banner.tell(Weight.CAUTION, "\n".join(cautions))
        else:
            self.banner.clear()

    def _on_unreadable(self, error: LehrkeeperError) -> None:
        if self._queue.unattended and self._read is None:
            self._queue.skip(str(error))
            self._next()
            return
        self.banner.tell_error(error)
        # With answers given, the questions stay: one of them may be what is wrong.
        self._show_body(wanted=self._read is not None)
        self._rest()
        self.take.setEnabled(False)

    def _show_remarks(self, log: LogImport) -> None:
        remarks = list(log.notes)
        before = taken_before(log.digest, self._sheet.imports if self._sheet else ())
        if before is not None:
            when = day_and_clock(before, zone=self._studio.zone, now=self._studio.now())
            remarks.insert(0, f"This file was taken in before, {when}. Only new times are added.")
        if log.from_memory:
            fields = " and ".join(field.replace("_", " ") for field in log.from_memory)
            remarks.insert(0, f"As for the file of this kind before: {fields}.")
        self.remarks.setText("\n".join(remarks))
        self.remarks.setVisible(bool(remarks))

    # -- taking in --------------------------------------------------------------------------

    def _store(self) -> None:
        log, sheet = self.log, self._sheet
        if log is None or sheet is None or self.is_busy or self.questions.open_count:
            return
        self._stop = threading.Event()
        self._work("Taking the readings in…")
        self.cancel.setText("&Stop")
        self.cancel.setFocus()
        self._job = self._studio.jobs.submit(
            store_log,
            self._studio.book,
            sheet.run.id,
            log,
            self._stop,
            on_done=lambda outcome: self._on_stored(log, outcome),
            on_failed=self._on_not_stored,
            on_progress=self._on_progress,
            kind=STORING,
            owner=self,
            supersede=False,
        )

    def _store_rest(self) -> None:
        self._queue.unattended = True
        self._store()

    def _skip(self) -> None:
        self._queue.skip()
        self._next()

    def _next(self) -> None:
        """Go to the next file; after the last, tell what became of all."""
        if self._queue.current is not None:
            self._open_current()
            return
        taken = tuple(self._queue.taken)
        self._forget()
        self.imported.emit(taken)

    def _on_stored(self, log: LogImport, outcome: ImportOutcome) -> None:
        self._stop = None
        self._queue.took(log, outcome)
        self._next()

    def _on_not_stored(self, error: LehrkeeperError) -> None:
        self._stop = None
        self._queue.unattended = False
        self._rest()
        if isinstance(error, StoppedError):
            self.banner.tell(Weight.INFORMATION, str(error))
        else:
            self.banner.tell_error(error)

    def leave(self) -> None:
        """Stop what is going on; with nothing written yet, go back to the run."""
        if self._stop is not None:
            # Its end is waited for: the rows may have been written a moment ago.
            self._stop.set()
            self.state.setText("Stopping…")
            return
        taken = tuple(self._queue.taken)
        self._forget()
        if any(one.outcome is not None for one in taken):
            self.imported.emit(taken)
        else:
            self.left.emit()

    def _forget(self) -> None:
        self._drop_job()
        self._queue = ImportQueue(())
        self._read = self._guess = None
        self.questions.clear()
        self.banner.clear()

    def _drop_job(self) -> None:
        if self._job is not None and self._stop is None:
            self._job.cancel()
            self._job = None

    # -- what can be done now ---------------------------------------------------------------

    def _show_body(self, *, wanted: bool) -> None:
        self._split.setVisible(wanted)
        self._spare.setVisible(not wanted)

    def _work(self, words: str) -> None:
        for button in (self.take, self.take_rest, self.skip, self.another):
            button.setEnabled(False)
        for part in (self.questions, self.corrections):
            part.setEnabled(self._stop is None)
        self.progress.setValue(0)
        self.progress.show()
        self.state.setText(words)

    def _on_progress(self, done: float) -> None:
        self.progress.setValue(round(100 * done))

    def _rest(self) -> None:
        self.cancel.setText("&Cancel")
        self.progress.hide()
        for part in (self.another, self.questions, self.corrections, self.skip):
            part.setEnabled(True)
        log = self.log
        unanswered = self.questions.open_count
        self.take.setVisible(log is not None)
        self.take.setEnabled(log is not None and not unanswered)
        self.take_rest.setVisible(log is not None and self._queue.waiting > 0)
        self.take_rest.setEnabled(self.take.isEnabled())
        self.skip.setVisible(self._queue.several)
        self.another.setVisible(not self._queue.several)
        self.state.setText(
            f"{count_words(unanswered, 'question is', 'questions are')} still open."
            if unanswered
            else ""
        )
        if log is not None:
            count = len(log.readings)
            rows = count_words(count, "row", "rows")
            good = f"the {rows.replace(' ', ' good ', 1)}" if log.problems else f"all {rows}"
            self.take.setText(f"&Import {good}")

    def _go_on(self, read: FileRead) -> None:
        """Go to what is to be done next; unattended, take in what raises no question."""
        quiet = not self.questions.open_count and not self.banner.text and not read.log.problems
        if self._queue.unattended and quiet:
            self._store()
        elif self.questions.open_count:
            self.questions.focus_open()
        elif self.take.isEnabled():
            self.take.setFocus()
