"""Analyses in running text: an oxide and its amount by turns, or a row above a row."""

from __future__ import annotations

import re

from core.composition.amounts import Unit, unit_named
from core.composition.names import Component, find_component
from core.composition.reading import (
    Reading,
    ambiguous,
    error_label,
    is_label,
    names_unit,
    no_amount,
)
from core.composition.scanner import Token, tokens
from core.errors import CompositionError, Place


def read_pairs(lines: list[str], reading: Reading) -> None:
    """Read names and amounts by turns, over any number of lines."""
    if _amounts_lead(lines):
        _read_amounts_first(lines, reading)
        return
    state = _Pairs(reading)
    several = sum(bool(line.strip()) for line in lines) > 1
    for number, line in enumerate(lines, start=1):
        row = _names_first(list(tokens(line, number)))
        if several:
            _take_error_heading(row, reading)
        for index, token in enumerate(row):
            state.take(token, row[index + 1] if index + 1 < len(row) else None)
        state.end_line(row, blanks=several)
    state.end()


def _names_first(row: list[Token]) -> list[Token]:
    """Put the name first where “20 to 30 % lead” stands among “SiO2 55, K2O 12”.

    Only if every part between separators is one name with one amount, so that nothing can belong
    elsewhere.
    """
    parts: list[list[Token]] = [[]]
    for token in row:
        if token.kind in {"comma", "cell"}:
            parts += [[token], []]
        else:
            parts[-1].append(token)
    turned = False
    for part in parts:
        said = [t for t in part if not (t.kind == "word" and is_label(t.text))]
        kinds = [token.kind for token in said]
        if kinds == ["amount", "word"] and names_unit(said[0].text):
            part[:] = reversed(said)
            turned = True
        elif kinds not in ([], ["comma"], ["cell"], ["word", "amount"]):
            return row
    return [token for part in parts for token in part] if turned else row


def _take_error_heading(row: list[Token], reading: Reading) -> None:
    """Notice a line of headings of which one says that a column of errors follows."""
    kinds = {token.kind for token in row}
    if "amount" in kinds or not reading.is_empty:
        return
    for token in row:
        sigmas = error_label(token.text)
        if sigmas is not None:
            reading.error_sigmas = sigmas


def _amounts_lead(lines: list[str]) -> bool:
    """Tell “72 % silica, 14 % soda”: it begins with an amount and ends with a name."""
    found = [
        token.kind
        for number, line in enumerate(lines, start=1)
        for token in tokens(line, number)
        if token.kind in {"amount", "void"} or (token.kind == "word" and not is_label(token.text))
    ]
    return bool(found) and found[0] != "word" and found[-1] == "word"


def _read_amounts_first(lines: list[str], reading: Reading) -> None:
    waiting: Token | None = None
    for number, line in enumerate(lines, start=1):
        for token in tokens(line, number):
            place = reading.place(token.line, token.column)
            if token.kind in {"amount", "void"}:
                if waiting is not None:
                    raise _no_oxide_behind(waiting, reading)
                waiting = token
            elif token.kind == "word":
                heading = reading.heading(token.text, place)
                if heading is None:
                    continue
                if waiting is None:
                    raise no_amount(heading.component, place)
                reading.claim(heading.component, place)
                at = reading.place(waiting.line, waiting.column)
                reading.add(heading.component, place, waiting.text, at, heading.unit)
                waiting = None
    if waiting is not None:
        raise _no_oxide_behind(waiting, reading)


def _no_oxide_behind(token: Token, reading: Reading) -> CompositionError:
    return CompositionError(
        f"There is no oxide behind “{token.text}”.",
        place=reading.place(token.line, token.column),
        remedy="Write the amounts all before or all behind their oxides.",
    )


class _Pairs:
    """Where the reader stands between a name and its amount."""

    def __init__(self, reading: Reading) -> None:
        self.reading = reading
        self.owner: Component | None = None
        self.place = Place()
        self.unit: Unit | None = None
        self.is_error = 0.0
        self.comma_since = False
        self.last_line = 0

    def take(self, token: Token, following: Token | None) -> None:
        """Take the next token."""
        if token.kind == "comma":
            self.comma_since = True
        elif token.kind == "unit":
            self._take_unit(token)
        elif token.kind == "dash":
            # “SiO2 – 70.1”: before a number it only separates.
            if self.owner is not None and not (following and following.kind == "amount"):
                self._take_amount(token)
        elif token.kind == "amount" or (token.kind == "void" and self._is_void(token)):
            self._take_amount(token)
        elif token.kind in {"word", "void"}:
            self._take_name(token)

    def _is_void(self, token: Token) -> bool:
        """“na” or “ND” behind an oxide says not analysed; “Na” and “Nd” are elements."""
        return self.owner is not None and token.text not in {"Na", "Nd"}

    def _take_unit(self, token: Token) -> None:
        unit = unit_named(token.text)
        if unit is None or unit is Unit.PERCENT:
            return
        if self.owner is not None:
            self.unit = self.unit or unit
        elif self.last_line == token.line:
            self.reading.add_unit(unit)
        else:
            self.reading.unit = unit

    def _take_name(self, token: Token) -> None:
        place = self.reading.place(token.line, token.column)
        if self.reading.error_sigmas is not None and error_label(token.text) is not None:
            return
        heading = self.reading.heading(token.text, place)
        if heading is None:
            return
        if self.owner is not None:
            raise no_amount(self.owner, self.place)
        if not heading.is_error:
            self.reading.claim(heading.component, place)
        self.owner, self.place, self.comma_since = heading.component, place, False
        self.unit, self.is_error = heading.unit, heading.sigmas if heading.is_error else 0.0

    def _take_amount(self, token: Token) -> None:
        place = self.reading.place(token.line, token.column)
        if self.owner is None:
            if self.reading.error_sigmas is not None and self.last_line == token.line:
                self.reading.add_error(None, token.text, self.reading.error_sigmas, place)
                return
            raise CompositionError(
                f"There is no oxide before “{token.text}”.",
                place=place,
                remedy="Write each oxide followed by one percentage, such as SiO2 70.1.",
            )
        if "," in token.text and self.comma_since and not token.quoted:
            raise ambiguous(token.text, self.owner, place)
        if self.is_error:
            self.reading.add_error(self.owner, token.text, self.is_error, place)
        else:
            self.reading.add(self.owner, self.place, token.text, place, self.unit)
        self.owner, self.last_line = None, token.line

    def end_line(self, row: list[Token], *, blanks: bool) -> None:
        """In a table of two columns a name with an empty cell behind it has none of it."""
        if self.owner is None or not blanks or not row or self.place.line != row[0].line:
            return
        others = [t for t in row if t.kind not in {"cell", "comma", "unit"}]
        if len(others) == 1 and row[-1].kind in {"cell", "comma"}:
            self.reading.add(self.owner, self.place, "", self.place, self.unit)
            self.owner = None

    def end(self) -> None:
        """Refuse a name left without its amount."""
        if self.owner is not None:
            raise no_amount(self.owner, self.place)


