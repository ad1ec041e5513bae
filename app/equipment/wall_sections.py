"""The walls of a furnace, section by section, as they are built."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import FurnaceError, LehrkeeperError
from core.melt.melting_furnace import WallSection
from core.melt.refractory import SHIPPED, Refractory
from core.melt.wall_text import EXAMPLE, layers_from_text, layers_text
from core.units import UnitChoice


class WallSections(QWidget):
    """Crown, wall, floor: listed, changed, added, removed.

    Signals
    -------
    edited()
        A person changed a section.
    """

    edited = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._own: Mapping[str, Refractory] = {}
        self._sections: list[WallSection] = []
        self._chosen: WallSection | None = None
        self.table = DataTable(self._columns(), name="Wall sections of this furnace")
        self.table.setMinimumHeight(130)
        self.name = QLineEdit()
        self.area = QuantityEdit(Quantity.PLAIN, units=units, minimum=0.001, maximum=500.0)
        self.outer = QuantityEdit(
            Quantity.PLAIN, units=units, minimum=0.001, maximum=2000.0, optional=True
        )
        self.layers = QLineEdit()
        self.layers.setPlaceholderText(f"{EXAMPLE}; 50 mm calcium silicate board")
        self.layers.setToolTip("Known: " + ", ".join(SHIPPED))
        self.form = Form(columns=3)
        self.form.add("name", "Sectio&n", self.name, help_text="Crown, wall, floor, door")
        self.form.add("area", "Insi&de, m²", self.area)
        self.form.add("outer_area", "Outside, m²", self.outer, help_text="Empty: as inside")
        self.form.add("layers", "La&yers from the hot face out, parted by ;", self.layers, span=3)
        self.keep = QPushButton("Keep section")
        self.another = QPushButton("Another section")
        set_role(self.another, "quiet")
        self.remove = QPushButton("Remove section")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addWidget(Label("Walls", role="heading"))
        column.addWidget(self.table)
        column.addWidget(self.form)
        row = QHBoxLayout()
        row.addWidget(self.keep)
        row.addWidget(self.another)
        row.addStretch(1)
        row.addWidget(self.remove)
        column.addLayout(row)
        self.table.row_selected.connect(self._on_row)
        self.keep.clicked.connect(self._on_keep)
        self.layers.returnPressed.connect(self._on_keep)
        self.another.clicked.connect(lambda: self._show(None))
        self.remove.clicked.connect(self._on_remove)
        self._show(None)

    @property
    def sections(self) -> tuple[WallSection, ...]:
        """As they stand."""
        return tuple(self._sections)

    def show_sections(self, sections: tuple[WallSection, ...]) -> None:
        """Show the sections of a furnace."""
        self._sections = list(sections)
        self._own = {
            layer.material.name: layer.material for one in sections for layer in one.layers
        }
        self.table.set_rows(self._sections)
        self._show(None)

    def _columns(self) -> list[Column]:
        return [
            Column("Section", lambda one: one.name),
            Column("Inside m²", lambda one: number_text(one.area, 3, trim=True), numeric=True),
            Column("Outside m²", lambda one: number_text(one.outside, 3, trim=True), numeric=True),
            Column("Layers", lambda one: layers_text(one.layers), stretch=True),
        ]

    def _on_row(self, row: object) -> None:
        if isinstance(row, WallSection):
            self._show(row)

    def _show(self, section: WallSection | None) -> None:
        self._chosen = section
        self.form.clear_errors()
        if section is None:
            self.table.clearSelection()
            self.name.clear()
            self.layers.clear()
            self.area.set_value_si(None)
            self.outer.set_value_si(None)
        else:
            self.name.setText(section.name)
            self.area.set_value_si(section.area)
            self.outer.set_value_si(section.outer_area)
            self.layers.setText(layers_text(section.layers))
        self.keep.setText("Add section" if section is None else "Keep section")
        self.another.setVisible(section is not None)
        self.remove.setVisible(section is not None)

    def _on_keep(self) -> None:
        before = self._chosen
        try:
            made = WallSection(
                name=self.name.text().strip(),
                area=self.area.require(),
                layers=layers_from_text(self.layers.text(), self._own),
                outer_area=self.outer.optional_value(),
                emissivity=0.85 if before is None else before.emissivity,
                outer_film=None if before is None else before.outer_film,
            )
            others = {one.name for one in self._sections if one is not before}
            if made.name in others:
                raise FurnaceError(
                    f"There is a section called “{made.name}” already.",
                    field="name",
                    remedy="Choose another name.",
                )
        except LehrkeeperError as error:
            if not self.form.show_error(error):
                self.form.field("layers").set_error(str(error))
            return
        if before is None:
            self._sections.append(made)
        else:
            self._sections[self._sections.index(before)] = made
        self.table.set_rows(self._sections)
        self._show(None)
        self.edited.emit()
        self.name.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_remove(self) -> None:
        if self._chosen is not None:
            self._sections.remove(self._chosen)
            self.table.set_rows(self._sections)
            self._show(None)
            self.edited.emit()
