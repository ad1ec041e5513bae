"""What all pages share: the book, preferences, units, background jobs, and news of changes."""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from app.jobs import JobRunner
from app.settings import Settings
from core.units import UnitChoice

if TYPE_CHECKING:
    from app.watch.watch_desk import WatchDesk
    from core.store.book import Book

KINDS = frozenset({"glasses", "lehrs", "load", "plans", "run", "furnace", "materials", "notes"})
"""What a change can be about."""


class Studio(QObject):
    """The open studio.

    Attributes
    ----------
    book : Book
    settings : Settings
    jobs : JobRunner
    zone : tzinfo or None
        Time zone of clock times; ``None``: the machine's own.
    watch : WatchDesk
        Runs that are recorded and watched, whatever page is shown.

    Signals
    -------
    changed(str)
        After a write: one of :data:`KINDS`. Pages refresh if concerned.
    units_changed(UnitChoice)
        The units shown and typed were changed.
    page_wanted(str)
        A page asks the window to open another: "tonight", "glass", "batch", "furnace", "logbook",
        "equipment".
    """

    changed = Signal(str)
    units_changed = Signal(object)
    page_wanted = Signal(str)

    def __init__(
        self,
        book: Book,
        settings: Settings,
        *,
        zone: tzinfo | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.book = book
        self.settings = settings
        self.zone = zone
        self.jobs = JobRunner(self)
        self._units = settings.units
        from app.watch.watch_desk import WatchDesk  # noqa: PLC0415 -- SQL loads after first paint

        self.watch: WatchDesk = WatchDesk(self)

    @property
    def units(self) -> UnitChoice:
        """Units in which numbers are shown and typed."""
        return self._units

    def set_units(self, units: UnitChoice) -> None:
        """Change the units everywhere and remember them."""
        if units != self._units:
            self._units = units
            self.settings.units = units
            self.units_changed.emit(units)

    def tell_changed(self, kind: str) -> None:
        """Tell every page that something was written."""
        if kind not in KINDS:
            raise ValueError(f"There is no kind of change called {kind!r}.")
        self.changed.emit(kind)

    def now(self) -> datetime:
        """The present, aware."""
        return datetime.now(UTC)

    def close(self) -> None:
        """End recording and background work, then close the book."""
        self.watch.close()
        self.jobs.shutdown()
        self.settings.sync()
        self.book.close()
