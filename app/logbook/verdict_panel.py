"""The morning's answer: how every piece of a run stands, and the way to repair the night."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.logbook.piece_verdict_card import PieceVerdictCard
from app.logbook.run_sheet import RunSheet
from app.logbook.verdict_work import LEAST_READINGS, JudgedNight, judge
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Weight
from app.widgets.caution import CautionStrip
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.sentence import Sentence
from core.errors import LehrkeeperError
from core.units import UnitChoice
from core.verdict.verdict import RunVerdict, Standing
from core.verdict.verdict_words import VERDICT_CAUTIONS, run_sentences

TOO_FEW = "A verdict needs the readings of the night. Type some, or import the logger's file."
_KIND = "logbook verdict"


class VerdictPanel(QScrollArea):
    """Worked out in the background, and only while somebody looks.

    Signals
    -------
    moment_wanted(float)
        A cause is to be shown on the curve [UTC epoch s].
    repair_wanted()
        The night is to be repaired.
    judged(RunVerdict)
        A verdict is shown.
    """

    moment_wanted = Signal(object)
    repair_wanted = Signal()
    judged = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._night: JudgedNight | None = None
        self.verdict: RunVerdict | None = None
        self.cards: list[PieceVerdictCard] = []
        self.state = Label(role="muted", wrap=True)
        self.repair = QPushButton("&Repair the night…")
        set_role(self.repair, "primary")
        self.repair.setToolTip(
            "Draw up how the night goes on, or how the pieces are annealed again"
        )
        self.caution = CautionStrip(" ".join(VERDICT_CAUTIONS))
        self._told = QVBoxLayout()
        self._told.setSpacing(8)
        self._pieces = QVBoxLayout()
        self._pieces.setSpacing(10)
        row = QHBoxLayout()
        row.addWidget(self.repair)
        row.addStretch(1)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 12, 6, 0)
        column.setSpacing(10)
        column.addWidget(self.state)
        column.addLayout(row)
        column.addLayout(self._told)
        column.addLayout(self._pieces)
        column.addWidget(self.caution)
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self.repair.clicked.connect(self.repair_wanted)
        self._say("")

    @property
    def night(self) -> JudgedNight | None:
        """What the verdict rests on."""
        return self._night

    def show_sheet(self, sheet: RunSheet) -> None:
        """Judge a run, anew only where something is other than before."""
        night = JudgedNight.of(sheet)
        if self._night is not None and self._night.same(night):
            return
        self._night = night
        self._forget()
        if self.isVisible():
            self._judge()

    def set_units(self, _units: UnitChoice) -> None:
        """Show temperatures in other units."""
        if self.verdict is not None:
            self._show(self.verdict)

    def _judge(self) -> None:
        night = self._night
        if night is None or self.verdict is not None:
            return
        if len(night.readings) < LEAST_READINGS:
            self._say(TOO_FEW)
            return
        self._say("The night is being followed through the glass …")
        self._studio.jobs.submit(
            judge, night, on_done=self._show, on_failed=self._fail, kind=_KIND, owner=self
        )

    def _show(self, verdict: RunVerdict) -> None:
        self._forget()
        self.verdict = verdict
        studio = self._studio
        self._say("")
        self.repair.setVisible(
            verdict.standing is not Standing.ANNEALED
            or (self._night is not None and not self._night.finished)
        )
        for text in run_sentences(verdict, studio.zone):
            self._told.addWidget(Sentence(Weight.INFORMATION, local_sentence(text)))
        for found in verdict.pieces:
            card = PieceVerdictCard(found, studio.units, studio.zone)
            card.moment_wanted.connect(self.moment_wanted)
            self.cards.append(card)
            self._pieces.addWidget(card)
        self.judged.emit(verdict)

    def _fail(self, error: LehrkeeperError) -> None:
        self._forget()
        self._say(str(error), "error")

    def _forget(self) -> None:
        self._studio.jobs.cancel(_KIND)
        self.verdict = None
        self.cards.clear()
        for layout in (self._told, self._pieces):
            while (item := layout.takeAt(0)) is not None:
                widget = item.widget()
                widget.setParent(None)
                widget.deleteLater()
        self.repair.hide()

    def _say(self, text: str, role: str = "muted") -> None:
        set_role(self.state, role)
        self.state.setText(text)
        self.state.setVisible(bool(text))

    def showEvent(self, event: QShowEvent) -> None:
        """Judge what changed while out of sight."""
        super().showEvent(event)
        self._judge()
