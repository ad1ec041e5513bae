"""Where everything on the lehr card stands: one page, whatever the load.

A full load is first set smaller, down to :data:`SMALLEST`; then pieces, program lines and warnings
that still find no room are counted ("and 3 more in the program"), never cut off or overprinted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, tzinfo

from PySide6.QtCore import QRectF, QSizeF

from app.card import card_words
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
from core.plan.card import LehrCard
from core.units import UnitChoice

MARGIN = 36.0
"""White edge of the page [pt]."""
SMALLEST = 0.78
"""Smallest share of its size to which words are set before lines are left out."""
_SIZES = (1.0, 0.95, 0.9, 0.84, SMALLEST)
_CURVE_WANTED, _CURVE_LEAST, _CURVE_MOST = 190.0, 150.0, 330.0
_GAP = 9.0
_HANGING = 8.0
_WRITING = 21.0
"""Height of a line to write on [pt]."""
_KEY_IN_SHARE = 0.38
_TITLE_SIZES = (20.0, 17.0, 14.5)
"""A title too long for the last of these takes two lines of it."""
_LEFT_OUT = "and {} more in the program"


@dataclass(frozen=True)
class Faces:
    """The card's faces at one size."""

    title: Face
    verdict: Face
    heading: Face
    text: Face
    small: Face
    key: Face

    @classmethod
    def at(cls, factor: float) -> Faces:
        """All faces set to a share of their full size; title and verdict keep theirs."""
        return cls(
            title=Face(_TITLE_SIZES[0], bold=True),
            verdict=Face(14.0, bold=True),
            heading=Face(10.5 * factor, bold=True),
            text=Face(9.2 * factor),
            small=Face(8.0 * factor, ink="muted"),
            key=Face(10.5 * factor),
        )


def lay_out_card(
    card: LehrCard,
    page: QSizeF,
    *,
    units: UnitChoice,
    zone: tzinfo | None,
    made_at: datetime,
) -> Sheet:
    """Place everything but the curve, and leave room for that.

    Parameters
    ----------
    card : LehrCard
    page : QSizeF
        Size of the paper [pt].
    units, zone
        How numbers and times are written.
    made_at : datetime
        Aware; printed at the foot.
    """
    plan = [_Setting(card, page, factor, units, zone) for factor in _SIZES]
    setting = next((s for s in plan if s.spare() >= _CURVE_WANTED), plan[-1])
    return setting.place(made_at)


