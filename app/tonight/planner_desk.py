"""Draws up the curve while somebody types: at once a safe one, and then the best one.

Both off the GUI thread, a little after the last edit; the next edit stops them.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, QTimer, Signal

from app.studio import Studio
from app.tonight.pot_glasses import LedgerPendingError
from core.errors import LehrkeeperError
from core.load.load import Load
from core.plan.best import best_plan
from core.plan.plan import Plan
from core.plan.planner import make_plan

_PAUSE = 150
"""Milliseconds after the last edit."""


class PlannerDesk(QObject):
    """Asks for the load a little after the last edit and has its plan made.

    Parameters
    ----------
    studio : Studio
    load : callable
        Gives the load as entered; raises LehrkeeperError when it is not complete.

    Signals
    -------
    working()
        What is shown is out of date; a plan is on its way.
    load_taken(Load)
        The load as entered is complete.
    load_refused(LehrkeeperError)
        It is not.
    planned(Load, Plan)
    plan_failed(LehrkeeperError)
        There is no plan for this load.
    searching(float)
        A better plan than the one handed over is being sought; how far the search is, 0 to 1.
    search_ended()
        It is over: a better plan was handed over before, or there is none.
    """

    working = Signal()
    load_taken = Signal(object)
    load_refused = Signal(object)
    planned = Signal(object, object)
    plan_failed = Signal(object)
    searching = Signal(float)
    search_ended = Signal()

    def __init__(
        self, studio: Studio, load: Callable[[], Load], parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self._load = load
        self.safest = False
        """True to use all the hours there are for the largest margin."""
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(_PAUSE)
        self._timer.timeout.connect(self.plan_now)

    def plan_soon(self) -> None:
        """Plan a little after the last edit."""
        self._cancel()
        self._timer.start()
        self.working.emit()

    def plan_now(self) -> None:
        """Take the load as it is and have its plan made, the first at once and then the best."""
        self._timer.stop()
        self._cancel()
        try:
            load = self._load()
        except LedgerPendingError:  # asked again once it is known
            return
        except LehrkeeperError as error:
            self.load_refused.emit(error)
            return
        self.load_taken.emit(load)

        def done(plan: Plan) -> None:
            self.planned.emit(load, plan)
            self._search(load, plan)

        self._studio.jobs.submit(
            make_plan,
            load,
            self._studio.units,
            on_done=done,
            on_failed=self.plan_failed.emit,
            kind="plan",
            owner=self,
        )

    def _cancel(self) -> None:
        for kind in ("plan", "best plan"):
            self._studio.jobs.cancel(kind)

    def _search(self, load: Load, first: Plan) -> None:
        """Look for a better plan than the first; none is no failure, the first stands."""

        def done(best: Plan) -> None:
            if best != first:
                self.planned.emit(load, best)
            self.search_ended.emit()

        self.searching.emit(0.0)
        self._studio.jobs.submit(
            partial(best_plan, load, self._studio.units, safest=self.safest),
            on_done=done,
            on_failed=lambda _: self.search_ended.emit(),
            on_progress=self.searching.emit,
            kind="best plan",
            owner=self,
            apart=True,
        )
