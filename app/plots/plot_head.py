"""The line above a plot: its curves by name, what the pointer reads, and the whole again."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QLabel, QSizePolicy, QToolButton, QWidget

from app.plots.legend import CurveLegend
from app.theme import set_role, theme_of, themed_icon

_WIDE = 620
"""Pixels from which the read-out stands beside the names of the curves, else below them."""


class PlotHead(QWidget):
    """Legend, read-out and the button that shows everything.

    Signals
    -------
    whole_wanted()
        The button was pressed.
    """

    whole_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.legend = CurveLegend()
        self.read_out = QLabel()
        self.read_out.setTextFormat(Qt.TextFormat.RichText)
        self.read_out.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.read_out.setContentsMargins(2, 0, 6, 2)
        set_role(self.read_out, "muted")
        self.whole = QToolButton()
        self.whole.setAutoRaise(True)
        self.whole.setToolTip("Show the whole night (double click or Home)")
        self.whole.setAccessibleName("Show the whole night")
        self.whole.clicked.connect(self.whole_wanted)
        self._words = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._words.setSpacing(2)
        self._words.addWidget(self.legend)
        self._words.addWidget(self.read_out, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 0, 4, 0)
        row.addLayout(self._words, 1)
        row.addWidget(self.whole, 0, Qt.AlignmentFlag.AlignTop)

    def show_span(self, words: str) -> None:
        """Tell what the plot covers, while nothing is read from it."""
        self.read_out.setText(_safe(words) or "&nbsp;")

    def show_reading(self, pairs: Iterable[tuple[str, str]]) -> None:
        """Tell what is under the pointer: pairs of a word and its value."""
        ink = theme_of(self).ink
        self.read_out.setText(
            "&nbsp;&nbsp;&nbsp; ".join(
                f"{_safe(word)} <b style='color:{ink}'>{_safe(value)}</b>" for word, value in pairs
            )
        )

    def restyle(self) -> None:
        """Follow the theme."""
        self.whole.setIcon(themed_icon("whole_night", theme_of(self)))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the read-out beside the names of the curves where there is room."""
        super().resizeEvent(event)
        way = QBoxLayout.Direction
        wide = self.width() >= _WIDE
        self._words.setDirection(way.LeftToRight if wide else way.TopToBottom)


def _safe(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;")
