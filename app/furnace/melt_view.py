"""Tonight's melt: what is wanted, when to charge how much, and what becomes of it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import (
    QBoxLayout,
    QFrame,
    QSizePolicy,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.furnace.break_card import BreakCard
from app.furnace.busy_row import BusyRow
from app.furnace.kept_plan import A_NIGHT, keep_plan, keep_rest, tonights_list
from app.furnace.melt_curve import night_lines, night_markers
from app.furnace.melt_form import MeltForm
from app.furnace.pot_book import other_pots
from app.furnace.tall_enough import TallEnough
from app.furnace.tick_list import TickList
from app.plots.night_plot import NightPlot
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from app.widgets.quantity import local_sentence
from core.errors import LehrkeeperError
from core.furnace.ledger import Charge, Pot
from core.melt.charge_plan import ChargePlan
from core.melt.melt_task import MeltTask
from core.melt.melt_words import (
    OTHER_POTS,
    energy_sentence,
    heating_sentences,
    plan_sentence,
    verdict_of,
    where_it_went,
)
from core.melt.night_outcome import MeltNight
from core.melt.pot_story import PotStory
from core.melt.tonight_melt import (
    follow_night,
    plan_tonight,
    set_charges,
    tonight_task,
)
from core.store.book import ChargeListRecord
from core.units import UnitChoice

_PLAN, _FOLLOW = "melt plan", "melt night"
_FRESH = timedelta(hours=6)
"""A reading older than this says nothing of the furnace now."""
_BESIDE = 960
"""Pixels of width from which the wishes stand beside the curve."""


class MeltView(QWidget):
    """One furnace's night.

    Signals
    -------
    description_wanted()
        A person wants to describe the furnace.
    """

    description_wanted = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._furnace = ""
        self._pot: Pot | None = None
        self._melt: MeltTask | None = None
        self._task: MeltTask | None = None
        self._list: ChargeListRecord | None = None
        self._charges: tuple[Charge, ...] = ()
        self._night: MeltNight | None = None
        self._story: PotStory | None = None
        self.banner = Banner()
        self.wishes = MeltForm(studio)
        self.work = BusyRow(studio, _PLAN, "Plan the charges")
        self.plan = self.work.button
        self.verdict = Label(role="heading", wrap=True)
        self.told = Label(role="muted", wrap=True)
        self.plot = NightPlot(
            units=studio.units, zone=studio.zone, name="The night at the furnace", from_room=False
        )
        self.list = TickList(studio)
        self.rest = BreakCard(studio)
        self.empty = EmptyState(
            "This furnace is not described yet",
            "Its power, walls and pot are entered once, or taken from a melt file. Then a night is "
            "reckoned here: when to charge how much, when the glass is clear and workable, and "
            "what it takes.",
            action="Describe the furnace",
            icon="furnace",
        )
        self._lay_out()
        self.empty.acted.connect(self.description_wanted)
        self.plan.clicked.connect(self.plan_charges)
        self.wishes.wanted.connect(self.plan_charges)
        self.list.written.connect(lambda: studio.tell_changed("furnace"))
        self.list.failed.connect(self.banner.tell_error)
        self.list.replan_wanted.connect(self.replan)

    def _lay_out(self) -> None:
        left = QFrame()
        set_role(left, "card")
        left.setMinimumWidth(372)
        wishes = QVBoxLayout(left)
        wishes.setContentsMargins(14, 10, 14, 10)
        wishes.setSpacing(8)
        wishes.addWidget(self.work)
        wishes.addWidget(self.wishes)
        wishes.addStretch(1)
        right = QVBoxLayout()
        right.setSpacing(6)
        right.addWidget(self.verdict)
        right.addWidget(self.told)
        self.plot.upper.setMinimumHeight(210)
        # It takes the room there is; what it would like must not push the list out of sight.
        self.plot.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self.plot.setMinimumHeight(310)
        right.addWidget(self.plot, 1)
        right.addWidget(self.list)
        right.addWidget(self.rest)
        self._work = TallEnough()
        self._both = QBoxLayout(QBoxLayout.Direction.LeftToRight, self._work)
        self._both.setContentsMargins(0, 0, 0, 0)
        self._both.setSpacing(14)
        self._both.addWidget(left)
        self._both.addLayout(right, 5)
        self._both.setAlignment(left, Qt.AlignmentFlag.AlignTop)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.empty)
        self.stack.addWidget(self._work)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.banner)
        column.addWidget(self.stack, 1)

    def arrange(self, width: int) -> None:
        """Put the wishes above the curve where there is little room [pixels]."""
        way = QBoxLayout.Direction
        wide = width >= _BESIDE
        self._both.setDirection(way.LeftToRight if wide else way.TopToBottom)
        self.list.arrange(wide=wide)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def night(self) -> MeltNight | None:
        """The night shown."""
        return self._night

    def show_pot(self, furnace: str, pot: Pot | None) -> None:
        """Read a furnace's description and tonight's list, and follow the night."""
        other = (furnace, pot) != (self._furnace, self._pot)
        self._furnace, self._pot = furnace, pot
        book = self._studio.book
        try:
            melt = book.furnace_melt(furnace) if furnace else None
            self._list = None if pot is None else tonights_list(self._studio, pot)
            records = book.charges(pot=pot.name) if pot is not None else ()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.stack.setCurrentIndex(0 if melt is None or pot is None else 1)
        if melt is None or pot is None:
            self._melt = None
            return
        self.wishes.set_pots([one.name for one in book.pots(furnace)], pot.name)
        self._charges = tuple(record.charge for record in records)
        if other or melt != self._melt:
            self._melt = melt
            self._fill_wishes(melt, pot)
        self.rest.show_task(melt)
        self.list.show_list(self._list, {record.id: record.charge.time for record in records})
        running = self._list is not None and self._studio.now() - melt.start < A_NIGHT
        self._task = melt if running else None
        self._follow()

    def _fill_wishes(self, melt: MeltTask, pot: Pot) -> None:
        book = self._studio.book
        newest = dict.fromkeys(charge.material for charge in reversed(self._charges))
        names = dict.fromkeys([*melt.materials, *newest])
        self.wishes.set_materials(list(names) or ["cullet"])
        shape = book.pot_shape(pot.name) or melt.pot
        capacity = shape.capacity(2350.0) if pot.capacity is None else pot.capacity
        self.wishes.show_task(melt, capacity)
        now = self._studio.now()
        recent = book.furnace_readings(self._furnace, now - _FRESH)
        temperature = recent[-1].temperature if recent else melt.furnace_temperature
        held = None
        story = self._own_story()
        if story is not None and story.now is not None:
            held = story.now.mass
        self.wishes.set_start(now, temperature, melt.glass_mass if held is None else held)

    def _own_story(self) -> PotStory | None:
        """What the ledger tells of the pot shown, once it is reckoned."""
        story = self._story
        return story if story is not None and story.ledger.pot == self._pot else None

    def show_story(self, story: PotStory) -> None:
        """Take what the ledger says is in the pot."""
        self._story = story
        if self._own_story() is not None and story.now is not None and self._task is None:
            self.wishes.set_held(story.now.mass)

    def _follow(self) -> None:
        """Reckon the night as it goes: with what was charged and what is still to come."""
        if self._task is None:
            self._show_night(None)
            return
        task = self._task
        planned = [line.planned for line in self.list.lines if not line.done]
        self._studio.jobs.submit(
            follow_night,
            task,
            set_charges(task, self._charges),
            planned,
            self._studio.now(),
            on_done=self._show_night,
            on_failed=self._on_failed,
            kind=_FOLLOW,
            owner=self,
        )

    def _show_night(self, night: MeltNight | None) -> None:
        self._night = night
        studio = self._studio
        now = studio.now()
        since = night.task.start - timedelta(hours=2) if night is not None else now - A_NIGHT
        try:
            readings = studio.book.furnace_readings(self._furnace, since) if self._furnace else ()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.plot.show_night(
            night_lines(night, readings), markers=night_markers(night, studio), keep_view=True
        )
        if night is None:
            self.verdict.setText("Nothing planned for tonight yet")
            set_role(self.verdict, "heading")
            self.told.setText("Fill in what is wanted and press “Plan the charges”.")
            return
        self.verdict.setText(local_sentence(verdict_of(night, studio.zone)))
        set_role(self.verdict, "late" if night.in_time is False else "heading")
        warnings = " ".join(night.warnings)
        words = [energy_sentence(night), *heating_sentences(night, studio.units), warnings]
        if night.task.other_pots:
            words.append(OTHER_POTS)
        self.told.setText(local_sentence(" ".join(filter(None, words))))
        went = [f"{name} {amount}" for name, amount in where_it_went(night)]
        self.told.setToolTip(local_sentence(f"Where it went: {'; '.join(went)}."))

    def set_units(self, units: UnitChoice) -> None:
        """Show and type in other units."""
        self.wishes.set_units(units)
        self.list.set_units(units)
        self.plot.set_units(units)

    def look_at_clock(self) -> None:
        """Say anew what is due."""
        self.list.look_at_clock()

    # -- what a person does -----------------------------------------------------------------

    def plan_charges(self) -> None:
        """Plan tonight's charges from what was filled in."""
        if self._melt is None or self._pot is None:
            return
        self.banner.clear()
        story = self._own_story()
        try:
            shape = self._studio.book.pot_shape(self._pot.name)
            task = tonight_task(
                self._melt,
                self.wishes.wish(),
                pot=shape,
                glass=story.glass if story is not None else None,
                yields=self._yields(),
                other_pots=other_pots(self._studio.book, self._pot, self._studio),
            )
        except LehrkeeperError as error:
            if not self.wishes.show_error(error):
                self.banner.tell_error(error)
            return
        self._submit_plan(task, (), None, self._keep_plan)

    def _yields(self) -> list[tuple[str, float]]:
        story = self._own_story()
        if story is None:
            return []
        return [(one.name, one.glass_yield) for one in story.ledger.materials()]

    def replan(self) -> None:
        """Plan what is still to be charged anew, from what was charged so far."""
        if self._task is None:
            return
        charged = set_charges(self._task, self._charges)
        self._submit_plan(self._task, charged, self._studio.now(), self._keep_rest)

    def _submit_plan(
        self, task: MeltTask, charged: object, now: datetime | None, keep: object
    ) -> None:
        self._studio.jobs.submit(
            plan_tonight,
            task,
            charged,
            now,
            on_done=keep,
            on_failed=self._on_failed,
            on_progress=self.work.tell,
            kind=_PLAN,
            owner=self,
        )

    def _keep_plan(self, plan: ChargePlan) -> None:
        if self._pot is not None:
            self._keep(plan, lambda: keep_plan(self._studio, self._pot, plan, self._list))

    def _keep_rest(self, plan: ChargePlan) -> None:
        if self._pot is not None and self._list is not None:
            self._keep(plan, lambda: keep_rest(self._studio.book, self._pot, plan, self._list))

    def _keep(self, plan: ChargePlan, write: Callable[[], None]) -> None:
        try:
            write()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._tell_plan(plan)

    def _tell_plan(self, plan: ChargePlan) -> None:
        weight = Weight.GOOD if plan.filled else Weight.CAUTION
        self.banner.tell(weight, local_sentence(plan_sentence(plan, self._studio.units)))
        self._studio.tell_changed("furnace")

    def _on_failed(self, error: LehrkeeperError) -> None:
        if not self.wishes.show_error(error):
            self.banner.tell_error(error)
