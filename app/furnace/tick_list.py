"""Tonight's list of charges: ticked off as they are made, late ones marked."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.furnace.words import mass_words
from app.local_time import clock_text, day_and_clock
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.furnace.charge_due import Due, charge_due
from core.furnace.charged import require_happened
from core.store.book import ChargeListRecord, PlannedChargeRecord
from core.units import UnitChoice, format_duration

_LATE = 300.0
"""[s] From which a charge that was made is said to have been late."""
_ICONS = {Due.DONE: "good", Due.LATE: "problem", Due.DUE: "caution", Due.TO_COME: "information"}


class TickList(QWidget):
    """The lines of one list, with time and mass of the line to be ticked off.

    Signals
    -------
    written()
        A line was ticked off or taken back.
    failed(object)
        The error, when it belongs to no field.
    replan_wanted()
        The rest shall be planned anew from now.
    """

    written = Signal()
    failed = Signal(object)
    replan_wanted = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._list: ChargeListRecord | None = None
        self._charged: dict[int, datetime] = {}
        self._follows_now = True
        self.heading = Label("Tonight's charges", role="heading")
        self.told = Label(role="muted")
        self.table = DataTable(self._columns(), name="Tonight's charges, to be ticked off")
        self.table.setMinimumHeight(140)
        self.time = ClockEdit(zone=studio.zone, name="time", clock=studio.now)
        self.mass = QuantityEdit(Quantity.MASS, units=studio.units, minimum=0.001, maximum=1e4)
        self.fields = {
            "time": Field("C&harged at", self.time, name="time"),
            "mass": Field("&Mass", self.mass, name="mass"),
        }
        self.tick = QPushButton("Tick off")
        self.tick.setToolTip("Log this charge in the pot's ledger")
        self.back = QPushButton("Take back")
        self.back.setToolTip("Take the tick and its charge out of the ledger again")
        self.replan = QPushButton("Plan the rest")
        self.replan.setToolTip("Plan what is still to be charged anew from now on")
        self._lay_out()
        self.table.row_selected.connect(self._on_row)
        self.time.edited.connect(self._on_time)
        self.tick.clicked.connect(self.tick_off)
        self.mass.returnPressed.connect(self.tick_off)
        self.back.clicked.connect(self.take_back)
        self.replan.clicked.connect(self.replan_wanted)
        self._built = True
        self._show_buttons()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.addWidget(self.heading)
        self.told.setMinimumWidth(60)
        head.addWidget(self.told, 1)
        head.addWidget(self.back)
        head.addWidget(self.replan)
        top = Qt.AlignmentFlag.AlignTop
        self._entry = entry = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        entry.setSpacing(10)
        entry.addWidget(self.fields["time"], 3, top)
        last = QHBoxLayout()
        last.setSpacing(10)
        last.addWidget(self.fields["mass"], 1, top)
        beside = QVBoxLayout()
        beside.setContentsMargins(0, self.fields["mass"].label.sizeHint().height() + 3, 0, 0)
        beside.addWidget(self.tick)
        beside.addStretch(1)
        for field in self.fields.values():  # else a wrapped line below would be cut off
            field.setMinimumHeight(field.sizeHint().height())
        last.addLayout(beside)
        entry.addLayout(last, 2)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(head)
        column.addWidget(self.table, 1)
        column.addLayout(entry)

    def arrange(self, *, wide: bool) -> None:
        """Put the mass below the time where there is little room."""
        way = QBoxLayout.Direction
        self._entry.setDirection(way.LeftToRight if wide else way.TopToBottom)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def lines(self) -> tuple[PlannedChargeRecord, ...]:
        """The lines shown."""
        return self._list.items if self._list is not None else ()

    def show_list(
        self, charge_list: ChargeListRecord | None, charged: Mapping[int, datetime]
    ) -> None:
        """Show a list; ``charged``: times of the charges made, by their number."""
        self._list, self._charged = charge_list, dict(charged)
        self.setVisible(charge_list is not None)
        self.table.set_rows(self.lines)
        first = next((line for line in self.lines if not line.done), None)
        if first is not None:
            self.table.select(first)
        self._show(first)
        self.look_at_clock()

    def look_at_clock(self) -> None:
        """Say anew which lines are due or late."""
        states = [self._due(line).due for line in self.lines]
        done, late = states.count(Due.DONE), states.count(Due.LATE)
        words = f"{done} of {len(states)} made"
        if late:
            words += f", {late} late"
        self.told.setText(words if states else "")
        set_role(self.told, "late" if late else "muted")
        self.table.viewport().update()
        if self._follows_now and self.tick.isEnabled():
            self.time.set_moment(self._studio.now())

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.mass.set_units(units)
        self.table.set_columns(self._columns())

    def _due(self, line: PlannedChargeRecord) -> object:
        made = self._charged.get(line.charge_id) if line.charge_id is not None else None
        return charge_due(line.planned.time, self._studio.now(), made)

    def _state_words(self, line: PlannedChargeRecord) -> str:
        due = self._due(line)
        if due.due is Due.DONE:
            made = f"made {clock_text(self._charged[line.charge_id], self._studio.zone)}"
            return f"{made}, {format_duration(due.late)} late" if due.late > _LATE else made
        span = format_duration(abs(due.late))
        if due.due is Due.LATE:
            return f"{span} late"
        return f"due in {span}" if due.late < 0 else "due now"

    def _columns(self) -> list[Column]:
        studio = self._studio

        def icon(line: PlannedChargeRecord) -> QIcon:
            theme = theme_of(self)
            name = _ICONS[self._due(line).due]
            return themed_icon(name, theme, getattr(theme, name))

        return [
            Column(
                "When",
                lambda line: day_and_clock(line.planned.time, now=studio.now(), zone=studio.zone),
                icon=icon,
            ),
            Column("Material", lambda line: line.planned.material, stretch=True),
            Column("Mass", lambda line: mass_words(line.planned.mass, studio.units), numeric=True),
            Column("", self._state_words),
        ]

    # -- what a person does -----------------------------------------------------------------

    def _on_time(self) -> None:
        self._follows_now = False

    def _on_row(self, row: object) -> None:
        self._show(row if isinstance(row, PlannedChargeRecord) else None)

    def _show(self, line: PlannedChargeRecord | None) -> None:
        if line is not None and not line.done:
            self._follows_now = True
            self.time.set_moment(self._studio.now())
            self.mass.set_value_si(line.planned.mass)
        for field in self.fields.values():
            field.clear_error()
        self._show_buttons()

    def _show_buttons(self) -> None:
        line = self.table.selected_row()
        open_line = isinstance(line, PlannedChargeRecord) and not line.done
        self.tick.setEnabled(open_line)
        self.back.setEnabled(isinstance(line, PlannedChargeRecord) and line.done)
        for field in self.fields.values():
            field.setEnabled(open_line)
        self.replan.setEnabled(any(not line.done for line in self.lines))

    def tick_off(self) -> None:
        """Log the chosen line as a charge, with the time and mass filled in."""
        line = self.table.selected_row()
        if not isinstance(line, PlannedChargeRecord) or line.done:
            return

        def write() -> None:
            now = self._studio.now()
            moment = now.replace(microsecond=0) if self._follows_now else self.time.require()
            require_happened(moment, now)
            self._studio.book.tick_charge(line.id, moment, mass=self.mass.require(), ticked_at=now)

        self._write(write)

    def take_back(self) -> None:
        """Take the chosen line's tick back."""
        line = self.table.selected_row()
        if isinstance(line, PlannedChargeRecord) and line.done:
            self._write(lambda: self._studio.book.untick_charge(line.id, now=self._studio.now()))

    def _write(self, write: Callable[[], object]) -> None:
        try:
            write()
        except LehrkeeperError as error:
            field = self.fields.get(error.field or "")
            if field is None or not field.isEnabled():
                self.failed.emit(error)
            else:
                field.set_error(str(error))
            return
        self.written.emit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.table.viewport().update()
