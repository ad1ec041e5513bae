"""Which lehr, when the button is pressed, and when the pieces must be out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.theme import set_role
from app.tonight.reheat_form import ReheatForm
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.equipment.lehr import Lehr
from core.load.evening import usual_button_time
from core.load.load import Load
from core.load.reheating import Reheating
from core.units import ZERO_CELSIUS, UnitChoice

_HOTTEST = ZERO_CELSIUS + 1300.0


@dataclass(frozen=True)
class Hours:
    """What the panel holds; raises nothing, complete or not."""

    lehr: Lehr | None
    button_time: datetime
    out_by: datetime | None
    start_temperature: float | None


class HoursPanel(QWidget):
    """Lehr, button time, the hour they must be out, and the lehr's temperature at the start.

    Signals
    -------
    edited()
        Something was changed by hand.
    lehr_page_wanted()
        Somebody wants to see or change lehrs.
    """

    edited = Signal()
    lehr_page_wanted = Signal()

    def __init__(
        self,
        units: UnitChoice,
        zone: tzinfo | None,
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._zone = zone
        self._clock = clock
        self._lehrs: tuple[Lehr, ...] = ()
        self._showing = False
        self.form = Form(columns=1)
        self.lehr = ChoiceBox()
        self.button_time = ClockEdit(zone=zone, clock=clock)
        self.out_by = ClockEdit(zone=zone, optional=True, clock=clock)
        for box in (self.button_time, self.out_by):
            box.word.hide()  # the day is there; the panel is narrow
        self.start = QuantityEdit(
            Quantity.TEMPERATURE,
            units=units,
            minimum=ZERO_CELSIUS,
            maximum=_HOTTEST,
            optional=True,
        )
        self.form.add("lehr", "&Lehr", self.lehr)
        self.form.add(
            "button_time",
            "&Button pressed",
            self.button_time,
            help_text="When the lehr's program is started",
        )
        self.form.add(
            "out_by", "Must be &out by", self.out_by, help_text="Leave the time empty for no hurry"
        )
        self.aim = ChoiceBox(
            [("shortest safe night", False), ("safest that is ready by then", True)]
        )
        self.form.add("aim", "&Aim at the", self.aim)
        self.form.add(
            "start_temperature",
            "Lehr at &that time",
            self.start,
            help_text="Empty: at soak, or as cold as the room",
        )
        more = QPushButton("See or change the lehrs")
        set_role(more, "quiet")
        more.clicked.connect(self.lehr_page_wanted)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 2, 4, 0)
        column.setSpacing(4)
        self.reheat = ReheatForm(units)
        column.addWidget(self.form)
        column.addWidget(self.reheat)
        column.addWidget(more)
        column.addStretch(1)
        self.lehr.chosen.connect(self._on_edited)
        self.aim.chosen.connect(self._on_edited)
        for box in (self.button_time, self.out_by, self.start, self.reheat):
            box.edited.connect(self._on_edited)

    def set_lehrs(self, lehrs: Sequence[Lehr]) -> None:
        """Offer these lehrs, keeping the one chosen (by name)."""
        self._showing = True
        if self.button_time.moment is None:
            self.button_time.set_moment(usual_button_time(self._clock(), self._zone))
        self._lehrs = tuple(lehrs)
        self.lehr.set_choices([(lehr.name, lehr.name) for lehr in lehrs])
        self._showing = False

    def set_units(self, units: UnitChoice) -> None:
        """Show the temperature in other units."""
        self.form.set_units(units)
        self.reheat.set_units(units)

    def show_load(self, load: Load) -> None:
        """Show a load's hours; its lehr must be among those offered."""
        self._showing = True
        self.form.clear_errors()
        self.lehr.set_value(load.lehr.name)
        self.button_time.set_moment(load.button_time)
        self.out_by.set_moment(load.out_by)
        self.start.set_value_si(load.start_temperature)
        self.reheat.show_reheating(load.reheating)
        self._showing = False

    def choose(self, name: str) -> None:
        """Choose the lehr of that name, if there is one."""
        self._showing = True
        self.lehr.set_value(name)
        self._showing = False

    @property
    def chosen_lehr(self) -> Lehr | None:
        """The lehr chosen, ``None`` when there is none to choose."""
        return next((lehr for lehr in self._lehrs if lehr.name == self.lehr.value), None)

    def hours(self) -> Hours:
        """What is entered.

        Raises
        ------
        UnitError
            If a box holds something that cannot be read; it is shown beside the box as well.
        """
        return Hours(
            self.chosen_lehr,
            self.button_time.require(),
            self.out_by.optional_moment(),
            self.start.optional_value(),
        )

    def reheating(self) -> Reheating | None:
        """How a cold load is brought up, as entered; raises LehrkeeperError like :meth:`hours`."""
        return self.reheat.reheating()

    def summary(self) -> str:
        """The hours in a few words."""
        now = self._clock()

        def words(moment: datetime) -> str:
            text = day_and_clock(moment, now=now, zone=self._zone)
            return text.removeprefix("today ").removeprefix("tomorrow ")

        button, out_by = self.button_time.moment, self.out_by.moment
        times = [words(moment) for moment in (button, out_by) if moment is not None]
        return ", ".join([" to ".join(times), str(self.lehr.value or "no lehr")])

    def _on_edited(self, *_: object) -> None:
        if not self._showing:
            self.edited.emit()
