"""The time of an entry: it is now, and goes on being now, until a person types another."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QHBoxLayout, QLabel, QVBoxLayout, QWidget

from app.local_time import whole_minutes
from app.studio import Studio
from app.widgets.clock_edit import ClockEdit
from app.widgets.field import Field
from core.furnace.charged import require_happened

_TICK = 5_000
_BACK_AFTER = 5 * 60_000
"""Milliseconds after which an untouched earlier time becomes now again: forgotten, it would put
the next entries in the wrong place."""


class TimeEntry(Field):
    """Clock time and day, with a way back to now above them.

    Signals
    -------
    ticked(datetime)
        The present, every few seconds.
    """

    ticked = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        self.clock = ClockEdit(zone=studio.zone, name="time", clock=studio.now)
        super().__init__(
            "T&ime",
            self.clock,
            name="time",
            help_text="Of the temperature and of the charge",
            parent=parent,
        )
        self._studio = studio
        self.now = QLabel('<a href="now">Back to now</a>')
        self.now.setTextFormat(Qt.TextFormat.RichText)
        self.now.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self.now.linkActivated.connect(lambda _: self.back_to_now())
        self.now.hide()
        column = self.layout()
        assert isinstance(column, QVBoxLayout)  # noqa: S101 -- what Field lays out
        column.removeWidget(self.label)
        head = QHBoxLayout()
        head.addWidget(self.label)
        head.addStretch(1)
        head.addWidget(self.now)
        column.insertLayout(0, head)
        self._follows = True
        self._ticker = QTimer(self)
        self._ticker.setInterval(_TICK)
        self._ticker.timeout.connect(self._tick)
        self._ticker.start()
        self._back = QTimer(self)
        self._back.setSingleShot(True)
        self._back.setInterval(_BACK_AFTER)
        self._back.timeout.connect(self.back_to_now)
        self.clock.edited.connect(self._leave_now)
        self.back_to_now()

    @property
    def follows_now(self) -> bool:
        """True until a person types another time."""
        return self._follows

    def moment(self) -> datetime:
        """The time an entry made at this instant gets; to the second while it is now.

        Raises
        ------
        LehrkeeperError
            If it is missing, wrong or still to come.
        """
        now = self._studio.now()
        if self._follows:
            return now.replace(microsecond=0)
        if self._back.isActive():
            self._back.start()
        moment = self.clock.require()
        require_happened(moment, now)
        return moment

    def hold(self, moment: datetime) -> None:
        """Stay at an earlier moment, of an entry that is being corrected."""
        self.clock.set_moment(moment)
        self._leave_now()
        self._back.stop()

    def back_to_now(self) -> None:
        """Follow the clock again."""
        self._follows = True
        self._back.stop()
        self.now.hide()
        self.set_note("")
        self.clear_error()
        self._tick()

    def _leave_now(self) -> None:
        self._follows = False
        self._back.start()
        self.now.show()
        if not self.clock.note:
            self.set_note("Not now: entries get this time")

    def _tick(self) -> None:
        now = self._studio.now()
        if self._follows and self.clock.moment != whole_minutes(now):
            self.clock.set_moment(now)
            self.clear_error()
        self.ticked.emit(now)