class _Setting:
    """The card at one size of words."""

    def __init__(
        self, card: LehrCard, page: QSizeF, factor: float, units: UnitChoice, zone: tzinfo | None
    ) -> None:
        self.card = card
        self.page = page
        self.units = units
        self.zone = zone
        self.faces = Faces.at(factor)
        self.width = page.width() - 2 * MARGIN
        self.height = page.height() - 2 * MARGIN
        self.segments = card_words.segment_table(card, units, zone)
        self.pieces = card_words.piece_table(card, units)
        self.glasses = card_words.glass_table(card, units)
        self.key_in = card_words.key_in_lines(card)
        self.cautions = [_marked("•", text, self.faces.small, self.width) for text in card.cautions]
        self.notices = [
            _marked("!", text, self.faces.small, self.width)
            for text in card_words.notices(card, units)
        ]
        self.reason = _shortened(
            wrapped(card_words.governing_words(card), self.faces.small, self.width), 2
        )

    # -- heights ----------------------------------------------------------------------------

    @property
    def left_width(self) -> float:
        return (self.width - 2 * _GAP) * _KEY_IN_SHARE

    @property
    def right_width(self) -> float:
        return self.width - self.left_width - 2 * _GAP

    @property
    def glasses_left(self) -> bool:
        """True when the glasses' points stand below the program rather than below the pieces."""
        return self.key_height(len(self.key_in)) < self.pieces_height(len(self.pieces[1]))

    def verdict_box(self) -> tuple[str, Face, float]:
        ink = "good" if self.card.in_time else "problem"
        face = Face(self.faces.verdict.size, bold=True, ink=ink)
        words = card_words.ready_words(self.card, self.zone)
        return words, face, width_of(words, face) + 2 * _GAP

    def title(self) -> tuple[list[str], Face]:
        """The title's lines and their face: as large as it fits beside the verdict."""
        width = self.width - self.verdict_box()[2] - 2 * _GAP
        for size in _TITLE_SIZES:
            face = Face(size, bold=True)
            if width_of(self.card.title, face) <= width:
                return [self.card.title], face
        return _shortened(wrapped(self.card.title, face, width), 2), face

    def head_height(self) -> float:
        lines, face = self.title()
        return len(lines) * line_height(face) + 2 * line_height(self.faces.text) + 4.0

    def foot_height(self) -> float:
        return 2 * _WRITING + line_height(self.faces.small) + 4.0

    def key_height(self, lines: int) -> float:
        return line_height(self.faces.heading) + 9.0 + lines * line_height(self.faces.key) * 1.12

    def glass_height(self) -> float:
        return table_height(len(self.glasses[1]), self.faces.text)

    def pieces_height(self, pieces: int) -> float:
        return table_height(pieces, self.faces.text)

    def segments_height(self) -> float:
        reason = len(self.reason) * line_height(self.faces.small)
        return table_height(len(self.segments[1]), self.faces.text) + reason

    def middle_height(self) -> float:
        left = self.key_height(len(self.key_in))
        right = self.pieces_height(len(self.pieces[1]))
        if self.glasses_left:
            left += _GAP + self.glass_height()
        else:
            right += _GAP + self.glass_height()
        return max(left, right)

    def spare(self) -> float:
        """Room for the curve if everything else is shown [pt]."""
        notices = sum(len(lines) - 1 for lines in (*self.notices, *self.cautions))
        return (
            self.height
            - self.head_height()
            - self.segments_height()
            - self.middle_height()
            - notices * line_height(self.faces.small)
            - self.foot_height()
            - 5 * _GAP
        )

    # -- placing ----------------------------------------------------------------------------

    def place(self, made_at: datetime) -> Sheet:
        sheet = Sheet(self.page.width(), self.page.height())
        small = line_height(self.faces.small)
        kept, lacking = self._warnings_that_fit(max(0.0, _CURVE_LEAST - self.spare()))
        middle = self.middle_height() - lacking
        free = max(0.0, self.spare() - _CURVE_MOST)

        y = self._head(sheet, MARGIN) + _GAP
        below = (
            self.segments_height()
            + middle
            + small * sum(len(lines) - 1 for lines in (*kept, *self.cautions))
            + (small if len(kept) < len(self.notices) else 0.0)
            + self.foot_height()
            + 4 * _GAP
        )
        bottom = self.page.height() - MARGIN
        curve = min(max(bottom - y - below, 0.0), _CURVE_MOST)
        sheet.curve = QRectF(MARGIN, y, self.width, curve)
        # What the curve does not need spreads the parts of a small load over the page.
        gap = _GAP + free / 4
        y += curve + gap
        y = place_table(sheet, MARGIN, y, self.width, *self.segments, self.faces.text)
        y = sheet.write_lines(MARGIN, y, self.width, self.reason, self.faces.small) + gap
        self._middle(sheet, y, middle)
        y += middle + gap
        y = self._notices(sheet, y, kept)
        self._foot(sheet, bottom - self.foot_height(), made_at)
        return sheet

    def _warnings_that_fit(self, lacking: float) -> tuple[list[list[str]], float]:
        """The warnings left after making room, and the room still lacking.

        They go first because they can be read in the program.
        """
        small = line_height(self.faces.small)
        kept = list(self.notices)
        while lacking > 0 and len(kept) > 1:
            lacking -= small * (len(kept.pop()) - 1)
            if len(kept) == len(self.notices) - 1:  # a line will say how many are left out
                lacking += small
        return kept, max(0.0, lacking)

    def _head(self, sheet: Sheet, y: float) -> float:
        card, faces = self.card, self.faces
        words, verdict, width = self.verdict_box()
        left = MARGIN + self.width - width
        box = QRectF(left, y, width, line_height(verdict) + 8.0)
        sheet.boxes.append(Box(box, verdict.ink, f"{verdict.ink}_soft", 3.0))
        sheet.write(left + _GAP, y + 4.0, width - 2 * _GAP, words, verdict)
        room = self.width - width - 2 * _GAP
        lines, face = self.title()
        y = sheet.write_lines(MARGIN, y, room, lines, face) + 2.0
        where = f"{card.lehr}, {card_words.long_date(card.start, self.zone)}"
        y = sheet.write(MARGIN, y, room, where, faces.text)
        sentence = Face(faces.text.size, bold=True, ink="ink" if card.in_time else "problem")
        return sheet.write(MARGIN, y, self.width, card.verdict, sentence) + 2.0

    def _middle(self, sheet: Sheet, y: float, height: float) -> None:
        """Program on the left, pieces on the right, the glasses' points below the shorter."""
        right = MARGIN + self.left_width + 2 * _GAP
        glass = self.glass_height()
        if self.glasses_left:
            end = self._key_in(sheet, MARGIN, y, height - _GAP - glass) + _GAP
            place_table(sheet, MARGIN, end, self.left_width, *self.glasses, self.faces.text)
            self._pieces(sheet, right, y, height)
        else:
            self._key_in(sheet, MARGIN, y, height)
            end = self._pieces(sheet, right, y, height - _GAP - glass) + _GAP
            place_table(sheet, right, end, self.right_width, *self.glasses, self.faces.text)

    def _key_in(self, sheet: Sheet, x: float, y: float, height: float) -> float:
        faces, width = self.faces, self.left_width
        inside = width - 16.0
        room = len(self.key_in)
        while room > 1 and self.key_height(room) > height + 1e-6:
            room -= 1
        lines = _as_many(self.key_in, room)
        edge = QRectF(x, y, width, self.key_height(len(lines)))
        sheet.boxes.append(Box(edge, "edge_strong", "", 3.0))
        y += 3.0
        heading = card_words.key_in_heading(self.card, self.units)
        y = sheet.write(x + 8.0, y, inside, heading, faces.heading) + 2.0
        # The widest line sets the size, so that all stand alike and none is cut.
        widest = max((width_of(line, faces.key) for line in lines), default=1.0)
        face = faces.key.scaled(min(1.0, inside / widest))
        for line in lines:
            sheet.write(x + 8.0, y, inside, line, face)
            y += line_height(faces.key) * 1.12
        return edge.bottom()

    def _pieces(self, sheet: Sheet, x: float, y: float, height: float) -> float:
        faces, width = self.faces, self.right_width
        titles, rows = self.pieces
        room = len(rows)
        while room > 1 and self.pieces_height(room) > height + 1e-6:
            room -= 1
        kept = _rows_that_fit(titles, rows, room)
        return place_table(sheet, x, y, width, titles, kept, faces.text)

    def _notices(self, sheet: Sheet, y: float, kept: Sequence[Sequence[str]]) -> float:
        face = self.faces.small
        strong = Face(face.size, ink="ink")
        sheet.rules.append(Rule(MARGIN, y - 3.0, MARGIN + self.width, y - 3.0))
        for lines in kept:
            y = _write_marked(sheet, y, self.width, lines, strong)
        left_out = len(self.notices) - len(kept)
        if left_out:
            y = _write_marked(sheet, y, self.width, ["!", _LEFT_OUT.format(left_out)], strong)
        y += 2.0
        for lines in self.cautions:
            y = _write_marked(sheet, y, self.width, lines, face)
        return y

    def _foot(self, sheet: Sheet, y: float, made_at: datetime) -> None:
        """Lines to write on, and which version made the card when."""
        face = self.faces.text
        third = (self.width - 2 * _GAP) / 3
        for number, label in enumerate(("In at", "Out at", "By")):
            self._line(sheet, MARGIN + number * (third + _GAP), y, third, label)
        y += _WRITING
        side = line_height(face) * 0.8
        x = MARGIN
        for label in ("Seen in polariscope", "sound", "to anneal again"):
            if x > MARGIN:
                box = QRectF(x, y + _WRITING - side - 5.0, side, side)
                sheet.boxes.append(Box(box, "edge_strong"))
                x += side + 4.0
            width = width_of(label, face) + 1.0
            sheet.write(x, y + _WRITING - line_height(face) - 4.0, width, label, face)
            x += width + _GAP
        self._line(sheet, x, y, MARGIN + self.width - x, "Notes")
        y += _WRITING + 4.0
        made = f"{card_words.long_date(made_at, self.zone)} {clock_text(made_at, self.zone)}"
        words = f"Lehrkeeper {self.card.program_version}. Card made {made}."
        sheet.write(MARGIN, y, self.width, words, self.faces.small)

    def _line(self, sheet: Sheet, x: float, y: float, width: float, label: str) -> None:
        face = self.faces.text
        used = width_of(label, face) + 1.0
        sheet.write(x, y + _WRITING - line_height(face) - 4.0, used, label, face)
        at = y + _WRITING - 4.0
        sheet.rules.append(Rule(x + used + 4.0, at, x + width, at, "edge_strong"))


