"""A page of placed words, rules and boxes, in points; where things stand, before any is drawn.

Widths are measured at many times the size and divided, so that a page is laid out alike for
screen, printer and file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QFont, QFontMetricsF, QGuiApplication

_ENLARGED = 20
_SLACK = 1.02
"""Devices draw words up to this much wider than measured."""


@dataclass(frozen=True)
class Face:
    """Size in points, weight and ink of words; the ink is the name of a colour of the theme."""

    size: float
    bold: bool = False
    ink: str = "ink"

    def scaled(self, factor: float) -> Face:
        """The same face in another size."""
        return Face(self.size * factor, self.bold, self.ink)


def font_of(face: Face) -> QFont:
    """The font of a face for a device that counts points; unhinted, so widths stay in ratio."""
    font = QFont(QGuiApplication.font())
    font.setPointSizeF(face.size)
    font.setBold(face.bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


@lru_cache(maxsize=128)
def _metrics(size: float, bold: bool, family: str) -> QFontMetricsF:  # noqa: FBT001 -- cache key
    font = QFont(QGuiApplication.font())
    font.setFamily(family)
    font.setBold(bold)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    font.setPixelSize(max(1, round(size * _ENLARGED)))
    return QFontMetricsF(font)


def _of(face: Face) -> QFontMetricsF:
    return _metrics(face.size, face.bold, QGuiApplication.font().family())


def width_of(text: str, face: Face) -> float:
    """Room a line of words needs, in points."""
    return _of(face).horizontalAdvance(text) / _ENLARGED * _SLACK


def line_height(face: Face) -> float:
    """Height of a line, in points."""
    return _of(face).height() / _ENLARGED


def fitted(text: str, face: Face, width: float) -> str:
    """The words; where they do not fit, dots in the middle: names often differ at their end."""
    if width_of(text, face) <= width:
        return text
    room = width / _SLACK * _ENLARGED
    return _of(face).elidedText(text, Qt.TextElideMode.ElideMiddle, room)


def wrapped(text: str, face: Face, width: float) -> list[str]:
    """The words in lines no wider than ``width``; a single word too long is cut with dots."""
    lines: list[str] = []
    current = ""
    for word in text.split():
        longer = f"{current} {word}" if current else word
        if not current or width_of(longer, face) <= width:
            current = longer
        else:
            lines.append(current)
            current = word
    if current:
        lines.append(current)
    return [fitted(line, face, width) for line in lines]


@dataclass(frozen=True)
class Words:
    """One line of words in its own rectangle [pt]."""

    rect: QRectF
    text: str
    face: Face
    right: bool = False


@dataclass(frozen=True)
class Box:
    """A rectangle with an edge, a ground, or both; colours by their names in the theme."""

    rect: QRectF
    edge: str = ""
    ground: str = ""
    radius: float = 0.0


@dataclass(frozen=True)
class Rule:
    """A straight line [pt]."""

    x1: float
    y1: float
    x2: float
    y2: float
    ink: str = "edge"
    width: float = 0.5


@dataclass
class Sheet:
    """What has been placed so far.

    Attributes
    ----------
    width, height : float
        Of the page [pt].
    words, boxes, rules : list
    curve : QRectF
        Room for the curve [pt].
    """

    width: float
    height: float
    words: list[Words] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)
    rules: list[Rule] = field(default_factory=list)
    curve: QRectF = field(default_factory=QRectF)

    def write(
        self, x: float, y: float, width: float, text: str, face: Face, *, right: bool = False
    ) -> float:
        """Place one line, cut to ``width``; returns where the next one begins."""
        height = line_height(face)
        shown = fitted(text, face, width)
        if shown:
            self.words.append(Words(QRectF(x, y, width, height), shown, face, right))
        return y + height

    def write_lines(
        self, x: float, y: float, width: float, lines: Sequence[str], face: Face
    ) -> float:
        """Place lines below each other."""
        for line in lines:
            y = self.write(x, y, width, line, face)
        return y


@dataclass(frozen=True)
class Title:
    """Title of a column, its side, and how eagerly it gives up room (0: never)."""

    text: str
    right: bool = False
    gives: float = 0.0


@dataclass(frozen=True)
class Row:
    """Cells of one row of a table."""

    cells: tuple[str, ...]
    bold: bool = False


def column_widths(
    titles: Sequence[Title], rows: Sequence[Row], face: Face, width: float, gap: float
) -> list[float]:
    """Widths of columns: what their words need; too wide a table takes from those that give.

    Columns that give share what is left over as well, so that a table fills its width.
    """
    head = Face(face.size, bold=True)
    bold = Face(face.size, bold=True)
    needed = [width_of(title.text, head) for title in titles]
    for row in rows:
        for number, cell in enumerate(row.cells):
            needed[number] = max(needed[number], width_of(cell, bold if row.bold else face))
    room = width - gap * (len(titles) - 1)
    excess = sum(needed) - room
    giving = [number for number, title in enumerate(titles) if title.gives > 0]
    if not giving or excess == 0:
        return needed
    if excess < 0:
        needed[max(giving, key=lambda n: titles[n].gives)] -= excess
        return needed
    # The widest of the columns that give come down first, to a common width.
    fixed = sum(needed[n] for n in range(len(titles)) if n not in giving)
    share = max(room - fixed, 0.0)
    order = sorted(giving, key=lambda n: needed[n] / titles[n].gives)
    weight = sum(titles[n].gives for n in giving)
    for number in order:
        fair = share * titles[number].gives / weight
        needed[number] = min(needed[number], fair)
        share -= needed[number]
        weight -= titles[number].gives
    return needed


def table_height(rows: int, face: Face) -> float:
    """Height of a table with its titles [pt]."""
    return line_height(face) * 1.15 * (rows + 1) + 4.0


def place_table(
    sheet: Sheet,
    x: float,
    y: float,
    width: float,
    titles: Sequence[Title],
    rows: Sequence[Row],
    face: Face,
    gap: float = 9.0,
) -> float:
    """Place a table; returns where it ends."""
    widths = column_widths(titles, rows, face, width, gap)
    step = line_height(face) * 1.15
    head = Face(face.size, bold=True, ink="muted")
    bold = Face(face.size, bold=True)

    def line(cells: Sequence[str], at: float, used: Face) -> None:
        left = x
        for title, cell, room in zip(titles, cells, widths, strict=True):
            sheet.write(left, at, room, cell, used, right=title.right)
            left += room + gap

    line([title.text for title in titles], y, head)
    y += step + 1.0
    sheet.rules.append(Rule(x, y, x + width, y, "edge_strong", 0.6))
    y += 2.0
    for row in rows:
        line(row.cells, y, bold if row.bold else face)
        y += step
    return y + 1.0
