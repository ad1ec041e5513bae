"""The list of lehrs and furnaces at the left of the page."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtWidgets import QFrame, QPushButton, QVBoxLayout, QWidget

from app.equipment.opening import Kind
from app.theme import set_role, theme_of, themed_icon
from app.widgets.name_list import NameGroup, NameList

_HEADINGS = {Kind.LEHR: "Lehrs", Kind.FURNACE: "Furnaces"}
_ICONS = {Kind.LEHR: "equipment", Kind.FURNACE: "furnace"}


class EquipmentList(QFrame):
    """Names under the headings Lehrs and Furnaces, with buttons to add more.

    Signals
    -------
    chosen(object, str)
        Kind and name of what a person chose.
    new_wanted(object)
        Kind of what shall be added.
    """

    chosen = Signal(object, str)
    new_wanted = Signal(object)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "card")
        self._names: dict[Kind, tuple[str, ...]] = {Kind.LEHR: (), Kind.FURNACE: ()}
        self.names = NameList(
            "Lehrs and furnaces", row_height=36, elide=Qt.TextElideMode.ElideRight
        )
        self.add_lehr = QPushButton("Add a lehr")
        self.add_furnace = QPushButton("Add a furnace")
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 10)
        column.setSpacing(8)
        column.addWidget(self.names, 1)
        column.addWidget(self.add_lehr)
        column.addWidget(self.add_furnace)
        self.setFixedWidth(216)
        self.names.chosen.connect(lambda kind, name: self.chosen.emit(Kind(kind), name))
        self.add_lehr.clicked.connect(lambda: self.new_wanted.emit(Kind.LEHR))
        self.add_furnace.clicked.connect(lambda: self.new_wanted.emit(Kind.FURNACE))
        self._built = True
        self._tint()

    def show_names(self, lehrs: Sequence[str], furnaces: Sequence[str]) -> None:
        """List these names; nothing is chosen afterwards until :meth:`mark`."""
        self._names = {Kind.LEHR: tuple(lehrs), Kind.FURNACE: tuple(furnaces)}
        self.names.show_groups(
            [
                NameGroup(kind.value, _HEADINGS[kind], _ICONS[kind], names)
                for kind, names in self._names.items()
            ]
        )

    def holds(self, kind: Kind, name: str) -> bool:
        """Tell whether that piece is listed."""
        return name in self._names[kind]

    def first(self) -> tuple[Kind, str] | None:
        """The first piece listed."""
        return next(((kind, names[0]) for kind, names in self._names.items() if names), None)

    def mark(self, kind: Kind, name: str) -> None:
        """Show that piece as chosen (none, if it is not listed), without a signal."""
        self.names.mark(kind.value, name)

    def _tint(self) -> None:
        for button in (self.add_lehr, self.add_furnace):
            button.setIcon(themed_icon("add", theme_of(self)))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