def _marked(mark: str, text: str, face: Face, width: float) -> list[str]:
    """A mark, then the lines of a paragraph that hangs beside it."""
    return [mark, *wrapped(text, face, width - _HANGING)]


def _write_marked(sheet: Sheet, y: float, width: float, lines: Sequence[str], face: Face) -> float:
    sheet.write(MARGIN, y, _HANGING, lines[0], face)
    return sheet.write_lines(MARGIN + _HANGING, y, width - _HANGING, lines[1:], face)


def _as_many(lines: Sequence[str], room: int) -> list[str]:
    """The lines, or as many as there is room for and how many are left out."""
    if len(lines) <= room:
        return list(lines)
    kept = max(room - 1, 0)
    return [*lines[:kept], _LEFT_OUT.format(len(lines) - kept)]


def _rows_that_fit(titles: Sequence[Title], rows: Sequence[Row], room: int) -> list[Row]:
    """The rows, the marked ones first to stay, and how many are left out."""
    if len(rows) <= room:
        return list(rows)
    kept = [row for row in rows if row.bold][: room - 1]
    for row in rows:
        if len(kept) < room - 1 and row not in kept:
            kept.append(row)
    kept.sort(key=rows.index)
    words = _LEFT_OUT.format(len(rows) - len(kept))
    blank = ("",) * (len(titles) - 2)
    return [*kept, Row(("", words, *blank))]


def _shortened(lines: Sequence[str], room: int) -> list[str]:
    """At most ``room`` lines; the last ends in dots where something follows."""
    if len(lines) <= room:
        return list(lines)
    return [*lines[: room - 1], f"{lines[room - 1].rstrip('.,;: ')} …"]
