"""Views of the log book beside a run's own, each made when it is first wanted."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.logbook.learning_view import LearningView
from app.logbook.overlay_view import OverlayView
from app.logbook.repair_view import RepairView
from app.logbook.run_sheet import RunSheet
from app.studio import Studio


class SideViews(QObject):
    """Several nights over each other, the repair of one, and what all teach.

    Signals
    -------
    left(bool)
        A view is done with; true where the list of runs comes next, whatever was before.
    run_wanted(int)
        A run is to be opened.
    repaired(RunRecord)
        A repair was kept; its new run, or ``None``.
    failed(LehrkeeperError)
    """

    left = Signal(object)
    run_wanted = Signal(int)
    repaired = Signal(object)
    failed = Signal(object)

    def __init__(self, studio: Studio, views: QStackedWidget) -> None:
        super().__init__(views)
        self._studio = studio
        self._views = views
        self._overlay: OverlayView | None = None
        self._repair: RepairView | None = None
        self._learning: LearningView | None = None

    def has(self, view: QWidget) -> bool:
        """True of one of these views."""
        return view is not None and view in (self._overlay, self._repair, self._learning)

    @property
    def overlay(self) -> OverlayView:
        """Several nights over each other."""
        if self._overlay is None:
            self._overlay = OverlayView(self._studio)
            self._overlay.left.connect(lambda: self.left.emit(False))  # noqa: FBT003 -- a signal's argument
            self._overlay.run_wanted.connect(self.run_wanted)
            self._overlay.failed.connect(self.failed)
            self._views.addWidget(self._overlay)
        return self._overlay

    @property
    def repair(self) -> RepairView:
        """The repair of a night."""
        if self._repair is None:
            self._repair = RepairView(self._studio)
            self._repair.left.connect(lambda: self.left.emit(False))  # noqa: FBT003
            self._repair.kept.connect(self.repaired)
            self._views.addWidget(self._repair)
        return self._repair

    @property
    def learning(self) -> LearningView:
        """What all nights teach."""
        if self._learning is None:
            self._learning = LearningView(self._studio)
            self._learning.left.connect(lambda: self.left.emit(True))  # noqa: FBT003
            self._views.addWidget(self._learning)
        return self._learning

    def lay_over(self, run_id: int) -> None:
        """Lay a run and the nights before it over each other."""
        self._views.setCurrentWidget(self.overlay)
        self.overlay.begin(run_id)

    def mend(self, sheet: RunSheet) -> None:
        """Draw up how the night of a run goes on."""
        self._views.setCurrentWidget(self.repair)
        self.repair.begin(sheet)

    def teach(self) -> None:
        """Show what all nights teach."""
        self._views.setCurrentWidget(self.learning)
        self.learning.begin()
