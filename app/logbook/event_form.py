"""Where something that happens is logged: one hand, the time filled in."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget

from app.logbook.form_grid import FormGrid
from app.logbook.photo_choice import PhotoChoice
from app.logbook.run_sheet import RunSheet
from app.studio import Studio
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.past_moments import refuse_future
from core.errors import LehrkeeperError
from core.run.run_event import EventKind, RunEvent
from core.store.book import RunRecord

_LONGEST = 2000


class EventForm(FormGrid):
    """Kind, time, piece and words; Return logs it and leaves the form ready for the next.

    Signals
    -------
    logged()
        An event is in the book.
    left()
        The form is done with.
    failed(LehrkeeperError)
    """

    logged = Signal()
    left = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._run: RunRecord | None = None
        self._own_time = False
        self.kind = ChoiceBox([(kind.value.capitalize(), kind) for kind in EventKind])
        self.clock = ClockEdit(zone=studio.zone, name="time", clock=studio.now)
        self.piece = ChoiceBox()
        self.text = QLineEdit()
        self.text.setMaxLength(_LONGEST)
        self.text.setPlaceholderText("Door opened to set a chimney upright, …")
        self.photos = PhotoChoice(studio)
        self.kind_field = Field("What &happened", self.kind, name="kind")
        self.time_field = Field("At &time", self.clock, name="time")
        self.piece_field = Field("Pi&ece", self.piece, name="piece")
        self.text_field = Field("&Words", self.text, name="text")
        self.log = QPushButton("Lo&g it")
        set_role(self.log, "primary")
        self.leave = QPushButton("&Done")
        self.add(self.kind_field)
        self.add(self.piece_field)
        self.add(self.text_field, wide=True)
        self.add(self.time_field, wide=True)
        self.finish(self.log, self.photos, self.leave)
        self.clock.edited.connect(self._on_time_edited)
        self.clock.time.returnPressed.connect(self.commit)
        self.text.returnPressed.connect(self.commit)
        self.log.clicked.connect(self.commit)
        self.leave.clicked.connect(self.left)

    def ask(self, sheet: RunSheet, kind: EventKind | None = None) -> None:
        """Ask what happened in a run."""
        self._run = sheet.run
        names = dict.fromkeys(piece.name for piece in sheet.load.pieces)
        self.piece.set_choices([("The whole load", ""), *((name, name) for name in names)])
        self.piece.set_value("")
        usual = EventKind.NOTE if sheet.run.finished else EventKind.DOOR_OPEN
        self.kind.set_value(kind or usual)
        self._begin()
        self.kind.setFocus()

    def _begin(self) -> None:
        self.text.clear()
        self.photos.set_paths(())
        for field in (self.time_field, self.text_field):
            field.clear_error()
        self._own_time = False
        if self._run is not None:
            self.clock.set_moment(self._run.finished_at or self._studio.now())

    def _on_time_edited(self) -> None:
        self._own_time = True

    def _moment(self) -> datetime:
        if self._own_time or (self._run is not None and self._run.finished):
            return self.clock.require()
        # A time nobody touched is the present to the second, not the minute it shows.
        return self._studio.now().replace(microsecond=0)

    def commit(self) -> None:
        """Log it, or say beside the box what is wrong."""
        if self._run is None:
            return
        self.text_field.clear_error()
        try:
            moment = self._moment()
            refuse_future(moment, self._studio, "time")
            event = RunEvent(
                moment,
                EventKind(str(self.kind.value)),
                self.text.text().strip(),
                str(self.piece.value or ""),
                self.photos.paths,
            )
            self._studio.book.add_run_event(self._run.id, event)
        except LehrkeeperError as error:
            fields = {"time": self.time_field, "text": self.text_field, "photos": self.text_field}
            field = fields.get(error.field or "")
            if field is None:
                self.failed.emit(error)
            else:
                field.set_error(str(error))
                field.editor.setFocus()
            return
        self._begin()
        self.text.setFocus()
        self.logged.emit()
