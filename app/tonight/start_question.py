"""Asked when a run is started at another time than the plan's button time."""

from __future__ import annotations

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.label import Label


class StartQuestion(QFrame):
    """From now, or as planned? Hidden until asked.

    Signals
    -------
    from_now()
    as_planned()
    """

    from_now = Signal()
    as_planned = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "information")
        self.text = Label(wrap=True)
        self.now_button = QPushButton("Button pressed now")
        self.planned_button = QPushButton("Keep the planned time")
        self.leave_button = QPushButton("Not yet")
        set_role(self.leave_button, "quiet")
        row = QHBoxLayout()
        row.setSpacing(8)
        for button in (self.now_button, self.planned_button, self.leave_button):
            row.addWidget(button)
        row.addStretch(1)
        column = QVBoxLayout(self)
        column.setContentsMargins(12, 8, 12, 10)
        column.setSpacing(8)
        column.addWidget(self.text)
        column.addLayout(row)
        self.now_button.clicked.connect(self._now)
        self.planned_button.clicked.connect(self._planned)
        self.leave_button.clicked.connect(self.hide)
        self.hide()

    def ask(self, planned: str, now: str) -> None:
        """Ask, giving both times in words."""
        self.text.setText(
            f"The plan has the button pressed {planned}; it is {now}. Pressed now, the whole "
            "curve moves with it."
        )
        self.show()
        self.now_button.setFocus()

    def _now(self) -> None:
        self.hide()
        self.from_now.emit()

    def _planned(self) -> None:
        self.hide()
        self.as_planned.emit()
