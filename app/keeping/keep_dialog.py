"""Backups of the book, its check, and its copies as plain files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QProgressBar,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.jobs import Job
from app.keeping.words import BY_HAND, check_words, occasion, size_text
from app.local_time import day_and_clock, to_local
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner, Weight
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.store.backup import Backup, back_up_now, backup_folder, backups
from core.store.check import CheckReport, check_book
from core.store.export import export_book
from core.store.import_book import import_book

_KIND = "keeping"
_BOOKS = "Studio books (*.sqlite)"


class KeepDialog(QDialog):
    """Keeps the book safe; other work can go on beside it.

    Signals
    -------
    restore_wanted(Path)
        A person chose the backup that shall take the book's place.
    book_wanted(Path)
        A book was made of exported files, and a person wants to open it.
    """

    restore_wanted = Signal(object)
    book_wanted = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Keeping the book safe – Lehrkeeper")
        self._studio = studio
        self._job: Job | None = None
        path = studio.book.path
        self.banner = Banner()
        self.place = Label(
            f"Everything you enter is kept in one file:\n{path}\n"
            "Once a day, at opening, it is copied into the folder "
            f"“{backup_folder(path).name}” beside it. A disk can fail with both: now and then "
            "copy that folder to a stick kept elsewhere.",
            role="muted",
            wrap=True,
        )
        self.table = DataTable(self._columns(), (), name="Backups")
        self.copy = QPushButton("&Back up now")
        set_role(self.copy, "primary")
        self.put_back = QPushButton("&Put the chosen one back…")
        self.another = QPushButton("Put back another &file…")
        self.check = QPushButton("&Check the book")
        self.write_out = QPushButton("&Write everything out…")
        self.write_out.setToolTip("Every table as CSV or JSON, for other programs and for good")
        self.read_in = QPushButton("Make a book of &written-out files…")
        self.progress = QProgressBar()
        self.progress.setTextVisible(False)
        self.progress.setAccessibleName("How far the work is")
        self.stop = QPushButton("&Stop")
        self.doing = Label(role="muted")
        self._lay_out()
        self.table.row_selected.connect(lambda _: self._show_state())
        self.copy.clicked.connect(self._on_copy)
        self.put_back.clicked.connect(self._on_put_back)
        self.another.clicked.connect(self._on_another)
        self.check.clicked.connect(self._on_check)
        self.write_out.clicked.connect(self._on_write_out)
        self.read_in.clicked.connect(self._on_read_in)
        self.stop.clicked.connect(self._on_stop)
        self.fill()
        self.resize(720, 560)

    def _lay_out(self) -> None:
        beside = QHBoxLayout()
        beside.setSpacing(8)
        for button in (self.copy, self.put_back, self.another):
            beside.addWidget(button)
        beside.addStretch(1)
        below = QHBoxLayout()
        below.setSpacing(8)
        for button in (self.check, self.write_out, self.read_in):
            below.addWidget(button)
        below.addStretch(1)
        working = QHBoxLayout()
        working.setSpacing(10)
        working.addWidget(self.doing)
        working.addWidget(self.progress, 1)
        working.addWidget(self.stop)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(12)
        column.addWidget(self.banner)
        column.addWidget(self.place)
        column.addWidget(Label("Backups", role="heading"))
        column.addWidget(self.table, 1)
        column.addLayout(beside)
        column.addWidget(Label("The whole book", role="heading"))
        column.addLayout(below)
        column.addLayout(working)

    def _columns(self) -> list[Column]:
        zone = self._studio.zone
        return [
            Column(
                "Made",
                lambda row: day_and_clock(row.taken_at, now=self._studio.now(), zone=zone),
                value=lambda row: row.taken_at,
            ),
            Column("Occasion", occasion),
            Column("Size", lambda row: size_text(row.size), value=lambda row: row.size),
            Column("File", lambda row: row.path.name, stretch=True),
        ]

    def fill(self) -> None:
        """Look for the backups there are."""
        self.table.set_rows(backups(self._studio.book.path))
        self._show_state()

    @property
    def is_busy(self) -> bool:
        """True while something is copied, checked or written."""
        return self._job is not None and self._job.running

    def _show_state(self) -> None:
        busy = self.is_busy
        for button in (self.copy, self.another, self.check, self.write_out, self.read_in):
            button.setEnabled(not busy)
        self.put_back.setEnabled(not busy and self.table.selected_row() is not None)
        for widget in (self.progress, self.stop, self.doing):
            widget.setVisible(busy)

    # -- what a person does -----------------------------------------------------------------

    def _begin(
        self,
        doing: str,
        function: Callable[..., Any],
        *args: object,
        done: Callable[[Any], None],
        stoppable: bool = True,
        measured: bool = True,
    ) -> None:
        self.banner.clear()
        self.doing.setText(doing)
        # A range of nothing shows that work goes on, without saying how far.
        self.progress.setRange(0, 100 if measured else 0)
        self.progress.setValue(0)
        self._job = self._studio.jobs.submit(
            function,
            *args,
            on_done=lambda result: self._ended(done, result),
            on_failed=lambda error: self._ended(self.banner.tell_error, error),
            on_progress=lambda share: self.progress.setValue(round(100 * share)),
            kind=_KIND,
            owner=self,
        )
        self._show_state()
        self.stop.setVisible(stoppable)

    def _ended(self, tell: Callable[[Any], None], result: object) -> None:
        self._job = None
        self.fill()
        tell(result)

    def _on_stop(self) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        self._show_state()
        self.banner.tell(Weight.INFORMATION, "Stopped. Nothing half-done is left.")

    def _on_copy(self) -> None:
        self._begin(
            "Copying the book…",
            back_up_now,
            self._studio.book.path,
            BY_HAND,
            done=lambda made: self.banner.tell(Weight.GOOD, f"Backed up:\n{made.path}"),
            stoppable=False,
            measured=False,
        )

    def _on_put_back(self) -> None:
        chosen = self.table.selected_row()
        if isinstance(chosen, Backup):
            when = day_and_clock(chosen.taken_at, now=self._studio.now(), zone=self._studio.zone)
            self._ask_to_put_back(chosen.path, f"The backup of {when}")

    def _on_another(self) -> None:
        folder = str(self._studio.book.path.parent)
        name, _ = QFileDialog.getOpenFileName(self, "Put back a backup", folder, _BOOKS)
        if name:
            self._ask_to_put_back(Path(name), f"“{Path(name).name}”")

    def _ask_to_put_back(self, backup: Path, words: str) -> None:
        self.banner.tell(
            Weight.CAUTION,
            f"{words} takes the place of the book. What was entered since is then not in the "
            "book, but the book as it is now is kept beside it under another name.",
            action="Put it back",
            act=lambda: self.restore_wanted.emit(backup),
        )

    def _on_check(self) -> None:
        self._begin(
            "Reading the book from end to end…",
            check_book,
            self._studio.book.path,
            done=self._tell_check,
            measured=False,
        )

    def _tell_check(self, report: CheckReport) -> None:
        self.banner.tell(Weight.GOOD if report.sound else Weight.PROBLEM, check_words(report))

    def _on_write_out(self) -> None:
        folder = QFileDialog.getExistingDirectory(
            self, "Where shall the folder with the files go?", str(self._studio.book.path.parent)
        )
        if not folder:
            return
        day = to_local(self._studio.now(), self._studio.zone)
        target = Path(folder) / f"{self._studio.book.path.stem} {day:%Y-%m-%d %H%M}"
        self._begin(
            "Writing the files…",
            export_book,
            self._studio.book,
            target,
            done=lambda made: self.banner.tell(
                Weight.GOOD, f"Everything in the book was written into this folder:\n{made}"
            ),
        )

    def _on_read_in(self) -> None:
        folder = QFileDialog.getExistingDirectory(
            self, "The folder with the written-out files", str(self._studio.book.path.parent)
        )
        if not folder:
            return
        proposed = self._studio.book.path.with_name(f"{Path(folder).name}.sqlite")
        name, _ = QFileDialog.getSaveFileName(self, "Name the new book", str(proposed), _BOOKS)
        if not name:
            return
        path = Path(name)
        self._begin(
            "Reading the files…",
            import_book,
            Path(folder),
            path if path.suffix else path.with_suffix(".sqlite"),
            done=self._tell_made,
        )

    def _tell_made(self, book: Path) -> None:
        self.banner.tell(
            Weight.GOOD,
            f"The files are a book again:\n{book}",
            action="Open it",
            act=lambda: self.book_wanted.emit(book),
        )

    def reject(self) -> None:
        """Close, letting go of what is still being done."""
        if self._job is not None:
            self._job.cancel()
            self._job = None
        super().reject()


def show_keeping(studio: Studio, parent: QWidget) -> KeepDialog:
    """Show the dialog beside the window; it goes when it is closed."""
    dialog = KeepDialog(studio, parent)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.show()
    return dialog
