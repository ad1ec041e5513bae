"""Entry of a studio's own trial: what was done and seen, and the viscosity that follows."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field, Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity, format_quantity, number_text
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError, UnitError
from core.glass.glass import MeasuredViscosity
from core.glass.trial import FibreTest, ObservedAnnealing, SagTest, Section, Trial
from core.units import UnitChoice


@dataclass(frozen=True)
class _Entry:
    """One number of a trial: its field in the core's dataclass, its label and its help."""

    name: str
    label: str
    quantity: Quantity
    value: float | None = None
    told: str = ""


_TEMPERATURE = _Entry("temperature", "&Temperature of the glass", Quantity.TEMPERATURE)
_DENSITY = _Entry("density", "&Density", Quantity.DENSITY, 2500.0)


@dataclass(frozen=True)
class _Kind:
    """One kind of trial: how it is made, and its inputs."""

    words: str
    told: str
    kind: type[FibreTest | SagTest | ObservedAnnealing]
    error: float
    entries: tuple[_Entry, ...]


_KINDS = (
    _Kind(
        "A fibre stretched by a weight",
        "Hang a fibre of even thickness in a furnace of even temperature, with a weight on it, and "
        "read how much it stretches in some minutes. Viscosity is the pull over three times the "
        "rate of stretch.",
        FibreTest,
        4.0,
        (
            _TEMPERATURE,
            _Entry("diameter", "Fibre dia&meter", Quantity.LENGTH, 0.65e-3),
            _Entry("length", "Hot &length", Quantity.LENGTH, 0.23, "The part that is hot"),
            _Entry("load", "&Weight", Quantity.MASS, 1.0),
            _Entry("elongation", "&Stretch", Quantity.LENGTH),
            _Entry("duration", "In how l&ong", Quantity.MINUTES),
        ),
    ),
    _Kind(
        "A strip or rod sagging between two supports",
        "Lay a strip or rod freely across two supports, keep it at an even temperature for a "
        "known time, and measure how far its middle has sunk. It bends by its own weight as a "
        "beam does, viscously.",
        SagTest,
        5.0,
        (
            _TEMPERATURE,
            _Entry("span", "S&pan", Quantity.LENGTH, 0.2, "Between the supports"),
            _Entry("thickness", "T&hickness or diameter", Quantity.LENGTH),
            _Entry("sag", "&Sag at the middle", Quantity.LENGTH),
            _Entry("duration", "In how l&ong", Quantity.MINUTES),
            _DENSITY,
        ),
    ),
    _Kind(
        "Strain seen to vanish in the polariscope",
        "The temperature at which strain seen between crossed polarisers is gone in about a "
        "quarter of an hour: the annealing point by eye.",
        ObservedAnnealing,
        8.0,
        (_TEMPERATURE,),
    ),
)


