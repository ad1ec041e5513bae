"""Which glass each material makes, asked where nobody has told."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.furnace.words import mass_words
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.composition.parse import parse_composition
from core.errors import LehrkeeperError
from core.furnace.charged_glass import ChargedGlass
from core.melt.pot_ledger import LedgerMaterial
from core.units import UnitChoice

_ANALYSIS = "\0analysis"


class MaterialsPanel(QWidget):
    """The materials of a pot, and the answer to what each makes.

    Signals
    -------
    told(object)
        A ChargedGlass to be kept.
    """

    told = Signal(object)

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._pot = ""
        self._chosen: LedgerMaterial | None = None
        self.table = DataTable(self._columns(), name="Materials of this pot and what they make")
        self.table.setMinimumHeight(96)
        self.question = Label("Choose a material above.", role="muted", wrap=True)
        self.makes = ChoiceBox()
        self.analysis = QLineEdit()
        self.analysis.setPlaceholderText("SiO2 72, Na2O 14.5, CaO 10 …")
        self.glass_yield = QuantityEdit(Quantity.PERCENT, units=units, minimum=0.1, maximum=1.0)
        self.where = ChoiceBox([("This pot", True), ("Every pot", False)])
        self.form = Form(columns=3)
        self.form.add("glass", "It ma&kes", self.makes)
        self.form.add(
            "glass_yield", "&Yield", self.glass_yield, help_text="Glass from what is charged"
        )
        self.form.add("pot", "&In", self.where)
        self.form.add("composition", "Ana&lysis, wt%", self.analysis, span=3)
        self.save = QPushButton("Keep this answer")
        self.form.setEnabled(False)
        self.save.setEnabled(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(self.table, 1)
        column.addWidget(self.question)
        column.addWidget(self.form)
        row = QHBoxLayout()
        row.addWidget(self.save)
        row.addStretch(1)
        column.addLayout(row)
        self.table.row_selected.connect(self._on_row)
        self.makes.chosen.connect(self._on_makes)
        self.save.clicked.connect(self._on_save)
        self.analysis.returnPressed.connect(self._on_save)
        self.glass_yield.returnPressed.connect(self._on_save)
        self._on_makes(None)

    def set_units(self, units: UnitChoice) -> None:
        """Show other units."""
        self._units = units
        self.table.set_columns(self._columns())

    def show_materials(
        self, pot: str, materials: Sequence[LedgerMaterial], glasses: Sequence[str]
    ) -> None:
        """List the materials of a pot; ``glasses`` are offered as answers."""
        self._pot = pot
        names = sorted(set(glasses), key=str.casefold)
        choices = [(name, name) for name in names]
        self.makes.set_choices([*choices, ("an analysis of its own …", _ANALYSIS)])
        before = self._chosen
        self.table.set_rows(materials)
        unknown = [row for row in materials if not row.makes]
        kept = [row for row in materials if before is not None and row.name == before.name]
        first = unknown[0] if unknown else kept[0] if kept else None
        self._show(first)
        if first is not None:
            self.table.select(first)

    def ask_first(self) -> None:
        """Go to the question."""
        self.makes.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show(self, material: LedgerMaterial | None) -> None:
        self._chosen = material
        self.form.setEnabled(material is not None)
        self.save.setEnabled(material is not None)
        self.form.clear_errors()
        if material is None:
            self.question.setText("Choose a material above.")
            return
        self.question.setText(
            f"“{material.name}” makes {material.makes}."
            if material.makes
            else f"Which glass does “{material.name}” make in the pot?"
        )
        answer = material.answer
        self.glass_yield.set_value_si(material.glass_yield)
        self.where.set_value(answer is None or bool(answer.pot))
        if answer is not None and not isinstance(answer.glass, str):
            self.makes.set_value(_ANALYSIS)
            self.analysis.setText(answer.glass.to_text())
        elif material.makes:
            self.makes.set_value(answer.glass if answer is not None else material.makes)

    def _on_row(self, row: object) -> None:
        if isinstance(row, LedgerMaterial):
            self._show(row)

    def _on_makes(self, _: object) -> None:
        self.form.field("composition").setVisible(self.makes.value == _ANALYSIS)

    def _on_save(self) -> None:
        material = self._chosen
        if material is None:
            return
        try:
            own = self.makes.value == _ANALYSIS
            glass = parse_composition(self.analysis.text()) if own else str(self.makes.value)
            since: datetime | None = None if material.answer is None else material.answer.since
            answer = ChargedGlass(
                material.name,
                glass,
                self.glass_yield.require(),
                pot=self._pot if self.where.value else "",
                since=since,
            )
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.form.field("composition" if own else "glass").set_error(str(error))
            return
        self.told.emit(answer)

    def _columns(self) -> list[Column]:
        return [
            Column("Material", lambda row: row.name, stretch=True),
            Column("Makes", lambda row: row.makes or "not told yet", stretch=True),
            Column(
                "Yield",
                lambda row: f"{number_text(100.0 * row.glass_yield, 0)} %" if row.makes else "",
                numeric=True,
                gives_way=1,
            ),
            Column("Charged", lambda row: mass_words(row.mass, self._units), numeric=True),
        ]
