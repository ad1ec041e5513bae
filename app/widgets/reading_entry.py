"""Where readings of a run are typed, during the night or from a sheet of paper afterwards."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QSizePolicy, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Weight
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.past_moments import refuse_future
from app.widgets.quantity import Quantity, entry_text, scale_of
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.sentence import Sentence
from core.errors import LehrkeeperError
from core.store.book import RunRecord

_FOLLOW_EVERY = 10_000
"""Milliseconds between two looks at the clock."""


def reading_words(moment: datetime, temperature: float, studio: Studio) -> str:
    """A reading as it was typed, ``"18:05: 517 °C"``, with the day when it is not today."""
    when = day_and_clock(moment, now=studio.now(), zone=studio.zone).removeprefix("today ")
    degrees = entry_text(Quantity.TEMPERATURE, temperature, studio.units)
    return f"{when}: {degrees} {scale_of(Quantity.TEMPERATURE, studio.units).symbol}"


class ReadingEntry(QFrame):
    """Time and temperature; Return commits, and the box is ready for the next.

    While a run goes on the time is now until somebody types another.

    Parameters
    ----------
    studio : Studio
    upright : bool
        A column with large digits, read at arm's length, instead of a strip.

    Signals
    -------
    recorded()
        A reading is in the book.
    failed(LehrkeeperError)
        It could not be written, for a reason that belongs to neither box.
    """

    recorded = Signal()
    failed = Signal(object)

    def __init__(
        self, studio: Studio, *, upright: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self._run: RunRecord | None = None
        self._own_time = False
        self.clock = ClockEdit(zone=studio.zone, name="time", clock=studio.now)
        self.temperature = QuantityEdit(
            Quantity.TEMPERATURE, units=studio.units, name="temperature"
        )
        self.time_field = Field("&Time of the reading", self.clock, name="time")
        self.temperature_field = Field("Temperat&ure", self.temperature, name="temperature")
        self.record = QPushButton("&Record")
        set_role(self.record, "primary")
        self.record.setToolTip("Write the reading into the book (Return)")
        self.said = Sentence(Weight.GOOD, role="good")
        if upright:
            self._lay_out_upright()
        else:
            self._lay_out()
        self.clock.edited.connect(self._on_time_edited)
        self.clock.time.returnPressed.connect(self._to_temperature)
        self.temperature.returnPressed.connect(self.commit)
        self.record.clicked.connect(self.commit)
        studio.units_changed.connect(self.temperature.set_units)
        self._timer = QTimer(self)
        self._timer.setInterval(_FOLLOW_EVERY)
        self._timer.timeout.connect(self.follow_clock)
        self._timer.start()

    def _lay_out_upright(self) -> None:
        self.temperature.setStyleSheet("QLineEdit { font-size: 22pt; min-height: 40px; }")
        self.clock.word.hide()  # the day is there, and the column is narrow
        # Beside the large box, as high as it is.
        self.record.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        beside = QVBoxLayout()
        beside.setSpacing(0)
        beside.addSpacing(self.temperature_field.label.sizeHint().height() + 3)
        beside.addWidget(self.record)
        beside.addSpacing(self.temperature_field.message.minimumHeight() + 3)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.temperature_field, 1)
        row.addLayout(beside)
        self.said.setMinimumHeight(self.fontMetrics().height() + 2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(row)
        column.addWidget(self.time_field)
        column.addWidget(self.said)

    def _lay_out(self) -> None:
        set_role(self, "card")
        self.temperature.setMinimumWidth(96)
        self.temperature.setMaximumWidth(116)
        self.clock.time.setMaximumWidth(84)
        button = QVBoxLayout()
        button.setSpacing(3)
        above = Label(" ")  # as high as the labels beside it
        button.addWidget(above)
        button.addWidget(self.record)
        button.addStretch(1)
        said = QVBoxLayout()
        said.setSpacing(3)
        said.addWidget(Label(" "))
        said.addWidget(self.said)
        said.addStretch(1)
        row = QHBoxLayout(self)
        row.setContentsMargins(14, 8, 14, 4)
        row.setSpacing(14)
        row.addWidget(self.time_field, 0)
        row.addWidget(self.temperature_field, 0)
        row.addLayout(button)
        row.addLayout(said, 1)

    def show_run(self, run: RunRecord) -> None:
        """Take readings for this run from now on."""
        other = self._run is None or run.id != self._run.id
        ended = self._run is not None and run.finished != self._run.finished
        self._run = run
        if other or ended:
            self.said.set_text("")
            self.temperature.set_value_si(None)
            self._own_time = False
            self._fill_in_time()

    def _fill_in_time(self) -> None:
        if self._run is None or self._own_time:
            return
        if self._run.finished:
            # Readings from a sheet of paper: the day of the run, the time still to be typed.
            self.clock.set_moment(self._run.started_at)
            self.clock.time.clear()
            self.clock.second.hide()
        else:
            self.clock.set_moment(self._studio.now())

    def follow_clock(self) -> None:
        """Bring the time up to the present, unless somebody typed another."""
        if self._run is not None and not self._run.finished and not self.clock.time.hasFocus():
            self._fill_in_time()

    def _on_time_edited(self) -> None:
        self._own_time = True
        self.said.set_text("")

    def _to_temperature(self) -> None:
        self.temperature.setFocus()
        self.temperature.selectAll()

    def commit(self) -> None:
        """Write the reading into the book, or say beside the box what is wrong."""
        if self._run is None:
            return
        self.said.set_text("")
        for field in (self.time_field, self.temperature_field):
            field.clear_error()
        try:
            moment = self._moment()
            temperature = self.temperature.require()
            refuse_future(moment, self._studio, "time")
            self._studio.book.add_reading(self._run.id, moment, temperature)
        except LehrkeeperError as error:
            self._show_error(error)
            return
        reading = reading_words(moment, temperature, self._studio)
        self.said.set_text(f"Recorded {reading}")
        self.temperature.set_value_si(None)
        self._own_time = False
        if self._run.finished:
            self.clock.time.setFocus()
            self.clock.time.selectAll()
        else:
            self._fill_in_time()
            self.temperature.setFocus()
        self.recorded.emit()

    def _moment(self) -> datetime:
        if self._own_time or (self._run is not None and self._run.finished):
            return self.clock.require()
        # A time nobody touched is the present to the second, not the minute it shows.
        return self._studio.now().replace(microsecond=0)

    def _show_error(self, error: LehrkeeperError) -> None:
        for field, box in (
            (self.time_field, self.clock.time),
            (self.temperature_field, self.temperature),
        ):
            if error.field == field.name:
                field.set_error(str(error))
                box.setFocus()
                box.selectAll()
                return
        self.failed.emit(error)
