"""Taking readings out of a run again: a mistyped one at once, a whole file when confirmed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QObject

from app.logbook.run_sheet import ReadingLine
from app.logbook.run_view import RunView
from app.logbook.run_words import count_words
from app.studio import Studio
from app.widgets.banner import Banner, Weight
from app.widgets.reading_entry import reading_words
from core.errors import LehrkeeperError
from core.store.book import ImportRecord


class ReadingRemoval(QObject):
    """What the list of readings asks for, with the way back told in the banner."""

    def __init__(self, studio: Studio, view: RunView, banner: Banner) -> None:
        super().__init__(view)
        self._studio = studio
        self._view = view
        self._banner = banner
        view.readings.removal_wanted.connect(self._remove)
        view.readings.file_removal_wanted.connect(self._ask_file)

    def _remove(self, line: ReadingLine) -> None:
        book, sheet = self._studio.book, self._view.sheet
        if sheet is None:
            return
        run_id = sheet.run.id
        words = reading_words(line.time, line.temperature, self._studio)
        if self._attempt(lambda: book.delete_reading(run_id, line.time)):
            self._banner.tell(
                Weight.INFORMATION,
                f"Removed {words}.",
                action="Put it back",
                act=lambda: self._attempt(
                    lambda: book.add_reading(run_id, line.time, line.temperature)
                ),
            )

    def _ask_file(self, record: ImportRecord) -> None:
        book = self._studio.book
        readings = count_words(record.added, "reading", "readings")
        self._banner.tell(
            Weight.CAUTION,
            f"Take the {readings} of “{record.file_name}” out of this run? "
            "The file itself is not touched.",
            action="Take them out",
            act=lambda: self._attempt(lambda: book.delete_import(record.id)),
        )

    def _attempt(self, write: Callable[[], object]) -> bool:
        try:
            write()
        except LehrkeeperError as error:
            self._banner.tell_error(error)
            return False
        self._studio.tell_changed("run")
        return True
