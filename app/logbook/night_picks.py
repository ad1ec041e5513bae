"""Which nights lie over each other: ticked in a list, each with its curve's look."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.plots.curves import NIGHTS, LineRole
from app.plots.legend import CurveSample
from app.widgets.label import Label, tab_text, tip_text
from core.store.book import RunRecord

USUAL = 5
"""So many are ticked at first."""
_MOST_LISTED = 60
_FIXED = 2
"""Parts of a row before the look of its curve."""


class NightPicks(QWidget):
    """The newest nights of a set; at most as many ticked as can be told apart.

    Signals
    -------
    changed()
        Others are ticked.
    """

    changed = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._runs: tuple[RunRecord, ...] = ()
        self._rows: list[tuple[QCheckBox, QHBoxLayout, QWidget]] = []
        self._column = QVBoxLayout()
        self._column.setSpacing(2)
        self.told = Label(role="small", wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addLayout(self._column)
        column.addWidget(self.told)

    def show_runs(
        self, runs: Sequence[RunRecord], first: int, zone: tzinfo | None, now: datetime
    ) -> None:
        """List runs, ticking run ``first`` and the nights before it that have readings."""
        self._runs = tuple(runs[:_MOST_LISTED])
        for _, _, row in self._rows:
            row.setParent(None)
            row.deleteLater()
        self._rows.clear()
        ticked = self._usual(first)
        for run in self._runs:
            box = QCheckBox(tab_text(day_and_clock(run.started_at, zone=zone, now=now)))
            box.setAccessibleDescription(run.load_name)
            box.setChecked(run.id in ticked)
            box.toggled.connect(self._on_toggled)
            row = QWidget()
            line = QHBoxLayout(row)
            line.setContentsMargins(0, 0, 0, 0)
            line.setSpacing(8)
            load = Label(run.load_name, role="small")
            load.setToolTip(tip_text(run.load_name))
            # In a narrow panel the name is cut, never the panel.
            load.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
            line.addWidget(box)
            line.addWidget(load, 1)
            self._column.addWidget(row)
            self._rows.append((box, line, row))
        self._refresh()

    def _usual(self, first: int) -> set[int]:
        places = [place for place, run in enumerate(self._runs) if run.id == first]
        begin = places[0] if places else 0
        begin = max(0, min(begin, len(self._runs) - USUAL))
        return {run.id for run in self._runs[begin : begin + USUAL]} | {first}

    @property
    def ticked(self) -> tuple[RunRecord, ...]:
        """The runs wanted, the newest first."""
        return tuple(
            run for run, (box, _, _) in zip(self._runs, self._rows, strict=True) if box.isChecked()
        )[: len(NIGHTS)]

    def boxes(self) -> list[QCheckBox]:
        """The boxes in the order listed."""
        return [box for box, _, _ in self._rows]

    def role_of(self, run: RunRecord) -> LineRole:
        """How a run's curve is drawn."""
        return NIGHTS[self.ticked.index(run)]

    def _on_toggled(self) -> None:
        self._refresh()
        self.changed.emit()

    def _refresh(self) -> None:
        """Show each ticked run's look; with enough ticked, no more can be."""
        ticked = self.ticked
        full = len(ticked) >= len(NIGHTS)
        for run, (box, line, _) in zip(self._runs, self._rows, strict=True):
            while line.count() > _FIXED:
                line.takeAt(_FIXED).widget().deleteLater()
            if run in ticked:
                line.addWidget(CurveSample(self.role_of(run)))
            box.setEnabled(box.isChecked() or not full)
        self.told.setText(
            f"{len(NIGHTS)} nights can be told apart; take one out to choose another."
            if full
            else ""
        )
        self.told.setVisible(full)
