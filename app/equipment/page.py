"""The page “Equipment” as the window shows it."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.equipment.equipment_list import EquipmentList
from app.equipment.furnace_form import FurnaceForm
from app.equipment.lehr_form import LehrForm
from app.equipment.opening import Kind, last_opened, remember_opened
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner, Weight
from app.widgets.caution import CautionStrip
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from core.equipment.lehr import Lehr
from core.errors import EquipmentError, FurnaceError, LehrkeeperError
from core.units import UnitChoice

CAUTION = (
    "Elements, gas lines, wiring and controllers are for licensed trades and local codes. "
    "Isolate a lehr before anybody reaches in. Over-temperature protection needs a device of its "
    "own: this program protects nothing."
)
_EMPTY, _LEHR, _FURNACE = range(3)


class EquipmentPage(QWidget):
    """Lehrs, furnaces and pots: the list at the left, what is chosen at the right.

    Parameters
    ----------
    studio : Studio
    parent : QWidget, optional
    """

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._shown: tuple[Kind, str] | None = None
        self._lehrs: dict[str, Lehr] = {}
        self._dirty = False
        self.list = EquipmentList()
        self.banner = Banner()
        self.lehr = LehrForm(studio)
        self.furnace = FurnaceForm(studio)
        self.empty = EmptyState(
            "No lehr yet",
            "Enter your lehr once: how hot it may get, how fast it cools by itself, and what its "
            "controller takes. Every curve is drawn up for it.",
            action="Add a lehr",
            icon="equipment",
        )
        self.stack = QStackedWidget()
        for widget in (self.empty, self.lehr, self.furnace):
            self.stack.addWidget(widget)
        self.state = Label()
        self.save = QPushButton()
        set_role(self.save, "primary")
        self.discard = QPushButton("Discard changes")
        self.remove = QPushButton()
        set_role(self.remove, "quiet")
        self._lay_out()
        self.list.chosen.connect(self._on_chosen)
        self.list.new_wanted.connect(lambda kind: self._leave_for(kind, ""))
        self.empty.acted.connect(lambda: self._leave_for(Kind.LEHR, ""))
        self.lehr.changed.connect(self._on_edited)
        self.furnace.changed.connect(self._on_edited)
        self.furnace.name_wanted.connect(self.save_shown)
        self.furnace.pot_told.connect(self._on_pot)
        self.furnace.pot_failed.connect(self.banner.tell_error)
        self.save.clicked.connect(self.save_shown)
        self.discard.clicked.connect(self._on_discard)
        self.remove.clicked.connect(self._ask_to_remove)
        studio.changed.connect(self._on_changed)
        studio.units_changed.connect(self._on_units)
        studio.page_wanted.connect(self._on_page_wanted)
        self._open_first()

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        buttons.addWidget(self.save)
        buttons.addWidget(self.discard)
        buttons.addWidget(self.state, 1)
        buttons.addWidget(self.remove)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self.banner)
        right.addWidget(self.stack, 1)
        right.addLayout(buttons)
        row = QHBoxLayout()
        row.setSpacing(14)
        row.addWidget(self.list)
        row.addLayout(right, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(20, 16, 20, 16)
        column.setSpacing(12)
        column.addLayout(row, 1)
        column.addWidget(CautionStrip(CAUTION))

    # -- what is shown ----------------------------------------------------------------------

    @property
    def shown(self) -> tuple[Kind, str] | None:
        """Kind and name of what is shown; an empty name is a new piece."""
        return self._shown

    @property
    def dirty(self) -> bool:
        """True while something typed is not saved."""
        return self._dirty

    def open(self, kind: Kind, name: str) -> None:
        """Show a piece (an empty name: a new one), letting go of what was not saved."""
        self._fill_list()
        if name and not self.list.holds(kind, name):
            self._open_first()
            return
        self._shown = (kind, name)
        remember_opened(self._studio, kind, name)
        self.list.mark(kind, name)
        if kind is Kind.LEHR:
            self.lehr.show_lehr(self._lehrs.get(name))
            self.stack.setCurrentIndex(_LEHR)
            start = self.lehr.name
        else:
            self.furnace.show_furnace(name)
            self.stack.setCurrentIndex(_FURNACE)
            start = self.furnace.name
        self.banner.clear()
        self._set_dirty(dirty=False)
        if not name:
            start.setFocus()

    def _open_first(self) -> None:
        self._fill_list()
        last = last_opened(self._studio)
        known = last is not None and bool(last[1]) and self.list.holds(*last)
        first = last if known else self.list.first()
        if first is not None:
            self.open(*first)
            return
        self._shown = None
        self.stack.setCurrentIndex(_EMPTY)
        self._set_dirty(dirty=False)

    def _fill_list(self) -> None:
        book = self._studio.book
        try:
            self._lehrs = {lehr.name: lehr for lehr in book.lehrs()}
            furnaces = book.furnaces()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.list.show_names(list(self._lehrs), furnaces)
        if self._shown is not None:
            self.list.mark(*self._shown)

    def _set_dirty(self, *, dirty: bool, told: str = "") -> None:
        self._dirty = dirty
        there = self._shown is not None
        new = there and not self._shown[1]
        what = self._shown[0].value if self._shown is not None else ""
        self.save.setText(f"Save {what}")
        self.remove.setText(f"Remove {what}…")
        self.save.setVisible(there)
        self.save.setEnabled(dirty or new)
        self.discard.setVisible(there and (dirty or new))
        self.discard.setText("Cancel" if new else "Discard changes")
        self.remove.setVisible(there and not new)
        self.state.setText("Not saved yet" if dirty else told)
        set_role(self.state, "note" if dirty else "good")

    # -- what a person does -----------------------------------------------------------------

    def save_shown(self) -> None:
        """Write what is shown into the book; what is wrong is shown beside its field."""
        if self._shown is None:
            return
        kind, before = self._shown
        try:
            name = self._save_lehr(before) if kind is Kind.LEHR else self._save_furnace(before)
        except LehrkeeperError as error:
            form = self.lehr if kind is Kind.LEHR else self.furnace
            if not form.show_error(error):
                self.banner.tell_error(error)
            return
        self.open(kind, name)
        self._set_dirty(dirty=False, told=f"Saved “{name}”")
        if kind is Kind.FURNACE:
            self.furnace.pot_name.setFocus()
        self._studio.tell_changed("lehrs" if kind is Kind.LEHR else "furnace")

    def _save_lehr(self, before: str) -> str:
        lehr = self.lehr.lehr()
        if not before and self.list.holds(Kind.LEHR, lehr.name):
            raise EquipmentError(
                f"There is a lehr called “{lehr.name}” already.",
                field="name",
                remedy="Choose another name, or choose that one in the list to change it.",
            )
        self._studio.book.save_lehr(lehr, renamed_from=before or None)
        return lehr.name

    def _save_furnace(self, before: str) -> str:
        name = self.furnace.furnace_name()
        if not before and self.list.holds(Kind.FURNACE, name):
            raise FurnaceError(
                f"There is a furnace called “{name}” already.",
                field="name",
                remedy="Choose another name.",
            )
        self._studio.book.save_furnace(name, renamed_from=before or None)
        return name

    def _ask_to_remove(self) -> None:
        if self._shown is None:
            return
        kind, name = self._shown
        self.banner.tell(
            Weight.CAUTION,
            f"Remove “{name}” from the book, with the notes on it? This cannot be taken back.",
            action="Remove it",
            act=lambda: self._remove(kind, name),
        )

    def _remove(self, kind: Kind, name: str) -> None:
        book = self._studio.book
        try:
            if kind is Kind.LEHR:
                book.delete_lehr(name)
            else:
                book.delete_furnace(name)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._shown = None
        self._open_first()
        self.banner.tell(Weight.GOOD, f"Removed “{name}”.")
        self._studio.tell_changed("lehrs" if kind is Kind.LEHR else "furnace")

    def _on_chosen(self, kind: object, name: str) -> None:
        self._leave_for(Kind(str(kind)), name)

    def _leave_for(self, kind: Kind, name: str) -> None:
        """Show another piece, but ask first about what was typed and not saved."""
        if (kind, name) == self._shown:
            self.list.mark(kind, name)
            return
        if not self._dirty or self._shown is None:
            self.open(kind, name)
            return
        self.list.mark(*self._shown)
        self.banner.ask_discard(self._shown[1], lambda: self.open(kind, name))

    def _on_discard(self) -> None:
        if self._shown is not None and self._shown[1]:
            self.open(*self._shown)
        else:
            self._shown = None
            self._open_first()

    def _on_edited(self) -> None:
        if not self._dirty:
            self._set_dirty(dirty=True)

    def _on_pot(self, text: str) -> None:
        self.banner.clear()
        self._set_dirty(dirty=self._dirty, told=text)
        self._studio.tell_changed("furnace")

    def _on_changed(self, kind: str) -> None:
        if kind in {"lehrs", "furnace"}:
            self._fill_list()
            if kind == "furnace" and self.stack.currentIndex() == _FURNACE:
                self.furnace.show_pots()

    def _on_units(self, units: UnitChoice) -> None:
        self.lehr.set_units(units)
        self.furnace.set_units(units)

    def _on_page_wanted(self, key: str) -> None:
        wanted = last_opened(self._studio)
        if key == "equipment" and wanted is not None:
            self._leave_for(*wanted)
