"""The list of glasses at the left of the page: the studio's own, then the shipped library."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon
from PySide6.QtWidgets import (
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.theme import set_role, theme_of, themed_icon
from app.widgets.choice_box import ChoiceBox
from app.widgets.label import tip_text

_KEY = int(Qt.ItemDataRole.UserRole)


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
        self.names = QListWidget()
        self.names.setAccessibleName("Glasses")
        self.names.setFrameShape(QFrame.Shape.NoFrame)
        self.names.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.names.setIconSize(QSize(20, 20))
        self.names.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.add = QPushButton("Enter a glass")
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 10)
        column.setSpacing(8)
        column.addWidget(self.find)
        column.addWidget(self.names, 1)
        column.addWidget(self.add)
        self.setFixedWidth(204)
        self.find.textChanged.connect(lambda _: self._fill())
        self.names.currentItemChanged.connect(self._on_current)
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
        self.names.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.names.setCurrentItem(None)  # type: ignore[arg-type]
        for row in range(self.names.count()):
            item = self.names.item(row)
            if shelf is not None and item.data(_KEY) == (shelf.value, name):
                self.names.setCurrentItem(item)
        self.names.blockSignals(False)  # noqa: FBT003

    def _fill(self) -> None:
        wanted = self.find.text().strip().casefold()
        self.names.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.names.clear()
        bold = QFont(self.names.font())
        bold.setBold(True)
        icon = self._icon()
        for shelf, names in self._names.items():
            found = [name for name in names if wanted in name.casefold()]
            heading = QListWidgetItem(_HEADINGS[shelf])
            heading.setFlags(Qt.ItemFlag.NoItemFlags)
            heading.setFont(bold)
            heading.setForeground(QColor(theme_of(self).muted))
            heading.setSizeHint(QSize(0, 34))
            self.names.addItem(heading)
            for name in found:
                item = QListWidgetItem(icon, name)
                item.setData(_KEY, (shelf.value, name))
                item.setSizeHint(QSize(0, 34))
                item.setToolTip(tip_text(name))
                self.names.addItem(item)
            if not found:
                none = QListWidgetItem("none of that name" if wanted and names else "none yet")
                none.setFlags(Qt.ItemFlag.NoItemFlags)
                none.setForeground(QColor(theme_of(self).muted))
                self.names.addItem(none)
        self.names.blockSignals(False)  # noqa: FBT003
        if self._marked is not None:
            self.mark(*self._marked)

    def _on_current(self, item: QListWidgetItem | None) -> None:
        key = item.data(_KEY) if item is not None else None
        if key is not None:
            self.chosen.emit(Shelf(key[0]), key[1])

    def _icon(self) -> QIcon:
        theme = theme_of(self)
        icon = themed_icon("glass", theme)
        # On the chosen row the icon stands on the accent colour, as its name does.
        ink = themed_icon("glass", theme, theme.accent_ink)
        icon.addPixmap(ink.pixmap(QSize(20, 20)), QIcon.Mode.Selected)
        return icon

    def _tint(self) -> None:
        self.add.setIcon(themed_icon("add", theme_of(self)))
        icon = self._icon()
        for row in range(self.names.count()):
            item = self.names.item(row)
            if item.data(_KEY) is None:
                item.setForeground(QColor(theme_of(self).muted))
            else:
                item.setIcon(icon)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
