"""The list of glasses at the left of the page: the studio's own, then the shipped library."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLineEdit, QPushButton, QVBoxLayout, QWidget

from app.theme import set_role, theme_of, themed_icon
from app.widgets.choice_box import ChoiceBox
from app.widgets.name_list import NameGroup, NameList


class Shelf(StrEnum):
    """Where a glass stands."""

    OWN = "own"
    LIBRARY = "library"


_HEADINGS = {Shelf.OWN: "Your glasses", Shelf.LIBRARY: "Library"}


class GlassPicker(QWidget):
    """The same choice in one line, for narrow windows.

    Signals
    -------
    chosen(object, str)
    new_wanted()
    """

    chosen = Signal(object, str)
    new_wanted = Signal()

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._filling = False
        self.box = ChoiceBox()
        self.box.setAccessibleName("Glass")
        self.add = QPushButton("Enter a glass")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        row.addWidget(self.box, 1)
        row.addWidget(self.add)
        self.box.chosen.connect(self._on_chosen)
        self.add.clicked.connect(self.new_wanted)

    def show_names(
        self, own: Sequence[str], library: Sequence[str], shown: tuple[Shelf, str] | None
    ) -> None:
        """List these names and mark the one shown, without a signal."""
        pairs: list[tuple[str, object]] = [(name, (Shelf.OWN, name)) for name in own]
        pairs += [(f"Library: {name}", (Shelf.LIBRARY, name)) for name in library]
        if shown is None or not shown[1]:
            pairs.insert(0, ("a new glass" if shown is not None else "choose a glass", None))
        self._filling = True
        self.box.set_choices(pairs)
        self.box.set_value(shown if shown is not None and shown[1] else None)
        self._filling = False

    def _on_chosen(self, value: object) -> None:
        if isinstance(value, tuple) and not self._filling:
            self.chosen.emit(*value)


class GlassList(QFrame):
    """Names under two headings, narrowed down by what is typed above them.

    Signals
    -------
    chosen(object, str)
        Shelf and name of what a person chose.
    new_wanted()
    """

    chosen = Signal(object, str)
    new_wanted = Signal()
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._names: dict[Shelf, tuple[str, ...]] = dict.fromkeys(Shelf, ())
        self._marked: tuple[Shelf, str] | None = None
        self.find = QLineEdit()
        self.find.setPlaceholderText("Find a glass")
        self.find.setAccessibleName("Find a glass")
        self.find.setClearButtonEnabled(True)
        self.names = NameList("Glasses", row_height=34, elide=Qt.TextElideMode.ElideMiddle)
        self.add = QPushButton("Enter a glass")
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 10)
        column.setSpacing(8)
        column.addWidget(self.find)
        column.addWidget(self.names, 1)
        column.addWidget(self.add)
        self.setFixedWidth(204)
        self.find.textChanged.connect(lambda _: self._fill())
        self.names.chosen.connect(lambda shelf, name: self.chosen.emit(Shelf(shelf), name))
        self.add.clicked.connect(self.new_wanted)
        self._built = True
        self._tint()

    def show_names(self, own: Sequence[str], library: Sequence[str]) -> None:
        """List these names."""
        names = {Shelf.OWN: tuple(own), Shelf.LIBRARY: tuple(library)}
        if names != self._names or not self.names.count():
            self._names = names
            self._fill()

    def holds(self, shelf: Shelf, name: str) -> bool:
        """Tell whether that glass is there, found or not."""
        return name in self._names[shelf]

    def mark(self, shelf: Shelf | None, name: str = "") -> None:
        """Show that glass as chosen (none, if it is not listed), without a signal."""
        self._marked = (shelf, name) if shelf is not None else None
        self.names.mark("" if shelf is None else shelf.value, name)

    def _fill(self) -> None:
        wanted = self.find.text().strip().casefold()
        self.names.show_groups(
            [
                NameGroup(
                    shelf.value,
                    _HEADINGS[shelf],
                    "glass",
                    [name for name in names if wanted in name.casefold()],
                    none="none of that name" if wanted and names else "none yet",
                )
                for shelf, names in self._names.items()
            ]
        )
        if self._marked is not None:
            self.mark(*self._marked)

    def _tint(self) -> None:
        self.add.setIcon(themed_icon("add", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
