"""The glass in the form together with another in one piece: stress, verdict, what to change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QCheckBox,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from app.glass.together_words import (
    VERDICT_WEIGHT,
    PairRow,
    Told,
    match_words,
    pair_rows,
    places,
    reason_words,
    verdict_words,
)
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner
from app.widgets.caution import CautionStrip
from app.widgets.choice_box import ChoiceBox
from app.widgets.field import Form
from app.widgets.label import Label
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError, UnitError
from core.glass.glass import Glass
from core.joined.advice import advise
from core.joined.cylinders import Cylinders
from core.joined.joint import Form as JointForm
from core.joined.joint import join
from core.joined.layers import Layers
from core.joined.matching import Match, match
from core.units import UnitChoice

_PAUSE = 200
"""Milliseconds without a change before the pair is reckoned again."""
_FEWEST = 6
"""Letters of a choice that can always be read."""
_USUAL = ("SiO2", "Na2O", "K2O", "CaO")
_CAUTION = (
    "Glasses that do not fit can burst, even days later. Wear eye protection with every trial, "
    "and do not hand a piece on before a trial has stood."
)


class _Kind(StrEnum):
    CASED = "cased"
    LAYER = "layer"
    BOTH_FACES = "both faces"
    THREAD = "thread"


_KINDS = (
    ("Rod or cane in a casing", _Kind.CASED),
    ("Wall or sheet with a layer", _Kind.LAYER),
    ("Sheet with a layer on both faces", _Kind.BOTH_FACES),
    ("Thread in a thick body", _Kind.THREAD),
)
_DIMENSIONS = {
    _Kind.CASED: ("Core &diameter", "&Casing thickness"),
    _Kind.LAYER: ("&Base thickness", "&Layer thickness"),
    _Kind.BOTH_FACES: ("&Base thickness", "Each &layer's thickness"),
    _Kind.THREAD: ("Thread &diameter", ""),
}


@dataclass(frozen=True)
class _Asked:
    """A pair as it was asked for."""

    core: Glass
    casing: Glass
    form: JointForm
    same_house: bool


def _told(asked: _Asked) -> Told:
    joint = join(asked.core, asked.casing, asked.form, same_house=asked.same_house)
    return Told(joint, advise(joint))


class TogetherView(QScrollArea):
    """Two glasses in one piece.

    Signals
    -------
    taken(object)
        A changed glass a person wants to go on with.
    """

    taken = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._own: Glass | None = None
        self._others: dict[str, Glass] = {}
        self._match: Match | None = None
        units = studio.units
        self.partner = ChoiceBox()
        self.side = ChoiceBox([("inside", True), ("outside", False)])
        self.kind = ChoiceBox(list(_KINDS))
        for box in (self.partner, self.side, self.kind):
            # Long names are cut with dots where there is no room for them.
            box.setSizeAdjustPolicy(box.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(_FEWEST)
        limits = {"minimum": 0.05e-3, "maximum": 0.3}
        self.first = QuantityEdit(Quantity.LENGTH, units=units, value=0.010, **limits)
        self.second = QuantityEdit(Quantity.LENGTH, units=units, value=0.003, **limits)
        self.form = Form(columns=2)
        self.form.add("partner", "&With", self.partner, span=2)
        self.form.add("kind", "&As", self.kind)
        self.form.add("side", "This &glass is", self.side)
        self.form.add("first", "First", self.first)
        self.form.add("second", "Second", self.second)
        self.held = QCheckBox("A closed form: it cannot bend")
        self.same_house = QCheckBox("Both melted here, same raw materials")
        self.verdict = Banner(closable=False)
        self.reason = Label(wrap=True)
        self.table = DataTable([], name="The two glasses")
        self.advice = Label(wrap=True)
        self.warnings = Label(role="muted", wrap=True)
        self.problem = Label(role="error", wrap=True)
        self.oxides = QLineEdit(", ".join(_USUAL))
        self.match_form = Form(columns=1)
        self.match_form.add(
            "adjustable",
            "&Oxides of this glass that may change",
            self.oxides,
            help_text="Two or more, one against the other",
        )
        self.find = QPushButton("Match it to the other")
        self.matched = Label(wrap=True)
        self.take = QPushButton("Go on with the changed glass")
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._lay_out()
        self._connect()
        self._on_kind()

    def _lay_out(self) -> None:
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 10, 10, 4)
        column.setSpacing(8)
        for widget in (self.form, self.held, self.same_house, self.problem):
            column.addWidget(widget)
        self._answer = QWidget()
        answer = QVBoxLayout(self._answer)
        answer.setContentsMargins(0, 6, 0, 0)
        answer.setSpacing(8)
        for widget in (self.verdict, self.reason, self.table, self.advice, self.warnings):
            answer.addWidget(widget)
        column.addWidget(self._answer)
        column.addSpacing(6)
        column.addWidget(Label("Match by expansion", role="heading"))
        column.addWidget(self.match_form)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addWidget(self.find)
        row.addWidget(self.take)
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(self.matched)
        column.addWidget(CautionStrip(_CAUTION))
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidget(inside)
        self._answer.setVisible(False)
        self.take.setVisible(False)

    def _connect(self) -> None:
        self.kind.chosen.connect(self._on_kind)
        for box in (self.partner, self.side):
            box.chosen.connect(self._wait)
        for edit in (self.first, self.second):
            edit.value_changed.connect(self._wait)
        for check in (self.held, self.same_house):
            check.toggled.connect(self._wait)
        self._pause.timeout.connect(self.reckon)
        self.find.clicked.connect(self.find_match)
        self.oxides.returnPressed.connect(self.find_match)
        self.take.clicked.connect(self._on_take)

    def show_choices(self, glasses: Mapping[str, Glass]) -> None:
        """Offer these glasses as partners, keeping the chosen one if it is still there."""
        if dict(glasses) != self._others:
            self._others = dict(glasses)
            self.partner.set_choices([(name, name) for name in self._others])
            self._wait()

    def show_glass(self, glass: Glass | None) -> None:
        """Join this glass, as it stands in the form."""
        if glass != self._own:
            self._own = glass
            self._wait()

    def set_units(self, units: UnitChoice) -> None:
        """Show the same numbers in other units."""
        self.form.set_units(units)
        self._wait()

    def showEvent(self, event: object) -> None:
        """Reckon what changed while out of sight."""
        super().showEvent(event)  # type: ignore[arg-type]
        self._wait()

    def reckon(self) -> None:
        """Reckon the pair in the background."""
        self._pause.stop()
        if not self.isVisible() or self._own is None:
            return
        asked = self._asked()
        if asked is not None:
            self._studio.jobs.submit(
                _told, asked, on_done=self._show, on_failed=self._fail, kind="pair", owner=self
            )

    def find_match(self) -> None:
        """Find the smallest change of this glass that makes it shrink like the other."""
        partner = self._others.get(str(self.partner.value))
        if self._own is None or partner is None:
            return
        names = [part.strip() for part in self.oxides.text().split(",") if part.strip()]
        self.match_form.clear_errors()
        self.find.setEnabled(False)
        self._studio.jobs.submit(
            match,
            self._own,
            partner,
            names,
            on_done=self._show_match,
            on_failed=self._fail_match,
            kind="match",
            owner=self,
        )

    def _asked(self) -> _Asked | None:
        partner = self._others.get(str(self.partner.value))
        if self._own is None or partner is None:
            return None
        try:
            form = self._form()
        except UnitError:
            return None
        inner, outer = (self._own, partner) if self.side.value else (partner, self._own)
        return _Asked(inner, outer, form, self.same_house.isChecked())

    def _form(self) -> JointForm:
        kind, first = self.kind.value, self.first.require()
        if kind is _Kind.THREAD:
            return Cylinders(first / 2.0, float("inf"))
        second = self.second.require()
        if kind is _Kind.CASED:
            return Cylinders(first / 2.0, first / 2.0 + second)
        return Layers(
            first,
            second,
            both_faces=kind is _Kind.BOTH_FACES,
            free_to_bend=not self.held.isChecked(),
        )

    def _wait(self) -> None:
        self._forget_match()
        self._pause.start()

    def _on_kind(self) -> None:
        kind = _Kind(str(self.kind.value))
        first, second = _DIMENSIONS[kind]
        self.form.field("first").set_label(first)
        self.form.field("second").set_label(second or "–")
        self.form.field("second").setVisible(bool(second))
        self.held.setVisible(kind is _Kind.LAYER)
        self._wait()

    def _show(self, told: Told) -> None:
        joint, units = told.joint, self._studio.units
        self.problem.setText("")
        self.problem.setVisible(False)
        self._answer.setVisible(True)
        self.verdict.tell(VERDICT_WEIGHT[joint.verdict], f"{verdict_words(joint)}.")
        self.reason.setText(reason_words(joint, units))
        inner, outer = places(joint.form)
        self.table.set_rows(())
        self.table.set_columns(
            [
                Column("", lambda r: r.name),
                Column(inner.capitalize(), lambda r: r.inner, stretch=True),
                Column(outer.capitalize(), lambda r: r.outer, stretch=True),
            ]
        )
        rows: list[PairRow] = pair_rows(joint, units)
        self.table.set_rows(rows)
        self.table.fit_rows()
        self.advice.setText(told.advice.sentence if told.advice is not None else "")
        self.advice.setVisible(told.advice is not None)
        self.warnings.setText("\n".join(joint.warnings))

    def _fail(self, error: LehrkeeperError) -> None:
        self._answer.setVisible(False)
        self.problem.setText(str(error))
        self.problem.setVisible(True)

    def _forget_match(self) -> None:
        self._match = None
        self.matched.setText("")
        self.take.setVisible(False)

    def _show_match(self, found: Match) -> None:
        self.find.setEnabled(True)
        self._match = found
        set_role(self.matched, "")
        self.matched.setText(match_words(found))
        self.take.setVisible(bool(found.change))

    def _fail_match(self, error: LehrkeeperError) -> None:
        self.find.setEnabled(True)
        self._forget_match()
        if not self.match_form.show_error(error):
            set_role(self.matched, "error")
            self.matched.setText(str(error))

    def _on_take(self) -> None:
        if self._match is not None:
            self.taken.emit(self._match.glass)
