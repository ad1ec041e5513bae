"""The page “Glass”: the list at the left, what is entered in the middle, what follows from it."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from app.glass.glass_buttons import GlassButtons
from app.glass.glass_form import GlassForm
from app.glass.glass_list import GlassList, GlassPicker, Shelf
from app.glass.views import GlassViews
from app.studio import Studio
from app.widgets.banner import Banner, Weight
from app.widgets.empty_state import EmptyState
from core.errors import GlassError, LehrkeeperError
from core.glass.glass import Glass
from core.glass.library import shipped_glasses
from core.units import UnitChoice

_PAUSE = 150
"""Milliseconds without a change before a glass is reckoned again."""
_NARROW = 960
"""Width of the page below which the list gives its room to form and results."""
_LAST = "glass/last"
_WAITING = (
    "Enter an analysis, or the measured annealing and strain points, and see at once what follows."
)
_WRONG = "Nothing can be reckoned until the marked field is right."
_EMPTY, _OPEN = range(2)


class GlassPage(QWidget):
    """Glasses: what they are made of, what was measured, and what is reckoned from it.

    Parameters
    ----------
    studio : Studio
    parent : QWidget, optional
    """

    def __init__(self, studio: Studio, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._studio = studio
        self._shown: tuple[Shelf, str] | None = None
        self._dirty = False
        self.list = GlassList()
        self.picker = GlassPicker()
        self.banner = Banner()
        self.form = GlassForm(studio.units)
        self.views = GlassViews(studio)
        self.results, self.compare = self.views.results, self.views.compare
        self.together, self.versions = self.views.together, self.views.versions
        self.empty = EmptyState(
            "Which glass do you melt?",
            "Enter its analysis or the points from the supplier's sheet once; or choose one of "
            "the library at the left and use it as a start.",
            action="Enter a glass",
            icon="glass",
        )
        self.buttons = GlassButtons()
        self.save, self.discard = self.buttons.save, self.buttons.discard
        self.remove, self.start_from = self.buttons.remove, self.buttons.start_from
        self.state = self.buttons.state
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(_PAUSE)
        self._pause.timeout.connect(self.reckon)
        self._lay_out()
        self._connect()
        self._open_first()

    def _lay_out(self) -> None:
        split = QSplitter(Qt.Orientation.Horizontal)
        split.addWidget(self.form)
        split.addWidget(self.views)
        split.setStretchFactor(0, 10)
        split.setStretchFactor(1, 11)
        split.setSizes([400, 440])
        split.setChildrenCollapsible(False)
        split.setHandleWidth(10)
        self.form.setMinimumWidth(300)
        opened = QWidget()
        inside = QVBoxLayout(opened)
        inside.setContentsMargins(0, 0, 0, 0)
        inside.setSpacing(10)
        inside.addWidget(split, 1)
        inside.addWidget(self.buttons)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.empty)
        self.stack.addWidget(opened)
        right = QVBoxLayout()
        right.setSpacing(10)
        right.addWidget(self.picker)
        right.addWidget(self.banner)
        right.addWidget(self.stack, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 16, 20, 16)
        row.setSpacing(14)
        row.addWidget(self.list)
        row.addLayout(right, 1)

    def _connect(self) -> None:
        self.list.chosen.connect(lambda shelf, name: self._leave_for(Shelf(str(shelf)), name))
        self.list.new_wanted.connect(lambda: self._leave_for(Shelf.OWN, ""))
        self.picker.chosen.connect(lambda shelf, name: self._leave_for(Shelf(str(shelf)), name))
        self.picker.new_wanted.connect(lambda: self._leave_for(Shelf.OWN, ""))
        self.empty.acted.connect(lambda: self._leave_for(Shelf.OWN, ""))
        self.form.changed.connect(self._on_edited)
        self.save.clicked.connect(self.save_shown)
        self.discard.clicked.connect(self._on_discard)
        self.remove.clicked.connect(self._ask_to_remove)
        self.start_from.clicked.connect(self.use_as_start)
        self.together.taken.connect(self._start_from)
        self.versions.wanted.connect(self._use_version)
        self._studio.changed.connect(self._on_changed)
        self._studio.units_changed.connect(self._on_units)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Choose from a line instead of a list where there is no room beside the form."""
        super().resizeEvent(event)
        narrow = self.width() < _NARROW
        self.list.setVisible(not narrow)
        self.picker.setVisible(narrow)

    # -- what is shown ----------------------------------------------------------------------

    @property
    def shown(self) -> tuple[Shelf, str] | None:
        """Shelf and name of the glass shown; an empty name is a new glass."""
        return self._shown

    @property
    def dirty(self) -> bool:
        """True while something typed is not saved."""
        return self._dirty

    def open(self, shelf: Shelf, name: str) -> None:
        """Show a glass (an empty name: a new one), letting go of what was not saved."""
        self._fill_list()
        if name and not self.list.holds(shelf, name):
            self._open_first()
            return
        self._shown = (shelf, name)
        if name:
            self._studio.settings.set_text(_LAST, f"{shelf.value}/{name}")
        self._mark()
        self.form.set_read_only(read_only=shelf is Shelf.LIBRARY)
        self.form.show_glass(self._glasses(shelf).get(name))
        self.views.show_versions(name if shelf is Shelf.OWN else "")
        self.results.wait(_WAITING)
        self.results.verticalScrollBar().setValue(0)
        self.stack.setCurrentIndex(_OPEN)
        self.banner.clear()
        self._set_dirty(dirty=False)
        self.reckon()
        if not name:
            self.form.name.setFocus()

    def _glasses(self, shelf: Shelf) -> dict[str, Glass]:
        if shelf is Shelf.LIBRARY:
            return dict(shipped_glasses())
        return {glass.name: glass for glass in self._studio.book.glasses()}

    def _open_first(self) -> None:
        self._fill_list()
        shelf, _, name = self._studio.settings.text(_LAST).partition("/")
        own = list(self._glasses(Shelf.OWN))
        if shelf in {s.value for s in Shelf} and name and self.list.holds(Shelf(shelf), name):
            self.open(Shelf(shelf), name)
        elif own:
            self.open(Shelf.OWN, own[0])
        else:
            self._shown = None
            self._mark()
            self.stack.setCurrentIndex(_EMPTY)
            self._set_dirty(dirty=False)

    def _fill_list(self) -> None:
        own = self._glasses(Shelf.OWN)
        self.list.show_names(list(own), list(shipped_glasses()))
        self.views.show_choices({**own, **shipped_glasses()})
        self._mark()

    def _mark(self) -> None:
        self.list.mark(*(self._shown or (None, "")))
        names = [list(self._glasses(shelf)) for shelf in (Shelf.OWN, Shelf.LIBRARY)]
        self.picker.show_names(names[0], names[1], self._shown)

    def _set_dirty(self, *, dirty: bool, told: str = "") -> None:
        self._dirty = dirty
        shelf, name = self._shown or (None, None)
        self.buttons.show_state(own=shelf is Shelf.OWN, name=name, dirty=dirty, told=told)

    def reckon(self) -> None:
        """Reckon what stands in the form; what is wrong is told beside its field."""
        self._pause.stop()
        self.form.clear_told()
        try:
            glass = self.form.readable_glass()
            if glass is None and self.form.is_empty:
                self.results.wait(_WAITING)
            elif glass is None:
                self.results.wait(_WRONG, keep=True)
            else:
                self.results.show_glass(glass)
            self.views.show_others(glass)
        except LehrkeeperError as error:
            told = self.form.tell(error, go_there=False)
            self.results.wait(_WRONG if told else str(error), keep=True)

    # -- what a person does -----------------------------------------------------------------

    def save_shown(self) -> None:
        """Write the glass into the book; what is wrong is shown beside its field."""
        if self._shown is None or self._shown[0] is not Shelf.OWN:
            return
        before = self._shown[1]
        try:
            glass = self._checked(before)
            kept = self._studio.book.save_glass(glass, renamed_from=before or None)
        except LehrkeeperError as error:
            if not self.form.tell(error, go_there=True):
                self.banner.tell_error(error)
            return
        self.open(Shelf.OWN, glass.name)
        told = f"Saved “{glass.name}”"
        if before and before != glass.name:
            told += f", until now “{before}”"
        if kept.number > 1:
            told += f"; version {kept.number}, the earlier ones are kept"
        self._set_dirty(dirty=False, told=told)
        self._studio.tell_changed("glasses")

    def _checked(self, before: str) -> Glass:
        glass = self.form.glass()
        if glass.name != before and self.list.holds(Shelf.OWN, glass.name):
            raise GlassError(
                f"There is a glass called “{glass.name}” already.",
                field="name",
                remedy="Choose another name, or choose that one in the list to change it.",
            )
        # A glass nothing can be reckoned of is of no use to any plan.
        self.results.show_glass(glass)
        return glass

    def use_as_start(self) -> None:
        """Begin a glass of one's own from the one of the library that is shown."""
        if self._shown is None or self._shown[0] is not Shelf.LIBRARY:
            return
        self._start_from(shipped_glasses()[self._shown[1]])

    def _start_from(self, glass: Glass) -> None:
        """Fill the form for a new glass with this one."""
        self.open(Shelf.OWN, "")
        taken = self.list.holds(Shelf.OWN, glass.name)
        self.form.show_glass(glass, name=f"{glass.name}, ours" if taken else glass.name)
        self._set_dirty(dirty=True)
        self.reckon()
        self.form.name.setFocus()
        self.form.name.selectAll()

    def _use_version(self, glass: Glass, number: int) -> None:
        """Fill the form with an earlier version, but ask first about what was typed."""
        if self._shown is None:
            return
        name = self._shown[1]

        def use() -> None:
            self.open(Shelf.OWN, name)
            self.form.show_glass(glass, name=name)
            self._set_dirty(dirty=True)
            self.state.setText(f"Version {number} is in the form, not saved yet")
            self.reckon()

        if self._dirty:
            self.banner.ask_discard(name, use)
        else:
            use()

    def _ask_to_remove(self) -> None:
        if self._shown is None:
            return
        name = self._shown[1]
        self.banner.tell(
            Weight.CAUTION,
            f"Remove “{name}” from the book, with its earlier versions and the notes on it? "
            "This cannot be taken back.",
            action="Remove it",
            act=lambda: self._remove(name),
        )

    def _remove(self, name: str) -> None:
        try:
            self._studio.book.delete_glass(name)
        except LehrkeeperError as error:
            self.banner.tell_error(error)
            return
        self._shown = None
        self._open_first()
        self.banner.tell(Weight.GOOD, f"Removed “{name}”.")
        self._studio.tell_changed("glasses")

    def _leave_for(self, shelf: Shelf, name: str) -> None:
        """Show another glass, but ask first about what was typed and not saved."""
        if (shelf, name) == self._shown:
            self._mark()
            return
        if not self._dirty or self._shown is None:
            self.open(shelf, name)
            return
        self._mark()
        self.banner.ask_discard(self._shown[1], lambda: self.open(shelf, name))

    def _on_discard(self) -> None:
        if self._shown is not None and self._shown[1]:
            self.open(*self._shown)
        else:
            self._shown = None
            self._open_first()

    def _on_edited(self) -> None:
        if self._shown is None or self._shown[0] is not Shelf.OWN:
            return
        if not self._dirty:
            self._set_dirty(dirty=True)
        self._pause.start()

    def _on_changed(self, kind: str) -> None:
        if kind == "glasses":
            self._fill_list()

    def _on_units(self, units: UnitChoice) -> None:
        self.form.set_units(units)
        self.views.set_units(units)
