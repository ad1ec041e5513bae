"""Repairing the night that runs: its view is the log book's, opened where the night is watched."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget

from app.studio import Studio
from core.store.book import RunRecord

if TYPE_CHECKING:
    from app.logbook.repair_view import RepairView
    from app.logbook.run_sheet import RunSheet


class RepairDesk(QObject):
    """Shows how a running night goes on, and tells when that is kept.

    Signals
    -------
    kept(RunRecord)
        The new run, or ``None`` when only load and plan were kept.
    failed(LehrkeeperError)
    """

    kept = Signal(object)
    failed = Signal(object)

    def __init__(self, studio: Studio, pages: QStackedWidget, parent: QObject) -> None:
        super().__init__(parent)
        self._studio = studio
        self._pages = pages
        self.view: RepairView | None = None

    def begin(self, run_id: int) -> None:
        """Fetch a run and draw up how its night goes on from now."""
        from app.logbook.run_sheet import fetch_sheet  # noqa: PLC0415 -- seldom wanted

        self._studio.jobs.submit(
            fetch_sheet,
            self._studio.book,
            run_id,
            on_done=self._show,
            on_failed=self.failed.emit,
            kind="tonight repair",
            owner=self,
        )

    def leave(self) -> None:
        """Back to the night."""
        self._pages.setCurrentIndex(0)

    def _show(self, sheet: RunSheet) -> None:
        if self.view is None:
            from app.logbook.repair_view import RepairView  # noqa: PLC0415 -- seldom wanted

            self.view = RepairView(self._studio)
            self.view.left.connect(self.leave)
            self.view.kept.connect(self._on_kept)
            self._pages.addWidget(self.view)
        self._pages.setCurrentWidget(self.view)
        self.view.begin(sheet)

    def _on_kept(self, run: RunRecord | None) -> None:
        self.leave()
        self.kept.emit(run)


def kept_words(run: RunRecord | None) -> str:
    """What happened to a repair that was kept."""
    if run is None:
        return "The schedule is kept, with a load of its own."
    return f"“{run.load_name}” runs from now on; key its schedule into the controller."
