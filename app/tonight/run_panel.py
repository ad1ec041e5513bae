"""The running night: what the plan says now, the reading to type, and the readings so far."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

from PySide6.QtCore import QEvent, QTimer, Signal
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.local_time import clock_text, day_and_clock, weekday_clock
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.tonight.fold import COMPACT, FormArea
from app.tonight.run_night import RunNight
from app.tonight.segments_panel import KIND_WORDS
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity, scale_of, signed_text
from app.widgets.reading_entry import ReadingEntry
from app.widgets.tables import Column, DataTable
from core.plan.progress import planned_now, segment_at

_EVERY = 15_000
"""Milliseconds between looks at the clock."""
_LISTED = 500
"""Readings in the table; a controller that is read along brings tens of thousands."""


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
    recorded()
        A reading is in the book.
    failed(LehrkeeperError)
        It could not be written, for a reason that belongs to no box.
    reading_unwanted(datetime)
        A reading to be taken out again.
    finish_wanted()
        The run is over.
    mistake_told()
        The run was started by mistake and has no readings.
    repair_wanted()
        The night went wrong: how does it go on?
    """

    recorded = Signal()
    failed = Signal(object)
    reading_unwanted = Signal(object)
    finish_wanted = Signal()
    mistake_told = Signal()
    repair_wanted = Signal()
    _built = False

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._night: RunNight | None = None
        self._make_now()
        self.entry = ReadingEntry(studio, upright=True)
        self._make_readings()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 4, 0)
        column.setSpacing(8)
        entry = QWidget()
        inside = QVBoxLayout(entry)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(6)
        inside.addWidget(self._now_card)
        inside.addWidget(self.entry)
        column.addWidget(FormArea(entry))
        column.addWidget(self.table, 1)
        last = QHBoxLayout()
        last.addWidget(self.remove)
        last.addStretch(1)
        last.addWidget(self.repair)
        last.addWidget(self.mistake)
        column.addLayout(last)
        self.entry.recorded.connect(self.recorded)
        self.entry.failed.connect(self.failed)
        self._clock = QTimer(self)
        self._clock.setInterval(_EVERY)
        self._clock.timeout.connect(self.look_at_clock)
        self._clock.start()
        self._built = True
        self._tint()

    def _make_now(self) -> None:
        self._now_card = QFrame()
        set_role(self._now_card, "card")
        self._asked = Label(role="small")
        self.planned = Label(role="figure")
        self.segment = Label(role="muted", wrap=True)
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._asked)
        words.addWidget(self.segment)
        inside = QHBoxLayout(self._now_card)
        inside.setContentsMargins(12, 6, 12, 6)
        inside.setSpacing(12)
        inside.addWidget(self.planned)
        inside.addLayout(words, 1)

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
        self.repair = QPushButton("Repair the night…")
        set_role(self.repair, "quiet")
        self.repair.setToolTip("After a power cut or an opened door: how it goes on from now")
        self.repair.clicked.connect(self.repair_wanted)
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
        self._night = night
        self.entry.show_run(night.record)
        rows = _newest(night)
        self.table.set_rows(rows)
        self.mistake.setVisible(not rows)
        self.remove.setVisible(bool(rows))
        self.repair.setVisible(len(rows) > 1)
        self.look_at_clock()

    def set_units(self) -> None:
        """Show temperatures in the studio's units."""
        self.table.set_columns(self._columns())
        self.look_at_clock()

    def look_at_clock(self) -> None:
        """Bring the present up to date: the planned reading, and the time to be recorded."""
        now = self._studio.now()
        self.entry.follow_clock()
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

    def _remove(self) -> None:
        row = self.table.selected_row()
        if row is not None:
            self.entry.said.set_text("")
            self.reading_unwanted.emit(datetime.fromtimestamp(row.time, UTC))

    def _columns(self) -> list[Column]:
        units = self._studio.units
        degree = scale_of(Quantity.TEMPERATURE, units).symbol
        return [
            Column("Time", lambda r: weekday_clock(r.time, self._studio.zone)),
            Column(
                f"Actual {degree}",
                lambda r: format_quantity(Quantity.TEMPERATURE, r.kelvin, units, with_unit=False),
                numeric=True,
            ),
            Column(
                f"Off plan {degree}",
                lambda r: signed_text(
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


def _newest(night: RunNight) -> list[_Reading]:
    """The newest readings, the latest first; the log book has them all."""
    times = night.readings.time[-_LISTED:].tolist()
    kelvin = night.readings.temperature[-_LISTED:].tolist()
    off: list[float | None] = [None] * len(times)
    if night.comparison is not None:
        # NaN where the plan says nothing.
        off = [v if v == v else None for v in night.comparison.deviation[-_LISTED:].tolist()]  # noqa: PLR0124
    return [_Reading(*row) for row in zip(times, kelvin, off, strict=True)][::-1]
