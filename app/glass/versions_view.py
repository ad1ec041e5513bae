"""The versions of a glass of one's own: when each was saved, what it changed, and back to it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from app.glass.version_words import change_words
from app.local_time import day_and_clock
from app.theme import set_role
from app.widgets.label import Label
from core.glass.glass import Glass
from core.glass.glass_changes import changes_between
from core.store.entries import GlassVersion
from core.units import UnitChoice

_NONE = "Versions are kept once the glass is saved in the book: each change saved makes a new one."
_ABOUT = (
    "Every change saved is kept. Loads and plans stay with the version they were reckoned with; "
    "“Use this one” fills the form with an earlier version, and saving makes it the latest again."
)


class VersionsView(QScrollArea):
    """Versions, the latest first.

    Signals
    -------
    wanted(object, int)
        The glass as it was in a version, and the number of that version.
    """

    wanted = Signal(object, int)

    def __init__(self, units: UnitChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._units = units
        self._versions: tuple[GlassVersion, ...] = ()
        self._now: datetime | None = None
        self.about = Label(role="small", wrap=True)
        self.uses: list[QPushButton] = []
        self.told: list[str] = []
        self._lines = QVBoxLayout()
        self._lines.setSpacing(10)
        inside = QWidget()
        inside.setObjectName("page")
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 10, 10, 4)
        column.setSpacing(10)
        column.addWidget(self.about)
        column.addLayout(self._lines)
        column.addStretch(1)
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setWidget(inside)
        self.show_versions(())

    def show_versions(self, versions: Sequence[GlassVersion], now: datetime | None = None) -> None:
        """Show versions of one glass, given the first entered first."""
        self._versions, self._now = tuple(versions), now
        self._fill()

    def set_units(self, units: UnitChoice) -> None:
        """Show what changed in other units."""
        self._units = units
        self._fill()

    def _fill(self) -> None:
        self.uses.clear()
        self.told.clear()
        while (item := self._lines.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.setParent(None)
                widget.deleteLater()
        self.about.setText(_ABOUT if self._versions else _NONE)
        for at in reversed(range(len(self._versions))):
            self._lines.addWidget(self._line(at))

    def _line(self, at: int) -> QWidget:
        version = self._versions[at]
        latest = at == len(self._versions) - 1
        line = QWidget()
        row = QHBoxLayout(line)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        words = QVBoxLayout()
        words.setSpacing(2)
        saved = day_and_clock(version.saved_at, now=self._now)
        title = f"Version {version.number}, saved {saved}"
        words.addWidget(
            Label(f"{title}: the glass as it stands" if latest else title, role="label")
        )
        told = self._changed(at)
        self.told.append(f"{title}. {told}")
        words.addWidget(Label(told, wrap=True))
        row.addLayout(words, 1)
        if not latest:
            use = QPushButton("Use this one")
            set_role(use, "quiet")
            use.setAccessibleName(f"Use version {version.number}")
            use.setToolTip("Fills the form; nothing changes in the book until it is saved")
            use.clicked.connect(lambda: self.wanted.emit(version.glass, version.number))
            self.uses.append(use)
            row.addWidget(use, 0, Qt.AlignmentFlag.AlignTop)
        return line

    def _changed(self, at: int) -> str:
        glass: Glass = self._versions[at].glass
        if at == 0:
            return "As first entered."
        changes = changes_between(self._versions[at - 1].glass, glass)
        return "; ".join(change_words(change, self._units) for change in changes) + "."
