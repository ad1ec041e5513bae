"""The line under the form: save, discard, use as a start, remove, and what state things are in."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QPushButton, QWidget

from app.theme import set_role
from app.widgets.label import Label


class GlassButtons(QWidget):
    """Buttons for the glass in the form; which of them show depends on whose it is."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.save = QPushButton("Save")
        set_role(self.save, "primary")
        self.discard = QPushButton("Discard changes")
        self.remove = QPushButton("Remove…")
        set_role(self.remove, "quiet")
        self.start_from = QPushButton("Use as a start")
        set_role(self.start_from, "primary")
        self.state = Label(wrap=True)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(10)
        for button in (self.save, self.start_from, self.discard):
            row.addWidget(button)
        row.addWidget(self.state, 1)
        row.addWidget(self.remove)

    def show_state(self, *, own: bool, name: str | None, dirty: bool, told: str) -> None:
        """Show what can be done.

        Parameters
        ----------
        own : bool
            Of the studio's own glasses, not of the library.
        name : str or None
            Empty for a new glass, ``None`` while none is open.
        dirty : bool
            Something typed is not saved.
        told : str
            What to say when all is saved.
        """
        new = own and name == ""
        self.save.setVisible(own)
        self.save.setEnabled(dirty or new)
        self.start_from.setVisible(name is not None and not own)
        self.discard.setVisible(own and (dirty or new))
        self.discard.setText("Cancel" if new else "Discard changes")
        self.remove.setVisible(own and not new)
        if name is not None and not own:
            told, dirty = "Shipped with the program: it cannot be changed itself.", False
        self.state.setText("Not saved yet" if dirty else told)
        set_role(self.state, "note" if dirty else "good" if own else "muted")
