"""The list of what happened in a run, with the way to add to it."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QEvent, QUrl, Signal
from PySide6.QtGui import QDesktopServices
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.local_time import weekday_clock
from app.logbook.night_story import StoryLine, story_of
from app.logbook.run_sheet import RunSheet
from app.logbook.run_words import count_words
from app.logbook.wrapped_cells import WrappedCells
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.store.book import OutcomeRecord, RunEventRecord


class StoryList(QWidget):
    """Time, kind and words of everything; a line chosen is shown on the curve.

    Signals
    -------
    moment_wanted(float)
        A line was chosen; its time [UTC epoch s].
    event_wanted(), outcome_wanted()
        An event, or what was found of a piece, is to be entered.
    written()
        Something was removed.
    failed(LehrkeeperError)
    """

    moment_wanted = Signal(object)
    event_wanted = Signal()
    outcome_wanted = Signal()
    written = Signal()
    failed = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._sheet: RunSheet | None = None
        self.add_event = QPushButton("Log an e&vent")
        set_role(self.add_event, "primary")
        self.add_outcome = QPushButton("&What was found")
        self.add_outcome.setToolTip(
            "The next morning: sound, cracked, or strain in the polariscope"
        )
        self.empty = Label(
            "Nothing written down yet. Log what happens in the night, and in the morning what "
            "became of the pieces.",
            role="muted",
            wrap=True,
        )
        self.table = DataTable(self._columns(), name="What happened in the run")
        self._wrapped = WrappedCells(self.table, 2)
        self.photos = QPushButton("Open &photos")
        self.remove = QPushButton("Remove")
        for button in (self.photos, self.remove):
            button.setEnabled(False)
        head = QHBoxLayout()
        head.addWidget(self.add_event)
        head.addWidget(self.add_outcome)
        head.addStretch(1)
        foot = QHBoxLayout()
        foot.addWidget(self.photos)
        foot.addStretch(1)
        foot.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 12, 0, 0)
        column.setSpacing(8)
        column.addLayout(head)
        column.addWidget(self.empty)
        column.addWidget(self.table, 1)
        column.addLayout(foot)
        self.add_event.clicked.connect(self.event_wanted)
        self.add_outcome.clicked.connect(self.outcome_wanted)
        self.photos.clicked.connect(self._open_photos)
        self.remove.clicked.connect(self._remove)
        self.table.row_selected.connect(self._on_selected)
        self._built = True

    def _columns(self) -> tuple[Column, ...]:
        zone, theme = self._studio.zone, theme_of(self)
        caution = themed_icon("caution", theme, theme.caution)
        return (
            Column("Time", lambda line: weekday_clock(line.time, zone)),
            Column("What", lambda line: line.what, icon=lambda line: caution if line.bad else None),
            Column("Words", _words, stretch=True),
        )

    @property
    def lines(self) -> tuple[StoryLine, ...]:
        """What is listed."""
        return self.table.rows_model.rows

    def show_sheet(self, sheet: RunSheet) -> None:
        """List what was written down of a run, the first first."""
        self._sheet = sheet
        lines = story_of(sheet, self._studio.units)
        if lines != self.lines:
            self.table.set_rows(lines)
            self._wrapped.fit()
            self._on_selected(None)
        self.empty.setVisible(not lines)
        self.table.setVisible(bool(lines))

    def select_record(self, record: object) -> bool:
        """Choose the line behind which this record of the book stands."""
        for line in self.lines:
            if line.record is not None and (type(line.record), line.record.id) == record:
                self.table.select(line)
                return True
        return False

    def _on_selected(self, line: StoryLine | None) -> None:
        self.remove.setEnabled(line is not None and line.removable)
        self.photos.setEnabled(line is not None and bool(line.photos))
        if line is not None:
            self.moment_wanted.emit(line.time.timestamp())

    def _open_photos(self) -> None:
        line = self.table.selected_row()
        missing = [path for path in line.photos if not Path(path).is_file()]
        for path in line.photos:
            if path not in missing:
                QDesktopServices.openUrl(QUrl.fromLocalFile(path))
        if missing:
            self.failed.emit(
                LehrkeeperError(
                    f"{', '.join(missing)} cannot be found.",
                    field="photos",
                    remedy="The book keeps where pictures lie, not the pictures themselves.",
                )
            )

    def _remove(self) -> None:
        line = self.table.selected_row()
        if line is None or not line.removable:
            return
        book = self._studio.book
        try:
            if isinstance(line.record, RunEventRecord):
                book.delete_run_event(line.record.id)
            elif isinstance(line.record, OutcomeRecord):
                book.delete_outcome(line.record.id)
            else:
                book.delete_note(line.record.id)
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        self.written.emit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.table.set_columns(self._columns())


def _words(line: StoryLine) -> str:
    if not line.photos:
        return line.words
    return f"{line.words} ({count_words(len(line.photos), 'photo', 'photos')})"
