"""The report of a run on as many pages as it needs; the curve stands on the first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, tzinfo

from PySide6.QtCore import QRectF, QSizeF

from app.card.sheet import (
    Face,
    Row,
    Rule,
    Sheet,
    line_height,
    place_table,
    table_height,
    wrapped,
)
from app.local_time import clock_text, to_local
from app.logbook.report_words import PieceWords, ReportWords, Table

MARGIN = 42.0
"""White edge of the page [pt]."""
_FOOT = 26.0
_CURVE = 235.0
_GAP = 11.0
TITLE = Face(18.0, bold=True)
HEADING = Face(11.0, bold=True)
TEXT = Face(9.2)
BOLD = Face(9.6, bold=True)
SMALL = Face(8.2, ink="muted")
_LEAST_ROWS = 2
"""Rows of a table that stay with its head."""


class ReportPages:
    """Pages filled from above; what does not fit goes on the next.

    Parameters
    ----------
    size : QSizeF
        Of the paper [pt].
    """

    def __init__(self, size: QSizeF) -> None:
        self._size = size
        self._left = MARGIN
        self._width = size.width() - 2 * MARGIN
        self._bottom = size.height() - MARGIN - _FOOT
        self.sheets: list[Sheet] = []
        self._y = 0.0
        self.new_page()

    @property
    def _sheet(self) -> Sheet:
        return self.sheets[-1]

    def new_page(self) -> None:
        """Begin another page."""
        self.sheets.append(Sheet(self._size.width(), self._size.height()))
        self._y = MARGIN

    def need(self, height: float) -> None:
        """Go to the next page unless there is so much room on this one."""
        if self._y + height > self._bottom and self._y > MARGIN:
            self.new_page()

    def gap(self, height: float = _GAP) -> None:
        """Leave room."""
        self._y += height

    def write(self, text: str, face: Face, *, indent: float = 0.0) -> None:
        """Write words in as many lines as they need."""
        for line in wrapped(text, face, self._width - indent):
            self.need(line_height(face))
            self._y = self._sheet.write(
                self._left + indent, self._y, self._width - indent, line, face
            )

    def heading(self, text: str, below: float = 0.0) -> None:
        """Write a heading that stays with so much of what follows."""
        self.gap()
        self.need(line_height(HEADING) + 5.0 + below)
        self._y = self._sheet.write(self._left, self._y, self._width, text, HEADING)
        self.gap(3.0)

    def curve(self, height: float) -> None:
        """Keep room for the curve."""
        self.need(height)
        self._sheet.curve = QRectF(self._left, self._y, self._width, height)
        self._y += height

    def table(self, table: Table, face: Face = TEXT) -> None:
        """Place a table, its head again on every page; long cells of the last column wrap."""
        rows = list(table.rows)
        while rows:
            room = self._bottom - self._y
            step = line_height(face) * 1.15
            fit = int((room - table_height(0, face)) / step)
            if fit < min(len(rows), _LEAST_ROWS):
                self.new_page()
                continue
            here, rows = rows[:fit], rows[fit:]
            self._y = place_table(
                self._sheet, self._left, self._y, self._width, table.titles, here, face
            )
            if rows:
                self.new_page()

    def finish(self, foot: str) -> list[Sheet]:
        """Write the foot of every page and hand the pages out."""
        count = len(self.sheets)
        at = self._size.height() - MARGIN - line_height(SMALL)
        for number, sheet in enumerate(self.sheets, start=1):
            end = self._left + self._width
            sheet.rules.append(Rule(self._left, at - 5.0, end, at - 5.0))
            sheet.write(self._left, at, 0.8 * self._width, foot, SMALL)
            sheet.write(self._left, at, self._width, f"Page {number} of {count}", SMALL, right=True)
        return self.sheets


def lay_out_report(
    words: ReportWords, size: QSizeF, *, made_at: datetime, zone: tzinfo | None
) -> list[Sheet]:
    """Place a report; the first page has room for the curve."""
    pages = ReportPages(size)
    pages.write(words.title, TITLE)
    for fact in words.facts:
        pages.write(fact, SMALL)
    pages.gap(6.0)
    pages.curve(_CURVE)
    _verdict(pages, words)
    for heading, table in (
        ("Against the plan", words.figures),
        ("Segment by segment", words.segments),
        ("What happened and what was found", _split(words.story, size)),
        ("In the lehr", words.loaded),
    ):
        if table.rows:
            pages.heading(heading, table_height(_LEAST_ROWS, TEXT))
            pages.table(table, SMALL if heading == "Segment by segment" else TEXT)
    pages.heading("Cautions", 2 * line_height(SMALL))
    for caution in words.cautions:
        pages.write(f"• {caution}", SMALL)
    local = to_local(made_at, zone)
    foot = f"Lehrkeeper · {words.title} · made {local:%Y-%m-%d} {clock_text(made_at, zone)}"
    return pages.finish(foot)


def _verdict(pages: ReportPages, words: ReportWords) -> None:
    pages.heading("Verdict", 2 * line_height(TEXT))
    for piece in words.pieces:
        _piece(pages, piece)
    for remark in words.remarks:
        pages.write(f"• {remark}", TEXT)


def _piece(pages: ReportPages, piece: PieceWords) -> None:
    face = Face(BOLD.size, bold=True, ink="good" if piece.good else "problem")
    pages.need(3 * line_height(TEXT))
    pages.write(piece.verdict, face)
    for sentence in piece.sentences:
        pages.write(sentence, TEXT, indent=10.0)
    pages.gap(4.0)


def _split(table: Table, size: QSizeF) -> Table:
    """Long words go on in rows below, so that nothing of a note is lost."""
    width = 0.62 * (size.width() - 2 * MARGIN)
    rows: list[Row] = []
    for row in table.rows:
        *before, words = row.cells
        face = Face(TEXT.size, bold=row.bold)
        lines: Sequence[str] = wrapped(words, face, width) or [""]
        rows.append(Row((*before, lines[0]), row.bold))
        blank = ("",) * len(before)
        rows.extend(Row((*blank, line), row.bold) for line in lines[1:])
    return Table(table.titles, tuple(rows))
