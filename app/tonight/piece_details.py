"""What one kind of piece is held to, and where it stands, where that is not as usual."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, tzinfo

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QToolButton, QVBoxLayout, QWidget

from app.tonight.piece_own import Own
from app.widgets.choice_box import ChoiceBox
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Form
from app.widgets.quantity import Quantity
from app.widgets.quantity_edit import QuantityEdit
from core.load.grades import GRADES
from core.load.load import Strength
from core.load.placing import PLACING_LIMITS, Placing
from core.units import UnitChoice

_AS_LOAD, _OWN = "", "own"


class PieceDetails(QWidget):
    """Limits of its own and place, folded away behind a button until wanted.

    Signals
    -------
    edited(Own)
        After every change by hand.
    """

    edited = Signal(object)

    def __init__(
        self,
        units: UnitChoice,
        zone: tzinfo | None,
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._showing = False
        self._own = Own()
        self.opener = QToolButton()
        self.opener.setCheckable(True)
        self.opener.setAutoRaise(True)
        self.opener.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
        self.form = Form(columns=2)
        self._make_boxes(units, zone, clock)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        column.addWidget(self.opener)
        column.addWidget(self.form)
        self.opener.toggled.connect(self._on_toggled)
        self.grade.chosen.connect(self._on_grade)
        for box in (self.limit, self.tension, self.factor, *self.places.values(), self.put_in):
            box.edited.connect(self._on_edited)
        self.form.hide()
        self._show_opener()

    def _make_boxes(
        self, units: UnitChoice, zone: tzinfo | None, clock: Callable[[], datetime]
    ) -> None:
        def number(quantity: Quantity, low: float, high: float) -> QuantityEdit:
            return QuantityEdit(quantity, units=units, minimum=low, maximum=high, optional=True)

        self.grade = ChoiceBox(
            [
                ("as the load", _AS_LOAD),
                *((f"{grade.code}: {grade.use}", grade.code) for grade in GRADES),
                ("a tension of its own", _OWN),
            ]
        )
        self.grade.setSizeAdjustPolicy(
            ChoiceBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.grade.setMinimumContentsLength(8)
        self.limit = number(Quantity.STRESS, 0.01e6, 100e6)
        self.tension = number(Quantity.STRESS, 0.01e6, 100e6)
        self.factor = number(Quantity.PLAIN, 1.0, 20.0)
        kinds = {
            "hotter": Quantity.INTERVAL,
            "within": Quantity.INTERVAL,
            "core": Quantity.TEMPERATURE,
            "skin": Quantity.TEMPERATURE,
            "shelf": Quantity.LENGTH,
        }
        self.places = {name: number(kind, *PLACING_LIMITS[name]) for name, kind in kinds.items()}
        self.put_in = ClockEdit(zone=zone, optional=True, clock=clock)
        self.put_in.word.hide()
        add = self.form.add
        add(
            "grade",
            "May keep",
            self.grade,
            span=2,
            help_text="Drawing codes of ISO 10110-2, nm of retardation per cm",
        )
        add("permanent_tension", "Tension left", self.limit, span=2)
        add("temporary_tension", "Stands on the way", self.tension, help_text="Ground skin: less")
        add("safety_factor", "Over a factor", self.factor, help_text="Empty: as the load")
        add("hotter", "Its place is hotter by", self.places["hotter"], help_text="Cooler: minus")
        add("within", "Known within", self.places["within"], help_text="Empty: as the lehr")
        add(
            "put_in",
            "Put in",
            self.put_in,
            span=2,
            help_text="Empty: even with the lehr when the button is pressed",
        )
        add("core", "Its middle then", self.places["core"], help_text="From the pipe")
        add("skin", "Its surface then", self.places["skin"])
        add("shelf", "Base on firebrick of", self.places["shelf"], span=2)

    # -- what it holds ----------------------------------------------------------------------

    def show_own(self, own: Own) -> None:
        """Show what a kind of piece has of its own."""
        self._showing = True
        self._own = own
        self.form.clear_errors()
        own_limit = isinstance(own.limit, float)
        self.grade.set_value(_OWN if own_limit else own.limit or _AS_LOAD)
        self.limit.set_value_si(own.limit if isinstance(own.limit, float) else None)
        self.tension.set_value_si(own.strength.temporary_tension)
        self.factor.set_value_si(own.strength.safety_factor)
        placing = own.placing
        self.places["hotter"].set_value_si(placing.hotter or None)
        for name in ("within", "core", "skin", "shelf"):
            self.places[name].set_value_si(getattr(placing, name))
        self.put_in.set_moment(placing.put_in)
        self._fit_grade()
        self._show_opener()
        self._showing = False

    def own(self) -> Own:
        """What is typed; a box that cannot be read counts as it was before."""
        before = self._own

        def value(box: QuantityEdit, kept: float | None) -> float | None:
            return box.value_si if box.is_valid() else kept

        chosen = str(self.grade.value)
        limit: float | str | None = None if chosen == _AS_LOAD else chosen
        if chosen == _OWN:
            kept = before.limit if isinstance(before.limit, float) else None
            limit = value(self.limit, kept)
        placing = before.placing
        places = {name: value(box, getattr(placing, name)) for name, box in self.places.items()}
        return Own(
            limit,
            Strength(
                value(self.tension, before.strength.temporary_tension),
                value(self.factor, before.strength.safety_factor),
            ),
            Placing(
                hotter=places["hotter"] or 0.0,
                within=places["within"],
                put_in=self.put_in.moment,
                core=places["core"],
                skin=places["skin"],
                shelf=places["shelf"],
            ),
            before.gathered,
        )

    def set_units(self, units: UnitChoice) -> None:
        """Show numbers in other units."""
        self.form.set_units(units)

    # -- folding and editing ----------------------------------------------------------------

    def _on_toggled(self, opened: bool) -> None:  # noqa: FBT001 -- Qt's own signal
        self.form.setVisible(opened)
        self._show_opener()

    def _show_opener(self) -> None:
        opened = self.opener.isChecked()
        arrow = Qt.ArrowType.DownArrow if opened else Qt.ArrowType.RightArrow
        self.opener.setArrowType(arrow)
        words = self._own.words
        told = f"Limits and place of its own: {words}" if words else "Limits and place of its own"
        self.opener.setText(told)

    def _fit_grade(self) -> None:
        self.form.field("permanent_tension").setVisible(self.grade.value == _OWN)

    def _on_grade(self, _value: object) -> None:
        self._fit_grade()
        self._on_edited()

    def _on_edited(self, *_: object) -> None:
        if self._showing:
            return
        self._own = self.own()
        self._show_opener()
        self.edited.emit(self._own)
