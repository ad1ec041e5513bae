"""Tonight's pieces: the list, and the form for the one chosen."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime, tzinfo
from typing import Any

from PySide6.QtCore import QEvent, Qt, QTimer, Signal
from PySide6.QtGui import QIcon, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QMenu, QToolButton, QVBoxLayout, QWidget

from app.theme import theme_of, themed_icon
from app.tonight.fold import COMPACT, FormArea
from app.tonight.piece_columns import piece_columns
from app.tonight.piece_form import PieceForm
from app.tonight.piece_own import Own, load_settings, own_of
from app.tonight.piece_rows import (
    PieceRow,
    new_row,
    row_of,
    settled,
    with_entries,
)
from app.widgets.label import Label
from app.widgets.tables import Column, DataTable
from core.errors import PieceError
from core.load.gathering import Gathering
from core.load.load import Load
from core.piece.piece import Piece
from core.units import UnitChoice

_WIDE = 330


class PiecesPanel(QWidget):
    """The table of pieces with its buttons, above the form for the chosen one.

    Signals
    -------
    edited()
        The pieces changed by hand.
    """

    edited = Signal()
    _built = False

    def __init__(
        self,
        units: UnitChoice,
        zone: tzinfo | None,
        clock: Callable[[], datetime],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._units = units
        self._rows: list[PieceRow] = []
        self._glasses: tuple[str, ...] = ()
        self._pots: tuple[str, ...] = ()
        self._quiet = False
        self._meant: Piece | None = None
        self._problem_icon = QIcon()
        self.table = DataTable(self._columns(), name="Tonight's pieces")
        self.table.verticalHeader().setDefaultSectionSize(27)
        self.table.setStyleSheet(COMPACT)
        self.table.setMinimumHeight(60)
        self.add_button = _button("Add", "Add another kind of piece")
        self.copy_button = _button("Copy", "Add a copy of the chosen piece")
        self.remove_button = _button("Remove", "Take the chosen piece out of the load")
        self.note = Label(role="note", wrap=True)
        self.note.hide()
        buttons = QHBoxLayout()
        buttons.setSpacing(4)
        for button in (self.add_button, self.copy_button, self.remove_button):
            buttons.addWidget(button)
        buttons.addStretch(1)
        buttons.addWidget(self._make_file_button())
        self.form = PieceForm(units, zone, clock)
        self._form_area = FormArea(self.form)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(6)
        column.addLayout(buttons)
        column.addWidget(self.table, 1)
        column.addWidget(self.note)
        column.addWidget(self._form_area)
        self.add_button.clicked.connect(self.add)
        self.copy_button.clicked.connect(self.copy)
        self.remove_button.clicked.connect(self.remove)
        self.table.row_selected.connect(self._on_selected)
        self.form.edited.connect(self._on_form)
        self.form.left.connect(self._on_left)
        self.form.details.edited.connect(self._on_own)
        self.form.details.opener.toggled.connect(self._show_details)
        self._built = True
        self._tint()
        self._show_rows(-1)

    def _make_file_button(self) -> QToolButton:
        self.file_button = _button("Load file…", "Open a load file, or save this load as one")
        self.file_button.setAccessibleName("Load file")
        self.file_button.setStyleSheet("QToolButton::menu-indicator { image: none; }")
        menu = QMenu(self.file_button)
        self.open_action = menu.addAction("Open a load file…")
        self.save_action = menu.addAction("Save as load file…")
        self.file_button.setMenu(menu)
        self.file_button.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        return self.file_button

    # -- what it holds ----------------------------------------------------------------------

    @property
    def rows(self) -> tuple[PieceRow, ...]:
        """All rows, those not yet complete among them."""
        return tuple(self._rows)

    @property
    def pieces(self) -> tuple[Piece, ...]:
        """The pieces that go into the load: the last complete state of each row."""
        return tuple(row.piece for row in self._rows if row.piece is not None)

    @property
    def settings(self) -> dict[str, Any]:
        """What the pieces have of their own, as a load takes it."""
        return load_settings((row.piece, row.own) for row in self._rows if row.piece is not None)

    def show_load(self, load: Load) -> None:
        """Replace the list by a load's."""
        self._rows = [row_of(piece, own_of(load, piece)) for piece in load.pieces]
        self._show_rows(0)

    @property
    def gathered(self) -> Gathering | None:
        """Where the chosen row's glass comes from, if from a pot."""
        row = self._chosen()
        return None if row is None else row.own.gathered

    def set_glasses(self, names: Sequence[str], pots: Sequence[str] = ()) -> None:
        """Offer these glasses, and pots to gather from."""
        self._glasses, self._pots = tuple(names), tuple(pots)
        self.form.set_glasses(names, pots)
        self._show_rows(self._place())

    def set_units(self, units: UnitChoice) -> None:
        """Show lengths in other units."""
        self._units = units
        place = self._place()
        self._quiet = True
        self.table.set_columns(self._columns())
        self._quiet = False
        self.form.set_units(units)
        self._select(place)

    # -- add, copy, remove ------------------------------------------------------------------

    def add(self) -> None:
        """Add a row for a new piece and go to its name."""
        chosen = self._chosen()
        gathered = chosen.own.gathered if chosen else None
        glass = str(chosen.entries.get("glass")) if chosen else ""
        if gathered is None and glass not in self._glasses and self._glasses:
            glass = self._glasses[0]
        self._settle()
        self._rows.append(new_row(glass, gathered))
        self._show_rows(len(self._rows) - 1)
        self.form.name.setFocus()
        self.form.name.selectAll()
        self.edited.emit()

    def copy(self) -> None:
        """Add a copy of the chosen row below it."""
        place = self._place()
        if place < 0:
            return
        self._settle()
        source = self._rows[place]
        self._rows.insert(place + 1, with_entries(source, {"name": f"{source.name}, copy"}))
        self._show_rows(place + 1)
        self.form.name.setFocus()
        self.form.name.selectAll()
        self.edited.emit()

    def remove(self) -> None:
        """Take the chosen row out."""
        place = self._place()
        if place < 0:
            return
        del self._rows[place]
        self._show_rows(min(place, len(self._rows) - 1))
        self.edited.emit()

    # -- choosing and typing ----------------------------------------------------------------

    def _place(self) -> int:
        chosen = self.table.selectionModel().selectedRows()
        place = chosen[0].row() if chosen else -1
        return place if place < len(self._rows) else -1

    def _chosen(self) -> PieceRow | None:
        place = self._place()
        return self._rows[place] if place >= 0 else None

    def _on_selected(self, _row: object) -> None:
        if self._quiet:
            return
        place = self._place()
        for number, row in enumerate(self._rows):
            if number != place:
                self._rows[number] = settled(row)
        self._show_rows(place)

    def _settle(self) -> None:
        self._rows = [settled(row) for row in self._rows]

    def _on_left(self) -> None:
        """Somebody has left a box: what it makes is meant."""
        row = self._chosen()
        if row is not None and row.complaint is None:
            self._meant = row.piece

    def _show_details(self, opened: bool) -> None:  # noqa: FBT001 -- Qt's own signal
        if opened:  # once they have their place
            QTimer.singleShot(
                0, self, lambda: self._form_area.ensureWidgetVisible(self.form.details, 0, 400)
            )

    def _on_own(self, own: Own) -> None:
        place = self._place()
        if place >= 0:
            gathered = self._rows[place].own.gathered
            self._rows[place] = replace(self._rows[place], own=replace(own, gathered=gathered))
            self.edited.emit()

    def _on_form(self, entries: dict[str, object]) -> None:
        place = self._place()
        if place < 0:
            return
        before = self._rows[place]
        before = replace(before, own=replace(before.own, gathered=self.form.gathered))
        row = with_entries(before, entries)
        if self.form.has_unreadable():
            wrong = PieceError("The height is not a length.", field="height")
            row = replace(row, complaint=wrong)
        if row.complaint is not None:
            # On the way to 900 somebody typed 9 and 90: neither was meant.
            row = replace(row, piece=self._meant)
        self._rows[place] = row
        self.form.show_complaint(row)
        self._show_table(place)
        self.edited.emit()

    def _show_rows(self, place: int) -> None:
        self._show_table(place)
        row = self._chosen()
        self._meant = None if row is None else row.piece
        self._form_area.setVisible(row is not None)
        if row is not None:
            self.form.show_row(row)

    def _show_table(self, place: int) -> None:
        self._quiet = True
        self.table.set_rows(self._rows)
        self._quiet = False
        self._select(place)
        for button in (self.copy_button, self.remove_button):
            button.setEnabled(bool(self._rows))
        waiting = [row for row in self._rows if row.complaint is not None]
        self.note.setVisible(bool(waiting))
        if waiting:
            row = waiting[0]
            words = "is not in the curve yet" if row.piece is None else "counts as it was before"
            self.note.setText(f"“{row.name or 'New piece'}” {words}: {_lacks(row)}")

    def _select(self, place: int) -> None:
        self._quiet = True
        if 0 <= place < len(self._rows):
            self.table.selectRow(place)
        else:
            self.table.clearSelection()
        self._quiet = False

    # -- how it looks -----------------------------------------------------------------------

    def _columns(self) -> list[Column]:
        return piece_columns(self._units, lambda: self._problem_icon)

    def _tint(self) -> None:
        theme = theme_of(self)
        self._problem_icon = themed_icon("caution", theme, theme.caution)
        for button, icon in (
            (self.add_button, "add"),
            (self.copy_button, "copy"),
            (self.remove_button, "remove"),
            (self.file_button, "open"),
        ):
            button.setIcon(themed_icon(icon, theme))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room, the load file's button is its icon alone."""
        super().resizeEvent(event)
        style = Qt.ToolButtonStyle
        wide = self.width() >= _WIDE
        self.file_button.setToolButtonStyle(
            style.ToolButtonTextBesideIcon if wide else style.ToolButtonIconOnly
        )

    def changeEvent(self, event: QEvent) -> None:
        """Follow the theme."""
        super().changeEvent(event)
        if self._built and event.type() is QEvent.Type.PaletteChange:
            self._tint()


def _button(words: str, tip: str) -> QToolButton:
    button = QToolButton()
    button.setText(words)
    button.setToolTip(tip)
    button.setAutoRaise(True)
    button.setToolButtonStyle(Qt.ToolButtonStyle.ToolButtonTextBesideIcon)
    return button


def _lacks(row: PieceRow) -> str:
    error = row.complaint
    if error is None or not error.field:
        return ""
    if row.entries.get(error.field) is not None:
        return error.message
    words = error.field.replace("_", " ")
    return f"it needs a {words}." if row.piece is None else f"check its {words}."
