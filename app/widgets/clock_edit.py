"""Entry of a day and a clock time; hands out aware UTC datetimes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, tzinfo

from PySide6.QtCore import QDate, Qt, Signal
from PySide6.QtGui import QKeyEvent, QWheelEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QDateEdit,
    QHBoxLayout,
    QLineEdit,
    QSizePolicy,
    QWidget,
)

from app.local_time import Instant, Occurs, day_word, from_local, read_clock, to_local
from app.widgets.label import Label
from core.errors import UnitError


class _DayEdit(QDateEdit):
    """A day with a calendar; the wheel leaves it alone unless it has the focus."""

    def __init__(self) -> None:
        super().__init__()
        self.setCalendarPopup(True)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # As high as the time beside it, not as its own arrows would like.
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self.setDisplayFormat("ddd d MMM yyyy")
        self.setDateRange(QDate(1990, 1, 1), QDate(2100, 12, 31))
        # The style sheet's padding and arrow are not in the box's own idea of its width.
        widest = self.locale().toString(QDate(2028, 9, 27), "ddd d MMM yyyy")
        self.setMinimumWidth(self.fontMetrics().horizontalAdvance(widest) + 62)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()


class _TimeEdit(QLineEdit):
    """A typed clock time; Up and Down move it by a quarter of an hour."""

    stepped = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setPlaceholderText("17:30")
        self.setAlignment(Qt.AlignmentFlag.AlignRight)
        self.setMaximumWidth(110)
        self.setMinimumWidth(76)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {Qt.Key.Key_Up: 15, Qt.Key.Key_Down: -15}.get(Qt.Key(event.key()))
        if steps is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(steps)
            event.accept()


class ClockEdit(QWidget):
    """Day and clock time in the studio's own time zone.

    Type ``1730``, ``17:30`` or ``5:30 pm``. A time that the change of the clocks skips or
    repeats is pointed out in ``note`` (a check box then chooses the second of two).

    Parameters
    ----------
    zone : tzinfo, optional
        ``None``: the machine's own.
    optional : bool
        The time may be left empty.
    name : str
        Field name for errors.
    clock : callable, optional
        Gives the present as an aware datetime; for "today" and "tomorrow".

    Signals
    -------
    moment_changed(object)
        Aware UTC datetime or ``None``.
    edited()
        A person changed it.
    error_changed(str), note_changed(str)
    """

    moment_changed = Signal(object)
    edited = Signal()
    error_changed = Signal(str)
    note_changed = Signal(str)

    def __init__(
        self,
        *,
        zone: tzinfo | None = None,
        optional: bool = False,
        name: str = "",
        clock: Callable[[], datetime] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.name = name
        self._zone = zone
        self._optional = optional
        self._clock = clock or (lambda: datetime.now(UTC))
        self._moment: datetime | None = None
        self._error = ""
        self._note = ""
        self.day = _DayEdit()
        self.time = _TimeEdit()
        self.word = Label(role="muted")
        self.second = QCheckBox("second time round")
        self.second.setVisible(False)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self.time)
        row.addWidget(self.day)
        row.addWidget(self.word)
        row.addWidget(self.second)
        row.addStretch(1)
        self.setFocusProxy(self.time)
        self.day.setAccessibleName("Day")
        self._set_day(to_local(self._clock(), zone).date())
        self.time.textEdited.connect(self._on_typed)
        self.time.editingFinished.connect(self._on_finished)
        self.time.stepped.connect(self._on_stepped)
        self.day.dateChanged.connect(self._on_day)
        self.second.toggled.connect(self._on_typed)

    # -- value ------------------------------------------------------------------------------

    @property
    def moment(self) -> datetime | None:
        """Aware UTC datetime; ``None`` when empty or wrong."""
        return self._moment

    @property
    def error(self) -> str:
        """What is wrong, or empty."""
        return self._error

    @property
    def note(self) -> str:
        """What is worth knowing about this time, or empty."""
        return self._note

    def set_moment(self, moment: datetime | None) -> None:
        """Show an aware datetime, or clear the time."""
        if moment is None:
            self.time.clear()
        else:
            local = to_local(moment, self._zone)
            self.time.setText(f"{local:%H:%M}")
            self._set_day(local.date())
            self._quietly_second(second=bool(local.fold))
        self._take(show_errors=False)

    def require(self) -> datetime:
        """The moment, for building core objects.

        Raises
        ------
        UnitError
            If the time is missing or wrong; the message is also shown.
        """
        self._take(show_errors=True)
        if self._moment is None:
            message = self._error or "A time is needed here."
            self._set_error(message)
            raise UnitError(message, field=self.name or None)
        return self._moment

    def optional_moment(self) -> datetime | None:
        """The moment or ``None`` when left empty; raises like :meth:`require` when wrong."""
        return None if self._optional and not self.time.text().strip() else self.require()

    def is_valid(self) -> bool:
        """True when it is a time, or empty and optional."""
        return not self._read()[1]

    def set_zone(self, zone: tzinfo | None) -> None:
        """Show the same moment in another time zone."""
        moment = self._moment
        self._zone = zone
        if moment is not None:
            self.set_moment(moment)

    # -- reading ----------------------------------------------------------------------------

    def _read(self) -> tuple[Instant | None, str]:
        text = self.time.text().strip()
        if not text:
            return None, "" if self._optional else "A time is needed here."
        try:
            at = read_clock(text)
        except UnitError as error:
            return None, str(error)
        second = self.second.isChecked()
        return from_local(self._date(), at, self._zone, second=second), ""

    def _date(self) -> date:
        shown = self.day.date()
        return date(shown.year(), shown.month(), shown.day())

    def _set_day(self, day: date) -> None:
        self.day.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.day.setDate(QDate(day.year, day.month, day.day))
        self.day.blockSignals(False)  # noqa: FBT003
        self._show_word()

    def _quietly_second(self, *, second: bool) -> None:
        self.second.blockSignals(True)  # noqa: FBT003
        self.second.setChecked(second)
        self.second.blockSignals(False)  # noqa: FBT003

    def _show_word(self) -> None:
        word = day_word(self._date(), now=self._clock(), zone=self._zone)
        self.word.setText(word if word.isalpha() else "")

    def _take(self, *, show_errors: bool) -> None:
        instant, message = self._read()
        occurs = instant.occurs if instant is not None else Occurs.ONCE
        self.second.setVisible(occurs is Occurs.TWICE)
        note = ""
        if instant is not None and occurs is Occurs.NEVER:
            note = (
                f"The clocks go forward: this time is skipped, "
                f"{to_local(instant.moment, self._zone):%H:%M} is meant."
            )
        elif occurs is Occurs.TWICE:
            which = "second" if self.second.isChecked() else "first"
            note = f"The clocks go back: this time comes twice, the {which} is meant."
        if note != self._note:
            self._note = note
            self.note_changed.emit(note)
        if not message or show_errors or self._error:
            self._set_error(message)
        moment = instant.moment if instant is not None else None
        if moment != self._moment:
            self._moment = moment
            self.moment_changed.emit(moment)

    def _set_error(self, message: str) -> None:
        if message != self._error:
            self._error = message
            self.error_changed.emit(message)

    def _on_typed(self) -> None:
        self._take(show_errors=False)
        self.edited.emit()

    def _on_day(self) -> None:
        self._show_word()
        self._on_typed()

    def _on_finished(self) -> None:
        self._take(show_errors=True)
        if self._moment is not None:
            self.time.setText(f"{read_clock(self.time.text()):%H:%M}")

    def _on_stepped(self, minutes: int) -> None:
        if self._moment is None:
            return
        moment = datetime.fromtimestamp(self._moment.timestamp() + 60.0 * minutes, UTC)
        self.set_moment(moment)
        self.edited.emit()