class _KindForm(QWidget):
    """The inputs of one kind of trial."""

    def __init__(self, kind: _Kind, units: UnitChoice) -> None:
        super().__init__()
        self._kind = kind
        self.form = Form(columns=2)
        for entry in kind.entries:
            edit = QuantityEdit(entry.quantity, units=units, value=entry.value)
            self.form.add(entry.name, entry.label, edit, help_text=entry.told)
        self.section = ChoiceBox([("Flat strip", Section.STRIP), ("Round rod", Section.ROD)])
        if kind.kind is SagTest:
            self.form.add("section", "Se&ction", self.section)
        self.error = QuantityEdit(Quantity.INTERVAL, units=units, value=kind.error)
        self.form.add(
            "temperature_error",
            "Temperature &known to ±",
            self.error,
            help_text="Standard error of the reading",
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(Label(kind.told, role="muted", wrap=True))
        column.addWidget(self.form)
        column.addStretch(1)

    @property
    def edits(self) -> tuple[QuantityEdit, ...]:
        """The number boxes."""
        return tuple(
            e for f in self.form.fields.values() if isinstance(e := f.editor, QuantityEdit)
        )

    def is_filled(self) -> bool:
        """True when every number is there and right in itself."""
        return all(edit.value_si is not None for edit in self.edits)

    def trial(self) -> Trial:
        """The trial as entered.

        Raises
        ------
        UnitError
            If a number is missing or wrong in itself; it is also shown beside its box.
        """
        values = {}
        for name, field in self.form.fields.items():
            if isinstance(field.editor, QuantityEdit):
                values[name] = field.editor.require()
        if self._kind.kind is SagTest:
            values["section"] = self.section.value
        return self._kind.kind(**values)  # type: ignore[arg-type]


class TrialDialog(QDialog):
    """Ask for a trial and show what it says before it is taken."""

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Own trial – Lehrkeeper")
        self._units = units
        self.measured: MeasuredViscosity | None = None
        self.kinds = ChoiceBox([(kind.words, index) for index, kind in enumerate(_KINDS)])
        self.pages = tuple(_KindForm(kind, units) for kind in _KINDS)
        self.stack = QStackedWidget()
        for page in self.pages:
            self.stack.addWidget(page)
            for edit in page.edits:
                edit.value_changed.connect(self._reckon)
            page.section.chosen.connect(self._reckon)
        self.answer = Label(role="note", wrap=True)
        self.caution = Label(
            "Glass this hot burns and a fibre may spring: eye protection, and somebody near.",
            role="small",
            wrap=True,
        )
        buttons = QDialogButtonBox()
        self.take = QPushButton("Take it")
        set_role(self.take, "primary")
        self.take.setDefault(True)
        buttons.addButton(self.take, QDialogButtonBox.ButtonRole.AcceptRole)
        self.leave = buttons.addButton("Leave it", QDialogButtonBox.ButtonRole.RejectRole)
        self.take.clicked.connect(self.accept)
        buttons.rejected.connect(self.reject)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 18, 20, 16)
        column.setSpacing(12)
        column.addWidget(Field("&What was done", self.kinds))
        column.addWidget(self.stack, 1)
        column.addWidget(self.answer)
        column.addWidget(self.caution)
        column.addWidget(buttons)
        self.kinds.chosen.connect(self._on_kind)
        self.resize(520, 560)
        self._reckon()

    @property
    def page(self) -> _KindForm:
        """The inputs in sight."""
        return self.pages[self.stack.currentIndex()]

    def _on_kind(self, index: object) -> None:
        self.stack.setCurrentIndex(int(str(index)))
        self._reckon()

    def _reckon(self) -> None:
        self.measured = None
        self.take.setEnabled(False)
        if not self.page.is_filled():
            set_role(self.answer, "muted")
            self.answer.setText("Fill in what was measured; the viscosity follows at once.")
            return
        try:
            self.measured = self.page.trial().viscosity()
        except UnitError:
            return
        except LehrkeeperError as error:
            set_role(self.answer, "error")
            self.answer.setText(str(error))
            return
        self.take.setEnabled(True)
        set_role(self.answer, "note")
        self.answer.setText(viscosity_words(self.measured, self._units))

    def accept(self) -> None:
        """Take the trial, named after what was done."""
        if self.measured is None:
            return
        words = _KINDS[self.stack.currentIndex()].words
        self.measured = replace(self.measured, source=words[0].lower() + words[1:])
        super().accept()


def viscosity_words(measured: MeasuredViscosity, units: UnitChoice) -> str:
    """What a trial says, such as ``10^12.0 Pa s at 552 °C, give or take 4 °C``."""
    at = format_quantity(Quantity.TEMPERATURE, measured.temperature, units)
    give = format_quantity(Quantity.INTERVAL, measured.temperature_error, units, decimals=0)
    words = f"10^{number_text(measured.log_viscosity, 2)} Pa s at {at}, give or take {give}"
    if measured.log_error > 0:
        words += f" and {number_text(measured.log_error, 2)} in the power of ten"
    return words
