"""A drop-down list that the wheel does not change in passing, with typed values."""

from __future__ import annotations

from collections.abc import Iterable

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QComboBox, QWidget


class ChoiceBox(QComboBox):
    """Choose one of several; each choice has words and a value.

    Signals
    -------
    chosen(object)
        The value, when the choice changes.
    """

    chosen = Signal(object)

    def __init__(
        self, choices: Iterable[tuple[str, object]] = (), parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._values: list[object] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.set_choices(choices)
        self.currentIndexChanged.connect(lambda _: self.chosen.emit(self.value))

    def set_choices(self, choices: Iterable[tuple[str, object]]) -> None:
        """Replace the list, keeping the chosen value if it is still there (no signal then)."""
        before = self.value
        pairs = list(choices)
        self.blockSignals(True)  # noqa: FBT003 -- Qt's own signature
        self.clear()
        self._values = [value for _, value in pairs]
        self.addItems([words for words, _ in pairs])
        kept = before in self._values
        self.setCurrentIndex(self._values.index(before) if kept else (0 if pairs else -1))
        self.blockSignals(False)  # noqa: FBT003
        if not kept and pairs:
            self.chosen.emit(self.value)

    @property
    def value(self) -> object:
        """The chosen value, ``None`` when the list is empty."""
        index = self.currentIndex()
        return self._values[index] if 0 <= index < len(self._values) else None

    def set_value(self, value: object) -> bool:
        """Choose a value; False when it is not in the list."""
        if value not in self._values:
            return False
        self.setCurrentIndex(self._values.index(value))
        return True

    def wheelEvent(self, event: QWheelEvent) -> None:
        """Change the choice only when the box has the focus; otherwise the page scrolls."""
        if self.hasFocus():
            super().wheelEvent(event)
        else:
            event.ignore()