def read_two_rows(lines: list[str], reading: Reading) -> bool:
    """Read a row of oxides above a row of numbers; False if the text is not such a table.

    For rows separated by commas or spaces; :mod:`core.composition.grid` reads the others.
    """
    rows = [(n, line, list(tokens(line, n))) for n, line in enumerate(lines, start=1)]
    rows = [row for row in rows if row[1].strip()]
    # A line of labels or a unit alone (“Analysis:”, “wt%”, “ppm”) may stand above the table.
    unit: Unit | None = None
    while rows and all(
        token.kind in {"unit", "cell", "comma"} or (token.kind == "word" and is_label(token.text))
        for token in rows[0][2]
    ):
        for token in rows.pop(0)[2]:
            named = unit_named(token.text) if token.kind == "unit" else None
            unit = named if named is not Unit.PERCENT else unit
    if len(rows) < 2:
        return False
    _, header, words = rows[0]
    if any(token.kind in {"amount", "dash"} for token in words):
        return False
    if sum(_names_oxide(token) for token in words) < 2:
        return False
    if any(token.kind == "word" for token in rows[1][2]):
        return False
    reading.unit = unit or reading.unit
    owners = _owners(words, reading)
    if len(rows) > 2:
        raise CompositionError(
            "There is more than one row of numbers.",
            place=reading.place(rows[2][0], 1),
            remedy="Paste one analysis at a time.",
        )
    number, row, found = rows[1]
    cells = _cells(header, row, found, [o for o, _, _ in owners], reading.place(number, 1))
    for (owner, place, its_unit), (start, cell) in zip(owners, cells, strict=True):
        where = reading.place(number, start + 1)
        reading.add(owner, place, cell.strip('" '), where, its_unit)
    return True


def _names_oxide(token: Token) -> bool:
    try:
        return token.kind == "word" and find_component(token.text) is not None
    except CompositionError:
        return True


def _owners(words: list[Token], reading: Reading) -> list[tuple[Component, Place, Unit | None]]:
    owners: list[tuple[Component, Place, Unit | None]] = []
    for token in words:
        place = reading.place(token.line, token.column)
        if token.kind == "unit" and owners:
            owners[-1] = (*owners[-1][:2], unit_named(token.text))
        heading = reading.heading(token.text, place) if token.kind in {"word", "void"} else None
        if heading is not None:
            reading.claim(heading.component, place)
            owners.append((heading.component, place, heading.unit))
    return owners


def _cells(
    header: str, row: str, found: list[Token], owners: list[Component], place: Place
) -> list[tuple[int, str]]:
    """Split the row of numbers as the header is split: (start, text) for each oxide."""
    if not ("," in header and "," in row):
        amounts = [(t.column - 1, t.text) for t in found if t.kind in {"amount", "void", "dash"}]
        if len(amounts) == len(owners):
            return amounts
        raise _wrong_number(len(owners), len(amounts), place)
    # Every comma separates, or only those with a space behind: whichever fits the header.
    counts = []
    for separator in (",", r",\s+"):
        cells = _split(row, separator, len(owners))
        if len(cells) == len(owners):
            return cells
        counts.append(len(cells))
    if row.count(",") >= len(owners):
        raise ambiguous(row.strip(), owners[0], place)
    raise _wrong_number(len(owners), counts[0], place)


def _wrong_number(wanted: int, found: int, place: Place) -> CompositionError:
    return CompositionError(
        f"There are {wanted} columns in the row of oxides but {found} below.",
        place=place,
        remedy="Give each oxide one number; type 0 where there is none.",
    )


def _split(row: str, separator: str, wanted: int) -> list[tuple[int, str]]:
    cells = []
    start = 0
    for found in re.finditer(separator, row):
        cells.append((start, row[start : found.start()]))
        start = found.end()
    cells.append((start, row[start:]))
    # Blank cells beyond the number of oxides stand under labels or trailing separators.
    while len(cells) > wanted and not cells[-1][1].strip():
        cells.pop()
    while len(cells) > wanted and not cells[0][1].strip():
        cells.pop(0)
    return cells
