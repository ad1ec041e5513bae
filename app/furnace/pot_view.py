"""The pot's ledger with its curve beside it, and what glass is in the pot now."""

from __future__ import annotations

from enum import IntEnum

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.furnace.answer_strip import AnswerStrip
from app.furnace.materials_panel import MaterialsPanel
from app.furnace.pot_book import PotRow, story_of
from app.furnace.pot_plot import PotPlot
from app.furnace.words import done_words, mass_words
from app.local_time import day_and_clock
from app.plots.curves import Marker, MarkerRole
from app.studio import Studio
from app.theme import themed_icon
from app.widgets.banner import Banner, Weight
from app.widgets.choice_box import ChoiceBox
from app.widgets.empty_state import EmptyState
from app.widgets.sentence import Sentence
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.furnace.charged_glass import ChargedGlass
from core.furnace.ledger import Charge, Pot
from core.furnace.pot_events import LevelSeen, NewPot, Taken
from core.melt.pot_story import PotStory
from core.units import UnitChoice

_STORY = "pot story"
_MOST_MARKERS = 40
_LEAST_HEIGHT = 300
_BESIDE = 680
"""Pixels of width from which the curve stands beside the ledger."""


class _Shown(IntEnum):
    LEDGER = 0
    MATERIALS = 1


