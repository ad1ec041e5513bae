"""The notes on a run."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.local_time import weekday_clock
from app.logbook.run_sheet import RunSheet
from app.logbook.wrapped_cells import WrappedCells
from app.studio import Studio
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.store.book import NoteSubject


@dataclass(frozen=True)
class NoteLine:
    """A note in the list; ``id`` is ``None`` for what was noted when the run was started."""

    id: int | None
    time: datetime
    text: str


class NoteList(QWidget):
    """Time and text; Return in the text enters a note.

    Signals
    -------
    written()
        A note was entered or removed.
    failed(LehrkeeperError)
    """

    written = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._run_id: int | None = None
        self._ended: datetime | None = None
        self._own_time = False
        zone = studio.zone
        self.table = DataTable(
            (
                Column("Time", lambda note: weekday_clock(note.time, zone)),
                Column("Note", lambda note: note.text, stretch=True),
            ),
            name="Notes on the run",
        )
        self._wrapped = WrappedCells(self.table, 1)
        self.clock = ClockEdit(zone=zone, name="time", clock=studio.now)
        self.text = QLineEdit()
        self.text.setMaxLength(2000)
        self.text.setPlaceholderText("Door opened, a float cracked, …")
        self.time_field = Field("Time of the &note", self.clock, name="time")
        self.text_field = Field("Te&xt", self.text, name="text")
        self.add = QPushButton("&Add the note")
        self.remove = QPushButton("Remove")
        self.remove.setEnabled(False)
        buttons = QHBoxLayout()
        buttons.addWidget(self.add)
        buttons.addStretch(1)
        buttons.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 12, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.table, 1)
        column.addWidget(self.time_field)
        column.addWidget(self.text_field)
        column.addLayout(buttons)
        self.clock.edited.connect(self._on_time_edited)
        self.text.textEdited.connect(lambda _: self._fill_in_time())
        self.text.returnPressed.connect(self.commit)
        self.add.clicked.connect(self.commit)
        self.remove.clicked.connect(self._remove)
        self.table.row_selected.connect(
            lambda note: self.remove.setEnabled(note is not None and note.id is not None)
        )

    def show_sheet(self, sheet: RunSheet) -> None:
        """Show a run's notes, the first first."""
        if sheet.run.id != self._run_id:
            self.text.clear()
            self._own_time = False
        self._run_id, self._ended = sheet.run.id, sheet.run.finished_at
        self._fill_in_time()
        lines = [NoteLine(note.id, note.time, note.text) for note in sheet.notes]
        if sheet.run.note:
            lines.insert(0, NoteLine(None, sheet.run.started_at, sheet.run.note))
        self.table.set_rows(lines)
        self._wrapped.fit()
        self.remove.setEnabled(False)

    def _fill_in_time(self) -> None:
        """Now, or for a finished run its end, until somebody types another."""
        if not self._own_time:
            self.clock.set_moment(self._ended or self._studio.now())

    def _on_time_edited(self) -> None:
        self._own_time = True

    def commit(self) -> None:
        """Enter the note, or say beside the box what is wrong."""
        if self._run_id is None:
            return
        self.text_field.clear_error()
        try:
            moment = self.clock.require()
            self._studio.book.add_note(
                NoteSubject.RUN, self._run_id, moment, self.text.text().strip()
            )
        except LehrkeeperError as error:
            if error.field == "text":
                self.text_field.set_error(str(error))
                self.text.setFocus()
            elif error.field != "time":
                self.failed.emit(error)
            return
        self.text.clear()
        self._own_time = False
        self._fill_in_time()
        self.written.emit()

    def _remove(self) -> None:
        note = self.table.selected_row()
        if note is None or note.id is None:
            return
        try:
            self._studio.book.delete_note(note.id)
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        self.written.emit()
