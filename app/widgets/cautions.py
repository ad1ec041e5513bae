"""Several cautions one below the other."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label


class Cautions(QFrame):
    """Sentences with an icon before each; hidden when there are none."""

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(self, name: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        set_role(self, "caution")
        self._texts: tuple[str, ...] = ()
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(10, 8, 10, 8)
        self._column.setSpacing(6)
        self._icons: list[Label] = []
        self.setAccessibleName(name)
        self._built = True

    @property
    def texts(self) -> tuple[str, ...]:
        """The sentences shown."""
        return self._texts

    def show_texts(self, texts: Sequence[str]) -> None:
        """Show these sentences; hidden when there are none."""
        self.setVisible(bool(texts))
        if tuple(texts) == self._texts:
            return
        self._texts = tuple(texts)
        self._icons.clear()
        while (item := self._column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.setParent(None)
                widget.deleteLater()
        for text in texts:
            line = QWidget()
            row = QHBoxLayout(line)
            row.setContentsMargins(0, 0, 0, 0)
            row.setSpacing(8)
            icon = Label()
            label = Label(text, wrap=True)
            label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
            row.addWidget(icon, 0, Qt.AlignmentFlag.AlignTop)
            row.addWidget(label, 1)
            self._icons.append(icon)
            self._column.addWidget(line)
        self.setAccessibleDescription(" ".join(texts))
        self._tint()

    def _tint(self) -> None:
        picture = icon_pixmap("caution", theme_of(self).caution, 18, self.devicePixelRatioF())
        for icon in self._icons:
            icon.setPixmap(picture)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()
