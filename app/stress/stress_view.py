"""Below the curve: what the night does to a piece, chosen from the load."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from PySide6.QtCore import Qt
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QSplitter, QVBoxLayout, QWidget

from app.plots.curves import CurveLine, LineRole
from app.plots.night_plot import NightPlot
from app.stress.profile_plot import ProfilePlot
from app.stress.stress_plot import StressPlot
from app.stress.words import (
    is_within,
    left_words,
    peak_words,
    section_name,
    seen_words,
    settled_words,
)
from app.studio import Studio
from app.theme import set_role
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from core.errors import LehrkeeperError
from core.load.load import Load
from core.load.load_stress import (
    drawn_history,
    limits_of_pieces,
    logged_history,
    stresses_of_load,
)
from core.plan.plan import Plan
from core.run.readings import Readings
from core.stress.result import PieceStress, SectionStress
from core.stress.words import ONE_DIMENSIONAL
from core.units import UnitChoice

_NARROW = 560
"""Width in pixels below which two plots beside each other cannot be read."""


@dataclass(frozen=True, eq=False)
class _Night:
    """A load with the curve its pieces went, or will go, through."""

    load: Load
    plan: Plan
    readings: Readings | None

    def same(self, other: _Night) -> bool:
        """True when the pieces go through the same night."""
        if (self.load, self.plan) != (other.load, other.plan):
            return False
        if self.readings is None or other.readings is None:
            return self.readings is other.readings
        return np.array_equal(self.readings.time, other.readings.time) and np.array_equal(
            self.readings.temperature, other.readings.temperature
        )


def _replayed(night: _Night, cancelled: Callable[[], bool]) -> tuple[PieceStress, ...]:
    """Stress of every piece of a night; the signature is that of a job."""
    load = night.load
    if night.readings is None:
        history = drawn_history(*night.plan.curve(), load.lehr)
    else:
        history = logged_history(night.readings.time, night.readings.temperature, load.lehr)
    return stresses_of_load(load, history, cancelled)


class StressView(QWidget):
    """Stress of one section through the night and through its thickness.

    It is reckoned in the background, and only while somebody looks. The temperatures of core and
    skin go on the night's plot for as long.

    Parameters
    ----------
    studio : Studio
    plot : NightPlot
        The night above or beside it, whose clock it follows.
    upright : bool
        One below the other, for a narrow place; otherwise side by side.
    """

    def __init__(
        self,
        studio: Studio,
        plot: NightPlot,
        *,
        upright: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._studio = studio
        self._night_plot = plot
        self._night: _Night | None = None
        self._found: tuple[PieceStress, ...] = ()
        self.choice = ChoiceBox()
        self.choice.setAccessibleName("Piece")
        self.verdict = Label(wrap=True)
        self.sentence = Label(wrap=True)
        self.told = Label(role="small", wrap=True)
        self.stress = StressPlot(studio.zone)
        self.stress.view.setMouseEnabled(x=False, y=False)
        plot.upper.view.sigXRangeChanged.connect(self._follow_clock)
        self.profile = ProfilePlot(studio.units)
        self.choice.chosen.connect(self._show_chosen)
        self._lay_out(upright=upright)
        self.clear()

    def _lay_out(self, *, upright: bool) -> None:
        words = QWidget()
        words.setObjectName("page")
        text = QVBoxLayout(words)
        text.setContentsMargins(0, 0, 6, 0)
        text.setSpacing(4)
        for label in (self.verdict, self.sentence, self.told):
            text.addWidget(label)
        text.addStretch(1)
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        scroll.setWidget(words)
        side = QWidget()
        beside = QVBoxLayout(side)
        beside.setContentsMargins(0, 0, 0, 0)
        beside.setSpacing(6)
        beside.addWidget(self.choice)
        beside.addWidget(scroll, 1)
        parts: tuple[tuple[QWidget, int], ...] = (
            ((side, 160), (self.stress, 170), (self.profile, 170))
            if upright
            else ((self.stress, 380), (self.profile, 220), (side, 300))
        )
        split = QSplitter(Qt.Orientation.Vertical if upright else Qt.Orientation.Horizontal)
        split.setChildrenCollapsible(False)
        split.setHandleWidth(10)
        self._upright = upright
        for place, (widget, share) in enumerate(parts):
            split.addWidget(widget)
            split.setStretchFactor(place, share)
            widget.setMinimumWidth(120)
            widget.setMinimumHeight(90)
        split.setSizes([share for _, share in parts])
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 6, 0, 0)
        row.addWidget(split)

    def _follow_clock(self, _view: object, span: tuple[float, float]) -> None:
        self.stress.view.setXRange(*span, padding=0)

    # -- what is shown ----------------------------------------------------------------------

    def show_plan(self, load: Load, plan: Plan) -> None:
        """Follow the pieces along a plan."""
        self._take(_Night(load, plan, None))

    def show_log(self, load: Load, plan: Plan, readings: Readings) -> None:
        """Follow the pieces along what the lehr did; along the plan before there are readings."""
        self._take(_Night(load, plan, readings if len(readings) > 1 else None))

    def clear(self) -> None:
        """Show nothing."""
        self._night = None
        self._found = ()
        self._studio.jobs.cancel("stress")
        self._say("")
        self._show_chosen()

    def set_units(self, units: UnitChoice) -> None:
        """Show temperatures and depths in other units."""
        self.profile.set_units(units)
        self._show_chosen()

    @property
    def found(self) -> tuple[PieceStress, ...]:
        """What was reckoned, in the order of the load; empty until then."""
        return self._found

    def _take(self, night: _Night) -> None:
        if self._night is not None and self._night.same(night):
            return
        self._night = night
        self._found = ()
        self._night_plot.show_glass(())
        if self.isVisible():
            self._reckon()

    def _reckon(self) -> None:
        if self._night is None:
            return
        self._say("The night is being followed through the glass …")
        self._studio.jobs.submit(
            _replayed,
            self._night,
            on_done=self._show,
            on_failed=self._fail,
            kind="stress",
            owner=self,
        )

    def _show(self, found: tuple[PieceStress, ...]) -> None:
        self._found = found
        self.choice.set_choices(
            [
                (section_name(stress, section), (place, part))
                for place, stress in enumerate(found)
                for part, section in enumerate(stress.sections)
            ]
        )
        self._show_chosen()

    def _fail(self, error: LehrkeeperError) -> None:
        self._found = ()
        self._show_chosen()
        self._say(str(error), "error")

    def _say(self, text: str, role: str = "muted") -> None:
        set_role(self.sentence, role)
        self.sentence.setText(text)
        self.verdict.setText("")
        self.told.setText("")

    def _chosen(self) -> tuple[PieceStress, SectionStress] | None:
        if not self._found or not isinstance(self.choice.value, tuple):
            return None
        place, part = self.choice.value
        stress = self._found[place]
        return stress, stress.sections[part]

    def _show_chosen(self) -> None:
        chosen, night = self._chosen(), self._night
        self.choice.setEnabled(chosen is not None)
        if chosen is None or night is None:
            self.stress.show_nothing()
            self.profile.show_section(None)
            self._night_plot.show_glass(())
            return
        stress, section = chosen
        limits = limits_of_pieces(night.load)[self._found.index(stress)]
        units, zone = self._studio.units, self._studio.zone
        self.stress.show_section(section, limits, units)
        self.profile.show_section(section)
        within = is_within(stress, limits)
        self._say(
            f"{left_words(stress, section, limits)} {peak_words(section, limits, units, zone)}", ""
        )
        set_role(self.verdict, "good" if within else "late")
        self.verdict.setText("Within its limits." if within else "Over its limits.")
        along = "the plan" if night.readings is None else "what the lehr did"
        parts = (seen_words(section), settled_words(stress), f"Along {along}.", ONE_DIMENSIONAL)
        self.told.setText(" ".join(part for part in parts if part))
        if self.isVisible():
            self._show_lines(section)

    def _show_lines(self, section: SectionStress) -> None:
        self._night_plot.show_glass(
            [
                CurveLine("Core", section.time, section.core_temperature, LineRole.PIECE),
                CurveLine("Skin", section.time, section.skin_temperature, LineRole.OTHER),
            ]
        )

    def resizeEvent(self, event: QResizeEvent) -> None:
        """In a narrow place the thickness gives way to the night."""
        super().resizeEvent(event)
        self.profile.setVisible(self._upright or self.width() >= _NARROW)

    # -- only while somebody looks ----------------------------------------------------------

    def showEvent(self, event: QShowEvent) -> None:
        """Reckon what changed while out of sight."""
        super().showEvent(event)
        if self._found:
            self._show_chosen()
        else:
            self._reckon()

    def hideEvent(self, event: QHideEvent) -> None:
        """Take core and skin off the night's plot again."""
        super().hideEvent(event)
        self._night_plot.show_glass(())
