"""What is wanted of tonight's melt, and where it starts from."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime, timedelta

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.furnace.words import mass_words
from app.local_time import read_clock
from app.studio import Studio
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import FurnaceError, LehrkeeperError
from core.melt.charging_hours import ClosedHours
from core.melt.melt_task import MeltTask
from core.melt.tonight_melt import TonightWish
from core.units import UnitChoice

_SPAN = re.compile(r"\s*(\S+?)\s*(?:-|–|to)\s*(\S+)\s*")


class MeltForm(QWidget):
    """The wishes of one night.

    Signals
    -------
    wanted()
        Enter was pressed.
    pot_chosen(str)
        Another pot was chosen.
    """

    wanted = Signal()
    pot_chosen = Signal(str)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        units, zone = studio.units, studio.zone

        def clock(name: str, *, optional: bool = True) -> ClockEdit:
            return ClockEdit(zone=zone, optional=optional, name=name, clock=studio.now)

        self.pot = ChoiceBox()
        self.material = ChoiceBox()
        self.to = QuantityEdit(Quantity.MASS, units=units, minimum=0.1, maximum=1e5, optional=True)
        self.largest = QuantityEdit(
            Quantity.MASS, units=units, minimum=0.1, maximum=1e4, optional=True
        )
        self.workable_by = clock("workable_by")
        self.attended_until = clock("attended_until")
        self.closed = QLineEdit()
        self.closed.setPlaceholderText("00:30–06:00")
        self.start = clock("start", optional=False)
        self.furnace_temperature = QuantityEdit(
            Quantity.TEMPERATURE, units=units, minimum=243.15, maximum=1973.15, optional=True
        )
        self.glass_mass = QuantityEdit(Quantity.MASS, units=units, minimum=0.0, maximum=1e5)
        self.form = Form(columns=2)
        add = self.form.add
        add("pot", "&Pot", self.pot)
        add("to", "&Fill to", self.to)
        add("material", "&Charge", self.material, span=2)
        add("workable_by", "&Workable by", self.workable_by, span=2)
        add("largest", "&Largest charge", self.largest, help_text="What one shovels at a time")
        add("closed", "&No charges", self.closed, help_text="Between these hours")
        add("attended_until", "Last charge &by", self.attended_until, span=2)
        add("start", "&From", self.start, span=2)
        add(
            "furnace_temperature",
            "F&urnace then at",
            self.furnace_temperature,
            help_text="Empty: cold",
        )
        add("glass_mass", "&Glass in the pot", self.glass_mass)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.form)
        column.addStretch(1)
        self.pot.chosen.connect(lambda name: self.pot_chosen.emit(str(name or "")))
        for box in (self.to, self.largest, self.furnace_temperature, self.glass_mass, self.closed):
            box.returnPressed.connect(self.wanted)

    # -- filling in -------------------------------------------------------------------------

    def show_task(self, task: MeltTask, capacity: float | None) -> None:
        """Fill in the wishes of a night, moved on to the present where they are past."""
        fill, now = task.fill, self._studio.now()
        if fill is not None:
            self.material.set_value(fill.material)
            self.to.set_value_si(fill.to)
            self.largest.set_value_si(fill.largest)
            self.closed.setText(", ".join(f"{h.start:%H:%M}–{h.end:%H:%M}" for h in fill.closed))
            self.attended_until.set_moment(_moved(fill.attended_until, now))
        self.workable_by.set_moment(_moved(task.workable_by, now))
        full = "" if capacity is None else f", {mass_words(capacity, self._studio.units)}"
        self.form.field("to").set_help(f"Empty: full{full}")

    def set_pots(self, names: Sequence[str], chosen: str) -> None:
        """Offer these pots, without a signal."""
        self.pot.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.pot.set_choices([(name, name) for name in names])
        self.pot.set_value(chosen)
        self.pot.blockSignals(False)  # noqa: FBT003

    def set_materials(self, names: Sequence[str]) -> None:
        """Offer these materials."""
        self.material.set_choices([(name, name) for name in names])

    def set_start(
        self, start: datetime, temperature: float | None, glass_mass: float | None
    ) -> None:
        """Fill in where the night starts from."""
        self.start.set_moment(start)
        self.furnace_temperature.set_value_si(temperature)
        self.set_held(glass_mass)

    def set_held(self, mass: float | None) -> None:
        """Fill in what is in the pot [kg], as a scale would tell it."""
        self.glass_mass.set_value_si(None if mass is None else round(mass, 1))

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.form.set_units(units)

    # -- reading ----------------------------------------------------------------------------

    def wish(self) -> TonightWish:
        """What was filled in.

        Raises
        ------
        LehrkeeperError
            If something is missing or impossible.
        """
        self.form.clear_errors()
        return TonightWish(
            start=self.start.require(),
            furnace_temperature=self.furnace_temperature.optional_value(),
            glass_mass=self.glass_mass.require(),
            material=str(self.material.value or ""),
            to=self.to.optional_value(),
            largest=self.largest.optional_value(),
            workable_by=self.workable_by.optional_moment(),
            attended_until=self.attended_until.optional_moment(),
            closed=self._closed_hours(),
        )

    def _closed_hours(self) -> tuple[ClosedHours, ...]:
        found = []
        for part in filter(str.strip, re.split("[,;]", self.closed.text())):
            match = _SPAN.fullmatch(part)
            if match is None:
                raise FurnaceError(
                    f"“{part.strip()}” is not a span of hours.",
                    field="closed",
                    remedy="Write such as 00:30–06:00.",
                )
            start, end = (read_clock(text, field="closed") for text in match.groups())
            found.append(ClosedHours(start, end, self._studio.zone))
        return tuple(found)

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside its field; False when it belongs to none."""
        return self.form.show_error(error)


def _moved(moment: datetime | None, now: datetime) -> datetime | None:
    """The same clock time, the next time it comes."""
    while moment is not None and moment <= now:
        moment += timedelta(days=max(1, (now - moment).days))
    return moment
