"""What is reckoned of a glass, shown at the right of the form."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import (
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.glass import words
from app.glass.viscosity_plot import NamedPoint, ViscosityPlot
from app.glass.working_section import WorkingSection
from app.theme import set_role
from app.widgets.caution import CautionStrip
from app.widgets.cautions import Cautions
from app.widgets.label import Label
from app.widgets.tables import DataTable
from core.glass.fixed_points import ANNEALING, FIXED_POINTS
from core.glass.glass import Glass, GlassProperties
from core.glass.properties import properties_of
from core.glass.viscosity_lines import ViscosityLine, viscosity_lines
from core.units import UnitChoice


class GlassResults(QScrollArea):
    """Temperatures, cautions, the viscosity plot, how it works, models and other properties."""

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._glass: Glass | None = None
        self._properties: GlassProperties | None = None
        self._lines: tuple[ViscosityLine, ...] = ()
        self.waiting = Label(role="muted", wrap=True)
        self.points = DataTable(words.point_columns(units), name="The five temperatures")
        self.meaning = Label(role="small", wrap=True)
        self.lead = CautionStrip("")
        self.warnings = Cautions("Cautions about this glass")
        self.notes = Label(role="muted", wrap=True)
        self.plot = ViscosityPlot(units)
        self.working = WorkingSection(units)
        self.models = DataTable([], name="Published models side by side")
        self.verdict = Label(wrap=True)
        self.outside = Label(role="note", wrap=True)
        self.brackets = Label(role="small", wrap=True)
        self.properties = DataTable(words.property_columns(units), name="Other properties")
        self.origin = Label(role="small", wrap=True)
        self.versions = Label(role="small", wrap=True)
        self._lay_out()
        self.points.row_selected.connect(self._on_point)
        self.properties.row_selected.connect(self._on_property)
        self.wait("")

    def _lay_out(self) -> None:
        self._shown = QWidget()
        column = QVBoxLayout(self._shown)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(_heading("Temperatures"))
        column.addWidget(self.points)
        column.addWidget(self.meaning)
        column.addWidget(self.lead)
        column.addWidget(self.warnings)
        column.addWidget(self.notes)
        column.addSpacing(4)
        column.addWidget(_heading("Viscosity"))
        column.addWidget(self.plot)
        column.addSpacing(4)
        column.addWidget(_heading("Working it"))
        column.addWidget(self.working)
        self._models_heading = _heading("Second opinion: published models")
        column.addSpacing(4)
        column.addWidget(self._models_heading)
        column.addWidget(self.verdict)
        column.addWidget(self.models)
        column.addWidget(self.brackets)
        column.addWidget(self.outside)
        column.addSpacing(4)
        column.addWidget(_heading("Other properties"))
        column.addWidget(self.properties)
        column.addWidget(self.origin)
        column.addWidget(self.versions)
        column.addStretch(1)
        inside = QWidget()
        inside.setObjectName("page")
        whole = QVBoxLayout(inside)
        whole.setContentsMargins(0, 10, 10, 4)
        whole.addWidget(self.waiting)
        whole.addWidget(self._shown, 1)
        whole.addStretch(0)
        whole.setAlignment(self.waiting, Qt.AlignmentFlag.AlignTop)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)

    @property
    def shown(self) -> GlassProperties | None:
        """What is shown, ``None`` while waiting."""
        return self._properties

    def wait(self, text: str, *, keep: bool = False) -> None:
        """Say why there is nothing to show.

        Parameters
        ----------
        text : str
        keep : bool
            Leave what was shown before in sight, greyed: it comes back when the mistake is mended.
        """
        kept = keep and self._shown.isVisibleTo(self)
        self._properties = None
        self.waiting.setText(text)
        set_role(self.waiting, "note" if kept else "muted")
        self.waiting.setVisible(True)
        self._shown.setVisible(kept)
        self._shown.setEnabled(False)

    def show_glass(self, glass: Glass) -> None:
        """Reckon a glass and show it.

        Raises
        ------
        GlassError
            As :func:`core.glass.properties.properties_of`; what was shown before stays.
        """
        properties = properties_of(glass)
        self._lines = viscosity_lines(glass)
        self._properties = properties
        self._glass = glass
        self.waiting.setVisible(False)
        self._shown.setVisible(True)
        self._shown.setEnabled(True)
        self._fill(properties)

    def set_units(self, units: UnitChoice) -> None:
        """Show the same numbers in other units."""
        self._units = units
        self.points.set_columns(words.point_columns(units))
        self.properties.set_columns(words.property_columns(units))
        self.plot.set_units(units)
        self.working.set_units(units)
        if self._properties is not None:
            self._fill(self._properties)

    def _fill(self, properties: GlassProperties) -> None:
        chosen = self.points.selected_row()
        key = chosen.point.key if chosen is not None else ANNEALING.key
        rows = words.point_rows(properties)
        self.points.set_rows(rows)
        self.points.select(next(row for row in rows if row.point.key == key))
        lead, cautions = words.lead_and_other(properties.warnings)
        self.lead.set_text(lead)
        self.lead.setVisible(bool(lead))
        self.warnings.show_texts(cautions)
        self.notes.setText("\n".join(properties.notes))
        self.notes.setVisible(bool(properties.notes))
        named = []
        for point in FIXED_POINTS:
            estimate = getattr(properties, point.key)
            if estimate is not None:
                named.append(NamedPoint(point, estimate.value, estimate.measured))
        trials = self._glass.measured.viscosities if self._glass is not None else ()
        self.plot.show_glass(self._lines, named, trials)
        if self._glass is not None:
            self.working.show_glass(self._glass, properties)
        there = bool(properties.models)
        for widget in (self._models_heading, self.models):
            widget.setVisible(there)
        self.models.set_rows(())
        self.models.set_columns(words.model_columns(properties.models))
        self.models.set_rows(words.model_rows(properties.models, self._units))
        self.verdict.setText(words.verdict_words(properties.models))
        self.verdict.setVisible(bool(self.verdict.text()))
        self.outside.setText(words.outside_words(properties.models))
        self.outside.setVisible(bool(self.outside.text()))
        self.brackets.setText(words.brackets_words(properties.models))
        self.brackets.setVisible(bool(self.brackets.text()))
        before = self.properties.selected_row()
        others = words.property_rows(properties)
        self.properties.set_rows(others)
        name = before.name if before is not None else others[0].name
        self.properties.select(next(row for row in others if row.name == name))
        name, version = next(iter(properties.model_versions), ("", ""))
        self.versions.setText(f"Reckoned by the model {name}, version {version}." if name else "")
        self.versions.setVisible(bool(name))
        for table in (self.points, self.working.table, self.models, self.properties):
            table.fit_rows()

    def _on_point(self, row: words.PointRow | None) -> None:
        if row is not None:
            source = words.source_words(row.estimate)
            self.meaning.setText(f"{words.meaning(row.point)} From: {source}.")

    def _on_property(self, row: words.PropertyRow | None) -> None:
        if row is not None:
            self.origin.setText(words.origin(row))


def _heading(text: str) -> Label:
    return Label(text, role="heading", wrap=True)
