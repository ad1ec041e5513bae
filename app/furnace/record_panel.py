"""What was written down at the furnace: its curve, and the list with the newest first."""

from __future__ import annotations

from datetime import timedelta
from enum import StrEnum

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSizePolicy,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.furnace.curve import charge_markers, now_marker, reading_line
from app.furnace.words import (
    Entry,
    amount_words,
    subject_words,
    time_of,
)
from app.local_time import day_and_clock
from app.plots.night_plot import NightPlot
from app.studio import Studio
from app.theme import themed_icon
from app.widgets.choice_box import ChoiceBox
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.errors import LehrkeeperError
from core.furnace.ledger import FurnaceReading
from core.store.book import ChargeRecord, PotEntryRecord
from core.units import UnitChoice


class Span(StrEnum):
    """How far back is looked."""

    DAY = "24 h"
    THREE_DAYS = "3 days"
    ALL = "all"


class Listed(StrEnum):
    """Which entries are listed."""

    BOTH = "both"
    CHARGES = "charges"
    TEMPERATURES = "temperatures"


_BACK = {Span.DAY: timedelta(hours=24), Span.THREE_DAYS: timedelta(days=3), Span.ALL: None}
_LEAST_HEIGHT = 240
_BESIDE = 720
"""Pixels of width from which the list stands beside the curve."""
_SPAN_KEY = "furnace/span"
_LISTED_KEY = "furnace/listed"


