"""The tabs of the page; in a narrow window what is asked and what to weigh out take turns."""

from __future__ import annotations

from PySide6.QtWidgets import QTabWidget, QVBoxLayout, QWidget

ASKED, WEIGH_OUT, MATERIALS, SHEETS = range(4)


class BatchTabs(QTabWidget):
    """The batch, materials and kept sheets.

    Parameters
    ----------
    batch : QWidget
        With ``asked`` and ``answer`` side by side in it.
    asked, answer : QWidget
    materials, sheets : QWidget
    """

    def __init__(
        self,
        batch: QWidget,
        asked: QWidget,
        answer: QWidget,
        materials: QWidget,
        sheets: QWidget,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._batch, self._asked, self._answer = batch, asked, answer
        self._narrow = False
        self._places = [_place(), _place()]
        self._places[ASKED].layout().addWidget(batch)
        self.addTab(self._places[ASKED], "Batch")
        self.addTab(self._places[WEIGH_OUT], "Weigh-out")
        self.addTab(materials, "Materials")
        self.addTab(sheets, "Kept sheets")
        self.setTabVisible(WEIGH_OUT, False)  # noqa: FBT003 -- Qt's own signature
        self.currentChanged.connect(lambda _: self._take_turns())

    def set_narrow(self, *, narrow: bool) -> None:
        """Give what to weigh out a tab of its own, or show it beside what is asked."""
        if narrow != self._narrow:
            self._narrow = narrow
            if not narrow and self.currentIndex() == WEIGH_OUT:
                self.setCurrentIndex(ASKED)
            self.setTabVisible(WEIGH_OUT, narrow)
            self.setTabText(ASKED, "Asked" if narrow else "Batch")
        self._take_turns()

    def _take_turns(self) -> None:
        current = self.currentIndex()
        if current in {ASKED, WEIGH_OUT}:
            self._places[current].layout().addWidget(self._batch)
            self._batch.show()  # moving hides it
            self._asked.setVisible(not self._narrow or current == ASKED)
            self._answer.setVisible(not self._narrow or current == WEIGH_OUT)


def _place() -> QWidget:
    """A tab's page that the batch is put into."""
    place = QWidget()
    layout = QVBoxLayout(place)
    layout.setContentsMargins(0, 0, 0, 0)
    return place
