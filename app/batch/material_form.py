"""Everything that is entered of a raw material."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QFrame,
    QGridLayout,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.widgets.card import card
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field, Form
from app.widgets.label import Label
from app.widgets.number_grid import NumberColumn, NumberGrid, NumberRows
from app.widgets.quantity import Quantity, entry_text, local_sentence, number_text, read_quantity
from app.widgets.quantity_edit import QuantityEdit
from core.batch.formula import GAS_MOLAR_MASS
from core.batch.material import About, Hazard, Material, Use
from core.batch.material_text import analysis_percent, analysis_words, yields_words
from core.batch.safety import DEFER, safety_line
from core.errors import BatchError, LehrkeeperError
from core.units import UnitChoice

_HAZARDS = {
    Hazard.SILICA: "respirable silica",
    Hazard.LEAD: "lead",
    Hazard.TOXIC: "poisonous",
    Hazard.ALKALI: "alkali",
    Hazard.NITRATE: "nitrate, oxidiser",
    Hazard.SULPHATE: "sulphate",
    Hazard.FUME: "fume",
    Hazard.DUST: "dust",
}
_BY_FORMULA, _BY_ANALYSIS = "formula", "analysis"


class MaterialForm(QScrollArea):
    """The form beside the list of materials.

    Signals
    -------
    changed()
        A person changed something.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self._make_head()
        self._make_chemistry(units)
        self._make_shelf(units)
        hazards = self._make_hazards()
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 10, 4)
        column.setSpacing(12)
        column.addWidget(card(None, self.head))
        column.addWidget(card("What it is", self.chemistry, self.leaves))
        column.addWidget(card("On the shelf", self.shelf))
        column.addWidget(card("Hazards", hazards, self.about, self.safety))
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self._connect()
        self._show_kind()

    def _make_head(self) -> None:
        self.name = QLineEdit()
        self.use = ChoiceBox(
            [("whenever the glass needs it", Use.BASE), ("only as an addition", Use.ADDITION)]
        )
        self.head = Form(columns=2)
        self.head.add("name", "&Name", self.name)
        self.head.add("use", "Comes into a batch", self.use)

    def _make_chemistry(self, units: UnitChoice) -> None:
        self.known_by = ChoiceBox(
            [("its formula (a pure compound)", _BY_FORMULA), ("its analysis", _BY_ANALYSIS)]
        )
        self.formula = QLineEdit()
        self.formula.setPlaceholderText("Na2CO3")
        self.analysis = QLineEdit()
        self.analysis.setPlaceholderText("SiO2 99.4, Al2O3 0.25, Fe2O3 0.03")
        self.loss = QuantityEdit(Quantity.PERCENT, units=units, minimum=0.0, maximum=1.0, value=0.0)
        self.gas_rows = NumberRows(
            "Gas",
            [
                NumberColumn(
                    "% of the loss",
                    lambda text: read_quantity(text, Quantity.PERCENT, UnitChoice()),
                    lambda value: entry_text(Quantity.PERCENT, value, UnitChoice()),
                )
            ],
        )
        self.gas_rows.set_names(list(GAS_MOLAR_MASS))
        self.gases = NumberGrid(self.gas_rows, name="gases")
        self.chemistry = Form(columns=1)
        self.chemistry.add("known_by", "Known by", self.known_by)
        self.chemistry.add("formula", "Fo&rmula", self.formula)
        self.chemistry.add(
            "oxides",
            "&Oxides, wt% of the dry material",
            self.analysis,
            help_text="With the loss on ignition they add up to 100",
        )
        self.chemistry.add("loss", "&Loss on ignition", self.loss)
        self.chemistry.add(
            "gases", "What the loss is", self.gases, help_text="What is left out is not stated"
        )
        self.leaves = Label(role="small", wrap=True)

    def _make_shelf(self, units: UnitChoice) -> None:
        self.moisture = QuantityEdit(
            Quantity.PERCENT, units=units, minimum=0.0, maximum=0.9, value=0.0
        )
        self.price = QuantityEdit(Quantity.PLAIN, units=units, minimum=0.0, optional=True)
        self.stock = QuantityEdit(Quantity.MASS, units=units, minimum=0.0, optional=True)
        self.shelf = Form(columns=3)
        self.shelf.add("moisture", "&Moisture", self.moisture, help_text="As weighed")
        self.shelf.add("price", "&Price per kg", self.price, help_text="Empty: not known")
        self.shelf.add("stock", "S&tock", self.stock, help_text="Empty: no limit")

    def _make_hazards(self) -> QWidget:
        self.hazards = {hazard: QCheckBox(text) for hazard, text in _HAZARDS.items()}
        ticks = QWidget()
        grid = QGridLayout(ticks)
        grid.setContentsMargins(0, 0, 0, 0)
        for number, box in enumerate(self.hazards.values()):
            grid.addWidget(box, number // 2, number % 2)
        self.hazard = QLineEdit()
        self.note = QLineEdit()
        self.source = QLineEdit()
        self.about = Form(columns=1)
        self.about.add("hazard", "Remark on the hazard", self.hazard)
        self.about.add("note", "Note", self.note)
        self.about.add("source", "Where the analysis is from", self.source)
        self.safety = Label(role="small", wrap=True)
        return ticks

    def _connect(self) -> None:
        for edit in (self.name, self.formula, self.analysis, self.hazard, self.note, self.source):
            edit.textEdited.connect(self._on_edited)
        for box in (self.loss, self.moisture, self.price, self.stock):
            box.edited.connect(self._on_edited)
        self.gases.edited.connect(self._on_edited)
        for tick in self.hazards.values():
            tick.toggled.connect(self._on_edited)
        self.use.chosen.connect(self._on_edited)
        self.known_by.chosen.connect(self._on_kind)

    # -- value ------------------------------------------------------------------------------

    def show_material(self, material: Material | None) -> None:
        """Show a material (an empty form for ``None``), without a signal."""
        blocked = QSignalBlocker(self)
        self._filling = True
        for form in (self.head, self.chemistry, self.shelf, self.about):
            form.clear_errors()
        there = material is not None
        self.name.setText(material.name if there else "")
        self.use.set_value(material.use if there else Use.BASE)
        by_formula = not there or bool(material.formula)
        self.known_by.set_value(_BY_FORMULA if by_formula else _BY_ANALYSIS)
        self.formula.setText(material.formula if there else "")
        percent = analysis_percent(material) if there and not by_formula else None
        self.analysis.setText(_oxides_text(percent.oxides) if percent else "")
        self.loss.set_value_si(percent.loss / 100.0 if percent else 0.0)
        self.gas_rows.set_values(
            0, {gas: share / 100.0 for gas, share in percent.gases.items()} if percent else {}
        )
        self.moisture.set_value_si(material.moisture if there else 0.0)
        self.price.set_value_si(material.price if there else None)
        self.stock.set_value_si(material.stock if there else None)
        for hazard, box in self.hazards.items():
            box.setChecked(there and hazard in material.hazards)
        self.hazard.setText(material.hazard if there else "")
        self.note.setText(material.note if there else "")
        self.source.setText(material.source if there else "")
        for edit in (self.name, self.analysis, self.hazard, self.note, self.source):
            edit.setCursorPosition(0)
        self.verticalScrollBar().setValue(0)
        self._filling = False
        self._show_kind()
        self._tell_what_follows()
        blocked.unblock()

    def material(self) -> Material:
        """The material as entered.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault.
        """
        use = self.use.value
        about: About = {
            "moisture": self.moisture.require(),
            "use": use if isinstance(use, Use) else Use.BASE,
            "price": self.price.optional_value(),
            "stock": self.stock.optional_value(),
            "hazards": tuple(h for h, box in self.hazards.items() if box.isChecked()),
            "hazard": self.hazard.text().strip(),
            "note": self.note.text().strip(),
            "source": self.source.text().strip(),
        }
        name = self.name.text().strip()
        if not name:
            raise BatchError("The material has no name.", field="name", remedy="Give it one.")
        if self.known_by.value == _BY_FORMULA:
            if not self.formula.text().strip():
                raise BatchError(
                    "The formula is missing.",
                    field="formula",
                    remedy="Write it such as Na2CO3, or give the analysis.",
                )
            return Material.from_formula(name, self.formula.text(), **about)
        if self.gas_rows.problem:
            raise BatchError(self.gas_rows.problem, field="gases")
        gases = {gas: 100.0 * share for gas, share in self.gas_rows.typed_values(0).items()}
        percent = analysis_words(self.analysis.text())
        return Material.from_analysis(name, percent, 100.0 * self.loss.require(), gases, **about)

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        for form in (self.chemistry, self.shelf):
            form.set_units(units)

    def set_currency(self, currency: str) -> None:
        """Say in which currency the price is."""
        told = f"In {currency}; empty: not known" if currency else "Empty: not known"
        self.shelf.field("price").set_help(told)

    # -- errors -----------------------------------------------------------------------------

    def tell(self, error: LehrkeeperError) -> bool:
        """Show an error beside the input it names and go there; False when it names none."""
        name = error.field or ""
        fields: dict[str, Field] = {}
        for form in (self.head, self.chemistry, self.shelf, self.about):
            fields |= form.fields
        field = fields.get(name)
        if field is None and name in GAS_MOLAR_MASS:
            field = fields["gases"]
        elif field is None and name:
            field = fields["oxides" if self.known_by.value == _BY_ANALYSIS else "formula"]
        if field is None:
            return False
        field.set_error(str(error))
        field.editor.setFocus(Qt.FocusReason.OtherFocusReason)
        self.ensureWidgetVisible(field)
        return True

    # -- while typing -----------------------------------------------------------------------

    def _on_kind(self, _: object) -> None:
        self._show_kind()
        self._on_edited()

    def _show_kind(self) -> None:
        by_formula = self.known_by.value == _BY_FORMULA
        self.chemistry.field("formula").setVisible(by_formula)
        for name in ("oxides", "loss", "gases"):
            self.chemistry.field(name).setVisible(not by_formula)

    def _on_edited(self, *_: object) -> None:
        if not self._filling:
            self._tell_what_follows()
            self.changed.emit()

    def _tell_what_follows(self) -> None:
        """Say what the material leaves and what to mind, as soon as it can be read."""
        try:
            material = self._readable()
        except LehrkeeperError:
            self.leaves.setText("")
            self.safety.setText("")
            return
        told = [yields_words(material), *material.warnings]
        self.leaves.setText(local_sentence("\n".join(told)))
        self.safety.setText(f"{safety_line(material) or 'No hazard is named.'} {DEFER}")

    def _readable(self) -> Material:
        """The material with what is not yet entered left open; touches no field."""
        hazards = tuple(h for h, box in self.hazards.items() if box.isChecked())
        about: About = {"hazards": hazards, "hazard": self.hazard.text().strip()}
        if self.moisture.value_si is not None:
            about["moisture"] = self.moisture.value_si
        use = self.use.value
        about["use"] = use if isinstance(use, Use) else Use.BASE
        name = self.name.text().strip() or "this material"
        if self.known_by.value == _BY_FORMULA:
            return Material.from_formula(name, self.formula.text(), **about)
        loss = self.loss.value_si or 0.0
        gases = {gas: 100.0 * share for gas, share in self.gas_rows.typed_values(0).items()}
        percent = analysis_words(self.analysis.text())
        return Material.from_analysis(name, percent, 100.0 * loss, gases, **about)


def _oxides_text(oxides: Mapping[str, float]) -> str:
    return local_sentence(
        "; ".join(f"{o} {number_text(p, 4, trim=True)}" for o, p in oxides.items())
    )
