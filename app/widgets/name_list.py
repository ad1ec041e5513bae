"""A list of names under headings, with icons that follow the theme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFont, QIcon
from PySide6.QtWidgets import QFrame, QListWidget, QListWidgetItem, QWidget

from app.theme import theme_of, themed_icon
from app.widgets.label import tip_text

_KEY = int(Qt.ItemDataRole.UserRole)
_ICON_SIZE = QSize(20, 20)


@dataclass(frozen=True)
class NameGroup:
    """Names under one heading.

    Attributes
    ----------
    key : str
        Given back with a name of this group.
    heading : str
    icon : str
        Stem of the icon before each name.
    names : sequence of str
    none : str
        Said when there are no names.
    """

    key: str
    heading: str
    icon: str
    names: Sequence[str]
    none: str = "none yet"


class NameList(QListWidget):
    """Names under headings, one of them chosen.

    Signals
    -------
    chosen(str, str)
        Key of the group and name that a person chose.
    """

    chosen = Signal(str, str)
    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self, name: str, *, row_height: int, elide: Qt.TextElideMode, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._row_height = row_height
        self._groups: tuple[NameGroup, ...] = ()
        self.setAccessibleName(name)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setIconSize(_ICON_SIZE)
        self.setTextElideMode(elide)
        self.currentItemChanged.connect(self._on_current)
        self._built = True

    def show_groups(self, groups: Sequence[NameGroup]) -> None:
        """List these names; nothing is chosen afterwards until :meth:`mark`."""
        self._groups = tuple(groups)
        self.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.clear()
        bold = QFont(self.font())
        bold.setBold(True)
        for group in self._groups:
            heading = QListWidgetItem(group.heading)
            heading.setFlags(Qt.ItemFlag.NoItemFlags)
            heading.setFont(bold)
            heading.setSizeHint(QSize(0, 34))
            self.addItem(heading)
            for name in group.names:
                item = QListWidgetItem(name)
                item.setData(_KEY, (group.key, name))
                item.setSizeHint(QSize(0, self._row_height))
                item.setToolTip(tip_text(name))
                self.addItem(item)
            if not group.names:
                none = QListWidgetItem(group.none)
                none.setFlags(Qt.ItemFlag.NoItemFlags)
                self.addItem(none)
        self._tint()
        self.blockSignals(False)  # noqa: FBT003

    def mark(self, key: str, name: str) -> None:
        """Show that name as chosen (none, if it is not listed), without a signal."""
        self.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.setCurrentItem(None)  # type: ignore[arg-type]
        for row in range(self.count()):
            item = self.item(row)
            if item.data(_KEY) == (key, name):
                self.setCurrentItem(item)
        self.blockSignals(False)  # noqa: FBT003

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()

    def _on_current(self, item: QListWidgetItem | None) -> None:
        key = item.data(_KEY) if item is not None else None
        if key is not None:
            self.chosen.emit(*key)

    def _tint(self) -> None:
        icons = {group.key: self._icon(group.icon) for group in self._groups}
        for row in range(self.count()):
            item = self.item(row)
            key = item.data(_KEY)
            if key is None:
                item.setForeground(QColor(theme_of(self).muted))
            else:
                item.setIcon(icons[key[0]])

    def _icon(self, stem: str) -> QIcon:
        theme = theme_of(self)
        icon = themed_icon(stem, theme)
        # On the chosen row the icon stands on the accent colour, as its name does.
        ink = themed_icon(stem, theme, theme.accent_ink)
        icon.addPixmap(ink.pixmap(_ICON_SIZE), QIcon.Mode.Selected)
        return icon
