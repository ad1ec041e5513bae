"""A labelled row for one input, with room for its help or what is wrong with it; and a form."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from app.theme import icon_pixmap, set_role, theme_of
from app.widgets.label import Label
from core.errors import LehrkeeperError
from core.units import UnitChoice


class Field(QWidget):
    """Label above, input, and below it one line kept free for help, a note or an error.

    The label is the input's buddy and accessible name; help and errors are its accessible
    description. If the input has ``error_changed`` or ``note_changed`` signals they are shown.

    Parameters
    ----------
    label : str
    editor : QWidget
        The input.
    name : str
        Name of the input in the core dataclass, by which errors find it.
    help_text : str
        Shown while nothing is wrong.
    """

    _built = False  # Qt sends change events while the parts are still being made

    def __init__(
        self,
        label: str,
        editor: QWidget,
        *,
        name: str = "",
        help_text: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.name = name
        self.editor = editor
        self._help = help_text
        self._error = ""
        self._note = ""
        self.label = Label(role="label")
        self.label.setBuddy(editor.focusProxy() or editor)
        self.set_label(label)
        if hasattr(editor, "name") and not editor.name:
            editor.name = name
        self._icon = Label()
        self._icon.setVisible(False)
        self._icon.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.message = Label(help_text, role="small", wrap=True)
        self.message.setAlignment(Qt.AlignmentFlag.AlignTop)
        self._keep_line()

        below = QHBoxLayout()
        below.setContentsMargins(2, 0, 0, 0)
        below.setSpacing(5)
        below.addWidget(self._icon)
        below.addWidget(self.message, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        column.addWidget(self.label)
        column.addWidget(editor)
        column.addLayout(below)

        if hasattr(editor, "error_changed"):
            editor.error_changed.connect(self.set_error)
            self.set_error(editor.error)
        if hasattr(editor, "note_changed"):
            editor.note_changed.connect(self.set_note)
            self.set_note(editor.note)
        for signal in ("edited", "textEdited", "textChanged", "currentIndexChanged"):
            if hasattr(editor, signal):
                # An error the core reported belongs to the old value.
                getattr(editor, signal).connect(self._on_edited)
                break
        self._built = True

    def set_label(self, label: str) -> None:
        """Call the input something else; its name in the core stays."""
        self.label.setText(label)
        plain = label.replace("&", "")
        (self.editor.focusProxy() or self.editor).setAccessibleName(plain)
        self.editor.setAccessibleName(plain)

    @property
    def error(self) -> str:
        """The error shown, or empty."""
        return self._error

    def set_error(self, text: str) -> None:
        """Show what is wrong in the place of the help text; empty text clears it."""
        self._error = text
        self._show()

    def clear_error(self) -> None:
        """Show the help text (or note) again."""
        self.set_error("")

    def set_note(self, text: str) -> None:
        """Show something worth knowing that is not wrong."""
        self._note = text
        self._show()

    def set_help(self, text: str) -> None:
        """Replace the help text."""
        self._help = text
        self._show()

    def _on_edited(self) -> None:
        own = getattr(self.editor, "error", "")
        if self._error and not own:
            self.clear_error()

    def _show(self) -> None:
        text = self._error or self._note or self._help
        self.message.setText(text)
        set_role(self.message, "error" if self._error else "note" if self._note else "small")
        self.editor.setAccessibleDescription(text)
        for box in {self.editor, self.editor.focusProxy() or self.editor}:
            if bool(box.property("invalid")) != bool(self._error):
                box.setProperty("invalid", bool(self._error))
                box.style().unpolish(box)
                box.style().polish(box)
        self._tint()

    def _tint(self) -> None:
        theme = theme_of(self)
        if self._error or self._note:
            name, colour = (
                ("problem", theme.problem) if self._error else ("information", theme.caution)
            )
            size = max(12, QFontMetrics(self.message.font()).ascent())
            self._icon.setPixmap(icon_pixmap(name, colour, size, self.devicePixelRatioF()))
        self._icon.setVisible(bool(self._error or self._note))

    def _keep_line(self) -> None:
        self.message.setMinimumHeight(QFontMetrics(self.message.font()).height() + 1)

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme and the font."""
        super().changeEvent(event)
        if not self._built:
            return
        if event.type() is QEvent.Type.PaletteChange:
            self._tint()
        elif event.type() in {QEvent.Type.FontChange, QEvent.Type.StyleChange}:
            self._keep_line()


class Form(QWidget):
    """Fields in a grid, found by name.

    >>> form = Form(columns=2)                                        # doctest: +SKIP
    >>> form.add("wall", "Wall thickness", QuantityEdit(Quantity.LENGTH))  # doctest: +SKIP
    """

    def __init__(self, *, columns: int = 1, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._columns = columns
        self._next = 0
        self._fields: dict[str, Field] = {}
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(16)
        self._grid.setVerticalSpacing(6)
        for column in range(columns):
            self._grid.setColumnStretch(column, 1)

    def add(
        self, name: str, label: str, editor: QWidget, *, help_text: str = "", span: int = 1
    ) -> Field:
        """Add an input in the next free place and return its field."""
        if self._next % self._columns + span > self._columns:
            self._next += self._columns - self._next % self._columns
        field = Field(label, editor, name=name, help_text=help_text)
        row, column = divmod(self._next, self._columns)
        self._grid.addWidget(field, row, column, 1, span, Qt.AlignmentFlag.AlignTop)
        self._next += span
        self._fields[name] = field
        return field

    def field(self, name: str) -> Field:
        """The field of that name."""
        return self._fields[name]

    @property
    def fields(self) -> dict[str, Field]:
        """All fields by name, in order."""
        return dict(self._fields)

    def set_units(self, units: UnitChoice) -> None:
        """Pass a new choice of units to every number box."""
        for field in self._fields.values():
            if hasattr(field.editor, "set_units"):
                field.editor.set_units(units)

    def show_error(self, error: LehrkeeperError) -> bool:
        """Show a core error beside the field it names and go there.

        Returns
        -------
        bool
            False when no field has that name: the page shows it in its banner instead.
        """
        field = self._fields.get(error.field or "")
        if field is None:
            return False
        field.set_error(str(error))
        (field.editor.focusProxy() or field.editor).setFocus(Qt.FocusReason.OtherFocusReason)
        return True

    def clear_errors(self) -> None:
        """Forget all errors."""
        for field in self._fields.values():
            field.clear_error()

    def is_valid(self) -> bool:
        """True when no input is wrong in itself."""
        return all(
            field.editor.is_valid()
            for field in self._fields.values()
            if hasattr(field.editor, "is_valid")
        )