class RecordPanel(QWidget):
    """Curve and list of one furnace over the span chosen.

    Signals
    -------
    remove_wanted(object)
        An entry shall be taken out of the book.
    failed(object)
        The error, when the book could not be read.
    """

    remove_wanted = Signal(object)
    failed = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._furnace = ""
        self._entries: tuple[Entry, ...] = ()
        self.span = ChoiceBox(
            [
                ("Last 24 hours", Span.DAY),
                ("Last 3 days", Span.THREE_DAYS),
                ("All days", Span.ALL),
            ]
        )
        self.span.set_value(_kept(studio, _SPAN_KEY, Span, Span.DAY))
        self.span.setAccessibleName("How far back")
        self.listed = ChoiceBox(
            [
                ("Everything", Listed.BOTH),
                ("Pots only", Listed.CHARGES),
                ("Temperatures only", Listed.TEMPERATURES),
            ]
        )
        self.listed.set_value(_kept(studio, _LISTED_KEY, Listed, Listed.BOTH))
        self.listed.setAccessibleName("What is listed")
        self.unmarked = Label(role="small", wrap=True)
        self.plot = NightPlot(
            units=studio.units,
            zone=studio.zone,
            name="Furnace temperature by clock time",
            from_room=False,
        )
        self.table = DataTable(self._columns(), name="Written down at the furnace, newest first")
        self.nothing = EmptyState("", "", icon="furnace")
        self.remove = QPushButton("Remove")
        self.remove.setEnabled(False)
        self.remove.setToolTip("Take the chosen entry out of the book (Del); it can be put back")
        self._removal = QAction("Remove this entry", self.table)
        self._removal.setShortcut(QKeySequence.StandardKey.Delete)
        self._removal.setShortcutContext(Qt.ShortcutContext.WidgetShortcut)
        self.table.addAction(self._removal)
        self.plot.upper.setMinimumHeight(150)
        self._lay_out()
        self.span.chosen.connect(self._on_span)
        self.listed.chosen.connect(self._on_listed)
        self.table.row_selected.connect(lambda row: self.remove.setEnabled(row is not None))
        self.remove.clicked.connect(self._on_remove)
        self._removal.triggered.connect(self._on_remove)
        self._built = True
        self._tint()

    def _lay_out(self) -> None:
        left, right = QWidget(), QWidget()
        curve = QVBoxLayout(left)
        curve.setContentsMargins(0, 0, 0, 0)
        curve.setSpacing(8)
        above = QHBoxLayout()
        above.addWidget(self.span)
        above.addWidget(self.unmarked, 1)
        curve.addLayout(above)
        curve.addWidget(self.plot, 1)
        curve.addWidget(self.nothing, 1)
        listing = QVBoxLayout(right)
        listing.setContentsMargins(0, 0, 0, 0)
        listing.setSpacing(8)
        over = QHBoxLayout()
        over.addWidget(self.listed, 1)
        over.addWidget(self.remove)
        listing.addLayout(over)
        listing.addWidget(self.table, 1)
        self.table.setMinimumHeight(130)
        self.splitter = QSplitter(Qt.Orientation.Horizontal)
        self.splitter.setChildrenCollapsible(False)
        self.splitter.setHandleWidth(12)
        self.splitter.addWidget(left)
        self.splitter.addWidget(right)
        self.splitter.setStretchFactor(0, 5)
        self.splitter.setStretchFactor(1, 4)
        right.setMinimumWidth(390)
        left.setMinimumWidth(300)
        self.splitter.setSizes([540, 460])
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.splitter)
        # It takes the room there is; what it would like to have must not make the page scroll.
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Ignored)
        self.setMinimumHeight(_LEAST_HEIGHT)

    def arrange(self, width: int) -> None:
        """Put the list below the curve where there is little room [pixels]."""
        wide = width >= _BESIDE
        self.splitter.setOrientation(Qt.Orientation.Horizontal if wide else Qt.Orientation.Vertical)
        self.setMinimumHeight(_LEAST_HEIGHT if wide else 2 * _LEAST_HEIGHT)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def entries(self) -> tuple[Entry, ...]:
        """All entries in the span, the newest first."""
        return self._entries

    def show_furnace(self, furnace: str) -> None:
        """Read a furnace's entries from the book and show them."""
        self._furnace = furnace
        if not furnace:
            return
        book, studio = self._studio.book, self._studio
        now = studio.now()
        span = Span(str(self.span.value))
        back = _BACK[span]
        since = now - back if back is not None else None
        try:
            readings = book.furnace_readings(furnace, since)
            records = book.charges(furnace=furnace, since=since)
            others = book.pot_entries(furnace=furnace, since=since)
        except LehrkeeperError as error:
            self.failed.emit(error)
            return
        charges = [record.charge for record in records]
        # Written down in order of time, so the later of two at one time stays above.
        entries: list[Entry] = [*readings, *records, *others]
        entries.sort(key=time_of)
        self._entries = tuple(reversed(entries))
        self._fill_table()

        self.plot.setVisible(bool(entries))
        self.nothing.setVisible(not entries)
        if entries:
            lines = [reading_line(furnace, readings)] if readings else []
            markers = charge_markers(charges, studio.units, studio.zone)
            told = charges and not markers
            self.unmarked.setText("Too many charges to mark: see the list" if told else "")
            self.plot.show_night(lines, markers=(*markers, now_marker(now)))
        else:
            self._tell_nothing(span)

    def set_units(self, units: UnitChoice) -> None:
        """Take other units; what is shown follows when it is read again."""
        self.plot.set_units(units)
        self.table.set_columns(self._columns())

    def _tell_nothing(self, span: Span) -> None:
        if span is Span.ALL:
            self.nothing.set_words(
                "Nothing written down yet",
                "Type the furnace's temperature above and press Enter, or record the first charge.",
            )
            return
        within = {Span.DAY: "24 hours", Span.THREE_DAYS: "3 days"}[span]
        self.nothing.set_words(
            f"Nothing in the last {within}",
            "Type the furnace's temperature above and press Enter, or look further back.",
        )

    def _fill_table(self) -> None:
        listed = Listed(str(self.listed.value))
        kinds = {
            Listed.BOTH: (ChargeRecord, PotEntryRecord, FurnaceReading),
            Listed.CHARGES: (ChargeRecord, PotEntryRecord),
            Listed.TEMPERATURES: (FurnaceReading,),
        }[listed]
        self.table.set_rows(entry for entry in self._entries if isinstance(entry, kinds))
        self.remove.setEnabled(self.table.selected_row() is not None)

    def _columns(self) -> list[Column]:
        studio = self._studio
        return [
            Column(
                "When",
                lambda row: day_and_clock(time_of(row), now=studio.now(), zone=studio.zone),
            ),
            Column("Entry", subject_words, stretch=True),
            Column("Amount", lambda row: amount_words(row, studio.units), numeric=True),
        ]

    # -- what a person does -----------------------------------------------------------------

    def _on_span(self, span: object) -> None:
        self._studio.settings.set_text(_SPAN_KEY, str(span))
        self.show_furnace(self._furnace)

    def _on_listed(self, listed: object) -> None:
        self._studio.settings.set_text(_LISTED_KEY, str(listed))
        self._fill_table()

    def _on_remove(self) -> None:
        entry = self.table.selected_row()
        if entry is not None:
            self.remove_wanted.emit(entry)

    def _tint(self) -> None:
        self.remove.setIcon(themed_icon("remove"))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


def _kept(studio: Studio, key: str, kind: type[StrEnum], usual: StrEnum) -> StrEnum:
    text = studio.settings.text(key, usual.value)
    return kind(text) if text in set(kind) else usual
