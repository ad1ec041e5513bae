"""The form for one kind of piece: only the boxes its shape asks for."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo
from typing import Any

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QVBoxLayout, QWidget

from app.tonight.piece_details import PieceDetails
from app.tonight.piece_rows import DIMENSIONS, FACES, SHAPE_WORDS, PieceRow
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.load.gathering import Gathering
from core.piece.piece import THICKEST, THINNEST, CooledFrom, Shape
from core.units import UnitChoice

_LENGTHS = ("wall_thickness", "base_thickness", "diameter", "height")
_LABELS = {
    "wall_thickness": "&Wall thickness",
    "base_thickness": "&Base thickness",
    "diameter": "&Diameter",
    "height": "&Height",
}
_MOST_PIECES = 9999.0


@dataclass(frozen=True)
class FromPot:
    """The choice to take the glass from a pot, as it was when it was gathered."""

    pot: str


class PieceForm(QWidget):
    """Shows one row of the table and says when somebody edits it.

    Signals
    -------
    edited(dict)
        All entries by the names of :class:`core.piece.piece.Piece`, after every change by hand.
    left()
        A box was left, or something was chosen: what stands there is meant.
    """

    edited = Signal(object)
    left = Signal()

    def __init__(
        self,
        units: UnitChoice,
        zone: tzinfo | None,
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._showing = False
        self._clock = clock
        self._gathered: Gathering | None = None
        self.details = PieceDetails(units, zone, clock)
        self.form = Form(columns=6)
        self.name = QLineEdit()
        self.count = QuantityEdit(Quantity.COUNT, units=units, minimum=1.0, maximum=_MOST_PIECES)
        self.shape = _narrow(ChoiceBox([(words, shape) for shape, words in SHAPE_WORDS.items()]))
        self.glass = _narrow(ChoiceBox())
        self.gathered_at = ClockEdit(zone=zone, clock=clock)
        self.gathered_at.word.hide()
        self.lengths = {
            name: QuantityEdit(
                Quantity.LENGTH,
                units=units,
                minimum=THINNEST,
                maximum=THICKEST,
                optional=name == "height",
            )
            for name in _LENGTHS
        }
        self.form.add("name", "&Piece", self.name, span=4)
        self.form.add("count", "How &many", self.count, span=2)
        self.form.add("shape", "&Shape", self.shape, span=3)
        self.form.add("glass", "&Glass", self.glass, span=3)
        self.form.add("gathered_at", "Gathered", self.gathered_at, span=6).hide()
        for name, box in self.lengths.items():
            self.form.add(name, _LABELS[name], box, span=3)
        for name in ("shape", "glass"):  # nothing is ever wrong with these
            self.form.field(name).message.hide()
        self.form.field("height").set_help("If lower than wide")
        self.faces = {
            "cooled_from": QCheckBox("Wall cooled from one side"),
            "base_cooled_from": QCheckBox("Base cooled from one side"),
        }
        self.faces["cooled_from"].setToolTip(
            "Narrow-necked or closed forms and plates on a solid shelf lose heat on one side only."
        )
        self.faces["base_cooled_from"].setToolTip(
            "On a solid shelf the base loses heat upwards only; on a ribbed rack from both sides."
        )
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 4, 0)
        column.setSpacing(6)
        column.addWidget(self.form)
        for box in self.faces.values():
            column.addWidget(box)
            box.clicked.connect(self._on_edited)
        column.addWidget(self.details)
        self.name.textEdited.connect(self._on_edited)
        self.count.edited.connect(self._on_edited)
        self.shape.chosen.connect(self._on_shape)
        self.glass.chosen.connect(self._on_glass)
        self.gathered_at.edited.connect(self._on_edited)
        for box in self.lengths.values():
            box.edited.connect(self._on_edited)
        for box in (self.name, self.count, *self.lengths.values()):
            box.editingFinished.connect(self.left)
        for chosen in (self.shape.chosen, self.glass.chosen):
            chosen.connect(self._on_chosen)
        for box in self.faces.values():
            box.clicked.connect(self.left)
        self._fit_shape()

    def set_units(self, units: UnitChoice) -> None:
        """Show lengths in other units."""
        self.form.set_units(units)
        self.details.set_units(units)

    def set_glasses(self, names: Sequence[str], pots: Sequence[str]) -> None:
        """Offer these glasses, and what is gathered from these pots, keeping what is chosen."""
        self._showing = True
        from_pots = [(f"from “{pot}”", FromPot(pot)) for pot in pots]
        self.glass.set_choices([*((name, name) for name in names), *from_pots])
        self._showing = False

    def show_row(self, row: PieceRow) -> None:
        """Show a row's entries."""
        self._showing = True
        entries = row.entries
        self.form.clear_errors()
        self.name.setText(row.name)
        count = entries.get("count")
        self.count.set_value_si(None if count is None else float(count))
        self.shape.set_value(entries["shape"])
        self._gathered = row.own.gathered
        if self._gathered is None:
            self.glass.set_value(entries.get("glass"))
        else:
            self.glass.set_value(FromPot(self._gathered.pot))
            self.gathered_at.set_moment(self._gathered.time)
        self._fit_glass()
        for name, box in self.lengths.items():
            box.set_value_si(entries.get(name))
        for name, box in self.faces.items():
            box.setChecked(entries.get(name) is CooledFrom.ONE)
        self._fit_shape()
        self.details.show_own(row.own)
        self._showing = False

    def show_complaint(self, row: PieceRow) -> None:
        """Say beside its box what keeps the entries from being a piece, once it was typed in."""
        error = row.complaint
        if error is None or error.field not in self.form.fields:
            self.form.field("name").clear_error()
            return
        # A box still to be filled in is not wrong yet; number boxes tell their own faults.
        if error.field == "name":
            self.form.field("name").set_error(str(error))

    def entries(self) -> dict[str, Any]:
        """What is typed; ``None`` where a box is empty or wrong."""
        count = self.count.value_si
        return {
            "name": self.name.text().strip(),
            "count": None if count is None else round(count),
            "shape": self.shape.value,
            "glass": self._glass_words(),
            **{name: box.value_si for name, box in self.lengths.items() if not self._skipped(name)},
            **{
                name: CooledFrom.ONE if box.isChecked() else CooledFrom.BOTH
                for name, box in self.faces.items()
            },
        }

    @property
    def gathered(self) -> Gathering | None:
        """The pot chosen and the time of gathering, the last that could be read."""
        return self._gathered

    def show_gathered(self, words: str, error: str = "") -> None:
        """Tell what glass was gathered, or why there is none."""
        field = self.form.field("gathered_at")
        field.set_help(words)
        if not self.gathered_at.error:
            field.set_error(error)

    def _glass_words(self) -> str:
        chosen = self.glass.value
        return chosen.pot if isinstance(chosen, FromPot) else str(chosen or "")

    def _on_glass(self, chosen: object) -> None:
        if isinstance(chosen, FromPot) and self.gathered_at.moment is None:
            self.gathered_at.set_moment(self._clock().replace(second=0, microsecond=0))
        self._fit_glass()
        self._on_edited()

    def _fit_glass(self) -> None:
        self.form.field("gathered_at").setVisible(isinstance(self.glass.value, FromPot))

    def _take_gathering(self) -> None:
        chosen = self.glass.value
        if not isinstance(chosen, FromPot):
            self._gathered = None
            return
        moment = self.gathered_at.moment
        if moment is None and self._gathered is not None:
            moment = self._gathered.time
        if moment is not None:
            self._gathered = Gathering(chosen.pot, moment)

    def _skipped(self, name: str) -> bool:
        """A hidden box keeps the entry it was given, so that choosing the shape back finds it."""
        return name not in DIMENSIONS[Shape(self.shape.value)]

    def has_unreadable(self) -> bool:
        """True when an optional box holds something that is no number (an empty one is fine)."""
        box = self.lengths["height"]
        return not self._skipped("height") and not box.is_valid()

    def _on_shape(self) -> None:
        self._fit_shape()
        self._on_edited()

    def _on_chosen(self, _value: object) -> None:
        if not self._showing:
            self.left.emit()

    def _fit_shape(self) -> None:
        shape = Shape(self.shape.value)
        for name in _LENGTHS:
            self.form.field(name).setVisible(name in DIMENSIONS[shape])
        wall = self.form.field("wall_thickness")
        flat = shape is Shape.PLATE
        wall.label.setText("&Thickness" if flat else _LABELS["wall_thickness"])
        self.lengths["wall_thickness"].setAccessibleName("Thickness" if flat else "Wall thickness")
        wall.set_help("At its thickest")
        self.form.field("base_thickness").set_help("In the middle")
        self.form.field("diameter").set_help("Largest ball inside" if shape is Shape.SPHERE else "")
        for name, box in self.faces.items():
            box.setVisible(name in FACES[shape])
        self.faces["cooled_from"].setText(
            "Cooled from one side" if flat else "Wall cooled from one side"
        )

    def _on_edited(self, *_: object) -> None:
        if not self._showing:
            self._take_gathering()
            self.edited.emit(self.entries())


def _narrow(box: ChoiceBox) -> ChoiceBox:
    """Let a list be narrower than its longest words."""
    box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
    box.setMinimumContentsLength(6)
    return box
