"""Where is written what became of a piece, the next morning."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QPushButton, QWidget

from app.logbook.form_grid import FormGrid
from app.logbook.photo_choice import PhotoChoice
from app.logbook.run_sheet import RunSheet
from app.studio import Studio
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from app.widgets.past_moments import refuse_future
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.errors import LehrkeeperError
from core.run.run_event import Outcome, OutcomeKind
from core.store.book import RunRecord


class OutcomeForm(FormGrid):
    """Piece, how many, what was found, and what the polariscope showed.

    Signals
    -------
    entered()
        It is in the book.
    left()
        The form is done with.
    failed(LehrkeeperError)
    """

    entered = Signal()
    left = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._run: RunRecord | None = None
        self._counts: dict[str, int] = {}
        units = studio.units
        self.piece = ChoiceBox()
        self.kind = ChoiceBox([(kind.value.capitalize(), kind) for kind in OutcomeKind])
        self.count = QuantityEdit(Quantity.COUNT, units=units, minimum=1, maximum=9999, value=1)
        self.clock = ClockEdit(zone=studio.zone, name="found_at", clock=studio.now)
        self.retardation = QuantityEdit(
            Quantity.RETARDATION, units=units, minimum=0.0, maximum=1e-4, optional=True
        )
        self.path = QuantityEdit(
            Quantity.LENGTH, units=units, minimum=1e-4, maximum=1.0, optional=True
        )
        self.grade = QLineEdit()
        self.grade.setPlaceholderText("temper 2")
        self.grade.setMaxLength(80)
        self.text = QLineEdit()
        self.text.setMaxLength(2000)
        self.photos = PhotoChoice(studio)
        self._fields = {
            "piece": Field("Pi&ece", self.piece, name="piece"),
            "kind": Field("&Found", self.kind, name="kind"),
            "count": Field("How &many", self.count, name="count"),
            "grade": Field("Gra&de seen", self.grade, name="grade"),
            "retardation": Field("Or polari&scope", self.retardation, name="retardation"),
            "light_path": Field("Through &glass of", self.path, name="light_path"),
            "found_at": Field("Seen &at", self.clock, name="found_at"),
            "text": Field("&Words", self.text, name="text"),
        }
        self.enter = QPushButton("En&ter it")
        set_role(self.enter, "primary")
        self.leave = QPushButton("&Done")
        self._lay_out()
        self.kind.chosen.connect(self._on_kind)
        self.piece.chosen.connect(self._on_piece)
        for box in (self.text, self.grade, self.retardation, self.path, self.count):
            box.returnPressed.connect(self.commit)
        self.enter.clicked.connect(self.commit)
        self.leave.clicked.connect(self.left)
        studio.units_changed.connect(self.path.set_units)
        self._on_kind(self.kind.value)

    def _lay_out(self) -> None:
        for name, field in self._fields.items():
            self.add(field, wide=name in {"found_at", "text"})
        self.finish(self.enter, self.photos, self.leave)

    def ask(self, sheet: RunSheet) -> None:
        """Ask what was found of a run's pieces."""
        self._run = sheet.run
        self._counts = {piece.name: piece.count for piece in sheet.load.pieces}
        self.piece.set_choices([(name, name) for name in self._counts])
        self._begin()
        self.clock.set_moment(self._studio.now())
        self.piece.setFocus()

    def _begin(self) -> None:
        for box in (self.grade, self.text):
            box.clear()
        self.retardation.set_value_si(None)
        self.path.set_value_si(None)
        self.photos.set_paths(())
        for field in self._fields.values():
            field.clear_error()
        self._on_piece(self.piece.value)

    def _on_piece(self, name: object) -> None:
        self.count.set_value_si(float(self._counts.get(str(name), 1)))

    def _on_kind(self, kind: object) -> None:
        seen = kind is OutcomeKind.STRAIN_SEEN
        for name in ("retardation", "light_path", "grade"):
            self._fields[name].setEnabled(seen)
            if not seen:
                self._fields[name].clear_error()

    def _outcome(self) -> Outcome:
        kind = OutcomeKind(str(self.kind.value))
        seen = kind is OutcomeKind.STRAIN_SEEN
        moment = self.clock.require()
        refuse_future(moment, self._studio, "found_at")
        return Outcome(
            str(self.piece.value or ""),
            moment,
            kind,
            round(self.count.require()),
            self.retardation.optional_value() if seen else None,
            self.path.optional_value() if seen else None,
            self.grade.text().strip() if seen else "",
            self.text.text().strip(),
            self.photos.paths,
        )

    def commit(self) -> None:
        """Enter it, or say beside the box what is wrong."""
        if self._run is None:
            return
        for field in self._fields.values():
            field.clear_error()
        try:
            self._studio.book.add_outcome(self._run.id, self._outcome())
        except LehrkeeperError as error:
            field = self._fields.get(error.field or "")
            if field is None:
                self.failed.emit(error)
            else:
                field.set_error(str(error))
                field.editor.setFocus()
            return
        self._begin()
        self.entered.emit()
