"""The page “Pots and furnace” as the window shows it."""

from __future__ import annotations

from datetime import datetime, timedelta
from enum import IntEnum

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QHBoxLayout,
    QPushButton,
    QScrollArea,
    QStackedWidget,
    QTabBar,
    QVBoxLayout,
    QWidget,
)

from app.equipment.opening import Kind, open_equipment
from app.furnace.entry_card import EntryCard
from app.furnace.fit_view import FitView
from app.furnace.melt_view import MeltView
from app.furnace.pot_view import PotView
from app.furnace.record_panel import RecordPanel
from app.furnace.words import charged_words
from app.local_time import to_local
from app.studio import Studio
from app.theme import set_role
from app.widgets.caution import CautionStrip
from app.widgets.choice_box import ChoiceBox
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from core.errors import LehrkeeperError
from core.furnace.charged import charged_on
from core.furnace.ledger import Pot
from core.melt.pot_story import PotStory
from core.store.book import ChargeRecord, PotEntryRecord
from core.units import UnitChoice

CAUTION = (
    "Damp cullet or batch spits and bursts: charge dry, in small lots, face and skin covered. "
    "Dust and fume (silica, lead, nitrates) harm for life: extract, wear a fitted mask, follow "
    "the supplier's safety sheets. Gas and electrics: local codes, licensed trades. This page "
    "watches nothing."
)
_FURNACE_KEY = "furnace/chosen"
_VIEW_KEY = "furnace/view"
_BESIDES = 54
"""Pixels that margins and the scroll bar take."""
_ONE_ROW = 900
"""Pixels of width from which the furnace and the views stand in one row."""


class View(IntEnum):
    """What the page shows below the entries."""

    TEMPERATURES = 0
    POT = 1
    MELT = 2
    FIT = 3


