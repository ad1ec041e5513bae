"""What the furnace drew, stretch by stretch, as somebody knows it."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.studio import Studio
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.melt.power_log import PowerStretch


class PowerStretches(QWidget):
    """A list of stretches, each from a time to a time at a power.

    Signals
    -------
    edited()
        A stretch was added or removed.
    """

    edited = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._stretches: list[PowerStretch] = []
        self.table = DataTable(self._columns(), name="Power of the furnace, stretch by stretch")
        self.table.setFixedHeight(128)
        self.start = ClockEdit(zone=studio.zone, name="start", clock=studio.now)
        self.end = ClockEdit(zone=studio.zone, name="end", clock=studio.now)
        self.power = QuantityEdit(Quantity.PLAIN, units=studio.units, minimum=0.0, maximum=10_000.0)
        self.form = Form()
        self.form.add("start", "&From", self.start)
        self.form.add("end", "&To", self.end)
        self.form.add(
            "power", "Po&wer, kW", self.power, help_text="0 when off; energy read over hours"
        )
        self.add = QPushButton("Add stretch")
        self.remove = QPushButton("Remove")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.table)
        column.addWidget(self.form)
        row = QHBoxLayout()
        row.addWidget(self.add)
        row.addStretch(1)
        row.addWidget(self.remove)
        column.addLayout(row)
        self.table.row_selected.connect(lambda row: self.remove.setEnabled(row is not None))
        self.add.clicked.connect(self._on_add)
        self.power.returnPressed.connect(self._on_add)
        self.remove.clicked.connect(self._on_remove)
        self.remove.setEnabled(False)

    @property
    def stretches(self) -> tuple[PowerStretch, ...]:
        """As they stand."""
        return tuple(self._stretches)

    def begin_at(self, start: datetime, end: datetime) -> None:
        """Offer a span of time, unless stretches were told already."""
        if not self._stretches:
            self.start.set_moment(start)
            self.end.set_moment(end)

    def clear(self) -> None:
        """Forget all stretches."""
        self._stretches.clear()
        self.table.set_rows(())

    def _columns(self) -> list[Column]:
        studio = self._studio

        def clock(moment: datetime) -> str:
            return day_and_clock(moment, now=studio.now(), zone=studio.zone)

        return [
            Column("From", lambda one: clock(one.start)),
            Column("To", lambda one: clock(one.end), stretch=True),
            Column("kW", lambda one: number_text(one.power / 1000.0, 2, trim=True), numeric=True),
        ]

    def _on_add(self) -> None:
        self.form.clear_errors()
        try:
            made = PowerStretch(
                self.start.require(), self.end.require(), 1000.0 * self.power.require()
            )
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.form.field("power").set_error(str(error))
            return
        self._stretches.append(made)
        self._stretches.sort(key=lambda one: one.start)
        self.table.set_rows(self._stretches)
        last = self._stretches[-1]
        self.start.set_moment(last.end)
        self.end.set_moment(last.end + (last.end - last.start))
        self.power.set_value_si(None)
        self.edited.emit()

    def _on_remove(self) -> None:
        chosen = self.table.selected_row()
        if isinstance(chosen, PowerStretch):
            self._stretches.remove(chosen)
            self.table.set_rows(self._stretches)
            self.edited.emit()
