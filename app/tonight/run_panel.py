"""The running night: what the plan says now, the reading to type, and the readings so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLabel,
    QPushButton,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from app.local_time import clock_text, day_and_clock
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.tonight.fold import COMPACT, FormArea
from app.tonight.run_night import RunNight
from app.tonight.segments_panel import KIND_WORDS
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity, format_quantity, scale_of
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError, UnitError
from core.plan.progress import planned_now, segment_at
from core.units import ZERO_CELSIUS

_EVERY = 15_000
"""Milliseconds between looks at the clock."""


@dataclass(frozen=True)
class _Reading:
    """One row of the table of readings."""

    time: float
    kelvin: float
    deviation: float | None


class RunPanel(QWidget):
    """Takes readings for one run.

    Signals
    -------
    reading_typed(datetime, float)
        A reading to be written: aware time and temperature [K].
    reading_unwanted(datetime)
        A reading to be taken out again.
    finish_wanted()
        The run is over.
    mistake_told()
        The run was started by mistake and has no readings.
    """

    reading_typed = Signal(object, float)
    reading_unwanted = Signal(object)
    finish_wanted = Signal()
    mistake_told = Signal()
    _built = False

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._night: RunNight | None = None
        self._time_typed = False
        self._make_now()
        self._make_entry()
        self._make_readings()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 4, 0)
        column.setSpacing(8)
        entry = QWidget()
        inside = QVBoxLayout(entry)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(6)
        inside.addWidget(self._now_card)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.form, 1)
        row.addLayout(self._beside)
        inside.addLayout(row)
        inside.addWidget(self.time_form)
        column.addWidget(FormArea(entry))
        column.addWidget(self.told)
        column.addWidget(self.table, 1)
        last = QHBoxLayout()
        last.addWidget(self.remove)
        last.addStretch(1)
        last.addWidget(self.mistake)
        column.addLayout(last)
        self._clock = QTimer(self)
        self._clock.setInterval(_EVERY)
        self._clock.timeout.connect(self.look_at_clock)
        self._clock.start()
        self._built = True
        self._tint()

    def _make_now(self) -> None:
        self._now_card = QFrame()
        set_role(self._now_card, "card")
        self._asked = QLabel()
        set_role(self._asked, "small")
        self.planned = QLabel()
        set_role(self.planned, "figure")
        self.segment = QLabel()
        self.segment.setWordWrap(True)
        set_role(self.segment, "muted")
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._asked)
        words.addWidget(self.segment)
        inside = QHBoxLayout(self._now_card)
        inside.setContentsMargins(12, 6, 12, 6)
        inside.setSpacing(12)
        inside.addWidget(self.planned)
        inside.addLayout(words, 1)

    def _make_entry(self) -> None:
        self.form = Form(columns=1)
        self.time_form = Form(columns=1)
        self.temperature = QuantityEdit(
            Quantity.TEMPERATURE,
            units=self._studio.units,
            minimum=ZERO_CELSIUS - 50.0,
            maximum=ZERO_CELSIUS + 1800.0,
        )
        self.temperature.setStyleSheet("QLineEdit { font-size: 22pt; min-height: 40px; }")
        self.time = ClockEdit(zone=self._studio.zone, clock=self._studio.now)
        self.time.word.hide()  # the day is there; the panel is narrow
        self.record = QPushButton("Record")
        set_role(self.record, "primary")
        field = self.form.add("temperature", "&Reading now", self.temperature)
        self.time_form.add("time", "&At", self.time)
        # Beside the large box, as high as it is.
        self.record.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self._beside = QVBoxLayout()
        self._beside.addSpacing(field.label.sizeHint().height() + 3)
        self._beside.addWidget(self.record)
        self._beside.addSpacing(field.message.minimumHeight() + 3)
        self.told = QLabel()
        self.told.setWordWrap(True)
        set_role(self.told, "good")
        self.told.setMinimumHeight(self.told.fontMetrics().height() + 2)
        self.temperature.returnPressed.connect(self._record)
        self.time.time.returnPressed.connect(self._record)
        self.record.clicked.connect(self._record)
        self.time.edited.connect(self._on_time_edited)

    def _make_readings(self) -> None:
        self.table = DataTable(self._columns(), name="Readings of this run")
        self.table.verticalHeader().setDefaultSectionSize(27)
        self.table.setStyleSheet(COMPACT)
        self.table.setMinimumHeight(84)
        self.remove = QPushButton("Remove reading")
        set_role(self.remove, "quiet")
        self.remove.setToolTip("Take the chosen reading out, such as one mistyped")
        self.remove.setEnabled(False)
        self.mistake = QPushButton("Started by mistake")
        set_role(self.mistake, "quiet")
        self.mistake.setToolTip("Forget this run; it has no readings")
        self.table.row_selected.connect(lambda row: self.remove.setEnabled(row is not None))
        self.remove.clicked.connect(self._remove)
        self.mistake.clicked.connect(self.mistake_told)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def run_id(self) -> int | None:
        """Number of the run shown."""
        return None if self._night is None else self._night.run_id

    def show_night(self, night: RunNight) -> None:
        """Show a run, keeping what is being typed if it is the one shown already."""
        if night.run_id != self.run_id:
            self.told.clear()
            self.temperature.set_value_si(None)
            self._time_typed = False
        self._night = night
        comparison = night.comparison
        deviations = (
            [None] * len(night.readings)
            if comparison is None
            else [value if value == value else None for value in comparison.deviation.tolist()]  # noqa: PLR0124
        )
        rows = [
            _Reading(*row)
            for row in zip(
                night.readings.time.tolist(),
                night.readings.temperature.tolist(),
                deviations,
                strict=True,
            )
        ]
        self.table.set_rows(reversed(rows))
        self.mistake.setVisible(not rows)
        self.remove.setVisible(bool(rows))
        self.look_at_clock()

    def show_recorded(self, moment: datetime, kelvin: float) -> None:
        """Acknowledge a reading that is on the disk."""
        clock = clock_text(moment, self._studio.zone)
        degrees = format_quantity(Quantity.TEMPERATURE, kelvin, self._studio.units)
        self.told.setText(f"Recorded {clock}: {degrees}")
        self.temperature.set_value_si(None)
        self._time_typed = False
        self.look_at_clock()
        self.temperature.setFocus()

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show an error beside its box; False when it belongs to none."""
        self.told.clear()
        return self.form.show_error(error) or self.time_form.show_error(error)

    def set_units(self) -> None:
        """Show temperatures in the studio's units."""
        self.form.set_units(self._studio.units)
        self.table.set_columns(self._columns())
        self.look_at_clock()

    def look_at_clock(self) -> None:
        """Bring the present up to date: the planned reading, and the time to be recorded."""
        now = self._studio.now()
        if not self._time_typed:
            self.time.set_moment(now)
        if self._night is None:
            return
        plan, zone = self._night.plan, self._studio.zone
        self._asked.setText(f"Planned now, {clock_text(now, zone)}")
        self.planned.setText(
            format_quantity(Quantity.TEMPERATURE, planned_now(plan, now), self._studio.units)
        )
        segment = segment_at(plan, now)
        if segment is not None:
            until = day_and_clock(segment.end, now=now, zone=zone)
            words = f"{KIND_WORDS[segment.kind]}, until {until}"
        elif now < plan.start:
            words = f"The plan begins {day_and_clock(plan.start, now=now, zone=zone)}"
        else:
            words = "The plan is over: check the glass, then finish the run"
        self.segment.setText(words)

    # -- acting -----------------------------------------------------------------------------

    def _record(self) -> None:
        try:
            kelvin = self.temperature.require()
            # A time nobody touched is the present to the second, not the minute it shows.
            moment = self.time.require() if self._time_typed else _this_second(self._studio.now())
        except UnitError as error:
            self.show_error(error)
            return
        self.reading_typed.emit(moment, kelvin)

    def _remove(self) -> None:
        row = self.table.selected_row()
        if row is not None:
            self.told.clear()
            self.reading_unwanted.emit(datetime.fromtimestamp(row.time, UTC))

    def _on_time_edited(self) -> None:
        self._time_typed = True

    def _columns(self) -> list[Column]:
        units = self._studio.units
        degree = scale_of(Quantity.TEMPERATURE, units).symbol
        return [
            Column("Time", lambda r: clock_text(r.time, self._studio.zone)),
            Column(
                f"Read {degree}",
                lambda r: format_quantity(Quantity.TEMPERATURE, r.kelvin, units, with_unit=False),
                numeric=True,
            ),
            Column(
                f"Off plan {degree}",
                lambda r: _signed(
                    format_quantity(Quantity.INTERVAL, r.deviation, units, with_unit=False)
                ),
                numeric=True,
            ),
        ]

    def _tint(self) -> None:
        self.remove.setIcon(themed_icon("remove", theme_of(self), theme_of(self).accent))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


def _signed(text: str) -> str:
    if text.startswith("-"):
        return text.replace("-", "−")
    return f"+{text}" if text[:1].isdigit() and text.strip("0.,") else text


def _this_second(moment: datetime) -> datetime:
    return moment.replace(microsecond=0)
