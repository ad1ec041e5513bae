"""The line of samples above a plot: which curve is which."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QLineF, QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from app.plots.curves import LineRole
from app.plots.looks import line_look
from app.theme import theme_of
from app.widgets.label import Label


class CurveSample(QWidget):
    """A short piece of a curve in its own pen."""

    def __init__(self, role: LineRole) -> None:
        super().__init__()
        self._role = role
        self.setFixedSize(QSize(30, 14))

    def paintEvent(self, event: QPaintEvent) -> None:  # noqa: ARG002 -- Qt's signature
        """Draw the sample."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(line_look(self._role, theme_of(self)).printing_pen())
        middle = self.height() / 2
        painter.drawLine(QLineF(1, middle, self.width() - 1, middle))
        painter.end()


class CurveLegend(QWidget):
    """Samples and names of the curves in a plot."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(7)
        self._shown: tuple[tuple[str, LineRole], ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)

    def show_curves(self, curves: Sequence[tuple[str, LineRole]]) -> None:
        """Show these names with their samples."""
        if tuple(curves) == self._shown:
            return
        self._shown = tuple(curves)
        while (item := self._row.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        for name, role in curves:
            label = Label(name)
            label.setContentsMargins(0, 0, 14, 0)
            self._row.addWidget(CurveSample(role))
            self._row.addWidget(label)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if event.type() is QEvent.Type.PaletteChange:
            self.update()
