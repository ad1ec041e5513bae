"""Entry of an analysis: text and table, two views of one composition."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QTimer, Signal
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from app.glass.analysis_table import AnalysisRows, AnalysisTable, given_rows
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Field
from app.widgets.label import Label
from app.widgets.quantity import decimal_mark, local_sentence, number_text
from core.composition.composition import Basis, Composition
from core.composition.parse import named_basis, parse_composition
from core.errors import CompositionError

_PAUSE = 300
"""Milliseconds without a key before typed text is read."""
_HELP = (
    "Type or paste it: SiO2 70.1, soda 16.2 ± 0.3, Fe2O3 450 ppm, MnO <0.1 … or a table of columns "
    "or rows from a spreadsheet."
)


class AnalysisEdit(QWidget):
    """What a glass is made of, typed or pasted as text or oxide by oxide.

    Signals
    -------
    changed()
        A person changed it (what was made of it is then known).
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._composition: Composition | None = None
        self._problem: CompositionError | None = None
        self._settling = False
        self.text = QPlainTextEdit()
        self.text.setTabChangesFocus(True)
        self.text.setFixedHeight(QFontMetrics(self.text.font()).lineSpacing() * 4 + 22)
        self.text.setPlaceholderText("SiO2 70.1, Na2O 16.2, CaO 9.4 …")
        self.basis = ChoiceBox(
            [("weight, wt%", Basis.WEIGHT), ("moles, mol%", Basis.MOLE)],
        )
        self.rows = AnalysisRows(self)
        self.table = AnalysisTable(self.rows)
        self.total = Label(role="small", wrap=True)
        self.readings = Label(role="small", wrap=True)
        self.text_field = Field("&Analysis", self.text, name="composition", help_text=_HELP)
        by = Label("Percent &by")
        by.setBuddy(self.basis)
        self.basis.setAccessibleName("Percent by")
        set_role(by, "label")
        basis_row = QHBoxLayout()
        basis_row.setSpacing(10)
        basis_row.addWidget(by)
        basis_row.addWidget(self.basis, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.text_field)
        column.addLayout(basis_row)
        column.addWidget(self.table)
        column.addWidget(self.total)
        column.addWidget(self.readings)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self._read_text)
        self.text.textChanged.connect(self._on_text)
        self.text.installEventFilter(self)
        self.basis.chosen.connect(self._on_basis)
        self.rows.typed.connect(self._on_table)
        self.table.pasted.connect(self.paste)

    # -- value ------------------------------------------------------------------------------

    @property
    def composition(self) -> Composition | None:
        """The analysis; ``None`` when there is none or it cannot be read."""
        self.settle()
        return self._composition

    @property
    def problem(self) -> CompositionError | None:
        """Why the analysis cannot be read, if so."""
        self.settle()
        return self._problem

    @property
    def entered(self) -> tuple[str, Basis]:
        """Text and basis, to compare or to show again."""
        return self.text.toPlainText().strip(), Basis(str(self.basis.value))

    def show_composition(self, composition: Composition | None) -> None:
        """Show an analysis (nothing for ``None``), without a signal."""
        self._settling = True
        if composition is not None:
            self.basis.set_value(composition.basis)
            self.text.setPlainText(analysis_text(composition))
        else:
            self.basis.set_value(Basis.WEIGHT)
            self.text.clear()
        self._settling = False
        self._pause.stop()
        self._take(composition, None)
        self.rows.set_basis(Basis(str(self.basis.value)))
        self.rows.show_composition(composition)
        self.table.setEnabled(True)

    def set_read_only(self, *, read_only: bool) -> None:
        """Only show the analysis."""
        self.text.setReadOnly(read_only)
        self.basis.setEnabled(not read_only)
        self.rows.set_editable(editable=not read_only)
        self.text_field.set_help("" if read_only else _HELP)

    def paste(self, text: str) -> None:
        """Replace the analysis by pasted text."""
        if not self.text.isReadOnly() and text.strip():
            self.text.setPlainText(text.strip())
            self.settle()

    def settle(self) -> None:
        """Read text that is still waiting for a pause in typing."""
        if self._pause.isActive():
            self._pause.stop()
            self._read_text()

    # -- text and table ---------------------------------------------------------------------

    def _on_text(self) -> None:
        if not self._settling:
            self._pause.start()

    def _read_text(self) -> None:
        text = self.text.toPlainText()
        composition, problem = None, None
        named = named_basis(text)
        if named is not None:
            self._set_basis(named)
        if text.strip():
            basis = None if named is not None else Basis(str(self.basis.value))
            try:
                composition = parse_composition(text, basis)
            except CompositionError as error:
                problem = error
        self._take(composition, problem)
        # While the text cannot be read, the table shows what could be read before.
        if problem is None:
            self.rows.set_basis(Basis(str(self.basis.value)))
            self.rows.show_composition(composition)
        self.table.setEnabled(problem is None)
        self.changed.emit()

    def _on_table(self) -> None:
        """Write the rows as text, and read that: there is one reading of an analysis only."""
        rows = [row for row in self.rows.rows if any(row)]
        self._settling = True
        self.text.setPlainText(_joined(rows))
        self._settling = False
        self._pause.stop()
        composition, problem = None, None
        if rows:
            try:
                composition = parse_composition(
                    "\n".join(f"{row[0]}\t{_amount(row)}" for row in rows),
                    Basis(str(self.basis.value)),
                )
            except CompositionError as error:
                problem = CompositionError(
                    error.message, field=error.field, remedy=error.remedy
                )  # line and column would be those of no text in sight
        self._take(composition, problem)
        self.rows.keep_rows(composition, problem.field or "" if problem else "")
        self.changed.emit()

    def _on_basis(self, basis: object) -> None:
        if self._settling:
            return
        self.settle()
        chosen = Basis(str(basis))
        self.rows.set_basis(chosen)
        if self._composition is not None:
            # The numbers stay; words such as “mol%” in the text would now be wrong.
            self._settling = True
            self.text.setPlainText(analysis_text(self._composition))
            self._settling = False
        self._read_text()

    def _set_basis(self, basis: Basis) -> None:
        self._settling = True
        self.basis.set_value(basis)
        self._settling = False

    # -- telling ----------------------------------------------------------------------------

    def _take(self, composition: Composition | None, problem: CompositionError | None) -> None:
        self._composition, self._problem = composition, problem
        self._tell()

    def _tell(self) -> None:
        problem = self._problem
        # Half an analysis is not a mistake while it is being typed.
        unfinished = problem is not None and problem.field == "total" and self._is_typing()
        self.text_field.set_note(problem.message if problem and unfinished else "")
        self.text_field.set_error(str(problem) if problem and not unfinished else "")
        composition = self._composition
        self.total.setText(total_words(composition) if composition is not None else "")
        self.total.setVisible(composition is not None)
        notes = composition.notes if composition is not None else ()
        self.readings.setText(local_sentence("\n".join(notes)))
        self.readings.setVisible(bool(notes))

    def _is_typing(self) -> bool:
        return self.text.hasFocus() or self.table.hasFocus()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Read the text at once when it is left."""
        if watched is self.text and event.type() is QEvent.Type.FocusOut:
            self.settle()
            QTimer.singleShot(0, self, self._tell)
        return super().eventFilter(watched, event)


def analysis_text(composition: Composition) -> str:
    """The analysis as given, in one line, with the local decimal mark and without its basis."""
    return _joined(given_rows(composition))


def _amount(row: tuple[str, str, str]) -> str:
    _, amount, error = row
    return f"{amount} ± {error}" if error else amount


def _joined(rows: list[tuple[str, str, str]]) -> str:
    # Between decimal commas only semicolons separate without doubt.
    mark = "; " if decimal_mark() == "," else ", "
    return mark.join(f"{row[0]} {_amount(row)}".strip() for row in rows)


def total_words(composition: Composition) -> str:
    """The total as given and what was done with it."""
    total = f"{number_text(composition.original_total, 2, trim=True)} {composition.basis.value}"
    if abs(composition.original_total - 100.0) < 0.005:
        return f"Adds up to {total}."
    return f"As given {total}, scaled to 100."
