"""Several runs over each other: the same decanter's last five nights."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.logbook.night_picks import NightPicks
from app.logbook.overlay_night import draw_overlay, figure_columns
from app.logbook.overlay_work import NightSet, OverlaySheet, lay_over, sets_of_nights
from app.plots.night_plot import NightPlot
from app.plots.strip import OffBy
from app.plots.time_words import Since
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Weight
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import Label
from app.widgets.sentence import Sentence
from app.widgets.side_split import side_split
from app.widgets.tables import DataTable
from core.run.alignment import Align
from core.run.overlay import OverlaidNight

_LOW = 480
"""Height [pixels] below which the strip is left out."""


class OverlayView(QWidget):
    """Nights in one plot, each with its look, deviation strip and figures.

    Signals
    -------
    left()
        Back to where it was opened from.
    run_wanted(int)
        One of the nights is to be opened.
    failed(LehrkeeperError)
    shown(OverlaySheet)
        Nights were fetched and drawn.
    """

    left = Signal()
    run_wanted = Signal(int)
    failed = Signal(object)
    shown = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._first = 0
        self._sets: tuple[NightSet, ...] = ()
        self.sheet: OverlaySheet | None = None
        self.back = QPushButton(" &Back")
        set_role(self.back, "quiet")
        self.title = Label("Nights over each other", role="heading")
        self.sets = ChoiceBox()
        self.sets.setAccessibleName("Which nights are listed")
        self.align = ChoiceBox([(align.value.capitalize(), align) for align in Align])
        self.align.setAccessibleName("How the nights are laid on each other")
        self.align.set_value(Align.SOAK_START)
        self.strip = ChoiceBox([(f"Off by {kind.value}", kind) for kind in OffBy])
        self.strip.setAccessibleName("What the strip below the curves shows")
        self.plot = NightPlot(
            units=studio.units,
            zone=studio.zone,
            name="Nights over each other",
            since=Since("the start of the soak"),
        )
        # Each night's look stands beside its name in the list.
        self.plot.legend.hide()
        self.plot.upper.setMinimumHeight(150)
        self.plot.lower.setMinimumHeight(116)
        self.picks = NightPicks()
        self.table = DataTable(figure_columns(studio), name="The nights in figures")
        self.notes = QVBoxLayout()
        self.open = QPushButton("&Open this night")
        self.open.setEnabled(False)
        self._lay_out()
        self.back.clicked.connect(self.left)
        self.sets.chosen.connect(self._on_set)
        self.align.chosen.connect(lambda _: self._fetch())
        self.strip.chosen.connect(lambda _: self._draw(keep_view=True))
        self.picks.changed.connect(self._fetch)
        self.table.row_selected.connect(self._on_night)
        self.table.row_opened.connect(self._open)
        self.open.clicked.connect(lambda: self._open(self.table.selected_row()))
        studio.units_changed.connect(self._on_units)
        self._built = True
        self._tint()

    def _lay_out(self) -> None:
        top = QHBoxLayout()
        top.setSpacing(10)
        top.addWidget(self.back)
        top.addWidget(self.title, 1)
        side = QWidget()
        side.setObjectName("page")
        beside = QVBoxLayout(side)
        beside.setContentsMargins(0, 0, 6, 0)
        beside.setSpacing(8)
        for part in (self.sets, self.picks, self.align, self.strip, self.table):
            beside.addWidget(part)
        beside.addLayout(self.notes)
        beside.addWidget(self.open, 0, Qt.AlignmentFlag.AlignLeft)
        beside.addStretch(1)
        for box in (self.sets, self.align, self.strip):
            box.setMinimumWidth(120)
        split = side_split(self.plot, side, least=240, shares=(3, 2), sizes=(600, 400))
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 12, 20, 14)
        column.setSpacing(8)
        column.addLayout(top)
        column.addWidget(split, 1)

    # -- which nights -----------------------------------------------------------------------

    def begin(self, run_id: int) -> None:
        """Show the last nights in the lehr of a run, that one and those before it."""
        self._first = run_id
        self.sheet = None
        self.plot.clear()
        self.table.set_rows(())
        self._studio.jobs.submit(
            sets_of_nights,
            self._studio.book,
            run_id,
            on_done=self._on_sets,
            on_failed=self.failed.emit,
            kind="logbook nights",
            owner=self,
        )

    def _on_sets(self, sets: tuple[NightSet, ...]) -> None:
        self._sets = sets
        self.sets.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.sets.set_choices((found.words, place) for place, found in enumerate(sets))
        self.sets.setCurrentIndex(0)
        self.sets.blockSignals(False)  # noqa: FBT003
        self._on_set(0)

    def _on_set(self, place: object) -> None:
        if isinstance(place, int) and place < len(self._sets):
            studio = self._studio
            runs = self._sets[place].runs
            self.picks.show_runs(runs, self._first, studio.zone, studio.now())
            self._fetch()

    def _fetch(self) -> None:
        runs = self.picks.ticked
        if not runs:
            self.sheet = None
            self.plot.clear()
            self.table.set_rows(())
            return
        self._studio.jobs.submit(
            lay_over,
            self._studio.book,
            runs,
            Align(str(self.align.value)),
            self._studio.zone,
            on_done=self._on_laid,
            on_failed=self.failed.emit,
            kind="logbook overlay",
            owner=self,
        )

    def _on_laid(self, sheet: OverlaySheet) -> None:
        same = self.sheet is not None and self.sheet.overlay.align is sheet.overlay.align
        self.sheet = sheet
        self.table.set_rows(sheet.overlay.nights)
        self.table.fit_rows()
        self._tell(sheet)
        self._draw(keep_view=same)
        self.shown.emit(sheet)

    # -- what is shown ----------------------------------------------------------------------

    def _tell(self, sheet: OverlaySheet) -> None:
        while (item := self.notes.takeAt(0)) is not None:
            item.widget().deleteLater()
        for night in sheet.overlay.nights:
            if night.note:
                self.notes.addWidget(Sentence(Weight.CAUTION, f"{night.label}: {night.note}"))

    def _chosen(self) -> int:
        chosen = self.table.selected_row()
        if self.sheet is None or chosen is None:
            return 0
        places = [n for n, night in enumerate(self.sheet.overlay.nights) if night is chosen]
        return places[0] if places else 0

    def _draw(self, *, keep_view: bool) -> None:
        if self.sheet is None:
            return
        chosen = self._chosen()
        draw_overlay(
            self.plot,
            self.sheet,
            chosen,
            self.sheet.plans[chosen],
            zone=self._studio.zone,
            off_by=OffBy(str(self.strip.value)),
            keep_view=keep_view,
        )
        self._make_room()

    def _on_night(self, night: OverlaidNight | None) -> None:
        self.open.setEnabled(night is not None)
        if night is not None:
            self._draw(keep_view=True)

    def _open(self, night: OverlaidNight | None) -> None:
        if night is not None and self.sheet is not None:
            self.run_wanted.emit(self.sheet.runs[self._chosen()].id)

    def _on_units(self, units: object) -> None:
        self.plot.set_units(units)
        self.table.set_columns(figure_columns(self._studio))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """On a small window leave out the strip, so that the curves stay readable."""
        super().resizeEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        there = self.sheet is not None and any(
            night.comparison is not None for night in self.sheet.overlay.nights
        )
        self.plot.show_deviation(there and self.height() >= _LOW)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.back.setIcon(themed_icon("logbook", theme, theme.accent))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
