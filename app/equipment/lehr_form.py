"""A lehr and its controller, to be filled in and saved."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.equipment.cooling_card import CoolingCard
from app.equipment.wire_choice import WireChoice
from app.studio import Studio
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.equipment.lehr import CONTROLLER_LIMITS, LEHR_LIMITS, Controller, Entry, Lehr
from core.errors import LehrkeeperError
from core.units import TemperatureUnit, UnitChoice

_BESIDE = 690
"""From this width on the cooling stands beside the form, else below it."""
_NEW = Lehr("new", cooling_time_constant=4 * 3600.0)
"""Its defaults fill a new form; but its time constant is not shown, being nobody's."""


class LehrForm(QScrollArea):
    """All settings of one lehr.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.setWidgetResizable(True)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        units = studio.units

        def number(quantity: Quantity, name: str) -> QuantityEdit:
            low, high = LEHR_LIMITS[name]
            return QuantityEdit(quantity, units=units, minimum=low, maximum=high)

        self.name = QLineEdit()
        self.constant = number(Quantity.HOURS, "cooling_time_constant")
        self.ambient = number(Quantity.TEMPERATURE, "ambient")
        self.highest = number(Quantity.TEMPERATURE, "max_temperature")
        self.heating = number(Quantity.RATE, "max_heating_rate")
        self.offset = number(Quantity.INTERVAL, "thermocouple_offset")
        self.wire = WireChoice(studio)
        self.entry = ChoiceBox(
            [("Rate, target and hold", Entry.RATE), ("Target and time", Entry.TIME)]
        )
        self.unit = ChoiceBox([(unit.symbol, unit) for unit in TemperatureUnit])
        self.segments = QuantityEdit(Quantity.COUNT, minimum=1, maximum=99)
        self.step = QuantityEdit(Quantity.PLAIN, minimum=0.01, maximum=100)
        self.unsure = number(Quantity.INTERVAL, "thermocouple_error")
        self.uneven = number(Quantity.INTERVAL, "unevenness")

        def bound(quantity: Quantity, name: str) -> QuantityEdit:
            low, high, _ = CONTROLLER_LIMITS[name]
            return QuantityEdit(quantity, minimum=low, maximum=high, optional=True)

        self.slowest = bound(Quantity.PLAIN, "smallest_rate")
        self.fastest = bound(Quantity.PLAIN, "greatest_rate")
        self.longest = bound(Quantity.HOURS, "longest_segment")
        self.lehr_form = Form(columns=2)
        self.controller_form = Form(columns=2)
        self.cooling = CoolingCard(units)
        self._fill_forms()
        self._lay_out()
        self.cooling.measured.connect(self._use_measured)
        for box in (self.constant, self.ambient):
            box.value_changed.connect(lambda _: self._show_cooling())
        for box in (self.constant, self.ambient, self.highest, self.heating, self.offset,
                    self.segments, self.step, self.unsure, self.uneven, self.slowest,
                    self.fastest, self.longest):  # fmt: skip
            box.edited.connect(self.changed)
        self.name.textEdited.connect(lambda _: self.changed.emit())
        for choice in (self.entry, self.unit):
            choice.chosen.connect(lambda _: self._on_choice())
        self._loading = False

    def _fill_forms(self) -> None:
        add = self.lehr_form.add
        add("name", "&Name", self.name, span=2)
        add(
            "cooling_time_constant",
            "&Cooling time constant",
            self.constant,
            help_text="Power off: time to lose 63 % of its heat above the room. "
            "Not known? Measure it",
        )
        add("ambient", "&Room temperature", self.ambient)
        add("max_temperature", "&Highest temperature", self.highest, help_text="It may be set to")
        add("max_heating_rate", "Fastest h&eating", self.heating, help_text="It manages, loaded")
        add(
            "thermocouple_offset",
            "Rea&ds high by",
            self.offset,
            help_text="It shows 525, the glass is at 520: type 5",
        )
        self.wire_field = add("wire", "Thermocouple &wire", self.wire)
        self.wire_field.set_help(self.wire.words())
        self.wire.chosen.connect(lambda _: self.wire_field.set_help(self.wire.words()))
        add(
            "thermocouple_error",
            "Still &unsure by",
            self.unsure,
            help_text="Either way, once that is taken off",
        )
        add("unevenness", "Une&ven by", self.uneven, help_text="Hotter or cooler among the pieces")
        add = self.controller_form.add
        add("entry", "Segments &as", self.entry)
        add("unit", "Programmed &in", self.unit)
        add("max_segments", "&Most segments", self.segments, help_text="In one program")
        add("rate_step", "Smallest step of a rate", self.step, help_text="Degrees an hour")
        add("smallest_rate", "Smallest rate", self.slowest, help_text="Empty: its step")
        add("greatest_rate", "Greatest rate", self.fastest, help_text="Empty: no bound")
        add("longest_segment", "Longest segment", self.longest, help_text="Empty: no bound")

    def _lay_out(self) -> None:
        form = QFrame()
        set_role(form, "card")
        column = QVBoxLayout(form)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        controller = Label("Controller", role="heading")
        rule = QFrame()
        set_role(rule, "rule")
        for widget in (self.lehr_form, rule, controller, self.controller_form):
            column.addWidget(widget)
        column.addStretch(1)
        inside = QWidget()
        inside.setObjectName("page")
        self._parts = QBoxLayout(QBoxLayout.Direction.TopToBottom, inside)
        self._parts.setContentsMargins(0, 0, 0, 0)
        self._parts.setSpacing(12)
        self._parts.addWidget(form, 3)
        self._parts.addWidget(self.cooling, 2)
        self.setWidget(inside)

    # -- one lehr ---------------------------------------------------------------------------

    def show_lehr(self, lehr: Lehr | None) -> None:
        """Fill in a lehr, or make ready for a new one."""
        self._loading = True
        shown = lehr or _NEW
        self.name.setText(lehr.name if lehr else "")
        self.constant.set_value_si(lehr.cooling_time_constant if lehr else None)
        self.ambient.set_value_si(shown.ambient)
        self.highest.set_value_si(shown.max_temperature)
        self.heating.set_value_si(shown.max_heating_rate)
        self.offset.set_value_si(shown.thermocouple_offset)
        self.entry.set_value(shown.controller.entry)
        # A new controller most likely speaks the degrees the studio does.
        own = shown.controller.unit if lehr else self._studio.units.temperature
        self.unit.set_value(own)
        self.segments.set_value_si(shown.controller.max_segments)
        self.step.set_value_si(shown.controller.rate_step)
        self.unsure.set_value_si(shown.thermocouple_error)
        self.uneven.set_value_si(shown.unevenness)
        self.slowest.set_value_si(shown.controller.smallest_rate)
        self.fastest.set_value_si(shown.controller.greatest_rate)
        self.longest.set_value_si(shown.controller.longest_segment)
        for form in (self.lehr_form, self.controller_form):
            form.clear_errors()
        self.cooling.forget()
        self._show_cooling()
        self._loading = False
        self.verticalScrollBar().setValue(0)

    def lehr(self) -> Lehr:
        """The lehr as filled in.

        Raises
        ------
        LehrkeeperError
            If something is missing or impossible; ``field`` says what.
        """
        controller = Controller(
            entry=Entry(str(self.entry.value)),
            unit=TemperatureUnit(str(self.unit.value)),
            max_segments=round(self.segments.require()),
            rate_step=self.step.require(),
            smallest_rate=self.slowest.optional_value(),
            greatest_rate=self.fastest.optional_value(),
            longest_segment=self.longest.optional_value(),
        )
        return Lehr(
            name=self.name.text().strip(),
            cooling_time_constant=self.constant.require(),
            ambient=self.ambient.require(),
            max_heating_rate=self.heating.require(),
            max_temperature=self.highest.require(),
            thermocouple_offset=self.offset.require(),
            controller=controller,
            thermocouple_error=self.unsure.require(),
            unevenness=self.uneven.require(),
        )

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show it beside its field and scroll there; False when it belongs to none."""
        for form in (self.lehr_form, self.controller_form):
            if form.show_error(error):
                self.ensureWidgetVisible(form.field(error.field or ""))
                return True
        return False

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.lehr_form.set_units(units)
        self.wire_field.set_help(self.wire.words())
        self.cooling.set_units(units)

    def _on_choice(self) -> None:
        if not self._loading:
            self.changed.emit()

    def _use_measured(self, seconds: float) -> None:
        self.constant.set_value_si(seconds)
        self.ensureWidgetVisible(self.constant)
        self.changed.emit()

    def _show_cooling(self) -> None:
        constant, ambient = self.constant.value_si, self.ambient.value_si
        lehr = Lehr("shown", constant, ambient) if constant and ambient else None
        self.cooling.show_lehr(lehr, ambient)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the cooling beside the form where there is room."""
        super().resizeEvent(event)
        wide = self.viewport().width() >= _BESIDE
        direction = QBoxLayout.Direction
        self._parts.setDirection(direction.LeftToRight if wide else direction.TopToBottom)
