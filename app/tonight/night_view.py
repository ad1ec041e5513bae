"""The curve with what belongs to it: the plot, and below it segments, program and warnings."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSplitter, QVBoxLayout, QWidget

from app.plots.night_plot import NightPlot
from app.stress.stress_view import StressView
from app.studio import Studio
from app.tonight.curve import show_plan
from app.tonight.run_night import RunNight
from app.tonight.segments_panel import SegmentsPanel
from app.tonight.what_if_view import WhatIfView
from app.watch.band_lines import band_lines
from app.watch.watch_panel import WatchPanel
from core.load.load import Load
from core.plan.plan import Plan
from core.plan.progress import segment_at

_BELOW, _SHARE_BELOW = 228, 0.42
"""Height of the segments in pixels, enough for four, and the largest share of all."""


class NightView(QWidget):
    """Shows a plan, or a running night over its plan."""

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._shown_run: int | None = None
        self._drawn: Plan | None = None
        self.plot = NightPlot(units=studio.units, zone=studio.zone)
        self.segments = SegmentsPanel(studio.units, studio.zone)
        self.stress = StressView(studio, self.plot)
        self.segments.insertTab(1, self.stress, "Stress")
        self.what_if = WhatIfView(studio)
        self.segments.insertTab(2, self.what_if, "What if")
        self.watch = WatchPanel(studio)
        self._watch_tab = self.segments.insertTab(1, self.watch, "Watch")
        self._show_watch(running=False)
        self.splitter = QSplitter(Qt.Orientation.Vertical)
        self.splitter.addWidget(self.plot)
        self.splitter.addWidget(self.segments)
        # The curve is the centre of the screen: it gets the spare height.
        self.splitter.setStretchFactor(0, 1)
        self.splitter.setStretchFactor(1, 0)
        self.splitter.setCollapsible(0, False)  # noqa: FBT003 -- Qt's own signature
        self.splitter.setHandleWidth(8)
        # Small windows: better a low curve and strip than no table at all.
        self.plot.upper.setMinimumHeight(130)
        self.plot.lower.setMinimumHeight(112)
        self.segments.setMinimumHeight(130)
        self.splitter.splitterMoved.connect(self._on_moved)
        self._moved = False
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.splitter)

    def _on_moved(self) -> None:
        self._moved = True

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The curve has most of the height, unless somebody moved the line between."""
        super().resizeEvent(event)
        if not self._moved:
            below = min(_BELOW, round(_SHARE_BELOW * self.height()))
            self.splitter.setSizes([self.height() - below, below])

    def clear(self) -> None:
        """Show nothing: there is no plan."""
        self._shown_run = self._drawn = None
        self.plot.clear()
        self.segments.clear()
        self.stress.clear()
        self.what_if.clear()

    def _show_watch(self, *, running: bool) -> None:
        """Only what is running can be recorded and watched."""
        self.segments.setTabVisible(self._watch_tab, running)

    def show_curve(self, plan: Plan) -> None:
        """Draw the curve of a load nobody has started; what belongs to it comes next.

        In two steps, so that the window never stands still for long while somebody types.
        """
        self._shown_run = None
        self._show_watch(running=False)
        if plan is not self._drawn:
            show_plan(self.plot, plan, self._studio.zone)
        self._drawn = plan

    def show_plan(self, load: Load, plan: Plan) -> None:
        """Show the plan of a load nobody has started."""
        self.show_curve(plan)
        self.segments.show_plan(plan, load.lehr.controller)
        self.stress.show_plan(load, plan)
        self.what_if.show_plan(load, plan)

    def show_night(self, night: RunNight) -> None:
        """Show a run over its plan, keeping the zoom while it stays the same run."""
        self._drawn = None
        recorded = self._studio.watch.run(night.run_id)
        watched = recorded is not None and recorded.recording
        show_plan(
            self.plot,
            night.plan,
            self._studio.zone,
            readings=night.readings,
            comparison=night.comparison,
            now=self._studio.now(),
            keep_view=night.run_id == self._shown_run,
            more=band_lines(recorded, self._studio.watch.limits) if watched else (),
        )
        if night.run_id != self._shown_run:
            self.segments.show_plan(night.plan, night.load.lehr.controller)
            self.segments.select(segment_at(night.plan, self._studio.now()))
        self._shown_run = night.run_id
        self.stress.show_log(night.load, night.plan, night.readings)
        self.what_if.show_plan(night.load, night.plan, begun=True)
        self._show_watch(running=True)
        self.watch.show_night(night)

    def set_units(self) -> None:
        """Show temperatures in the studio's units."""
        self._drawn = None
        self.plot.set_units(self._studio.units)
        self.segments.set_units(self._studio.units)
        self.stress.set_units(self._studio.units)
        self.what_if.set_units()
