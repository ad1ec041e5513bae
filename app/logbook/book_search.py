"""A box that searches everything written in the book, and what it finds."""

from __future__ import annotations

from PySide6.QtCore import QTimer, Signal
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from app.local_time import day_and_clock
from app.logbook.run_words import count_words
from app.logbook.wrapped_cells import WrappedCells
from app.studio import Studio
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.store.book import Book, Hit

_PAUSE = 150
"""Milliseconds after the last letter."""
_MOST = 500


def look_up(book: Book, text: str) -> tuple[str, tuple[Hit, ...]]:
    """Search the book; the words come back with what was found for them."""
    return text, book.search(text, limit=_MOST)


class SearchBox(QLineEdit):
    """Words to look for; looked up in the background while they are typed.

    Signals
    -------
    found(str, tuple)
        The words and what was found for them.
    emptied()
        There are no words any more.
    failed(LehrkeeperError)
    """

    found = Signal(str, object)
    emptied = Signal()
    failed = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.setPlaceholderText("Search the whole book")
        self.setAccessibleName("Search the whole book")
        self.setToolTip("Notes, events, findings, loads, charges, alarms: any words of them")
        self.setClearButtonEnabled(True)
        self.setMinimumWidth(110)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_PAUSE)
        self._timer.timeout.connect(self.look_now)
        self.textChanged.connect(lambda _: self._timer.start())
        self.returnPressed.connect(self.look_now)

    def look_now(self) -> None:
        """Look for what stands in the box."""
        self._timer.stop()
        words = self.text().strip()
        if not words:
            self._studio.jobs.cancel("logbook search")
            self.emptied.emit()
            return
        self._studio.jobs.submit(
            look_up,
            self._studio.book,
            words,
            on_done=lambda result: self.found.emit(*result),
            on_failed=self.failed.emit,
            kind="logbook search",
            owner=self,
        )


class HitList(QWidget):
    """What was found, the latest first; a line is opened with a double click or Return.

    Signals
    -------
    opened(Hit)
    """

    opened = Signal(object)

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.summary = Label(role="muted", wrap=True)
        self.table = DataTable(
            (
                Column(
                    "When",
                    lambda hit: day_and_clock(hit.time, zone=studio.zone, now=studio.now()),
                    value=lambda hit: hit.time,
                ),
                Column("What", lambda hit: hit.kind.value),
                Column("On", lambda hit: hit.subject, gives_way=1),
                Column("Words", lambda hit: hit.text or hit.subject, stretch=True),
            ),
            name="What was found in the book",
        )
        self.table.horizontalHeader().setMaximumSectionSize(260)
        self._wrapped = WrappedCells(self.table, 3)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.summary)
        column.addWidget(self.table, 1)
        self.table.row_opened.connect(self.opened)

    @property
    def hits(self) -> tuple[Hit, ...]:
        """What is listed."""
        return self.table.rows_model.rows

    def show_hits(self, words: str, hits: tuple[Hit, ...]) -> None:
        """List what was found."""
        self.table.set_rows(hits)
        self._wrapped.fit()
        self.table.setVisible(bool(hits))
        if not hits:
            told = f"Nothing in the book has “{words}” in it."
        elif len(hits) >= _MOST:
            told = f"The latest {_MOST} places with “{words}”; more words narrow it down."
        else:
            told = f"{count_words(len(hits), 'place', 'places')} with “{words}”. Return opens it."
        self.summary.setText(told)
        if hits:
            self.table.select(hits[0])
