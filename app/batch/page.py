"""The page “Batch”: what is asked at the left, what to weigh out at the right, tabs beside."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QSplitter,
    QVBoxLayout,
    QWidget,
)

from app.batch.answer_view import AnswerView
from app.batch.asked_form import AskedForm
from app.batch.glass_choice import GlassChoices
from app.batch.materials_view import MaterialsView
from app.batch.sheet_preview import show_sheet
from app.batch.sheets_view import SheetsView
from app.batch.tabs import ASKED, SHEETS, BatchTabs
from app.studio import Studio
from app.theme import set_role, theme_of, themed_icon
from app.widgets.banner import Banner, Weight
from app.widgets.caution import CautionStrip
from app.widgets.label import Label
from core.batch.answer import BatchAnswer, answer_to
from core.batch.batch import Batch
from core.batch.material import MaterialList
from core.batch.material_file import shipped_materials
from core.batch.safety import DEFER
from core.batch.sheet import sheet_of
from core.errors import LehrkeeperError
from core.store.book import BatchSheetRecord
from core.units import UnitChoice

_PAUSE = 150
"""Milliseconds without a change before a batch is reckoned again."""
_NARROW = 760
"""Width of the page below which form and answer take turns."""
_WAITING = "Choose a glass, or type or paste an analysis, and see at once what to weigh out."
_LAST = "Begin from the last batch"
_WRONG = "Nothing can be reckoned until the marked field is right."
_LOW = 420
"""Height of the page below which the standing caution gives its room to what is read."""


class BatchPage(QWidget):
    """From a glass wanted to a weigh-out from the studio's own materials.

    Parameters
    ----------
    studio : Studio
    parent : QWidget, optional
    """

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._saved: Batch | None = None
        self._typed = False
        self.banner = Banner()
        self.form = AskedForm(studio.units)
        self.answer = AnswerView(studio.units)
        self.materials = MaterialsView(studio)
        self.sheets = SheetsView(studio)
        self.print = QPushButton("Print the sheet…")
        set_role(self.print, "primary")
        self.save = QPushButton("Keep the sheet")
        self.fresh = QPushButton("Begin anew")
        set_role(self.fresh, "quiet")
        self.state = Label(wrap=True)
        self.shelf = Label(role="small", wrap=True)
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self.reckon)
        self._lay_out()
        self._connect()
        self._fill_choices()
        self._fill_materials()
        self.form.show_request(None)
        self._built = True
        self._fit()
        self._tint()
        self.reckon()

    def _lay_out(self) -> None:
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.form)
        split.addWidget(self.answer)
        split.setStretchFactor(0, 9)
        split.setStretchFactor(1, 11)
        split.setSizes([390, 480])
        split.setChildrenCollapsible(False)
        split.setHandleWidth(10)
        self.form.setMinimumWidth(300)
        self.answer.setMinimumWidth(320)
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        buttons.addWidget(self.print)
        buttons.addWidget(self.save)
        buttons.addWidget(self.state, 1)
        buttons.addWidget(self.fresh)
        batch = QWidget()
        column = QVBoxLayout(batch)
        column.setContentsMargins(0, 10, 0, 0)
        column.setSpacing(8)
        column.addWidget(self.banner)
        column.addWidget(self.shelf)
        column.addWidget(split, 1)
        column.addLayout(buttons)
        self.tabs = BatchTabs(batch, self.form, self.answer, self.materials, self.sheets)
        self.strip = CautionStrip(DEFER)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(20, 8, 20, 12)
        whole.setSpacing(8)
        whole.addWidget(self.tabs, 1)
        whole.addWidget(self.strip)

    def _connect(self) -> None:
        studio = self._studio
        self.form.changed.connect(self._on_edited)
        self.print.clicked.connect(self.print_shown)
        self.save.clicked.connect(self.save_shown)
        self.fresh.clicked.connect(self._ask_to_begin_anew)
        self.materials.written.connect(lambda: studio.tell_changed("materials"))
        self.sheets.stock_taken.connect(lambda: studio.tell_changed("materials"))
        self.sheets.pot_told.connect(lambda: studio.tell_changed("furnace"))
        self.sheets.opened.connect(self.use_again)
        self.answer.empty.acted.connect(self._begin_from_last)
        self.sheets.print_wanted.connect(self._print_record)
        studio.changed.connect(self._on_changed)
        studio.units_changed.connect(self._on_units)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def list_in_use(self) -> MaterialList:
        """What batches are reckoned from: the studio's own list, or the shipped one."""
        return self._list

    @property
    def dirty(self) -> bool:
        """True while a batch asked for is not kept, or a material typed is not saved."""
        asked = self._typed and not self.form.target.is_empty
        return asked or self.materials.dirty

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Let form and answer take turns where there is no room for both."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        if not self._built:
            return
        self.tabs.set_narrow(narrow=self.width() < _NARROW)
        # Where it would cover what it is about, the caution stands with the materials only.
        self.strip.setVisible(self.height() >= _LOW)

    def _fill_choices(self) -> None:
        try:
            own = self._studio.book.glasses()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            own = ()
        self.form.show_choices(GlassChoices.of(own))

    def _fill_materials(self) -> None:
        self._list = shipped_materials()
        told = (
            "Reckoned from pure compounds: your own list is empty. Put your bags' analyses, prices "
            "and stock into “Materials”."
        )
        try:
            if self._studio.book.materials():
                self._list, told = self._studio.book.material_list(), ""
        except LehrkeeperError as error:
            self.banner.tell_error(error)
        self.form.show_materials(self._list)
        self.shelf.setText(told)
        self.shelf.setVisible(bool(told))

    # -- reckoning --------------------------------------------------------------------------

    def reckon(self) -> None:
        """Reckon what stands in the form; what is wrong is told beside its field."""
        self._pause.stop()
        self.form.clear_told()
        if self.form.target.is_empty:
            self._studio.jobs.cancel("batch")
            self.answer.wait(
                _WAITING, action="Begin from the last batch" if self.sheets.last else ""
            )
            self._show_buttons()
            return
        try:
            asked = self.form.asked(self._list)
        except LehrkeeperError as error:
            self._studio.jobs.cancel("batch")
            self._failed(error)
            return
        self._studio.jobs.submit(
            answer_to,
            asked.request,
            asked.wish,
            asked.sizes,
            on_done=self._show,
            on_failed=self._failed,
            kind="batch",
            owner=self,
        )

    def _show(self, answer: BatchAnswer) -> None:
        self.answer.show_answer(answer)
        self._show_buttons()

    def _failed(self, error: LehrkeeperError) -> None:
        told = self.form.tell(error)
        words = f"{_WRONG} {error}" if told else str(error)
        self.answer.wait(words, keep=True, wrong=True)
        self._show_buttons()

    def _show_buttons(self) -> None:
        answer = self.answer.answer
        kept = answer is not None and answer.batch is self._saved
        self.print.setEnabled(answer is not None)
        self.save.setEnabled(answer is not None and not kept)
        self.fresh.setEnabled(not self.form.target.is_empty)
        if not kept:
            self.state.setText("")

    def _on_edited(self) -> None:
        self._typed = True
        self._pause.start()

    # -- what a person does -----------------------------------------------------------------

    def print_shown(self) -> None:
        """Show the sheet as it will be printed, to print or save."""
        answer = self.answer.answer
        if answer is not None:
            show_sheet(self, self._studio, answer.batch, answer.sheet, self._studio.now())

    def _print_record(self, record: BatchSheetRecord) -> None:
        show_sheet(self, self._studio, record.batch, sheet_of(record.batch), record.made_at)

    def save_shown(self) -> None:
        """Keep the batch in the book with its name and the time."""
        answer = self.answer.answer
        if answer is None:
            return
        if not self.form.target.name.text().strip():
            field = self.form.target.head.field("name")
            field.set_error("Give the batch a name to find it by.")
            self.form.target.name.setFocus(Qt.FocusReason.OtherFocusReason)
            return
        try:
            record = self._studio.book.save_batch(answer.batch, made_at=self._studio.now())
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._saved, self._typed = answer.batch, False
        self.sheets.refresh()
        self._show_buttons()
        self.state.setText(f"Kept “{record.name}”")
        set_role(self.state, "good")
        self._offer_stock(record)

    def _offer_stock(self, record: BatchSheetRecord) -> None:
        if any(material.stock is not None for material in self._list):
            self.banner.tell(
                Weight.GOOD,
                f"Kept “{record.name}”. Once it is weighed out, its materials can be taken from "
                "the stock, here or under “Kept sheets”.",
                action="Take from stock",
                act=lambda: self._take(record),
            )

    def _take(self, record: BatchSheetRecord) -> None:
        self.tabs.setCurrentIndex(SHEETS)
        self.sheets.table.select(record)
        self.sheets.take_from_stock(record)

    def use_again(self, record: BatchSheetRecord) -> None:
        """Fill the form with a kept sheet's request; weights follow from the list of today."""
        request = record.batch.request
        self.form.show_request(request)
        self._typed = False
        self.tabs.setCurrentIndex(ASKED)
        self.banner.tell(
            Weight.INFORMATION,
            f"“{record.name}” reckoned anew from your materials of today. The kept sheet stays as "
            "it was.",
        )
        self.reckon()

    def _begin_from_last(self) -> None:
        if self.sheets.last is not None:
            self.use_again(self.sheets.last)

    def _ask_to_begin_anew(self) -> None:
        if self._typed:
            self.banner.ask_discard("", self._begin_anew)
        else:
            self._begin_anew()

    def _begin_anew(self) -> None:
        self.form.show_request(None)
        self._typed = False
        self.reckon()

    # -- news -------------------------------------------------------------------------------

    def _on_changed(self, kind: str) -> None:
        if kind == "glasses":
            self._fill_choices()
        elif kind == "materials":
            self._fill_materials()
            self.materials.refresh()
            self.reckon()

    def _on_units(self, units: UnitChoice) -> None:
        self.form.set_units(units)
        self.answer.set_units(units)
        self.materials.set_units(units)
        self.sheets.set_units(units)

    def _tint(self) -> None:
        theme = theme_of(self)
        self.print.setIcon(themed_icon("print", theme, theme.accent_ink))
        self.save.setIcon(themed_icon("save", theme))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
