"""Batch sheets kept in the book: look at one, print it, weigh it, use it again."""

from __future__ import annotations

from datetime import datetime

from PySide6.QtCore import QEvent, Signal
from PySide6.QtWidgets import QHBoxLayout, QMenu, QPushButton, QVBoxLayout, QWidget

from app.batch.words import cost_words, mass_words
from app.local_time import day_and_clock
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label, tab_text
from app.widgets.quantity import Quantity, format_quantity, local_sentence
from app.widgets.tables import Column, DataTable
from core.batch.charged import CHARGED_AS, charged_as
from core.batch.stock import stock_after
from core.errors import LehrkeeperError
from core.store.book import BatchSheetRecord
from core.units import UnitChoice


class SheetsView(QWidget):
    """The tab with the saved sheets.

    Signals
    -------
    opened(object)
        The BatchSheetRecord whose request shall be used again.
    print_wanted(object)
        The BatchSheetRecord to be printed.
    stock_taken()
        The book's materials have changed.
    pot_told()
        What is charged into a pot has changed.
    """

    opened = Signal(object)
    print_wanted = Signal(object)
    stock_taken = Signal()
    pot_told = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self.banner = Banner()
        self.table = DataTable(self._columns(), name="Saved sheets")
        self.empty = EmptyState(
            "No sheet kept yet",
            "Save a batch and it stays here with its weights, materials and prices of the day.",
            icon="batch",
        )
        self.told = Label(wrap=True)
        self.use = QPushButton("Use again")
        self.print = QPushButton("Print…")
        self.weigh = QPushButton("Take from stock…")
        self.tell = QPushButton("Tell a pot")
        self.tell.setToolTip("Say that charges of “batch” into a pot are this batch from now on")
        self.pots = QMenu(self.tell)
        self.tell.setMenu(self.pots)
        self.remove = QPushButton("Remove…")
        set_role(self.remove, "quiet")
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        for button in (self.use, self.print, self.weigh, self.tell):
            buttons.addWidget(button)
        buttons.addStretch(1)
        buttons.addWidget(self.remove)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 10, 0, 0)
        column.setSpacing(10)
        column.addWidget(self.banner)
        column.addWidget(self.empty, 1)
        column.addWidget(self.table, 1)
        column.addWidget(self.told)
        column.addLayout(buttons)
        self.table.row_selected.connect(lambda _: self._show_chosen())
        self.table.row_opened.connect(self._on_opened)
        self.use.clicked.connect(lambda: self._on_opened(self.chosen))
        self.print.clicked.connect(lambda: self.print_wanted.emit(self.chosen))
        self.weigh.clicked.connect(self._ask_to_take)
        self.pots.aboutToShow.connect(self._list_pots)
        self.remove.clicked.connect(self._ask_to_remove)
        self._built = True
        self._tint()
        self.refresh()

    @property
    def chosen(self) -> BatchSheetRecord | None:
        """The sheet chosen."""
        row = self.table.selected_row()
        return row if isinstance(row, BatchSheetRecord) else None

    @property
    def last(self) -> BatchSheetRecord | None:
        """The sheet made last."""
        rows = self.table.rows_model.rows
        return rows[0] if rows else None

    def refresh(self) -> None:
        """Read the sheets anew."""
        try:
            rows = self._studio.book.batches()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        chosen = self.chosen
        self.table.set_rows(rows)
        self.empty.setVisible(not rows)
        self.table.setVisible(bool(rows))
        if rows and (chosen is None or not self.table.select(chosen)):
            self.table.select(rows[0])
        self._show_chosen()

    def set_units(self, units: UnitChoice) -> None:
        """Show masses in other units."""
        del units  # read from the studio when shown
        self.table.set_columns(self._columns())
        self._show_chosen()

    def _columns(self) -> list[Column]:
        def mass(value: float) -> str:
            return format_quantity(Quantity.MASS, value, self._studio.units)

        return [
            Column("Batch", lambda r: r.name, stretch=True),
            Column("Made", lambda r: day_and_clock(r.made_at, zone=self._studio.zone)),
            Column("Glass", lambda r: mass(r.glass), numeric=True),
            Column(
                "Weighed out", lambda r: mass(r.batch.balance.weighed), numeric=True, gives_way=2
            ),
            Column("Stock", lambda r: "taken" if self._taken(r) else "", gives_way=1),
        ]

    def _show_chosen(self) -> None:
        record = self.chosen
        for button in (self.use, self.print, self.weigh, self.tell, self.remove):
            button.setEnabled(record is not None)
        self.told.setVisible(record is not None)
        if record is None:
            return
        units = self._studio.units
        weights = ", ".join(
            f"{line.material} {mass_words(line.mass, line.division, units)}"
            for line in record.batch.weighings
        )
        self.told.setText(local_sentence(f"{weights}.\n{cost_words(record.batch)}"))

    def _on_opened(self, record: object) -> None:
        if isinstance(record, BatchSheetRecord):
            self.opened.emit(record)

    # -- stock ------------------------------------------------------------------------------

    def _taken(self, record: BatchSheetRecord) -> str:
        """When a sheet's materials were taken from the stock; empty if they were not."""
        text = self._studio.settings.text(_taken_key(record))
        try:
            return day_and_clock(datetime.fromisoformat(text), zone=self._studio.zone)
        except ValueError:
            return ""

    def _ask_to_take(self) -> None:
        record = self.chosen
        if record is None:
            return
        before = self._taken(record)
        again = f" It was taken before, {before}." if before else ""
        self.banner.tell(
            Weight.CAUTION,
            f"“{record.name}” has been weighed out: take its materials from the stock?{again}",
            action="Take from stock",
            act=lambda: self.take_from_stock(record),
        )

    def take_from_stock(self, record: BatchSheetRecord) -> None:
        """Deduct what a sheet weighs from the stock of the list."""
        book = self._studio.book
        try:
            changed = stock_after(book.materials(), record.batch)
            book.save_materials(changed)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        if not changed:
            self.banner.tell(
                Weight.INFORMATION,
                "None of its materials has a stock in your list, so nothing was taken.",
            )
            return
        now = self._studio.now()
        self._studio.settings.set_text(_taken_key(record), now.isoformat())
        listed = ", ".join(
            f"{m.name} {format_quantity(Quantity.MASS, m.stock, self._studio.units)}"
            for m in changed
        )
        self.table.set_columns(self._columns())
        self.banner.tell(Weight.GOOD, f"Taken from stock. Left: {listed}.")
        self.stock_taken.emit()

    # -- pots -------------------------------------------------------------------------------

    def _list_pots(self) -> None:
        self.pots.clear()
        try:
            pots = self._studio.book.pots()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        for pot in pots:
            action = self.pots.addAction(tab_text(f"{pot.name}, {pot.furnace}"))
            action.triggered.connect(lambda _=False, name=pot.name: self.tell_pot(name))
        if not pots:
            self.pots.addAction("No pot is entered yet").setEnabled(False)

    def tell_pot(self, pot: str) -> None:
        """Say that what is charged as batch into a pot is the chosen sheet from now on."""
        record = self.chosen
        if record is None:
            return
        now = self._studio.now()
        try:
            self._studio.book.save_charged_glass(charged_as(record.batch, pot, now))
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.banner.tell(
            Weight.GOOD,
            local_sentence(
                f"From now on a charge of “{CHARGED_AS}” into {pot} counts as “{record.name}”: "
                f"{100 * record.batch.glass_yield:.1f} % of it becomes glass of its analysis."
            ),
        )
        self.pot_told.emit()

    def _ask_to_remove(self) -> None:
        record = self.chosen
        if record is not None:
            self.banner.tell(
                Weight.CAUTION,
                f"Remove the sheet “{record.name}”? This cannot be taken back.",
                action="Remove it",
                act=lambda: self._remove(record),
            )

    def _remove(self, record: BatchSheetRecord) -> None:
        try:
            self._studio.book.delete_batch(record.id)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.refresh()
        self.banner.tell(Weight.GOOD, f"Removed “{record.name}”.")

    def _tint(self) -> None:
        self.print.setIcon(themed_icon("print", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


def _taken_key(record: BatchSheetRecord) -> str:
    """Where it is remembered that a sheet was weighed; its time tells it from other books'."""
    return f"batch/taken/{record.id} {record.made_at:%Y%m%d%H%M%S%f}"
