"""The number box: a typed number with its unit, SI in and out."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent, QWheelEvent
from PySide6.QtWidgets import QLineEdit, QWidget

from app.widgets.label import Label
from app.widgets.quantity import (
    Quantity,
    decimal_mark,
    entry_text,
    format_quantity,
    read_quantity,
    scale_of,
)
from core.errors import UnitError
from core.units import UnitChoice

_SLACK = 1e-9
"""Relative slack on limits, so that a limit typed in °F or inches is not refused."""


class QuantityEdit(QLineEdit):
    """A number with its unit inside the box; ``,`` and ``.`` both mark decimals.

    What is wrong is not shown in a pop-up: listen to ``error_changed``, or put the box into a
    :class:`app.widgets.field.Field`, which shows it. Errors appear when the box is left (or on
    Return), not half-way through typing, and go as soon as they are mended. The wheel never
    changes the number; Up and Down do, by one step, Page Up and Page Down by ten.

    Parameters
    ----------
    quantity : Quantity
    units : UnitChoice, optional
    minimum, maximum : float, optional
        SI limits, both allowed.
    optional : bool
        May be left empty; ``value_si`` is then ``None`` without an error.
    value : float, optional
        SI value to begin with.
    name : str
        Field name for errors, as in the core dataclass.

    Signals
    -------
    value_changed(object)
        New SI value or ``None``, after typing, stepping or ``set_value_si``.
    edited()
        A person changed the text (not ``set_value_si``).
    error_changed(str)
        The message to show, empty when there is none.
    """

    value_changed = Signal(object)
    edited = Signal()
    error_changed = Signal(str)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self,
        quantity: Quantity,
        *,
        units: UnitChoice | None = None,
        minimum: float | None = None,
        maximum: float | None = None,
        optional: bool = False,
        value: float | None = None,
        name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._quantity = quantity
        self._units = units or UnitChoice()
        self._minimum = minimum
        self._maximum = maximum
        self._optional = optional
        self._value: float | None = None
        self._error = ""
        self._touched = False
        self.name = name
        self._unit = Label(role="unit", parent=self)
        self._unit.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setInputMethodHints(Qt.InputMethodHint.ImhPreferNumbers)
        self._show_unit()
        self.textEdited.connect(self._on_typed)
        self.editingFinished.connect(self._on_finished)
        self._built = True
        if value is not None:
            self.set_value_si(value)

    # -- value ------------------------------------------------------------------------------

    @property
    def quantity(self) -> Quantity:
        """What the box measures."""
        return self._quantity

    @property
    def units(self) -> UnitChoice:
        """The units in which it is shown and typed."""
        return self._units

    @property
    def value_si(self) -> float | None:
        """The number in SI; ``None`` when empty or wrong (see :attr:`error`)."""
        return self._value

    @property
    def error(self) -> str:
        """The message shown, empty when there is none."""
        return self._error

    def set_value_si(self, value: float | None) -> None:
        """Show an SI value (or nothing); the shown text is rounded, the value is not."""
        self.setText(entry_text(self._quantity, value, self._units))
        self._touched = False
        problem = self._range_problem(value) if value is not None else ""
        self._set_value(None if problem else value)
        self._set_error(problem)

    def require(self) -> float:
        """The SI value, for building core objects.

        Raises
        ------
        UnitError
            If the box is empty or wrong; the message is also shown beside the box.
        """
        value, message = self._read()
        if message:
            self._touched = True
            self._set_error(message)
            raise UnitError(message, field=self.name or None)
        if value is None:
            self._touched = True
            message = "A number is needed here."
            self._set_error(message)
            raise UnitError(message, field=self.name or None)
        return value

    def optional_value(self) -> float | None:
        """The SI value or ``None`` when left empty; raises like :meth:`require` when wrong."""
        return None if not self.text().strip() and self._optional else self.require()

    def is_valid(self) -> bool:
        """True when the text is a number within the limits, or empty and optional."""
        return not self._read()[1]

    # -- limits and units -------------------------------------------------------------------

    def set_range(self, minimum: float | None, maximum: float | None) -> None:
        """Replace the SI limits and look at the number again."""
        self._minimum, self._maximum = minimum, maximum
        if self.text().strip():
            value, message = self._read()
            self._set_value(value)
            self._set_error(message)

    def set_units(self, units: UnitChoice) -> None:
        """Show the same SI value in other units; text that cannot be read stays as it is."""
        if units == self._units:
            return
        value, message = self._read()
        self._units = units
        self._show_unit()
        if value is not None and not message:
            self.setText(entry_text(self._quantity, value, units))
            self._set_error("")
        elif self._error:
            self._set_error(self._read()[1])

    # -- reading ----------------------------------------------------------------------------

    def _range_problem(self, value: float) -> str:
        low, high = self._minimum, self._maximum

        def shown(limit: float) -> str:
            number = entry_text(self._quantity, limit, self._units)
            symbol = scale_of(self._quantity, self._units).symbol
            return f"{number} {symbol}".strip()

        if low is not None and value < low - _SLACK * max(1.0, abs(low)):
            if high is None:
                return f"Use {shown(low)} or more."
            return f"Use {shown(low)} to {shown(high)}."
        if high is not None and value > high + _SLACK * max(1.0, abs(high)):
            if low is None:
                return f"Use {shown(high)} or less."
            return f"Use {shown(low)} to {shown(high)}."
        return ""

    def _read(self) -> tuple[float | None, str]:
        """The value the text stands for, and what is wrong with it."""
        if not self.text().strip():
            return None, "" if self._optional else "A number is needed here."
        if self._value is not None and not self._touched:
            return self._value, self._range_problem(self._value)
        try:
            value = read_quantity(self.text(), self._quantity, self._units)
        except UnitError as error:
            return None, str(error)
        problem = self._range_problem(value)
        return (None, problem) if problem else (value, "")

    def _on_typed(self) -> None:
        self._touched = True
        value, message = self._read()
        self._set_value(value)
        if not message:
            self._set_error("")
        elif self._error:
            self._set_error(message)
        self.edited.emit()

    def _on_finished(self) -> None:
        if not self._touched:
            return
        value, message = self._read()
        if value is not None:
            text = self.text().strip()
            plain = all(c.isdigit() or c in ".,-+" for c in text)
            # A typed unit has done its work; show the number in the box's own unit.
            self.setText(
                text.replace(".", decimal_mark()).replace(",", decimal_mark())
                if plain
                else entry_text(self._quantity, value, self._units)
            )
            self._value = value
            self._touched = False
        self._set_error(message)

    def _set_value(self, value: float | None) -> None:
        if value != self._value:
            self._value = value
            self.value_changed.emit(value)

    def _set_error(self, message: str) -> None:
        if message != self._error:
            self._error = message
            self.error_changed.emit(message)

    # -- stepping ---------------------------------------------------------------------------

    def step_by(self, steps: int) -> None:
        """Move the number by whole steps, stopping at the limits; does nothing while wrong."""
        if self.isReadOnly() or self._value is None:
            return
        scale = scale_of(self._quantity, self._units)
        shown = round(scale.from_si(self._value) + steps * scale.step, 6)
        value = scale.to_si(shown)
        if self._minimum is not None:
            value = max(self._minimum, value)
        if self._maximum is not None:
            value = min(self._maximum, value)
        if value != self._value:
            self.set_value_si(value)
            self.selectAll()
            self.edited.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Step with the arrow and page keys; everything else is typing."""
        steps = {
            Qt.Key.Key_Up: 1,
            Qt.Key.Key_Down: -1,
            Qt.Key.Key_PageUp: 10,
            Qt.Key.Key_PageDown: -10,
        }.get(Qt.Key(event.key()))
        if steps is None:
            super().keyPressEvent(event)
        else:
            self.step_by(steps)
            event.accept()

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Let the page scroll: a number must never change because somebody scrolled past it."""
        event.ignore()

    # -- the unit inside the box ------------------------------------------------------------

    def _show_unit(self) -> None:
        symbol = scale_of(self._quantity, self._units).symbol
        self._unit.setText(symbol)
        self._unit.setVisible(bool(symbol))
        self.setAccessibleDescription(f"in {symbol}" if symbol else "")
        self._place_unit()

    def _place_unit(self) -> None:
        self._unit.adjustSize()
        width = self._unit.width() if self._unit.text() else 0
        self.setTextMargins(0, 0, width + 6 if width else 0, 0)
        self._unit.move(self.width() - width - 10, (self.height() - self._unit.height()) // 2)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the unit at the right edge."""
        super().resizeEvent(event)
        self._place_unit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of font."""
        super().changeEvent(event)
        if self._built and event.type() in {QEvent.Type.FontChange, QEvent.Type.StyleChange}:
            self._place_unit()

    def describe(self) -> str:
        """Number and unit in words, for summaries."""
        return format_quantity(self._quantity, self._value, self._units)
