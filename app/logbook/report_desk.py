"""Getting a report together: the verdict is reckoned first where nobody looked at it yet."""

from __future__ import annotations

from importlib import import_module

from PySide6.QtCore import QObject, Signal

from app.logbook.run_sheet import RunSheet
from app.logbook.run_view import RunView
from app.logbook.verdict_panel import TOO_FEW
from app.logbook.verdict_work import LEAST_READINGS, JudgedNight, judge
from app.studio import Studio
from core.errors import LehrkeeperError
from core.verdict.verdict import RunVerdict


class ReportDesk(QObject):
    """Shows the report of the run in a view.

    Signals
    -------
    working(str)
        What is being done; empty when nothing is any more.
    """

    working = Signal(str)

    def __init__(self, studio: Studio, view: RunView) -> None:
        super().__init__(view)
        self._studio = studio
        self._view = view

    def show(self) -> None:
        """Show the report, after the verdict where it can be had."""
        sheet, verdict = self._view.sheet, self._view.verdict.verdict
        if sheet is None:
            return
        if verdict is not None:
            self._open(sheet, verdict, "")
        elif len(sheet.readings) < LEAST_READINGS:
            self._open(sheet, None, TOO_FEW)
        else:
            self.working.emit("The verdict for the report is being worked out …")
            self._studio.jobs.submit(
                judge,
                JudgedNight.of(sheet),
                on_done=lambda found: self._open(sheet, found, ""),
                on_failed=lambda error: self._open(sheet, None, _why(error)),
                kind="logbook report",
                owner=self,
            )

    def _open(self, sheet: RunSheet, verdict: RunVerdict | None, why: str) -> None:
        self.working.emit("")
        # Printing is loaded when it is first asked for.
        show_report = import_module("app.logbook.run_report").show_report
        show_report(self._view.window(), sheet, verdict, why, self._studio)


def _why(error: LehrkeeperError) -> str:
    return f"No verdict: {error}"
