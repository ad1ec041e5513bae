"""What a furnace is built of and set to: entered, or taken from a melt file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import (
    QFileDialog,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.equipment.wall_sections import WallSections
from app.studio import Studio
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import FurnaceError, LehrkeeperError
from core.glass.glass import Glass
from core.glass.library import shipped_glasses
from core.melt.combustion import FuelGas
from core.melt.heat_source import ElectricElements, GasBurner, HeatSource
from core.melt.heating_curve import PotCare
from core.melt.melt_file import read_melt
from core.melt.melt_task import MeltProgramme, MeltTask
from core.melt.melt_writer import write_melt
from core.melt.melting_furnace import EnergyTerms, MeltingFurnace
from core.melt.usual_furnace import usual_melt
from core.units import UnitChoice

_FILTER = "Melt files (*.toml);;All files (*)"
_FOLDER = "melt/folder"
_ELECTRIC, _GAS = "elements", "burner"
_USUAL_GLASS = "harbour clear"


class FurnaceDescription(QFrame):
    """A furnace's source, opening, walls, temperatures and prices.

    Signals
    -------
    told(str)
        What was done.
    failed(object)
        The error, when it belongs to no field.
    """

    told = Signal(str)
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._studio = studio
        self._furnace = ""
        self._melt: MeltTask | None = None
        self.hint = Label(role="muted", wrap=True)
        self.begin = QPushButton("Begin with a usual furnace")
        self.load = QPushButton("Load a melt file…")
        self.write = QPushButton("Save as a melt file…")
        self.save = QPushButton("Save description")
        self.form = self._make_form()
        self.walls = WallSections(studio.units)
        self._lay_out()
        self.source.chosen.connect(lambda _: self._show_source())
        self.begin.clicked.connect(self._on_begin)
        self.load.clicked.connect(self._on_load)
        self.write.clicked.connect(self._on_write)
        self.save.clicked.connect(self.save_description)
        self.show_furnace("")

    def _make_form(self) -> Form:
        units = self._studio.units

        def number(low: float, high: float, *, optional: bool = False) -> QuantityEdit:
            return QuantityEdit(
                Quantity.PLAIN, units=units, minimum=low, maximum=high, optional=optional
            )

        def heat(*, optional: bool = False) -> QuantityEdit:
            return QuantityEdit(Quantity.TEMPERATURE, units=units, optional=optional)

        self.source = ChoiceBox([("Electric elements", _ELECTRIC), ("Gas burner", _GAS)])
        self.power = number(0.05, 5000.0)
        self.element_area = number(0.001, 50.0)
        self.max_temperature = heat()
        self.fuel = ChoiceBox([(fuel.value, fuel) for fuel in FuelGas])
        self.air_ratio = number(1.0, 3.0)
        self.opening = QuantityEdit(Quantity.LENGTH, units=units, minimum=0.0, maximum=3.0)
        self.at_night = QuantityEdit(Quantity.PERCENT, units=units, minimum=0.0, maximum=1.0)
        self.at_work = QuantityEdit(Quantity.PERCENT, units=units, minimum=0.0, maximum=1.0)
        self.melting, self.working, self.idle = heat(), heat(), heat(optional=True)
        self.pot_care = ChoiceBox([(care.value, care) for care in PotCare])
        self.ambient = heat()
        self.price = number(0.0, 1e4, optional=True)
        self.currency = QLineEdit()
        self.carbon_dioxide = number(0.0, 5.0, optional=True)
        form = Form(columns=3)
        add = form.add
        add("source", "&Heated by", self.source)
        add("power", "Po&wer, kW", self.power, help_text="As on the plate; of gas, net")
        add("area", "Element surface, m²", self.element_area)
        add("max_temperature", "Elements stand", self.max_temperature)
        add("fuel", "Fuel", self.fuel)
        add("air_ratio", "Air ratio", self.air_ratio, help_text="1.05 to 1.2 when well set")
        add("diameter", "&Opening, across", self.opening)
        add("open_at_night", "Open at night", self.at_night, help_text="What a loose door leaves")
        add("open_at_work", "Open at work", self.at_work)
        add("melting", "&Melting at", self.melting, help_text="As the thermocouple reads")
        add("working", "Wor&king at", self.working)
        add("idle", "&Idling at", self.idle, help_text="Empty: as for working")
        add("pot_care", "Pot heated as", self.pot_care)
        add("ambient", "Room", self.ambient)
        add("price", "Price of a kWh", self.price)
        add("currency", "Currency", self.currency)
        add("carbon_dioxide", "CO2 of a kWh, kg", self.carbon_dioxide, help_text="Empty: of gas")
        return form

    def _lay_out(self) -> None:
        files = QHBoxLayout()
        for button in (self.begin, self.load, self.write):
            files.addWidget(button)
        files.addStretch(1)
        self.body = QWidget()
        inside = QVBoxLayout(self.body)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(8)
        inside.addWidget(self.form)
        inside.addWidget(self.walls)
        row = QHBoxLayout()
        row.addWidget(self.save)
        row.addStretch(1)
        inside.addLayout(row)
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(8)
        column.addWidget(Label("What it is built of", role="heading"))
        column.addWidget(self.hint)
        column.addLayout(files)
        column.addWidget(self.body)

    # -- what is shown ----------------------------------------------------------------------

    def show_furnace(self, name: str) -> None:
        """Show a furnace's description, or how to begin one."""
        self._furnace = name
        self.setVisible(bool(name))
        melt = None
        if name:
            try:
                melt = self._studio.book.furnace_melt(name)
            except LehrkeeperError as error:
                self.failed.emit(error)
        self._show(melt)

    def _show(self, melt: MeltTask | None) -> None:
        self._melt = melt
        self.body.setVisible(melt is not None)
        self.write.setVisible(melt is not None)
        self.begin.setVisible(melt is None)
        self.hint.setText(
            "Nights are reckoned from this; a fit to the furnace's own log makes it true."
            if melt is not None
            else "Not described yet: a night's melt cannot be reckoned. Begin with a usual furnace "
            "of that size and change what differs, or load a melt file."
        )
        if melt is None:
            return
        self.form.clear_errors()
        furnace, source, programme = melt.furnace, melt.furnace.source, melt.programme
        electric = isinstance(source, ElectricElements)
        self.source.set_value(_ELECTRIC if electric else _GAS)
        self.power.set_value_si(source.power / 1000.0)
        elements = source if isinstance(source, ElectricElements) else ElectricElements(1000.0)
        self.element_area.set_value_si(elements.area)
        self.max_temperature.set_value_si(elements.max_temperature)
        burner = source if isinstance(source, GasBurner) else GasBurner(1000.0)
        self.fuel.set_value(burner.fuel)
        self.air_ratio.set_value_si(burner.air_ratio)
        self.opening.set_value_si(round(furnace.opening.diameter, 4))
        self.at_night.set_value_si(furnace.opening.open_at_night)
        self.at_work.set_value_si(furnace.opening.open_at_work)
        self.melting.set_value_si(programme.melting)
        self.working.set_value_si(programme.working)
        self.idle.set_value_si(programme.idle)
        self.pot_care.set_value(melt.pot_care)
        self.ambient.set_value_si(furnace.ambient)
        self.price.set_value_si(furnace.energy.price)
        self.currency.setText(furnace.energy.currency)
        self.carbon_dioxide.set_value_si(furnace.energy.carbon_dioxide)
        self.walls.show_sections(furnace.sections)
        self._show_source()

    def _show_source(self) -> None:
        electric = self.source.value == _ELECTRIC
        for name in ("area", "max_temperature"):
            self.form.field(name).setVisible(electric)
        for name in ("fuel", "air_ratio"):
            self.form.field(name).setVisible(not electric)

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.form.set_units(units)

    # -- reading ----------------------------------------------------------------------------

    def melt(self) -> MeltTask:
        """The description as filled in.

        Raises
        ------
        LehrkeeperError
            If something is missing or impossible.
        """
        before = self._melt
        if before is None:
            raise FurnaceError("The furnace is not described.", field="source")
        opening = before.furnace.opening
        across = self.opening.require()
        if abs(across - opening.diameter) > 5e-5:
            opening = opening.round_of(across)
        opening = replace(
            opening, open_at_night=self.at_night.require(), open_at_work=self.at_work.require()
        )
        furnace = MeltingFurnace(
            self._furnace,
            self._source(before.furnace.source),
            self.walls.sections,
            opening,
            self.ambient.require(),
            EnergyTerms(
                self.price.optional_value(),
                self.currency.text().strip() or "EUR",
                self.carbon_dioxide.optional_value(),
            ),
        )
        programme = MeltProgramme(
            self.melting.require(),
            self.working.require(),
            before.programme.within,
            self.idle.optional_value(),
        )
        care = PotCare(str(self.pot_care.value))
        return replace(before, furnace=furnace, programme=programme, pot_care=care)

    def _source(self, before: HeatSource) -> HeatSource:
        power = 1000.0 * self.power.require()
        if self.source.value == _ELECTRIC:
            usual = before if isinstance(before, ElectricElements) else ElectricElements(power)
            return replace(
                usual,
                power=power,
                area=self.element_area.require(),
                max_temperature=self.max_temperature.require(),
            )
        burner = before if isinstance(before, GasBurner) else GasBurner(power)
        return replace(
            burner,
            power=power,
            fuel=FuelGas(str(self.fuel.value)),
            air_ratio=self.air_ratio.require(),
        )

    # -- what a person does -----------------------------------------------------------------

    def save_description(self) -> None:
        """Keep what was filled in; what is wrong is shown beside its field."""
        self.form.clear_errors()
        try:
            melt = self.melt()
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.failed.emit(error)
            return
        self._keep(melt, f"Saved the description of “{self._furnace}”.")

    def _keep(self, melt: MeltTask, words: str) -> None:
        try:
            self._studio.book.save_furnace_melt(self._furnace, melt)
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        self._show(melt)
        self.told.emit(words)

    def _on_begin(self) -> None:
        book = self._studio.book
        try:
            pots, glasses = book.pots(self._furnace), book.glasses()
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        glass: Glass = next(
            (one for one in glasses if one.composition), shipped_glasses()[_USUAL_GLASS]
        )
        pot = pots[0].name if pots else "Pot"
        capacity = pots[0].capacity if pots else None
        usual = usual_melt(self._furnace, pot, glass, self._studio.now(), capacity)
        self._keep(usual, "A usual furnace stands there now: change what differs in yours.")

    def _on_load(self) -> None:
        settings = self._studio.settings
        folder = settings.text(_FOLDER)
        name, _ = QFileDialog.getOpenFileName(self, "Load a melt file", folder, _FILTER)
        if not name:
            return
        settings.set_text(_FOLDER, str(Path(name).parent))
        try:
            melt = read_melt(Path(name), self._studio.now())
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        named = replace(melt, furnace=replace(melt.furnace, name=self._furnace))
        self._keep(named, f"Loaded {Path(name).name}.")

    def _on_write(self) -> None:
        settings = self._studio.settings
        suggested = Path(settings.text(_FOLDER)) / "furnace.toml"
        name, _ = QFileDialog.getSaveFileName(self, "Save as melt file", str(suggested), _FILTER)
        if not name:
            return
        settings.set_text(_FOLDER, str(Path(name).parent))
        try:
            write_melt(Path(name), self.melt())
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.failed.emit(error)
            return
        self.told.emit(f"Saved {Path(name).name}.")
