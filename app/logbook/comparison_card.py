"""The run against its plan in a few numbers, with what the log does not cover."""

from __future__ import annotations

from datetime import datetime, tzinfo

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QGridLayout, QVBoxLayout, QWidget

from app.logbook.run_sheet import RunSheet
from app.logbook.run_words import apart_words
from app.theme import set_role
from app.widgets.banner import Weight
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.sentence import Sentence
from core.run.comparison_words import comparison_rows, gap_sentences
from core.units import UnitChoice

NO_READINGS = "No readings yet. Type one below, or drop the logger's file onto this page."


class ComparisonCard(QWidget):
    """Largest deviation, time at soak and cooling rates, actual and planned; then the warnings."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.rows: list[tuple[str, str, str]] = []
        self.warnings: list[str] = []
        self.empty = Label(NO_READINGS, role="muted", wrap=True)
        self.empty.setMinimumWidth(60)
        self._card = QFrame()
        set_role(self._card, "card")
        self._grid = QGridLayout(self._card)
        self._grid.setContentsMargins(16, 12, 16, 14)
        self._grid.setHorizontalSpacing(12)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(0, 1)
        self._told = QVBoxLayout()
        self._told.setSpacing(8)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(12)
        column.addWidget(self.empty)
        column.addWidget(self._card)
        column.addLayout(self._told)

    def show_sheet(
        self, sheet: RunSheet, units: UnitChoice, zone: tzinfo | None, now: datetime
    ) -> None:
        """Show a run's comparison, or why there is none."""
        comparison = sheet.comparison
        self.rows, self.warnings = [], []
        if comparison is not None:
            rows = comparison_rows(comparison, units.temperature, zone)
            self.rows = [(what, _number(actual), _number(plan)) for what, actual, plan in rows]
            told = [*gap_sentences(comparison, zone), *comparison.warnings]
            self.warnings = [local_sentence(sentence) for sentence in told]
        elif sheet.lines:
            self.warnings = [apart_words(sheet.plan, sheet.readings.time, zone, now)]
        self.empty.setVisible(not sheet.lines)
        self._card.setVisible(bool(self.rows))
        self._fill()

    def _fill(self) -> None:
        for layout in (self._grid, self._told):
            while (item := layout.takeAt(0)) is not None:
                item.widget().deleteLater()
        for number, (what, actual, planned) in enumerate(self.rows):
            top = 3 * number
            caption = Label(what[0].upper() + what[1:], role="small")
            value = _selectable(actual)
            set_role(value, "heading")
            beside = _selectable(f"planned {planned}" if planned else "")
            set_role(beside, "muted")
            value.setAccessibleName(f"{what}, actual")
            beside.setAccessibleName(f"{what}, planned")
            caption.setWordWrap(True)
            caption.setMinimumWidth(60)
            self._grid.addWidget(caption, top, 0, 1, 2)
            self._grid.addWidget(value, top + 1, 0, 1, 1 if planned else 2)
            self._grid.addWidget(
                beside, top + 1, 1, Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignBottom
            )
            if number + 1 < len(self.rows):
                rule = QFrame()
                set_role(rule, "rule")
                self._grid.addWidget(rule, top + 2, 0, 1, 2)
        for sentence in self.warnings:
            self._told.addWidget(Sentence(Weight.CAUTION, sentence))


def _number(text: str) -> str:
    return local_sentence(text).replace("-", "−") if text.startswith("-") else local_sentence(text)


def _selectable(text: str) -> Label:
    label = Label(text)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label
