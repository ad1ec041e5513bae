"""What a logger's file does not say, asked one below the other."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QRadioButton,
    QVBoxLayout,
    QWidget,
)

from app.studio import Studio
from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.clock_edit import ClockEdit
from app.widgets.label import Label
from core.run.log_format import Doubt, Option

_SETTLE = 300
"""Milliseconds of quiet after typing a start before the file is read again."""


class Question(QFrame):
    """One doubt with its answers; nothing is chosen until a person does.

    Signals
    -------
    answered()
    """

    answered = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, doubt: Doubt) -> None:
        super().__init__()
        self.doubt = doubt
        self._icon = Label()
        self.words = Label(doubt.question, role="label", wrap=True)
        self.words.setMinimumWidth(60)
        self.buttons: list[QRadioButton] = []
        self._group = QButtonGroup(self)
        choices = QGridLayout()
        choices.setContentsMargins(0, 0, 0, 0)
        choices.setHorizontalSpacing(18)
        # Short answers stand side by side.
        across = 3 if all(len(option.label) <= 9 for option in doubt.options) else 1
        for number, option in enumerate(doubt.options):
            # The label may come from the file: its & is no shortcut.
            button = QRadioButton(option.label.replace("&", "&&"))
            button.setAccessibleDescription(doubt.question)
            self._group.addButton(button, number)
            choices.addWidget(button, number // across, number % across)
            self.buttons.append(button)
        choices.setColumnStretch(across, 1)
        self.below = QVBoxLayout()
        self.below.setSpacing(6)
        self.below.addWidget(self.words)
        self.below.addLayout(choices)
        row = QHBoxLayout(self)
        row.setContentsMargins(12, 10, 12, 10)
        row.setSpacing(10)
        row.addWidget(self._icon, 0, Qt.AlignmentFlag.AlignTop)
        row.addLayout(self.below, 1)
        self._group.idClicked.connect(lambda _: self._on_chosen())
        self._built = True
        self.show_state()

    @property
    def answer(self) -> Option | None:
        """The option chosen."""
        number = self._group.checkedId()
        return self.doubt.options[number] if number >= 0 else None

    @property
    def is_open(self) -> bool:
        """True while an answer is missing."""
        return self.answer is None

    def take_focus(self) -> None:
        """Go to the first answer."""
        if self.buttons:
            self.buttons[0].setFocus()

    def choose(self, label: str) -> None:
        """Choose an option by its words, as if clicked."""
        for option, button in zip(self.doubt.options, self.buttons, strict=True):
            if option.label == label:
                button.click()

    def _on_chosen(self) -> None:
        self.show_state()
        self.answered.emit()

    def show_state(self) -> None:
        """Stand out while open."""
        role = "caution" if self.is_open else "card"
        set_role(self, role)
        theme = theme_of(self)
        name, colour = ("caution", theme.caution) if self.is_open else ("good", theme.good)
        self._icon.setPixmap(icon_pixmap(name, colour, 20, self.devicePixelRatioF()))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self.show_state()


class StartQuestion(Question):
    """When a log without dates began; filled in with the begin of the run."""

    def __init__(self, studio: Studio, start: datetime) -> None:
        self.clock: ClockEdit | None = None
        super().__init__(
            Doubt("start", "The file has no dates. The log began when the run did, or when?")
        )
        self.clock = ClockEdit(zone=studio.zone, name="start", clock=studio.now)
        self.clock.time.setAccessibleName("When the log began")
        self.clock.set_moment(start)
        # The day stands beside the time; its word would need a wider column.
        self.clock.word.hide()
        self.below.addWidget(self.clock)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(_SETTLE)
        self._wait.timeout.connect(self.answered)
        self.clock.moment_changed.connect(self._on_moment)
        self.show_state()

    @property
    def moment(self) -> datetime | None:
        """When the log began."""
        return None if self.clock is None else self.clock.moment

    @property
    def is_open(self) -> bool:
        """True while the time is missing or wrong."""
        return self.moment is None

    def take_focus(self) -> None:
        """Go to the time."""
        if self.clock is not None:
            self.clock.time.setFocus()

    def _on_moment(self, moment: datetime | None) -> None:
        self.show_state()
        if moment is not None:
            self._wait.start()


class Questions(QWidget):
    """All questions on a file.

    Signals
    -------
    answered(str)
        Field of the doubt.
    """

    answered = Signal(str)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._asked: dict[str, Question] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(10)

    def clear(self) -> None:
        """Ask nothing."""
        for field in list(self._asked):
            self.drop(field)

    def ask(self, doubt: Doubt, start: datetime | None = None) -> None:
        """Add a question unless its field is asked about already."""
        if doubt.field in self._asked:
            return
        question = (
            StartQuestion(self._studio, start)
            if doubt.field == "start" and start is not None
            else Question(doubt)
        )
        question.answered.connect(lambda: self.answered.emit(doubt.field))
        self._asked[doubt.field] = question
        self._column.addWidget(question)

    def drop(self, field: str) -> None:
        """Take a question away."""
        question = self._asked.pop(field, None)
        if question is not None:
            self._column.removeWidget(question)
            question.hide()
            question.deleteLater()

    def question(self, field: str) -> Question | None:
        """The question on a field, if it is asked."""
        return self._asked.get(field)

    @property
    def fields(self) -> tuple[str, ...]:
        """Fields asked about, in order."""
        return tuple(self._asked)

    @property
    def open_count(self) -> int:
        """How many wait for an answer."""
        return sum(question.is_open for question in self._asked.values())

    def focus_open(self) -> None:
        """Go to the first that waits for an answer."""
        for question in self._asked.values():
            if question.is_open:
                question.take_focus()
                return

    def answers(self) -> dict[str, Option]:
        """The options chosen so far, by field."""
        return {
            field: question.answer
            for field, question in self._asked.items()
            if question.answer is not None
        }

    def start(self) -> datetime | None:
        """When the log began, if that is asked."""
        question = self._asked.get("start")
        return question.moment if isinstance(question, StartQuestion) else None
