"""The furnace's description fitted to its own log: how far it was off, and how sure that is."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np
from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QBoxLayout,
    QFileDialog,
    QFrame,
    QPushButton,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.furnace.busy_row import BusyRow
from app.furnace.kept_fit import keep_fit
from app.furnace.power_stretches import PowerStretches
from app.furnace.tall_enough import TallEnough
from app.plots.curves import CurveLine, LineRole
from app.plots.night_plot import NightPlot
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity, local_sentence, number_text
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.furnace.ledger import FurnaceReading, Pot
from core.melt.furnace_fit import FurnaceFit, fit_described
from core.melt.melt_task import MeltTask
from core.melt.power_log import COLUMNS, PowerLog, read_power_log, told_log
from core.units import UnitChoice

_FIT = "furnace fit"
_FILTER = "Logs (*.csv *.txt *.tsv);;All files (*)"
_FOLDER = "furnace/log folder"
_BESIDE = 960
_BACK = timedelta(days=60)
"""Older readings are of a furnace that has aged since."""
_MEANING = {
    "loss": "heat lost through the walls",
    "heat content": "heat the walls and the pot hold",
    "power": "power against the plate",
}


class FitView(QWidget):
    """A log, the power in it, the fit, and what is made of it.

    Signals
    -------
    description_wanted()
        A person wants to describe the furnace.
    """

    description_wanted = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._furnace = ""
        self._pot: Pot | None = None
        self._melt: MeltTask | None = None
        self._readings: tuple[FurnaceReading, ...] = ()
        self._file: PowerLog | None = None
        self._used: PowerLog | None = None
        self._fit: FurnaceFit | None = None
        self.banner = Banner()
        self.told = Label(role="muted", wrap=True)
        self.open = QPushButton("Open a log with power…")
        self.open.setToolTip(f"A CSV file with a line of headings: {COLUMNS}")
        self.stretches = PowerStretches(studio)
        self.glass = QuantityEdit(Quantity.MASS, units=studio.units, minimum=0.0, maximum=1e5)
        self.glass_field = Field("&Glass in the pot then", self.glass, name="glass_mass")
        self.work = BusyRow(studio, _FIT, "Fit")
        self.run = self.work.button
        self.verdict = Label("No fit yet", role="heading", wrap=True)
        self.remarks = Label(role="muted", wrap=True)
        self.table = DataTable(self._columns(), name="What the fit found")
        self.table.setFixedHeight(134)
        self.accept = QPushButton("Take it into the description")
        self.plot = NightPlot(
            units=studio.units,
            zone=studio.zone,
            name="The furnace as logged and as fitted",
            from_room=False,
        )
        self.empty = EmptyState(
            "This furnace is not described yet",
            "A fit starts from a description: its power, walls and pot.",
            action="Describe the furnace",
            icon="furnace",
        )
        self._lay_out()
        self.empty.acted.connect(self.description_wanted)
        self.open.clicked.connect(self._on_open)
        self.stretches.edited.connect(self._on_stretches)
        self.run.clicked.connect(self.start_fit)
        self.accept.clicked.connect(self.take_over)
        self._show_fit(None)

    def _lay_out(self) -> None:
        left = QFrame()
        set_role(left, "card")
        left.setMinimumWidth(372)
        entry = QVBoxLayout(left)
        entry.setContentsMargins(14, 10, 14, 10)
        entry.setSpacing(8)
        entry.addWidget(self.told)
        entry.addWidget(self.open, 0, Qt.AlignmentFlag.AlignLeft)
        entry.addWidget(self.stretches)
        entry.addWidget(self.glass_field)
        entry.addWidget(self.work)
        entry.addStretch(1)
        right = QVBoxLayout()
        right.setSpacing(6)
        right.addWidget(self.verdict)
        right.addWidget(self.table)
        right.addWidget(self.remarks)
        right.addWidget(self.accept, 0, Qt.AlignmentFlag.AlignLeft)
        self.plot.upper.setMinimumHeight(200)
        self.plot.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self.plot.setMinimumHeight(380)
        right.addWidget(self.plot, 1)
        self._work = TallEnough()
        self._both = QBoxLayout(QBoxLayout.Direction.LeftToRight, self._work)
        self._both.setContentsMargins(0, 0, 0, 0)
        self._both.setSpacing(14)
        self._both.addWidget(left)
        self._both.addLayout(right, 1)
        self._both.setAlignment(left, Qt.AlignmentFlag.AlignTop)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.empty)
        self.stack.addWidget(self._work)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.banner)
        column.addWidget(self.stack, 1)

    def arrange(self, width: int) -> None:
        """Put the log above its fit where there is little room [pixels]."""
        way = QBoxLayout.Direction
        wide = width >= _BESIDE
        self._both.setDirection(way.LeftToRight if wide else way.TopToBottom)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def fit(self) -> FurnaceFit | None:
        """The fit shown."""
        return self._fit

    def show_furnace(self, furnace: str, pot: Pot | None) -> None:
        """Read a furnace's description and readings."""
        book = self._studio.book
        try:
            melt = book.furnace_melt(furnace) if furnace else None
            since = self._studio.now() - _BACK
            readings = book.furnace_readings(furnace, since) if furnace else ()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        other = furnace != self._furnace
        self._furnace, self._pot, self._melt, self._readings = furnace, pot, melt, readings
        self.stack.setCurrentIndex(0 if melt is None else 1)
        if other:
            self._file = None
            self.stretches.clear()
            self.banner.clear()
            self._show_fit(None)
        if melt is not None and (other or self.glass.value_si is None):
            self.glass.set_value_si(round(melt.glass_mass, 1))
        if readings:
            self.stretches.begin_at(readings[0].time, readings[-1].time)
        self._tell_log()
        if self._fit is None:
            self._show_log()

    def _tell_log(self) -> None:
        if self._file is not None:
            hours = format_quantity(
                Quantity.HOURS, self._file.log.duration, self._studio.units, decimals=0
            )
            self.told.setText(f"A log of {len(self._file.log.time)} readings over {hours}.")
            self.stretches.hide()
            return
        self.stretches.show()
        self.told.setText(
            f"{len(self._readings)} temperatures of the last weeks are in the book. They tell only "
            "with the power that went in: open a log that has it, or tell it here, stretch by "
            "stretch (a cooling with the power off tells already)."
        )

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.glass.set_units(units)
        self.plot.set_units(units)

    def _columns(self) -> list[Column]:
        return [
            Column("", lambda one: _MEANING.get(one.name, one.name), stretch=True),
            Column("Times the description", lambda one: number_text(one.value, 2), numeric=True),
            Column(
                "Nine in ten",
                lambda one: (
                    f"{number_text(one.low, 2)}–{number_text(one.high, 2)}"
                    if one.determined
                    else "left open"
                ),
                numeric=True,
            ),
        ]

    def _show_fit(self, fit: FurnaceFit | None) -> None:
        self._fit = fit
        for widget in (self.table, self.accept):
            widget.setVisible(fit is not None)
        self.plot.show_deviation(fit is not None)
        if fit is None or self._used is None:
            self.verdict.setText("Not fitted yet")
            self.remarks.setText(
                "A fit finds by how much the walls lose, and hold, more or less heat than the "
                "description says, and how sure the log makes that."
            )
            self._show_log()
            return
        scatter = format_quantity(Quantity.INTERVAL, fit.scatter, self._studio.units)
        settled = "everything is settled" if fit.determined else "not everything is settled"
        self.verdict.setText(f"Log and fit differ by {scatter} on average: {settled}")
        self.table.set_rows(fit.parameters)
        self.remarks.setText(local_sentence(" ".join(fit.remarks)))
        self.accept.setEnabled(any(one.determined for one in fit.parameters))
        time = self._used.start.timestamp() + fit.time
        self.plot.show_night(
            [
                CurveLine("Fitted", time, fit.simulated, LineRole.PLAN),
                CurveLine("Logged", time, fit.logged, LineRole.FURNACE),
            ],
            deviation=CurveLine("Log less fit", time, np.subtract(fit.logged, fit.simulated)),
        )

    def _show_log(self) -> None:
        """Draw what there is to fit to."""
        if self._file is not None:
            time = self._file.start.timestamp() + self._file.log.time
            kelvin = self._file.log.temperature
        else:
            time = np.array([reading.time.timestamp() for reading in self._readings])
            kelvin = np.array([reading.temperature for reading in self._readings])
        lines = [CurveLine("Logged", time, kelvin, LineRole.FURNACE)] if len(time) else []
        self.plot.show_night(lines)

    # -- what a person does -----------------------------------------------------------------

    def _on_open(self) -> None:
        settings, melt = self._studio.settings, self._melt
        if melt is None:
            return
        folder = settings.text(_FOLDER)
        name, _ = QFileDialog.getOpenFileName(self, "Open a furnace's log", folder, _FILTER)
        if not name:
            return
        settings.set_text(_FOLDER, str(Path(name).parent))
        try:
            power = melt.furnace.source.power
            self._file = read_power_log(Path(name), power, self._studio.zone)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.banner.clear()
        self._tell_log()
        self._show_fit(None)

    def _on_stretches(self) -> None:
        self._file = None
        self._tell_log()

    def start_fit(self) -> None:
        """Fit the description to the log."""
        melt, pot = self._melt, self._pot
        if melt is None:
            return
        self.banner.clear()
        try:
            shape = self._studio.book.pot_shape(pot.name) if pot is not None else None
            task = melt if shape is None else replace(melt, pot=shape)
            used = self._file or told_log(
                self._readings, self.stretches.stretches, melt.furnace.source.power
            )
            glass = self.glass.require()
        except LehrkeeperError as error:
            if error.field == "glass_mass":
                self.glass_field.set_error(str(error))
            else:
                self.banner.tell_error(error)
            return
        self._used = used
        self._studio.jobs.submit(
            fit_described,
            task,
            used.log,
            glass,
            on_done=self._show_fit,
            on_failed=self.banner.tell_error,
            on_progress=self.work.tell,
            kind=_FIT,
            owner=self,
        )

    def take_over(self) -> None:
        """Put what the fit found into the description, and keep it for its trend."""
        fit, melt, used = self._fit, self._melt, self._used
        if fit is None or melt is None or used is None:
            return
        try:
            keep_fit(self._studio.book, self._furnace, self._pot, melt, fit, used)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._show_fit(None)
        self.banner.tell(
            Weight.GOOD, f"“{self._furnace}” is now reckoned as it was logged; the fit is kept."
        )
        self._studio.tell_changed("furnace")
