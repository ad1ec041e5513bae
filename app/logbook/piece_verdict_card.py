"""The verdict on one piece: where it stands, why, what to do, and what could change it."""

from __future__ import annotations

from datetime import tzinfo

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.banner import Weight
from app.widgets.disclosure import Disclosure
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from app.widgets.sentence import Sentence
from core.units import UnitChoice
from core.verdict.verdict import PieceVerdict, Standing
from core.verdict.verdict_words import (
    advice_sentences,
    cause_sentence,
    doubt_sentences,
    stress_words,
    verdict_sentence,
)

WEIGHTS = {
    Standing.ANNEALED: Weight.GOOD,
    Standing.NOT_PROVEN: Weight.CAUTION,
    Standing.RE_ANNEAL: Weight.PROBLEM,
}
_ROLES = {Weight.GOOD: "good", Weight.CAUTION: "late", Weight.PROBLEM: "late"}


class PieceVerdictCard(QFrame):
    """One piece of a load.

    Signals
    -------
    moment_wanted(float)
        The cause is to be shown on the curve [UTC epoch s].
    """

    moment_wanted = Signal(object)

    def __init__(
        self,
        found: PieceVerdict,
        units: UnitChoice,
        zone: tzinfo | None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.found = found
        set_role(self, "card")
        weight = WEIGHTS[found.standing]
        piece = found.piece if found.count == 1 else f"{found.count} × {found.piece}"
        self.heading = Label(piece, role="heading", wrap=True)
        self.standing = Sentence(weight, _capital(found.standing), role=_ROLES[weight])
        self.sentence = _text(local_sentence(verdict_sentence(found)))
        self.cause = _text(local_sentence(cause_sentence(found.cause, units, zone)))
        self.advice = [local_sentence(text) for text in advice_sentences(found)]
        self.doubts = [local_sentence(text) for text in doubt_sentences(found, units)]
        column = QVBoxLayout(self)
        column.setContentsMargins(14, 12, 14, 12)
        column.setSpacing(6)
        for part in (self.heading, self.standing, self.sentence):
            column.addWidget(part)
        if found.cause is not None:
            column.addWidget(_heading("Why"))
            column.addWidget(self.cause)
            show = QPushButton("Show it on the curve")
            set_role(show, "quiet")
            middle = 0.5 * (found.cause.start + found.cause.end)
            show.clicked.connect(lambda: self.moment_wanted.emit(middle))
            row = QHBoxLayout()
            row.addWidget(show)
            row.addStretch(1)
            column.addLayout(row)
        if self.advice:
            column.addWidget(_heading("What to do"))
            for text in self.advice:
                column.addWidget(_text(text))
        if self.doubts:
            column.addWidget(_heading("What could change it"))
            for text in self.doubts:
                column.addWidget(_text(text))
        column.addWidget(Disclosure("Every stress of it", self._stresses()))

    def _stresses(self) -> QWidget:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        for stress in self.found.stresses:
            words = local_sentence(stress_words(stress))
            column.addWidget(Label(_capital(stress.limit), role="small", wrap=True))
            column.addWidget(_text(words))
        return inside


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _heading(text: str) -> Label:
    return Label(text, role="label")


def _text(text: str) -> Label:
    label = Label(text, wrap=True)
    label.setMinimumWidth(60)  # else the longest sentence would set the panel's width
    return label
