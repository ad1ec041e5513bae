"""What glass is wanted: its analysis, and a property it shall have."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.batch.glass_choice import GlassChoices
from app.glass.analysis_edit import AnalysisEdit
from app.widgets.choice_box import ChoiceBox
from app.widgets.disclosure import Disclosure
from app.widgets.field import Form
from app.widgets.quantity import Quantity, format_quantity
from app.widgets.quantity_edit import QuantityEdit
from core.batch.property_target import EXPANSION_LIMITS, GREATEST_RISE, PropertyWish, oxides_in
from core.composition.composition import Composition
from core.errors import BatchError, CompositionError, LehrkeeperError
from core.glass.properties import properties_of
from core.units import UnitChoice

_TYPED = "type or paste it below"
_UNMATCHED = "no glass"


class TargetCard(QWidget):
    """Name, analysis (from a glass or typed) and the wish for a property.

    Signals
    -------
    changed()
        A person changed something.
    analysis_changed()
        The analysis is another one.
    """

    changed = Signal()
    analysis_changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._choices = GlassChoices.of(())
        self._filling = False
        self._named = ""
        self.glass = ChoiceBox()
        self.name = QLineEdit()
        self.head = Form(columns=1)
        self.head.add("glass", "&Glass to make", self.glass)
        self.head.add("name", "&Name of this batch", self.name)
        self.analysis = AnalysisEdit()
        low, high = EXPANSION_LIMITS
        self.partner = ChoiceBox()
        self.expansion = QuantityEdit(
            Quantity.EXPANSION, units=units, minimum=low, maximum=high, optional=True
        )
        self.rise = QuantityEdit(
            Quantity.INTERVAL,
            units=units,
            minimum=-GREATEST_RISE,
            maximum=GREATEST_RISE,
            optional=True,
        )
        self.change = QLineEdit()
        self.change.setPlaceholderText("every oxide above 0.5 % that does not colour")
        self.wishes = Form(columns=1)
        self.wishes.add("partner", "Expansion as that of", self.partner)
        self.wishes.add(
            "expansion", "&Expansion wanted, 20–300 °C", self.expansion, help_text="Empty: as it is"
        )
        self.wishes.add(
            "annealing_rise",
            "Annealing &point moved by",
            self.rise,
            help_text="Up, or down with a minus. Empty: as it is",
        )
        self.wishes.add(
            "change", "&Oxides that may change", self.change, help_text="Such as SiO2, Na2O, CaO"
        )
        self.wish_part = Disclosure("Aim at a property", self.wishes)
        self.analysis_part = Disclosure("What it is made of", self.analysis)
        self.analysis_part.open()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        for part in (self.head, self.analysis_part, self.wish_part):
            column.addWidget(part)
        self.glass.chosen.connect(self._on_glass)
        self.partner.chosen.connect(self._on_partner)
        self.analysis.changed.connect(self._on_analysis)
        self.name.textEdited.connect(self.changed)
        self.change.textEdited.connect(self._on_wish)
        self.expansion.edited.connect(self._on_expansion)
        self.rise.edited.connect(self._on_wish)
        self.show_choices(self._choices)
        self._say_wish()

    # -- choices ----------------------------------------------------------------------------

    def show_choices(self, choices: GlassChoices) -> None:
        """Offer these glasses, keeping what is chosen."""
        self._filling = True
        self._choices = choices
        self.glass.set_choices(choices.pairs(_TYPED))
        self.partner.set_choices(choices.pairs(_UNMATCHED))
        self._filling = False

    def choose(self, words: str) -> bool:
        """Take a glass's analysis, as if it had been chosen; False when there is none so called."""
        return self.glass.set_value(words)

    def _on_glass(self, words: object) -> None:
        glass = self._choices.glass(words)
        if self._filling:
            return
        if glass is None:
            self.analysis_part.open()
            self.analysis.text.setFocus()
            return
        self._filling = True
        self.analysis.show_composition(glass.composition)
        if self.name.text().strip() in {"", self._named}:
            self.name.setText(glass.name)
            self.name.setCursorPosition(0)
        self._named = glass.name
        self._filling = False
        self._say_analysis()
        self.analysis_part.fold()
        self.analysis_changed.emit()
        self.changed.emit()

    def _on_analysis(self) -> None:
        if self._filling:
            return
        glass = self._choices.glass(self.glass.value)
        if glass is not None and glass.composition != self.analysis.composition:
            self._filling = True
            self.glass.set_value(None)
            self._filling = False
        self._say_analysis()
        self.analysis_changed.emit()
        self.changed.emit()

    def _on_partner(self, words: object) -> None:
        glass = self._choices.glass(words)
        if self._filling or glass is None:
            return
        field = self.wishes.field("partner")
        try:
            self.expansion.set_value_si(properties_of(glass).expansion.value)
        except LehrkeeperError as error:
            field.set_error(str(error))
            return
        field.clear_error()
        self._on_wish()

    def _on_expansion(self) -> None:
        self._filling = True
        self.partner.set_value(None)
        self._filling = False
        self._on_wish()

    def _on_wish(self) -> None:
        self._say_wish()
        self.changed.emit()

    def _say_analysis(self) -> None:
        self.analysis_part.set_summary(" ".join(self.analysis.entered[0].split()))

    def _say_wish(self) -> None:
        parts = []
        if self.expansion.value_si is not None:
            value = format_quantity(Quantity.EXPANSION, self.expansion.value_si, self._units)
            parts.append(f"an expansion of {value}")
        if self.rise.value_si is not None:
            value = format_quantity(Quantity.INTERVAL, self.rise.value_si, self._units)
            parts.append(f"an annealing point moved by {value}")
        told = " and ".join(parts)
        self.wish_part.set_summary(f"Aims at: {told}." if told else "The analysis as it stands.")

    # -- value ------------------------------------------------------------------------------

    @property
    def is_empty(self) -> bool:
        """True while no analysis has been begun."""
        return not self.analysis.entered[0]

    def composition(self) -> Composition:
        """The analysis wanted.

        Raises
        ------
        CompositionError
            If there is none, or it cannot be read.
        """
        if self.analysis.problem is not None:
            raise self.analysis.problem
        composition = self.analysis.composition
        if composition is None:
            raise CompositionError(
                "No glass is asked for.",
                field="composition",
                remedy="Choose one, or type its oxides.",
            )
        return composition

    def wish(self) -> PropertyWish | None:
        """The property wanted, if any.

        Raises
        ------
        LehrkeeperError
            ``field`` names the input at fault.
        """
        expansion = self.expansion.optional_value()
        rise = self.rise.optional_value()
        text = self.change.text().strip()
        try:
            change = oxides_in(text)
        except CompositionError as error:
            raise BatchError(error.message, field="change", remedy=error.remedy) from error
        if expansion is None and rise is None:
            if change:
                raise BatchError(
                    "Oxides may change, but no property is asked for.",
                    field="change",
                    remedy="Give an expansion or a move of the annealing point, or empty this.",
                )
            return None
        return PropertyWish(expansion, rise, change)

    def show_target(self, name: str, composition: Composition | None) -> None:
        """Show an analysis without a wish, without a signal."""
        self._filling = True
        self.name.setText(name)
        self.name.setCursorPosition(0)
        self._named = ""
        self.glass.set_value(None)
        self.partner.set_value(None)
        self.analysis.show_composition(composition)
        self.expansion.set_value_si(None)
        self.rise.set_value_si(None)
        self.change.clear()
        self._say_wish()
        self._say_analysis()
        if composition is None:
            self.analysis_part.open()
        else:
            self.analysis_part.fold()
        self._filling = False

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self._units = units
        self.wishes.set_units(units)
        self._say_wish()

    # -- errors -----------------------------------------------------------------------------

    def tell(self, error: LehrkeeperError) -> bool:
        """Show an error beside the input it names; False when it is none of these."""
        field = error.field or ""
        form = next((f for f in (self.head, self.wishes) if field in f.fields), None)
        if form is not None:
            form.field(field).set_error(str(error))
        elif field == "property":
            wished = "annealing_rise" if self.expansion.value_si is None else "expansion"
            self.wishes.field(wished).set_error(str(error))
            form = self.wishes
        elif isinstance(error, CompositionError) or field == "composition":
            if self.analysis.problem is None and not self.is_empty:
                self.analysis.text_field.set_error(str(error))
        elif field in self.oxides:
            self.analysis.text_field.set_error(str(error))
        else:
            return False
        if form is None:
            self.analysis_part.open()
        if form is self.wishes:
            self.wish_part.open()
        return True

    def clear_told(self) -> None:
        """Forget what was found wrong with an earlier state."""
        for form in (self.head, self.wishes):
            for field in form.fields.values():
                if getattr(field.editor, "error", "") == "":
                    field.clear_error()
        if self.analysis.problem is None:
            self.analysis.text_field.clear_error()

    @property
    def oxides(self) -> tuple[str, ...]:
        """Oxides of the analysis, as far as it can be read."""
        composition = self.analysis.composition
        return () if composition is None else tuple(composition.weight_percent)