class PotView(QWidget):
    """Everything about one pot: now, through time, entry by entry.

    Signals
    -------
    correction_wanted(object)
        An entry shall be filled in again to be corrected.
    remove_wanted(object)
        An entry shall be taken out of the book.
    told(object)
        The PotStory, once reckoned.
    """

    correction_wanted = Signal(object)
    remove_wanted = Signal(object)
    told = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._pot: Pot | None = None
        self._story: PotStory | None = None
        self.answer = AnswerStrip(studio.units)
        self.banner = Banner()
        self.remarks = Sentence(Weight.CAUTION)
        self.listed = ChoiceBox([("Ledger", _Shown.LEDGER), ("Materials", _Shown.MATERIALS)])
        self.listed.setAccessibleName("What is listed")
        self.correct = QPushButton("Correct")
        self.correct.setToolTip("Fill the chosen entry in again above (Enter)")
        self.remove = QPushButton("Remove")
        self.remove.setToolTip("Take the chosen entry out of the book (Del); it can be put back")
        self.table = DataTable(self._columns(), name="Ledger of the pot, newest first")
        self.table.setMinimumHeight(150)
        self.materials = MaterialsPanel(studio.units)
        self.plot = PotPlot(studio.units, studio.zone)
        self.nothing = EmptyState(
            "Nothing in this pot yet",
            "Record the first charge above: its mass and what it is. From then on the ledger "
            "tells what glass is in the pot.",
            icon="furnace",
        )
        self._removal = QAction("Remove this entry", self.table)
        self._removal.setShortcut(QKeySequence.StandardKey.Delete)
        self._removal.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self.table.addAction(self._removal)
        self._lay_out()
        self.answer.glass_wanted.connect(self.use_glass)
        self.listed.chosen.connect(self._on_listed)
        self.table.row_selected.connect(lambda _: self._show_buttons())
        self.table.row_opened.connect(self._on_correct)
        self.correct.clicked.connect(lambda: self._on_correct(self.table.selected_row()))
        self.remove.clicked.connect(self._on_remove)
        self._removal.triggered.connect(self._on_remove)
        self.materials.told.connect(self._on_told)
        self._built = True
        self._show_buttons()
        self._tint()

    def _lay_out(self) -> None:
        left, right = QWidget(), QWidget()
        listing = QVBoxLayout(left)
        listing.setContentsMargins(0, 0, 0, 0)
        listing.setSpacing(6)
        over = QHBoxLayout()
        over.addWidget(self.listed, 1)
        over.addWidget(self.correct)
        over.addWidget(self.remove)
        listing.addLayout(over)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.table)
        self.stack.addWidget(self.materials)
        listing.addWidget(self.stack, 1)
        curve = QVBoxLayout(right)
        curve.setContentsMargins(0, 0, 0, 0)
        curve.addWidget(self.plot, 1)
        curve.addWidget(self.nothing, 1)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.setHandleWidth(12)
        self.splitter.addWidget(left)
        self.splitter.addWidget(right)
        left.setMinimumWidth(300)
        right.setMinimumWidth(280)
        self.splitter.setStretchFactor(0, 4)
        self.splitter.setStretchFactor(1, 6)
        self.splitter.setSizes([480, 530])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.answer)
        column.addWidget(self.banner)
        column.addWidget(self.remarks)
        column.addWidget(self.splitter, 1)
        # It takes the room there is; what its plots would like must not make the page scroll.
        self.splitter.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self.splitter.setMinimumHeight(_LEAST_HEIGHT)

    def arrange(self, width: int) -> None:
        """Put the curve below the ledger where there is little room [pixels]."""
        wide = width >= _BESIDE
        self.answer.arrange(width)
        self.splitter.setOrientation(Qt.Orientation.Horizontal if wide else Qt.Orientation.Vertical)
        self.splitter.setMinimumHeight(_LEAST_HEIGHT if wide else 2 * _LEAST_HEIGHT)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def story(self) -> PotStory | None:
        """The story shown."""
        return self._story

    def show_pot(self, pot: Pot | None) -> None:
        """Read a pot's ledger and reckon what is in it."""
        if pot != self._pot:
            self._story = None
            self.banner.clear()
        self._pot = pot
        if pot is None:
            self._show_story(None, ())
            return
        self._studio.jobs.submit(
            story_of,
            self._studio.book,
            pot,
            self._studio.zone,
            self._studio.now(),
            on_done=lambda told: self._show_story(*told),
            on_failed=self.banner.tell_error,
            kind=_STORY,
            owner=self,
        )

    def _show_story(self, story: PotStory | None, rows: tuple[PotRow, ...]) -> None:
        self._story = story
        pot = self._pot.name if self._pot is not None else ""
        self.answer.show_story(story, pot)
        self.table.set_rows(rows)
        self._show_buttons()
        glasses = story.ledger.glasses if story is not None else ()
        listed = story.ledger.materials() if story is not None else ()
        self.materials.show_materials(pot, listed, tuple(glasses))
        drawn = story is not None and len(story.time) > 0
        self.plot.setVisible(drawn)
        self.nothing.setVisible(not drawn)
        self.plot.show_story(story, _markers(rows))
        self._tell_remarks(story)
        if story is not None:
            self.told.emit(story)

    def _tell_remarks(self, story: PotStory | None) -> None:
        remarks = story.remarks if story is not None else ()
        self.remarks.set_text(" ".join(remarks))
        self.remarks.setVisible(bool(remarks))
        if story is None or not story.unknown:
            if self.banner.weight is Weight.CAUTION:
                self.banner.clear()
            return
        names = " and ".join(f"“{one.name}”" for one in story.unknown[:3])
        whole = mass_words(story.unknown[0].mass, self._studio.units)
        amount = f"{whole} are" if len(story.unknown) == 1 else "These charges are"
        self.banner.tell(
            Weight.CAUTION,
            f"Which glass does {names} make in the pot? {amount} left out until somebody tells.",
            action="Tell it",
            act=self._ask,
        )

    def _ask(self) -> None:
        self.listed.set_value(_Shown.MATERIALS)
        self.materials.ask_first()

    def set_units(self, units: UnitChoice) -> None:
        """Show other units."""
        self.answer.set_units(units)
        self.materials.set_units(units)
        self.table.set_columns(self._columns())
        self.plot.set_units(units)
        self.answer.show_story(self._story, self._pot.name if self._pot else "")

    def _columns(self) -> list[Column]:
        studio = self._studio
        return [
            Column("When", lambda row: day_and_clock(row.time, now=studio.now(), zone=studio.zone)),
            Column("Entry", _entry_words, stretch=True),
            Column("Amount", lambda row: _amount_words(row, studio.units), numeric=True),
            Column(
                "In the pot",
                lambda row: "" if row.held is None else mass_words(row.held, studio.units),
                numeric=True,
                gives_way=1,
            ),
        ]

    # -- what a person does -----------------------------------------------------------------

    def use_glass(self) -> None:
        """Enter the pot's glass in the glass list as a version, for tonight's pieces."""
        story = self._story
        if story is None or story.glass is None:
            return
        try:
            version = self._studio.book.save_glass(story.glass)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._studio.tell_changed("glasses")
        self.banner.tell(
            Weight.GOOD,
            f"“{version.name}” is in the glass list as version {version.number}: pieces that name "
            "it are planned with the glass now in the pot.",
            action="Go to Tonight",
            act=lambda: self._studio.page_wanted.emit("tonight"),
        )

    def _on_told(self, answer: ChargedGlass) -> None:
        try:
            self._studio.book.save_charged_glass(answer)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._studio.tell_changed("furnace")

    def _on_listed(self, shown: object) -> None:
        self.stack.setCurrentIndex(int(_Shown(shown)))
        self._show_buttons()

    def _on_correct(self, row: object) -> None:
        if isinstance(row, PotRow):
            self.correction_wanted.emit(row.record)

    def _on_remove(self) -> None:
        row = self.table.selected_row()
        if isinstance(row, PotRow):
            self.remove_wanted.emit(row.record)

    def _show_buttons(self) -> None:
        ledger = self.stack.currentIndex() == _Shown.LEDGER
        chosen = self.table.selected_row() is not None
        for button in (self.correct, self.remove):
            button.setVisible(ledger)
            button.setEnabled(chosen)

    def _tint(self) -> None:
        self.remove.setIcon(themed_icon("remove"))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


def _entry_words(row: PotRow) -> str:
    done = done_words(row.entry)
    return f"{done} – {row.entry.note}" if row.entry.note else done


def _amount_words(row: PotRow, units: UnitChoice) -> str:
    entry = row.entry
    if isinstance(entry, Charge):
        return f"+{mass_words(entry.mass, units)}"
    if isinstance(entry.event, NewPot):
        return ""
    amount = mass_words(entry.event.mass, units)
    return f"−{amount}" if isinstance(entry.event, Taken) else f"= {amount}"


def _markers(rows: tuple[PotRow, ...]) -> list[Marker]:
    """Moments of charges and of levels seen, unless there are very many."""
    found = [
        Marker(
            row.time.timestamp(),
            done_words(row.entry),
            MarkerRole.CHARGE if isinstance(row.entry, Charge) else MarkerRole.EVENT,
        )
        for row in rows
        if isinstance(row.entry, Charge) or isinstance(row.entry.event, LevelSeen | NewPot)
    ]
    return found if len(found) <= _MOST_MARKERS else []
