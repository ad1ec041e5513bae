"""The studio's own raw materials: list, form, and what is done with them."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QPushButton,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.batch.material_form import MaterialForm
from app.batch.material_list import ShelfList, ShelfPicker
from app.studio import Studio
from app.theme import set_role
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from app.widgets.label import Label
from core.batch.material import Material
from core.batch.material_file import read_materials, write_materials
from core.errors import BatchError, LehrkeeperError
from core.units import UnitChoice

_FILTER = "Lists of materials (*.toml);;All files (*)"
_NARROW = 760
"""Width below which the list gives its room to the form."""
_EMPTY, _FORM = range(2)


class MaterialsView(QWidget):
    """The tab with the materials.

    Signals
    -------
    written()
        The book's list has changed.
    """

    written = Signal()

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._materials: dict[str, Material] = {}
        self._shown: str | None = None
        self._dirty = False
        self.list = ShelfList(studio.units)
        self.list.setFixedWidth(290)
        self.picker = ShelfPicker(self.list.menu)
        self.banner = Banner()
        self.form = MaterialForm(studio.units)
        self.empty = EmptyState(
            "What stands on your shelf?",
            "Begin with the pure compounds and put in your own bags' analyses, moisture, prices "
            "and stock; or add materials one by one. Until then batches are reckoned from the "
            "pure compounds.",
            action="Begin with the pure compounds",
            icon="batch",
        )
        self.stack = QStackedWidget()
        self.stack.addWidget(self.empty)
        self.stack.addWidget(self.form)
        self.save = QPushButton("Save material")
        set_role(self.save, "primary")
        self.discard = QPushButton("Discard changes")
        self.remove = QPushButton("Remove…")
        set_role(self.remove, "quiet")
        self.state = Label(wrap=True)
        self._lay_out()
        self._connect()
        self._fit()
        self.refresh()

    def _lay_out(self) -> None:
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        buttons.addWidget(self.save)
        buttons.addWidget(self.discard)
        buttons.addWidget(self.state, 1)
        buttons.addWidget(self.remove)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self.picker)
        right.addWidget(self.banner)
        right.addWidget(self.stack, 1)
        right.addLayout(buttons)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 10, 0, 0)
        row.setSpacing(14)
        row.addWidget(self.list)
        row.addLayout(right, 1)

    def _connect(self) -> None:
        for chooser in (self.list, self.picker):
            chooser.chosen.connect(self._leave_for)
            chooser.new_wanted.connect(lambda: self._leave_for(""))
        self.list.shipped_wanted.connect(self.add_shipped)
        self.list.read_wanted.connect(self.read_list)
        self.list.write_wanted.connect(self.write_list)
        self.list.move_wanted.connect(self.move_shown)
        self.list.currency_changed.connect(self._on_currency)
        self.empty.acted.connect(self.add_shipped)
        self.form.changed.connect(self._on_edited)
        self.save.clicked.connect(self.save_shown)
        self.discard.clicked.connect(self._on_discard)
        self.remove.clicked.connect(self._ask_to_remove)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Choose from a line instead of a list where there is no room beside the form."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        narrow = self.width() < _NARROW
        self.list.setVisible(not narrow)
        self.picker.setVisible(narrow)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def shown(self) -> str | None:
        """Name of the material shown; empty for a new one, ``None`` for none."""
        return self._shown

    @property
    def dirty(self) -> bool:
        """True while something typed is not saved."""
        return self._dirty

    def refresh(self) -> None:
        """Read the list anew; what is being typed stays."""
        self._fill_list()
        if self._dirty:
            return
        if self._shown and self._shown in self._materials:
            self.open(self._shown)
        elif self._materials:
            self.open(next(iter(self._materials)))
        else:
            self._shown = None
            self.stack.setCurrentIndex(_EMPTY)
            self._set_dirty(dirty=False)

    def open(self, name: str) -> None:
        """Show a material (an empty name: a new one), letting go of what was not saved."""
        self._shown = name
        self.form.show_material(self._materials.get(name))
        self.stack.setCurrentIndex(_FORM)
        self.banner.clear()
        self._mark()
        self._set_dirty(dirty=False)
        if not name:
            self.form.name.setFocus()

    def _fill_list(self) -> None:
        book = self._studio.book
        try:
            materials, currency = book.materials(), book.currency()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._materials = {material.name: material for material in materials}
        self.list.show_materials(materials, currency)
        self.form.set_currency(currency)
        self._mark()

    def _mark(self) -> None:
        self.list.mark(self._shown or "")
        self.picker.show_names(list(self._materials), self._shown or "")

    def _set_dirty(self, *, dirty: bool, told: str = "") -> None:
        self._dirty = dirty
        there = self._shown is not None
        new = self._shown == ""
        self.save.setVisible(there)
        self.save.setEnabled(dirty or new)
        self.discard.setVisible(there and (dirty or new))
        self.discard.setText("Cancel" if new else "Discard changes")
        self.remove.setVisible(there and not new)
        self.state.setText("Not saved yet" if dirty else told)
        set_role(self.state, "note" if dirty else "good")

    # -- what a person does -----------------------------------------------------------------

    def save_shown(self) -> None:
        """Write the material into the book; what is wrong is shown beside its field."""
        if self._shown is None:
            return
        before = self._shown
        try:
            material = self.form.material()
            taken = material.name.casefold() in {n.casefold() for n in self._materials}
            if not before and taken:
                raise BatchError(
                    f"There is a material called “{material.name}” already.",
                    field="name",
                    remedy="Choose another name, or choose that one in the list to change it.",
                )
            self._studio.book.save_material(material, renamed_from=before or None)
        except LehrkeeperError as error:
            if not self.form.tell(error):
                self.banner.tell_error(error)
            return
        self._fill_list()
        self.open(material.name)
        self._set_dirty(dirty=False, told=f"Saved “{material.name}”")
        self.written.emit()

    def add_shipped(self) -> None:
        """Add the pure compounds that are not in the list yet."""
        try:
            added = self._studio.book.fill_materials()
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.refresh()
        self.banner.tell(
            Weight.GOOD if added else Weight.INFORMATION,
            f"{added} pure compounds were added. Put in your own bags' analyses, moisture, prices "
            "and stock."
            if added
            else "All the pure compounds are in your list already.",
        )
        if added:
            self.written.emit()

    def move_shown(self, places: int) -> None:
        """Move the material shown so many places down the list: the first are taken first."""
        names = list(self._materials)
        if self._shown not in self._materials:
            return
        place = names.index(self._shown)
        to = min(max(place + places, 0), len(names) - 1)
        names.insert(to, names.pop(place))
        try:
            self._studio.book.order_materials(names)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._fill_list()
        if to != place:
            self.written.emit()

    def read_list(self) -> None:
        """Add the materials of a file whose names are not in the list yet."""
        name, _ = QFileDialog.getOpenFileName(self, "Read a list of materials", "", _FILTER)
        if not name:
            return
        book = self._studio.book
        try:
            read = read_materials(Path(name))
            added = book.fill_materials(read)
            if read.currency and not book.currency():
                book.set_currency(read.currency)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.refresh()
        left = len(read.materials) - added
        kept = f"; already there and left as they are: {left}" if left else ""
        self.banner.tell(Weight.GOOD, f"Materials added: {added}{kept}.")
        if added:
            self.written.emit()

    def write_list(self) -> None:
        """Write the list to a file that the batch command reads."""
        try:
            materials = self._studio.book.material_list()
            name, _ = QFileDialog.getSaveFileName(
                self, "Write the list of materials", "materials.toml", _FILTER
            )
            if not name:
                return
            path = Path(name)
            if not path.suffix:
                path = path.with_suffix(".toml")
            write_materials(path, materials)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.banner.tell(Weight.GOOD, f"Written to {path}.")

    def _ask_to_remove(self) -> None:
        name = self._shown
        if not name:
            return
        self.banner.tell(
            Weight.CAUTION,
            f"Take “{name}” off the list? Saved sheets keep it. This cannot be taken back.",
            action="Remove it",
            act=lambda: self._remove(name),
        )

    def _remove(self, name: str) -> None:
        try:
            self._studio.book.delete_material(name)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._shown, self._dirty = None, False
        self.refresh()
        self.banner.tell(Weight.GOOD, f"Removed “{name}”.")
        self.written.emit()

    def _leave_for(self, name: str) -> None:
        """Show another material, but ask first about what was typed and not saved."""
        if name == self._shown:
            self._mark()
            return
        if not self._dirty or self._shown is None:
            self.open(name)
            return
        self._mark()
        self.banner.ask_discard(self._shown, lambda: self.open(name))

    def _on_discard(self) -> None:
        if self._shown:
            self.open(self._shown)
            return
        self._shown, self._dirty = None, False
        self.refresh()

    def _on_edited(self) -> None:
        if not self._dirty:
            self._set_dirty(dirty=True)

    def _on_currency(self, currency: str) -> None:
        try:
            if currency == self._studio.book.currency():
                return
            self._studio.book.set_currency(currency)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self.form.set_currency(currency)
        self.written.emit()

    def set_units(self, units: UnitChoice) -> None:
        """Show and take numbers in other units."""
        self.list.set_units(units)
        self.form.set_units(units)
