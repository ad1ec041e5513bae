"""Below the curve: what would change the night, how to hold the lehr before, what it rests on."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from app.studio import Studio
from app.theme import set_role
from app.tonight.what_if_work import Around, around
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.plan import Plan
from core.plan.trade_off_words import trade_off_sentences

_SEEKING = "Neighbouring nights are being drawn up …"


class WhatIfView(QScrollArea):
    """Sentences on neighbouring nights, reckoned in the background while somebody looks."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._load: Load | None = None
        self._found: Around | None = None
        self._changes = Label("What would change it", role="label")
        self.changes = Label(wrap=True)
        self._before = Label("While pieces go in", role="label")
        self.before = Label(wrap=True)
        self._granted = Label("Taken for granted", role="label")
        self.granted = Label(wrap=True)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(4, 10, 8, 4)
        column.setSpacing(6)
        for label in (
            *(self._changes, self.changes),
            *(self._before, self.before),
            *(self._granted, self.granted),
        ):
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            column.addWidget(label)
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self.clear()

    def show_plan(self, load: Load, plan: Plan, *, begun: bool = False) -> None:
        """Show what a plan rests on; of a night that has begun nothing is drawn up anew."""
        self.granted.setText("\n".join(local_sentence(s) for s in plan.assumptions))
        self._granted.setVisible(bool(plan.assumptions))
        asked = None if begun else load
        if asked != self._load:
            self._studio.jobs.cancel("trade-offs")
            self._load, self._found = asked, None
            self._say("" if asked is None else _SEEKING)
            if self.isVisible():
                self._reckon()

    def clear(self) -> None:
        """Show nothing."""
        self._studio.jobs.cancel("trade-offs")
        self._load, self._found = None, None
        self.granted.clear()
        self._granted.hide()
        self._say("")

    def set_units(self) -> None:
        """Show the same in the studio's units."""
        if self._found is not None:
            self._found = None
            self._say(_SEEKING)
            if self.isVisible():
                self._reckon()

    def showEvent(self, event: QShowEvent) -> None:
        """Reckon what changed while out of sight."""
        super().showEvent(event)
        if self._found is None:
            self._reckon()

    def _reckon(self) -> None:
        if self._load is not None:
            self._studio.jobs.submit(
                around,
                self._load,
                self._studio.units,
                on_done=self._show,
                on_failed=self._fail,
                kind="trade-offs",
                owner=self,
                apart=True,
            )

    def _show(self, found: Around) -> None:
        self._found = found
        sentences = trade_off_sentences(found.trade_offs, self._studio.units)
        self._say("\n".join(local_sentence(sentence) for sentence in sentences))
        if found.before is not None:
            self.before.setText("\n".join(local_sentence(s) for s in found.before.said))
            self._before.show()

    def _fail(self, error: LehrkeeperError) -> None:
        self._say(str(error), "error")

    def _say(self, text: str, role: str = "") -> None:
        set_role(self.changes, role)
        self.changes.setText(text)
        self._changes.setVisible(bool(text))
        self.before.clear()
        self._before.hide()
