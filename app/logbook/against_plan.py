"""The run beside its plan: how the two are laid on each other, figures, segments, warnings."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.logbook.comparison_card import ComparisonCard
from app.logbook.run_sheet import RunSheet
from app.logbook.segment_list import SegmentList
from app.plots.strip import OffBy
from app.studio import Studio
from app.widgets.banner import Weight
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.sentence import Sentence
from core.run.alignment import Align


class AgainstPlan(QScrollArea):
    """Choices above, then the comparison and the segments.

    Signals
    -------
    align_wanted(Align)
        Lay the run on its plan otherwise.
    strip_wanted(OffBy)
        Show another deviation below the curve.
    overlay_wanted()
        Earlier nights are to be laid over this one.
    """

    align_wanted = Signal(object)
    strip_wanted = Signal(object)
    overlay_wanted = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.align = ChoiceBox([(align.value.capitalize(), align) for align in Align])
        self.align.setAccessibleName("How run and plan are laid on each other")
        self.strip = ChoiceBox([(f"Off by {kind.value}", kind) for kind in OffBy])
        self.strip.setAccessibleName("What the strip below the curve shows")
        self.overlay = QPushButton("Earlier &nights…")
        self.overlay.setToolTip("The last nights in this lehr, or with one of these pieces")
        self.not_laid = Sentence(Weight.CAUTION)
        self.figures = ComparisonCard()
        self.segments_title = Label("Segment by segment", role="heading")
        self.segments = SegmentList(studio)
        choices = QHBoxLayout()
        choices.setSpacing(8)
        choices.addWidget(self.overlay)
        choices.addWidget(self.strip, 1)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 12, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.align)
        column.addLayout(choices)
        column.addWidget(self.not_laid)
        column.addWidget(self.figures)
        column.addWidget(self.segments_title)
        column.addWidget(self.segments)
        column.addStretch(1)
        for box in (self.align, self.strip):
            box.setMinimumWidth(110)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self.align.chosen.connect(self.align_wanted)
        self.strip.chosen.connect(self.strip_wanted)
        self.overlay.clicked.connect(self.overlay_wanted)

    @property
    def off_by(self) -> OffBy:
        """What the strip shows."""
        return OffBy(str(self.strip.value))

    def show_sheet(self, sheet: RunSheet) -> None:
        """Show a run's comparison, or why there is none."""
        studio = self._studio
        self.align.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.align.set_value(sheet.align)
        self.align.blockSignals(False)  # noqa: FBT003
        self.not_laid.set_text(sheet.align_note)
        self.not_laid.setVisible(bool(sheet.align_note))
        self.figures.show_sheet(sheet, studio.units, studio.zone, studio.now())
        self.segments.show_comparison(sheet.comparison)
        self.segments_title.setVisible(self.segments.isVisibleTo(self))
        there = sheet.comparison is not None
        self.align.setVisible(there)
        self.strip.setVisible(there)
