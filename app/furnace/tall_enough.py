"""A widget as tall as its wrapped words need at the width they have."""

from __future__ import annotations

from PySide6.QtCore import QEvent
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QWidget


class TallEnough(QWidget):
    """Asks for the height that its layout needs at its present width.

    Layouts within layouts count a wrapped label at its widest: in a page that scrolls the lines it
    breaks into would be drawn over what stands below.
    """

    def _fit(self) -> None:
        layout = self.layout()
        if layout is not None and layout.hasHeightForWidth():
            wanted = layout.minimumHeightForWidth(self.width())
            if wanted != self.minimumHeight():
                self.setMinimumHeight(wanted)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Ask anew at another width."""
        super().resizeEvent(event)
        self._fit()

    def event(self, event: QEvent) -> bool:
        """Ask anew when what it holds has changed."""
        handled = super().event(event)
        if event.type() is QEvent.Type.LayoutRequest:
            self._fit()
        return handled
