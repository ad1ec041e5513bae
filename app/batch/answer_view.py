"""What follows from what was asked, at the right of the form."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from app.batch import words
from app.widgets.cautions import Cautions
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.tables import DataTable
from core.batch.answer import BatchAnswer
from core.batch.safety import GENERAL
from core.units import UnitChoice


class AnswerView(QScrollArea):
    """Weigh-out, target against reached, properties, cost and gas, and what to mind."""

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._answer: BatchAnswer | None = None
        self.waiting = Label(role="error", wrap=True)
        self.empty = EmptyState("What shall be melted?", "", icon="batch")
        self.headline = Label(role="heading", wrap=True)
        self.warnings = Cautions("Cautions about this batch")
        self.weigh_out = DataTable([], name="Weigh-out")
        self.short_heading = _heading("What cannot be reached")
        self.short = Cautions("What cannot be reached")
        self.oxides = DataTable([], name="Target and reached")
        self.properties = DataTable([], name="Properties of target and batch")
        self.glass_warnings = Label(role="note", wrap=True)
        self.balance = Label(wrap=True)
        self.safety = Cautions("What to mind with these materials")
        self.general = Label(" ".join(GENERAL), wrap=True)
        self.notes = Label(role="small", wrap=True)
        self._lay_out()
        self.wait("")

    def _lay_out(self) -> None:
        self._shown = QWidget()
        column = QVBoxLayout(self._shown)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        parts: tuple[QWidget, ...] = (
            self.headline,
            self.warnings,
            self.weigh_out,
            self.short_heading,
            self.short,
            _heading("Target and reached"),
            self.oxides,
            _heading("As glasses"),
            self.properties,
            self.glass_warnings,
            _heading("Yield, cost and gas"),
            self.balance,
            _heading("Mind"),
            self.safety,
            self.general,
            _heading("How it was reckoned"),
            self.notes,
        )
        for part in parts:
            column.addWidget(part)
        column.addStretch(1)
        inside = QWidget()
        inside.setObjectName("page")
        whole = QVBoxLayout(inside)
        whole.setContentsMargins(0, 4, 10, 4)
        whole.addWidget(self.empty, 1)
        whole.addWidget(self.waiting)
        whole.addWidget(self._shown, 1)
        whole.setAlignment(self.waiting, Qt.AlignmentFlag.AlignTop)
        for label in (self.headline, self.balance, self.notes, self.waiting, self.glass_warnings):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)

    @property
    def answer(self) -> BatchAnswer | None:
        """What is shown, ``None`` while waiting."""
        return self._answer

    def wait(self, text: str, *, keep: bool = False, wrong: bool = False, action: str = "") -> None:
        """Say why there is nothing to show.

        Parameters
        ----------
        text : str
        keep : bool
            Leave what was shown before in sight, greyed: it comes back when the mistake is mended.
        wrong : bool
            Something is wrong, rather than not yet entered.
        action : str
            Words of a button beside it; ``empty.acted`` tells when it is pressed.
        """
        kept = keep and self._shown.isVisibleTo(self)
        self._answer = None
        self.waiting.setText(text)
        self.waiting.setVisible(wrong)
        self.empty.set_words(self.empty.heading.text(), text, action)
        self.empty.setVisible(not wrong)
        self._shown.setVisible(kept)
        self._shown.setEnabled(False)
        if not kept:
            self.verticalScrollBar().setValue(0)

    def show_answer(self, answer: BatchAnswer) -> None:
        """Show a batch."""
        self._answer = answer
        self.waiting.setVisible(False)
        self.empty.setVisible(False)
        self._shown.setVisible(True)
        self._shown.setEnabled(True)
        self._fill(answer)

    def set_units(self, units: UnitChoice) -> None:
        """Show the same numbers in other units."""
        self._units = units
        if self._answer is not None:
            self._fill(self._answer)

    def _fill(self, answer: BatchAnswer) -> None:
        batch, units = answer.batch, self._units
        more = batch.glass.weight_percent != batch.base.weight_percent
        self.headline.setText(words.headline(batch, units))
        self.warnings.show_texts([local_sentence(text) for text in batch.warnings])
        tables = (
            (
                self.weigh_out,
                words.weigh_columns(units, batch.request.materials.currency),
                words.weigh_rows(answer),
            ),
            (self.oxides, words.oxide_columns(with_additions=more), words.oxide_rows(batch)),
            (
                self.properties,
                words.property_columns(units, with_additions=more),
                answer.properties,
            ),
        )
        for table, columns, rows in tables:
            table.rows_model.set_rows(())
            table.set_columns(columns)
            table.set_rows(rows)
            table.fit_rows()
        self.short.show_texts(words.shortfall_words(batch.shortfalls))
        self.short_heading.setVisible(bool(batch.shortfalls))
        final = batch.glass_properties
        told = "\n".join(local_sentence(text) for text in (final.warnings if final else ()))
        self.glass_warnings.setText(told)
        self.glass_warnings.setVisible(bool(told))
        self.balance.setText(local_sentence(words.balance_words(batch, units)))
        self.safety.show_texts([line for line in batch.safety if line not in GENERAL])
        self.notes.setText(local_sentence("\n".join(batch.notes)))
        # At once, or the tables of the batch before would be seen in the rows of this one.
        for widget in (self._shown, self.widget()):
            widget.layout().activate()


def _heading(text: str) -> Label:
    return Label(text, role="heading", wrap=True)
