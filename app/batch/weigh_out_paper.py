"""The weigh-out sheet on paper: large figures, boxes to tick, what to mind, page by page.

The layout is in points and knows no printer; :mod:`app.card.paper` draws it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from PySide6.QtCore import QRectF, QSizeF
from PySide6.QtGui import QPainter

from app.batch.words import for_words, headline, mass_words
from app.card.card_words import long_date
from app.card.paper import PaperDocument, paint_sheet
from app.card.sheet import (
    Box,
    Face,
    Row,
    Rule,
    Sheet,
    Title,
    line_height,
    place_table,
    table_height,
    width_of,
    wrapped,
)
from app.local_time import clock_text
from app.widgets.quantity import Quantity, format_quantity, local_sentence
from core.batch.batch import Batch
from core.batch.sheet import WeighOutSheet
from core.units import UnitChoice
from core.version import VERSION

MARGIN = 36.0
"""White edge of the page [pt]."""
_TITLE = Face(20.0, bold=True)
_HEAD = Face(12.0)
_MATERIAL = Face(14.0)
_AMOUNT = Face(24.0, bold=True)
_TOTAL = Face(10.0, ink="muted")
_TEXT = Face(9.5)
_SMALL = Face(8.0, ink="muted")
_SIZES = (1.0, 0.92, 0.84)
"""Shares of their size to which words are set."""
_SURE = 0.97
"""Coarse screens draw small words wider still than they are measured."""
_TICK = 17.0
_GAP = 10.0
_HANGING = 9.0
_WRITING = 24.0


@dataclass(frozen=True)
class _Line:
    """A weighing as it stands on the page."""

    material: str
    about: str
    amount: str
    total: str


def weigh_out_pages(
    batch: Batch,
    sheet: WeighOutSheet,
    page: QSizeF,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime,
) -> list[Sheet]:
    """Place a weigh-out on as many pages as it needs.

    Parameters
    ----------
    batch : Batch
    sheet : WeighOutSheet
        Of that batch.
    page : QSizeF
        Size of the paper [pt].
    units, zone
        How numbers and times are written.
    made_at : datetime
        Aware; printed at the head.
    """
    settings = (_Setting(batch, sheet, page, units, zone, made_at, size) for size in _SIZES)
    laid_out = [setting.pages() for setting in settings]
    # Smaller words only where they save a page.
    return min(laid_out, key=len)


def weigh_out_document(
    batch: Batch,
    sheet: WeighOutSheet,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime,
    page: QSizeF,
) -> PaperDocument:
    """The weigh-out as a document to look at, print and save."""
    pages = weigh_out_pages(batch, sheet, page, units=units, zone=zone, made_at=made_at)

    def paint(painter: QPainter, page_rect: QRectF, number: int) -> None:
        point = painter.device().logicalDpiY() / 72.0
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(page_rect.topLeft())
        paint_sheet(painter, pages[number], point)
        painter.restore()

    return PaperDocument(
        kind="weigh-out sheet",
        title=f"Weigh-out sheet: {sheet.title}",
        file_name=f"Weigh-out {made_at.astimezone(zone):%Y-%m-%d} {sheet.title}",
        paint=paint,
        pages=len(pages),
    )


class _Setting:
    """Fills pages from top to bottom; what does not fit whole goes on the next."""

    def __init__(
        self,
        batch: Batch,
        sheet: WeighOutSheet,
        page: QSizeF,
        units: UnitChoice,
        zone: tzinfo | None,
        made_at: datetime,
        size: float,
    ) -> None:
        self.amount = _AMOUNT.scaled(size)
        self.material = _MATERIAL.scaled(size)
        self.text = _TEXT.scaled(size)
        self.batch = batch
        self.sheet = sheet
        self.page = page
        self.units = units
        self.zone = zone
        self.made_at = made_at
        self.width = page.width() - 2 * MARGIN
        self.bottom = page.height() - MARGIN - line_height(_SMALL) - 4.0
        self.done: list[Sheet] = []
        self.y = 0.0
        self.lines = [
            _Line(
                line.material,
                for_words(weighing),
                mass_words(line.mass, line.division, units),
                mass_words(line.running_total, max(line.division, 0.001), units),
            )
            for line, weighing in zip(sheet.lines, batch.weighings, strict=True)
        ]

    def pages(self) -> list[Sheet]:
        self._new_page()
        self._weighings()
        self._together()
        self._sizes()
        self._sentences("!", self.sheet.warnings, Face(self.text.size, bold=True))
        self._mind()
        self._signatures()
        for number, sheet in enumerate(self.done, start=1):
            self._foot(sheet, number)
        return self.done

    @property
    def current(self) -> Sheet:
        return self.done[-1]

    def _new_page(self) -> None:
        """Begin a page with the head: title, melt and day, so that a lost page finds its way."""
        self.done.append(Sheet(self.page.width(), self.page.height()))
        y = MARGIN
        for line in wrapped(self.sheet.title, _TITLE, self.width)[:2]:
            y = self.current.write(MARGIN, y, self.width, line, _TITLE)
        y = self.current.write(
            MARGIN, y, self.width, headline(self.batch, self.units), Face(_HEAD.size, bold=True)
        )
        made = f"{long_date(self.made_at, self.zone)} {clock_text(self.made_at, self.zone)}"
        self.y = self.current.write(MARGIN, y, self.width, made, self.text) + _GAP

    def _room(self, height: float) -> None:
        """Go on to the next page if there is no room for so much."""
        if self.y + height > self.bottom:
            self._new_page()

    # -- the weighings ----------------------------------------------------------------------

    def _columns(self) -> tuple[float, float, float]:
        """Widths of name, amount and running total."""
        amount = max((width_of(line.amount, self.amount) for line in self.lines), default=60.0)
        titles = width_of("in the tub", Face(_TOTAL.size, bold=True))
        total = max([titles, *(width_of(line.total, _TOTAL) for line in self.lines)])
        name = self.width - _TICK - amount - total - 3 * _GAP
        return name, amount, total

    def _weighings(self) -> None:
        name, amount, total = self._columns()
        step = line_height(self.amount) + 7.0
        self._titles(name, amount, total)
        for line in self.lines:
            if self.y + step > self.bottom:
                self._new_page()
                self._titles(name, amount, total)
            self._weighing(line, name, amount, total, step)

    def _titles(self, name: float, amount: float, total: float) -> None:
        left = MARGIN + _TICK + _GAP
        face = Face(_TOTAL.size, bold=True, ink="muted")
        self.current.write(left, self.y, name, "Material", face)
        self.current.write(left + name + _GAP, self.y, amount, "Weigh", face, right=True)
        at = left + name + amount + 2 * _GAP
        self.y = self.current.write(at, self.y, total, "in the tub", face, right=True) + 2.0
        self._rule("edge_strong")
        self.y += 3.0

    def _weighing(self, line: _Line, name: float, amount: float, total: float, step: float) -> None:
        left, top = MARGIN + _TICK + _GAP, self.y
        middle = top + (step - 4.0) / 2
        self.current.boxes.append(
            Box(QRectF(MARGIN + 1.0, middle - _TICK / 2, _TICK, _TICK), "ink", "", 1.5)
        )
        height = line_height(self.material)
        about = line_height(_SMALL) if line.about else 0.0
        at = middle - (height + about) / 2
        at = self.current.write(left, at, name, line.material, self.material)
        if line.about:
            self.current.write(left, at, name, line.about, _SMALL)
        at = middle - line_height(self.amount) / 2
        self.current.write(left + name + _GAP, at, amount, line.amount, self.amount, right=True)
        at = middle - line_height(_TOTAL) / 2
        x = left + name + amount + 2 * _GAP
        self.current.write(x, at, total, line.total, _TOTAL, right=True)
        self.y = top + step - 2.0
        self._rule("edge")
        self.y += 2.0

    def _rule(self, ink: str) -> None:
        self.current.rules.append(Rule(MARGIN, self.y, MARGIN + self.width, self.y, ink, 0.6))

    def _together(self) -> None:
        face = Face(14.0, bold=True)
        self._room(line_height(face) + _GAP)
        total = format_quantity(Quantity.MASS, self.sheet.total, self.units)
        self.y = (
            self.current.write(
                MARGIN, self.y + 2.0, self.width, f"Together {total}", face, right=True
            )
            + _GAP
        )

    def _sizes(self) -> None:
        if not self.sheet.sizes:
            return
        titles = [Title("For other melts", gives=1.0)]
        titles += [
            Title(format_quantity(Quantity.MASS, row.glass, self.units), right=True)
            for row in self.sheet.sizes
        ]
        rows = [
            Row(
                (
                    line.material,
                    *(
                        mass_words(row.masses[number], line.division, self.units)
                        for row in self.sheet.sizes
                    ),
                )
            )
            for number, line in enumerate(self.sheet.lines)
        ]
        self._room(table_height(len(rows), self.text) + _GAP)
        self.y = (
            place_table(self.current, MARGIN, self.y, self.width, titles, rows, self.text) + _GAP
        )

    # -- what to mind -----------------------------------------------------------------------

    def _mind(self) -> None:
        heading = Face(11.0, bold=True)
        self._room(line_height(heading) + 3 * line_height(self.text))
        self.y = self.current.write(MARGIN, self.y, self.width, "Mind", heading) + 2.0
        self._sentences("•", self.sheet.safety, self.text)

    def _sentences(self, mark: str, sentences: Sequence[str], face: Face) -> None:
        for sentence in sentences:
            lines = wrapped(local_sentence(sentence), face, _SURE * (self.width - _HANGING))
            self._room(len(lines) * line_height(face))
            self.current.write(MARGIN, self.y, _HANGING, mark, face)
            left = MARGIN + _HANGING
            width = self.width - _HANGING
            self.y = self.current.write_lines(left, self.y, width, lines, face) + 1.5
        if sentences:
            self.y += 4.0

    def _signatures(self) -> None:
        self._room(_WRITING)
        third = (self.width - 2 * _GAP) / 3
        at = self.y + _WRITING - 4.0
        for number, label in enumerate(("Weighed by", "Checked by", "Into pot, at")):
            x = MARGIN + number * (third + _GAP)
            used = width_of(label, self.text) + 1.0
            self.current.write(x, at - line_height(self.text), used, label, self.text)
            self.current.rules.append(Rule(x + used + 4.0, at, x + third, at, "edge_strong"))
        self.y += _WRITING

    def _foot(self, sheet: Sheet, number: int) -> None:
        y = self.page.height() - MARGIN - line_height(_SMALL)
        words = f"Lehrkeeper {VERSION}. Weigh on a scale you trust; tick each line as it goes in."
        sheet.write(MARGIN, y, self.width - 80.0, words, _SMALL)
        page = f"page {number}/{len(self.done)}"
        sheet.write(MARGIN + self.width - 80.0, y, 80.0, page, _SMALL, right=True)
