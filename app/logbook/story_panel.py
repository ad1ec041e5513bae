"""What happened in a run: the list, and the forms that add to it."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QScrollArea, QStackedWidget, QWidget

from app.logbook.event_form import EventForm
from app.logbook.outcome_form import OutcomeForm
from app.logbook.run_sheet import RunSheet
from app.logbook.story_list import StoryList
from app.studio import Studio
from core.run.run_event import EventKind


class StoryPanel(QStackedWidget):
    """The list, or one of the forms in its place.

    Signals
    -------
    moment_wanted(float)
        A line was chosen; its time [UTC epoch s].
    written()
        Something was entered or removed.
    failed(LehrkeeperError)
    """

    moment_wanted = Signal(object)
    written = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._sheet: RunSheet | None = None
        self.list = StoryList(studio)
        self.event_form = EventForm(studio)
        self.outcome_form = OutcomeForm(studio)
        self.addWidget(self.list)
        self._places = {form: self._scrolled(form) for form in (self.event_form, self.outcome_form)}
        self.list.moment_wanted.connect(self.moment_wanted)
        self.list.event_wanted.connect(self.ask_event)
        self.list.outcome_wanted.connect(self.ask_outcome)
        self.list.written.connect(self.written)
        self.event_form.logged.connect(self.written)
        self.outcome_form.entered.connect(self.written)
        for form in (self.event_form, self.outcome_form):
            form.left.connect(self.show_list)
        for part in (self.list, self.event_form, self.outcome_form):
            part.failed.connect(self.failed)

    def _scrolled(self, form: QWidget) -> QScrollArea:
        form.setObjectName("page")
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFrameShape(QFrame.Shape.NoFrame)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(form)
        self.addWidget(scroll)
        return scroll

    def show_sheet(self, sheet: RunSheet) -> None:
        """Show what was written down of a run; of another run than before, the list."""
        if self._sheet is None or self._sheet.run.id != sheet.run.id:
            self.show_list()
        self._sheet = sheet
        self.list.show_sheet(sheet)

    def show_list(self) -> None:
        """Leave the forms."""
        self.setCurrentWidget(self.list)

    def ask_event(self, kind: EventKind | None = None) -> None:
        """Ask what happens."""
        if self._sheet is not None:
            self.setCurrentWidget(self._places[self.event_form])
            self.event_form.ask(self._sheet, kind)

    def ask_outcome(self) -> None:
        """Ask what was found."""
        if self._sheet is not None:
            self.setCurrentWidget(self._places[self.outcome_form])
            self.outcome_form.ask(self._sheet)