class FurnacePage(QWidget):
    """Charges and furnace temperatures: written down above, seen below.

    Parameters
    ----------
    studio : Studio
    parent : QWidget, optional
    """

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._shown_pot: Pot | None = None
        self._shown_day = to_local(studio.now(), studio.zone).date()
        self.furnace = ChoiceBox()
        self.furnace.setMinimumWidth(180)
        self.equipment = QPushButton("Furnaces and pots…")
        set_role(self.equipment, "quiet")
        self.equipment.setToolTip("Add, rename or remove furnaces and pots (page Equipment)")
        self.entry = EntryCard(studio)
        self.record = RecordPanel(studio)
        self.pot = PotView(studio)
        self._melt: MeltView | None = None
        self._fit: FitView | None = None
        self.views = QTabBar()
        self.views.setExpanding(False)
        self.views.setDrawBase(False)
        self.views.setAccessibleName("What is shown below")
        for words in ("Temperatures", "In the pot", "Tonight's melt", "Fit to its log"):
            self.views.addTab(words)
        self.empty = EmptyState(
            "No furnace yet",
            "Enter your furnace and its pots once. Then a charge or a temperature is written "
            "down here with a few keys, standing at the furnace.",
            action="Add a furnace",
            icon="furnace",
        )
        self._lay_out()
        self.empty.acted.connect(lambda: open_equipment(studio, Kind.FURNACE))
        self.entry.pots_wanted.connect(self._on_equipment)
        self.equipment.clicked.connect(self._on_equipment)
        self.furnace.chosen.connect(self._on_furnace)
        self.entry.time.ticked.connect(self._on_tick)
        self.record.remove_wanted.connect(self.entry.remove)
        self.record.failed.connect(self.entry.told.tell_error)
        self.record.table.row_opened.connect(self._on_correction)
        self.entry.pot_chosen.connect(self._on_pot)
        self.pot.remove_wanted.connect(self.entry.remove)
        self.pot.correction_wanted.connect(self._on_correction)
        self.pot.told.connect(self._on_story)
        self.views.setCurrentIndex(round(studio.settings.number(_VIEW_KEY, 0.0)))
        self.views.currentChanged.connect(self._on_view)
        self._show_view()
        studio.changed.connect(self._on_changed)
        studio.units_changed.connect(self._on_units)
        self.refresh()

    def _lay_out(self) -> None:
        words = Label("&Furnace", role="label")
        words.setBuddy(self.furnace)
        self.furnace.setAccessibleName("Furnace")
        chosen = QHBoxLayout()
        chosen.setSpacing(10)
        chosen.addWidget(words)
        chosen.addWidget(self.furnace)
        chosen.addWidget(self.equipment)
        chosen.addStretch(1)
        self._head = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._head.setSpacing(10)
        self._head.addLayout(chosen)
        self._head.addWidget(self.views, 1)
        work = QWidget()
        work.setObjectName("page")
        column = QVBoxLayout(work)
        column.setContentsMargins(20, 12, 20, 10)
        column.setSpacing(10)
        column.addLayout(self._head)
        column.addWidget(self.entry)
        for view in (self.record, self.pot):
            column.addWidget(view, 1)
        self._column = column
        scroll = QScrollArea()
        scroll.setWidgetResizable(True)
        scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        scroll.setWidget(work)
        self.stack = QStackedWidget()
        self.stack.addWidget(scroll)
        self.stack.addWidget(self.empty)
        strip = QHBoxLayout()
        strip.setContentsMargins(20, 0, 20, 16)
        strip.addWidget(CautionStrip(CAUTION))
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(0)
        whole.addWidget(self.stack, 1)
        whole.addLayout(strip)

    @property
    def furnace_name(self) -> str:
        """The furnace chosen, empty when there is none."""
        return str(self.furnace.value or "")

    def refresh(self) -> None:
        """Read everything shown from the book again."""
        try:
            furnaces = self._studio.book.furnaces()
            self.stack.setCurrentIndex(0 if furnaces else 1)
            if not furnaces:
                return
            self._offer(furnaces)
            self.entry.show_furnace(self.furnace_name)
            self.record.show_furnace(self.furnace_name)
            self._show_today()
            self._show_pot()
        except LehrkeeperError as error:
            self.entry.told.tell_error(error)

    def _offer(self, furnaces: tuple[str, ...]) -> None:
        """List the furnaces, keeping the one chosen (the last one used on the first day)."""
        kept = self.furnace.value or self._studio.settings.text(_FURNACE_KEY)
        self.furnace.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.furnace.set_choices([(name, name) for name in furnaces])
        self.furnace.set_value(kept)
        self.furnace.blockSignals(False)  # noqa: FBT003

    def _show_today(self) -> None:
        studio = self._studio
        now = studio.now()
        # Long enough for a day on which the clocks go back.
        records = studio.book.charges(furnace=self.furnace_name, since=now - timedelta(hours=26))
        day = to_local(now, studio.zone).date()
        days = charged_on(day, (record.charge for record in records), studio.zone)
        self.entry.today.setText(charged_words(days, studio.units))

    def _show_pot(self) -> None:
        """Reckon what is in the pot that entries are made for."""
        name = self.entry.charge.pot.value
        pots = self._studio.book.pots(self.furnace_name)
        pot = next((pot for pot in pots if pot.name == name), None)
        self.pot.show_pot(pot)
        self._shown_pot = pot
        self._show_furnace()

    @property
    def melt(self) -> MeltView:
        """Tonight's melt; made when it is first looked at."""
        if self._melt is None:
            self._melt = made = MeltView(self._studio)
            made.description_wanted.connect(self._on_equipment)
            made.wishes.pot_chosen.connect(self.entry.charge.pot.set_value)
            if self.pot.story is not None:
                made.show_story(self.pot.story)
            self._take_in(made)
        return self._melt

    @property
    def fit(self) -> FitView:
        """The fit to the furnace's log; made when it is first looked at."""
        if self._fit is None:
            self._fit = made = FitView(self._studio)
            made.description_wanted.connect(self._on_equipment)
            self._take_in(made)
        return self._fit

    def _take_in(self, view: MeltView | FitView) -> None:
        view.hide()
        self._column.addWidget(view, 1)
        view.arrange(self.width() - _BESIDES)

    def _show_furnace(self) -> None:
        """Reckon what is looked at of the furnace."""
        view = View(self.views.currentIndex())
        if view is View.MELT:
            self.melt.show_pot(self.furnace_name, self._shown_pot)
        elif view is View.FIT:
            self.fit.show_furnace(self.furnace_name, self._shown_pot)

    def _show_view(self) -> None:
        view = View(self.views.currentIndex())
        self.record.setVisible(view is View.TEMPERATURES)
        self.pot.setVisible(view is View.POT)
        if view is View.MELT or self._melt is not None:
            self.melt.setVisible(view is View.MELT)
        if view is View.FIT or self._fit is not None:
            self.fit.setVisible(view is View.FIT)
        self.entry.setVisible(view in {View.TEMPERATURES, View.POT})

    def _on_view(self, index: int) -> None:
        self._studio.settings.set_number(_VIEW_KEY, index)
        self._show_view()
        if self.stack.currentIndex() == 0:
            self._show_furnace()

    def _on_pot(self, _: str) -> None:
        try:
            self._show_pot()
        except LehrkeeperError as error:
            self.entry.told.tell_error(error)

    def _on_correction(self, record: object) -> None:
        # A temperature is removed and typed again.
        if isinstance(record, ChargeRecord | PotEntryRecord):
            self.entry.correct(record)

    def _on_story(self, story: PotStory) -> None:
        held = None if story.now is None else story.now.mass
        self.entry.charge.set_held(story.ledger.pot.name, held, story.density)
        if self._melt is not None:
            self._melt.show_story(story)

    def _on_equipment(self) -> None:
        open_equipment(self._studio, Kind.FURNACE, self.furnace_name)

    def _on_changed(self, kind: str) -> None:
        if kind == "furnace":
            self.refresh()

    def _on_units(self, units: UnitChoice) -> None:
        self.entry.set_units(units)
        self.record.set_units(units)
        self.pot.set_units(units)
        for view in (self._melt, self._fit):
            if view is not None:
                view.set_units(units)
        self.refresh()

    def _on_furnace(self, name: object) -> None:
        self._studio.settings.set_text(_FURNACE_KEY, str(name))
        self.entry.told.clear()
        self.refresh()

    def _on_tick(self, now: datetime) -> None:
        if self._melt is not None:
            self._melt.look_at_clock()
        day = to_local(now, self._studio.zone).date()
        if day != self._shown_day:  # "today" has become "yesterday"
            self._shown_day = day
            self.refresh()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the views below the furnace where there is little room."""
        super().resizeEvent(event)
        way = QBoxLayout.Direction
        wide = self.width() >= _ONE_ROW
        self._head.setDirection(way.LeftToRight if wide else way.TopToBottom)
        # What they are as wide as now must not decide how wide they are to be.
        inside = self.width() - _BESIDES
        for part in (self.entry, self.record, self.pot, self._melt, self._fit):
            if part is not None:
                part.arrange(inside)

    def showEvent(self, event: QShowEvent) -> None:
        """Start where the hand wants to type."""
        super().showEvent(event)
        self.entry.temperature.setFocus()
