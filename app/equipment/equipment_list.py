"""The list of lehrs and furnaces at the left of the page."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon
from PySide6.QtWidgets import (
    QFrame,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from app.equipment.opening import Kind
from app.theme import set_role, theme_of, themed_icon
from app.widgets.label import tip_text

_KEY = int(Qt.ItemDataRole.UserRole)
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
        self.names = QListWidget()
        self.names.setAccessibleName("Lehrs and furnaces")
        self.names.setFrameShape(QFrame.Shape.NoFrame)
        self.names.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.names.setIconSize(QSize(20, 20))
        self.names.setTextElideMode(Qt.TextElideMode.ElideRight)
        self.add_lehr = QPushButton("Add a lehr")
        self.add_furnace = QPushButton("Add a furnace")
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 10)
        column.setSpacing(8)
        column.addWidget(self.names, 1)
        column.addWidget(self.add_lehr)
        column.addWidget(self.add_furnace)
        self.setFixedWidth(216)
        self.names.currentItemChanged.connect(self._on_current)
        self.add_lehr.clicked.connect(lambda: self.new_wanted.emit(Kind.LEHR))
        self.add_furnace.clicked.connect(lambda: self.new_wanted.emit(Kind.FURNACE))
        self._built = True
        self._tint()

    def show_names(self, lehrs: Sequence[str], furnaces: Sequence[str]) -> None:
        """List these names; nothing is chosen afterwards until :meth:`mark`."""
        self._names = {Kind.LEHR: tuple(lehrs), Kind.FURNACE: tuple(furnaces)}
        self._fill()

    def holds(self, kind: Kind, name: str) -> bool:
        """Tell whether that piece is listed."""
        return name in self._names[kind]

    def first(self) -> tuple[Kind, str] | None:
        """The first piece listed."""
        return next(((kind, names[0]) for kind, names in self._names.items() if names), None)

    def mark(self, kind: Kind, name: str) -> None:
        """Show that piece as chosen (none, if it is not listed), without a signal."""
        self.names.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.names.setCurrentItem(None)  # type: ignore[arg-type]
        for row in range(self.names.count()):
            item = self.names.item(row)
            if item.data(_KEY) == (kind.value, name):
                self.names.setCurrentItem(item)
        self.names.blockSignals(False)  # noqa: FBT003

    def _fill(self) -> None:
        self.names.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.names.clear()
        bold = QFont(self.names.font())
        bold.setBold(True)
        for kind, names in self._names.items():
            heading = QListWidgetItem(_HEADINGS[kind])
            heading.setFlags(Qt.ItemFlag.NoItemFlags)
            heading.setFont(bold)
            heading.setForeground(QColor(theme_of(self).muted))
            heading.setSizeHint(QSize(0, 34))
            self.names.addItem(heading)
            for name in names:
                item = QListWidgetItem(self._icon(kind), name)
                item.setData(_KEY, (kind.value, name))
                item.setSizeHint(QSize(0, 36))
                item.setToolTip(tip_text(name))
                self.names.addItem(item)
            if not names:
                none = QListWidgetItem("none yet")
                none.setFlags(Qt.ItemFlag.NoItemFlags)
                none.setForeground(QColor(theme_of(self).muted))
                self.names.addItem(none)
        self.names.blockSignals(False)  # noqa: FBT003

    def _on_current(self, item: QListWidgetItem | None) -> None:
        key = item.data(_KEY) if item is not None else None
        if key is not None:
            self.chosen.emit(Kind(key[0]), key[1])

    def _icon(self, kind: Kind) -> QIcon:
        icon = themed_icon(_ICONS[kind], theme_of(self))
        # On the chosen row the icon stands on the accent colour, as its name does.
        ink = themed_icon(_ICONS[kind], theme_of(self), theme_of(self).accent_ink)
        icon.addPixmap(ink.pixmap(QSize(20, 20)), QIcon.Mode.Selected)
        return icon

    def _tint(self) -> None:
        for button in (self.add_lehr, self.add_furnace):
            button.setIcon(themed_icon("add", theme_of(self)))
        for row in range(self.names.count()):
            item = self.names.item(row)
            if item.data(_KEY) is None:
                item.setForeground(QColor(theme_of(self).muted))
            else:
                item.setIcon(self._icon(Kind(item.data(_KEY)[0])))

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
