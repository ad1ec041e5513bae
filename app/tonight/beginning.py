"""What a new book shows: the one thing to do next."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget

from app.theme import set_role
from app.widgets.empty_state import EmptyState


class Beginning(QWidget):
    """Asks for a glass, then for a lehr; a load file brings both.

    Signals
    -------
    page_wanted(str)
        Key of the page where the next thing is entered.
    file_wanted()
        A load file is to be opened instead.
    """

    page_wanted = Signal(str)
    file_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._page = "glass"
        self.state = EmptyState("", "", action=" ")
        self.file_button = QPushButton("Or open a load file…")
        self.file_button.setToolTip("It brings its glasses and its lehr along")
        set_role(self.file_button, "quiet")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.state)
        inside = self.state.layout()
        # Right below the state's own button, above the room it leaves free.
        inside.insertWidget(inside.count() - 1, self.file_button, 0, Qt.AlignmentFlag.AlignHCenter)
        self.state.acted.connect(lambda: self.page_wanted.emit(self._page))
        self.file_button.clicked.connect(self.file_wanted)

    def show_needs(self, *, glass: bool, lehr: bool) -> None:
        """Say what is missing: a glass, or else a lehr."""
        if glass:
            self._page = "glass"
            self.state.set_words(
                "First, the glass you melt",
                "Tonight's curve follows from the glass, the lehr and the pieces. Enter your glass "
                "by its analysis or its supplier's sheet, or take one from the library.",
                "Enter a glass",
            )
        elif lehr:
            self._page = "equipment"
            self.state.set_words(
                "Now the lehr",
                "How fast it cools by itself, and how its controller takes a program, decide what "
                "the curve may ask of it.",
                "Enter a lehr",
            )
