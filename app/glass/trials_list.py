"""The studio's own trials of a glass: each on a line, added and taken away."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QDialog, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.glass.trial_dialog import TrialDialog, viscosity_words
from app.theme import set_role
from app.widgets.label import Label
from core.glass.glass import MeasuredViscosity
from core.units import UnitChoice


class TrialsList(QWidget):
    """Trials entered for the glass in the form.

    Signals
    -------
    changed()
        A person added or removed a trial.
    """

    changed = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._trials: tuple[MeasuredViscosity, ...] = ()
        self._read_only = False
        self.add = QPushButton("Add a trial…")
        self.add.setToolTip("A stretched fibre, a sagging strip, strain seen to vanish")
        self.add.clicked.connect(self.ask)
        self._lines = QVBoxLayout()
        self._lines.setContentsMargins(0, 0, 0, 0)
        self._lines.setSpacing(4)
        self.removes: list[QPushButton] = []
        row = QHBoxLayout()
        row.setContentsMargins(0, 0, 0, 0)
        row.addWidget(self.add)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(self._lines)
        column.addLayout(row)

    @property
    def trials(self) -> tuple[MeasuredViscosity, ...]:
        """What the trials say, in the order entered."""
        return self._trials

    def show_trials(self, trials: tuple[MeasuredViscosity, ...]) -> None:
        """Show trials, without a signal."""
        self._trials = trials
        self._fill()

    def ask(self) -> None:
        """Ask for one more trial."""
        dialog = TrialDialog(self._units, self)
        taken = dialog.exec() == QDialog.DialogCode.Accepted
        measured = dialog.measured
        dialog.deleteLater()
        if taken and measured is not None:
            self._trials = (*self._trials, measured)
            self._fill()
            self.changed.emit()

    def set_read_only(self, *, read_only: bool) -> None:
        """Only show the trials."""
        self._read_only = read_only
        self.add.setVisible(not read_only)
        for button in self.removes:
            button.setVisible(not read_only)

    def set_units(self, units: UnitChoice) -> None:
        """Show temperatures in another unit."""
        self._units = units
        self._fill()

    def _fill(self) -> None:
        self.removes.clear()
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.setParent(None)
                widget.deleteLater()
        for index, trial in enumerate(self._trials):
            self._lines.addWidget(self._line(index, trial))

    def _line(self, index: int, trial: MeasuredViscosity) -> QWidget:
        line = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        told = (
            f"{trial.source[:1].upper()}{trial.source[1:]}: {viscosity_words(trial, self._units)}"
        )
        words = Label(told, wrap=True)
        remove = QPushButton("Remove")
        set_role(remove, "quiet")
        remove.setAccessibleName(f"Remove the trial: {told}")
        remove.setVisible(not self._read_only)
        remove.clicked.connect(lambda: self._remove(index))
        self.removes.append(remove)
        row.addWidget(words, 1)
        row.addWidget(remove, 0, Qt.AlignmentFlag.AlignTop)
        return line

    def _remove(self, index: int) -> None:
        self._trials = (*self._trials[:index], *self._trials[index + 1 :])
        self._fill()
        self.changed.emit()
