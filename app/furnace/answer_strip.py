"""The glass now in the pot, large: how much, where it anneals, its expansion, how it drifted."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QGridLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.furnace.words import mass_words
from app.local_time import short_day, to_local
from app.theme import set_role
from app.widgets.label import Label
from app.widgets.quantity import (
    NOTHING,
    Quantity,
    format_quantity,
    scale_of,
    signed_text,
)
from core.glass.glass import Estimate
from core.melt.pot_drift import Drift
from core.melt.pot_story import PotStory
from core.units import UnitChoice

_STEADY_KELVIN = 0.5
_STEADY_EXPANSION = 0.5e-7
_TWO_ROWS = 760
"""Pixels of width below which the four answers stand two by two."""


class _Answer(QWidget):
    """A small heading, a large number, a line below."""

    def __init__(self, heading: str) -> None:
        super().__init__()
        self.heading = Label(heading, role="muted")
        self.number = Label(NOTHING, role="figure")
        self.below = Label(role="small", wrap=True)
        self.below.setMinimumWidth(100)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for label in (self.heading, self.number, self.below):
            column.addWidget(label)
        column.addStretch(1)

    def show_words(self, number: str, below: str) -> None:
        self.number.setText(number)
        self.below.setText(below)
        self.setAccessibleName(f"{self.heading.text()}: {number}, {below}")


class AnswerStrip(QFrame):
    """Four answers and the button that hands the glass on.

    Signals
    -------
    glass_wanted()
        The pot's glass shall be that of tonight's pieces.
    """

    glass_wanted = Signal()

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._units = units
        self.amount = _Answer("In the pot")
        self.annealing = _Answer("Anneals at")
        self.expansion = _Answer("Expansion 20–300 °C")
        self.drift = _Answer("Drifted")
        self.use = QPushButton("Use this glass\nfor tonight's pieces")
        self.use.setToolTip("Enter this glass in the glass list, as a version of its own")
        self.use.clicked.connect(self.glass_wanted)
        self._parts = (self.amount, self.annealing, self.expansion, self.drift)
        answers = QWidget()
        self._grid = QGridLayout(answers)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(6)
        self._row = row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(14, 8, 14, 8)
        row.setSpacing(14)
        row.addWidget(answers, 1)
        row.addWidget(self.use, 0, Qt.AlignmentFlag.AlignVCenter)
        self._columns = 0
        self._arrange(4)

    def _arrange(self, columns: int) -> None:
        if columns == self._columns:
            return
        self._columns = columns
        for number, part in enumerate(self._parts):
            self._grid.addWidget(part, number // columns, number % columns)
        for column in range(4):
            self._grid.setColumnStretch(column, 1 if column < columns else 0)

    def arrange(self, width: int) -> None:
        """Two by two where there is little room [pixels]."""
        wide = width >= _TWO_ROWS
        self._arrange(4 if wide else 2)
        way = QBoxLayout.Direction
        self._row.setDirection(way.LeftToRight if wide else way.TopToBottom)

    def set_units(self, units: UnitChoice) -> None:
        """Show other units from the next story on."""
        self._units = units

    def show_story(self, story: PotStory | None, pot: str) -> None:
        """Tell what a pot has in it now."""
        units = self._units
        self.amount.heading.setText(f"In “{pot}” now" if pot else "In the pot now")
        now = None if story is None else story.now
        self.use.setEnabled(story is not None and story.glass is not None)
        if story is None or now is None or now.is_empty:
            self.amount.show_words("empty" if now is not None else NOTHING, _nothing_words(story))
            for answer in (self.annealing, self.expansion, self.drift):
                answer.show_words(NOTHING, "")
            return
        error = format_quantity(Quantity.MASS, now.mass_error, units, decimals=1)
        parts = [f"± {error}"]
        if story.level is not None:
            parts.append(f"{format_quantity(Quantity.LENGTH, story.level, units, decimals=0)} deep")
        if story.full is not None:
            full = format_quantity(Quantity.PERCENT, story.full, units, decimals=0)
            parts.append(f"{full} full")
        self.amount.show_words(mass_words(now.mass, units), ", ".join(parts))
        properties = story.properties
        self._show(self.annealing, properties and properties.annealing_point, Quantity.TEMPERATURE)
        self._show(self.expansion, properties and properties.expansion, Quantity.EXPANSION)
        self._show_drift(story)

    def _show(self, answer: _Answer, estimate: Estimate | None, quantity: Quantity) -> None:
        if estimate is None:
            answer.show_words(NOTHING, "")
            return

        def words(value: float | None, *, unit: bool = True) -> str:
            return format_quantity(quantity, value, self._units, with_unit=unit)

        below = "no interval known"
        if estimate.low is not None and estimate.high is not None:
            low, high = words(estimate.low, unit=False), words(estimate.high)
            below = f"nine in ten: {low} to {high}"
        answer.show_words(words(estimate.value), below)

    def _show_drift(self, story: PotStory) -> None:
        if not story.drift:
            self.drift.show_words(NOTHING, "the pot is new")
            return
        nearest, whole = story.drift[0], story.drift[-1]
        kelvin = nearest.annealing
        steady = abs(kelvin) < _STEADY_KELVIN and abs(nearest.expansion) < _STEADY_EXPANSION
        number = "steady" if steady else self._kelvin(kelvin)
        words = nearest.words
        if whole is not nearest:
            day = short_day(to_local(whole.since, story.ledger.zone).date())
            words += f"; {self._kelvin(whole.annealing)} since {day}"
        self.drift.show_words(number, words)
        told = [
            f"{drift.words[:1].upper()}{drift.words[1:]}: annealing point "
            f"{self._kelvin(drift.annealing)}, expansion {self._expansion(drift)}."
            for drift in story.drift
        ]
        self.drift.setToolTip(" ".join([*told, _lost_words(story, self._units)]))

    def _kelvin(self, kelvin: float) -> str:
        return self._signed(Quantity.INTERVAL, kelvin)

    def _expansion(self, drift: Drift) -> str:
        return self._signed(Quantity.EXPANSION, drift.expansion)

    def _signed(self, quantity: Quantity, value: float) -> str:
        number = format_quantity(quantity, value, self._units, with_unit=False)
        return f"{signed_text(number)} {scale_of(quantity, self._units).symbol}"


def _nothing_words(story: PotStory | None) -> str:
    if story is None or story.ledger.is_empty:
        return "nothing written down of it"
    return "nobody has told what its charges make" if story.unknown else "nothing is left in it"


def _lost_words(story: PotStory, units: UnitChoice) -> str:
    if story.now is None or story.now.lost <= 0.0005:
        return "Nothing noticeable has volatilised."
    return (
        f"About {mass_words(story.now.lost, units)} have volatilised since the pot was new, as far "
        "as such rates are known (within a factor of three)."
    )
