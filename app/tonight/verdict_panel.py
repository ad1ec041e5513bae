"""The verdict in large words, who sets the pace and why."""

from __future__ import annotations

from enum import StrEnum

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label

_ICON = 30
_POINTS = 18.0
_POINTS_NARROW = 14.5
_NARROW = 860


class Tone(StrEnum):
    """How a verdict is to be taken; also the role of its label."""

    GOOD = "good"
    LATE = "late"
    PLAIN = "heading"
    STALE = "muted"


_ICONS = {Tone.GOOD: "good", Tone.LATE: "problem", Tone.PLAIN: "clock", Tone.STALE: "clock"}


class VerdictPanel(QWidget):
    """Icon and one large sentence; below it the reason, or why the sentence is out of date."""

    _built = False

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._tone = Tone.PLAIN
        self._shown = Tone.PLAIN
        self._icon = Label()
        self._icon.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.sentence = Label(wrap=True)
        self.reason = Label(wrap=True)
        selectable = (
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        for label in (self.sentence, self.reason):
            label.setTextInteractionFlags(selectable)
            label.setFocusPolicy(Qt.FocusPolicy.ClickFocus)
        self.reason.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._stale = False
        self._top = QHBoxLayout()
        self._top.setSpacing(10)
        self._top.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignTop)
        self._top.addWidget(self.sentence, 1)
        self._buttons = QWidget()
        buttons = QHBoxLayout(self._buttons)
        buttons.setContentsMargins(0, 0, 0, 0)
        buttons.setSpacing(10)
        words = QVBoxLayout()
        words.setContentsMargins(0, 0, 0, 0)
        words.setSpacing(2)
        words.addWidget(self.reason)
        words.addStretch(1)
        self._row = QHBoxLayout()
        self._row.setSpacing(10)
        self._row.addLayout(words, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(2)
        column.addLayout(self._top)
        column.addLayout(self._row)
        self._built = True
        self._fit()

    def add_button(self, button: QPushButton) -> None:
        """Put a button to the right."""
        self._buttons.layout().addWidget(button)

    @property
    def tone(self) -> Tone:
        """How the verdict is to be taken (also while it is out of date)."""
        return self._tone

    def show_verdict(self, tone: Tone, sentence: str, reason: str) -> None:
        """Show a verdict that is up to date."""
        self._tone = self._shown = tone
        self.sentence.setText(sentence)
        self._stale = False
        self.reason.setMinimumHeight(0)
        self.reason.setText(reason)
        set_role(self.reason, "")
        self._tint()

    def show_stale(self, why: str) -> None:
        """Keep the verdict but say that it is out of date."""
        if not self._stale:
            # Nothing below may jump while somebody types.
            self.reason.setMinimumHeight(self.reason.height())
        self._stale = True
        self.reason.setText(why)
        set_role(self.reason, "note")
        self._shown = Tone.STALE
        self._tint()

    @property
    def is_stale(self) -> bool:
        """True while what is shown is out of date."""
        return self._stale

    def _tint(self) -> None:
        theme = theme_of(self)
        colour = {
            Tone.GOOD: theme.good,
            Tone.LATE: theme.problem,
            Tone.PLAIN: theme.ink,
            Tone.STALE: theme.muted,
        }[self._shown]
        name = _ICONS[self._tone]
        self._icon.setPixmap(icon_pixmap(name, colour, _ICON, self.devicePixelRatioF()))
        set_role(self.sentence, self._shown.value)
        self._fit()

    def _fit(self) -> None:
        wide = self.width() >= _NARROW
        points = _POINTS if wide else _POINTS_NARROW
        # Beside the sentence the buttons cost no height; a narrow window has room below only.
        row = self._top if wide else self._row
        if row.indexOf(self._buttons) < 0:
            (self._row if wide else self._top).removeWidget(self._buttons)
            row.addWidget(self._buttons, 0, Qt.AlignmentFlag.AlignTop)
        # The style sheet has the last word on fonts, so the size goes where it does not look.
        self.sentence.setStyleSheet(f"font-size: {points}pt; font-weight: 600;")

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Large words where there is room for them."""
        super().resizeEvent(event)
        was_wide = event.oldSize().width() >= _NARROW
        if was_wide != (self.width() >= _NARROW):
            self._fit()

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
