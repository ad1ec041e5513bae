"""The strip that asks when a run ended."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.studio import Studio
from app.theme import set_role
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.past_moments import refuse_future
from core.errors import LehrkeeperError
from core.store.book import RunRecord


class FinishStrip(QFrame):
    """When the lehr was emptied; takes the place of the strip for readings while it asks.

    Signals
    -------
    finished()
        The end is in the book.
    left()
        Nothing was changed.
    failed(LehrkeeperError)
    """

    finished = Signal()
    left = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._run: RunRecord | None = None
        set_role(self, "card")
        self.clock = ClockEdit(zone=studio.zone, name="finished_at", clock=studio.now)
        self.field = Field("The run en&ded", self.clock, name="finished_at")
        self.finish = QPushButton("Fi&nish the run")
        set_role(self.finish, "primary")
        self.leave = QPushButton("Not &yet")
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 14, 4)
        row.setSpacing(14)
        row.addWidget(self.field)
        for button in (self.finish, self.leave):
            column = QVBoxLayout()
            column.setSpacing(3)
            column.addWidget(Label(" "))  # as high as the label beside it
            column.addWidget(button)
            column.addStretch(1)
            row.addLayout(column)
        row.addStretch(1)
        self.clock.time.returnPressed.connect(self.commit)
        self.finish.clicked.connect(self.commit)
        self.leave.clicked.connect(self.left)

    def ask(self, run: RunRecord) -> None:
        """Ask when this run ended; for a finished one, to correct it."""
        self._run = run
        self.field.clear_error()
        self.clock.set_moment(run.finished_at or self._studio.now())
        self.finish.setText("Chan&ge the end" if run.finished else "Fi&nish the run")
        self.leave.setText("&Keep it" if run.finished else "Not &yet")
        self.clock.time.setFocus()
        self.clock.time.selectAll()

    def commit(self) -> None:
        """Enter the end, or say beside the box what is wrong."""
        if self._run is None:
            return
        try:
            ended = self.clock.require()
            refuse_future(ended, self._studio, "finished_at")
            self._studio.book.finish_run(self._run.id, ended)
        except LehrkeeperError as error:
            if error.field == "finished_at":
                self.field.set_error(str(error))
            else:
                self.failed.emit(error)
            return
        self.finished.emit()
