"""Reading an analysis from text as people type and paste it."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from dataclasses import dataclass

from core.composition.composition import Basis, Composition
from core.composition.oxides import find_oxide
from core.errors import CompositionError, Place, UnitError
from core.units import parse_number

_BASIS_WORDS = re.compile(
    r"\b(?P<weight>(?:wt|weight|mass)\.?[ -]?(?:%|percent\b|per cent\b)|w/w\b|w%)"
    r"|\b(?P<mole>mol(?:e|ar)?\.?[ -]?(?:%|percent\b|per cent\b))"
    r"|(?P<of_weight>%\s?(?:by )?(?:wt|weight|mass|w/w)\b)"
    r"|(?P<of_mole>%\s?(?:by )?mol(?:e|ar)?\b)",
    re.IGNORECASE,
)
_TOTAL_WORDS = {"total", "sum", "σ", "∑"}
_LABELS = {"oxide", "oxides", "component", "components", "amount", "amounts", "percent"}
_LABELS |= {"analysis", "composition"}

# One character for one, so that columns stay true.
_PLAIN = str.maketrans("₀₁₂₃₄₅₆₇₈₉\u2212\u00a0\ufeff", "0123456789-  ")
_CHUNK = re.compile(r"[\t;|]|[^\s;|:=()\[\]\"]+")
_PART = re.compile(
    r"(?P<number>[+-]?(?:[0-9][0-9.,]*|\.[0-9][0-9.,]*)(?:[eE][+-]?[0-9]+)?)(?=,|$)"
    r"|(?P<comma>,)|(?P<word>[^,]+)"
)
_ROUNDING_OF_TOTAL = 0.15
"""Percent by which a stated total may miss the sum of oxides rounded to two decimals."""


@dataclass(frozen=True)
class _Token:
    kind: str  # "number", "word", "comma" or "cell" (tab, semicolon, bar)
    text: str
    line: int
    column: int
    quoted: bool = False


@dataclass
class _Reading:
    """What has been read so far."""

    file: str | None
    amounts: dict[str, float] = dataclasses.field(default_factory=dict)
    places: dict[str, Place] = dataclasses.field(default_factory=dict)
    stated_total: float | None = None
    comma_at: Place | None = None
    point_at: Place | None = None

    def place(self, line: int, column: int) -> Place:
        return Place(file=self.file, line=line, column=str(column))

    def number(self, text: str, place: Place, owner: str) -> float:
        """Read one amount, refusing a text that mixes decimal commas and points."""
        try:
            value = parse_number(text, field=owner)
        except UnitError as error:
            raise CompositionError(
                f"The amount of {owner} cannot be read: {error.message}",
                field=owner,
                place=place,
                remedy=error.remedy,
            ) from error
        if "," in text:
            self.comma_at = self.comma_at or place
        if "." in text:
            self.point_at = self.point_at or place
        if self.comma_at is not None and self.point_at is not None:
            raise CompositionError(
                "Decimal commas and decimal points are mixed, so “1,5” could be one number or two.",
                field=owner,
                place=place,
                remedy="Use one of the two throughout.",
            )
        return value

    def add(self, owner: str, value: float, place: Place) -> None:
        """Take an amount of an oxide, or a stated total."""
        if owner == "total":
            self.stated_total = value
            return
        self.amounts[owner] = value
        self.places[owner] = place

    def claim(self, owner: str, place: Place) -> None:
        """Refuse an oxide already read."""
        if owner in self.places:
            raise CompositionError(
                f"{owner} is given twice.",
                field=owner,
                place=place,
                remedy="Leave one of the two.",
            )
        if owner != "total":
            self.places[owner] = place


def parse_composition(
    text: str, basis: Basis | None = None, *, file: str | None = None
) -> Composition:
    """Read an analysis.

    Pairs of oxide and amount on one or many lines (``SiO2 70.1, Na2O 16.2``, ``SiO2: 70.1 %``,
    ``SiO2=70.1``), two columns separated by tab, comma or semicolon, or a row of oxides above a
    row of numbers. Decimal commas are read where they can mean nothing else. ``wt%`` or ``mol%``
    anywhere sets the basis. A stated total is not needed; a wrong one gives a warning.

    Parameters
    ----------
    text : str
        The analysis.
    basis : Basis, optional
        Wins over what the text says; without either the amounts are wt%.
    file : str, optional
        File name for error messages.

    Raises
    ------
    CompositionError
        Anything that cannot be read with certainty, with line and column; and what
        :meth:`Composition.from_percent` refuses.
    """
    reading = _Reading(file)
    lines, said = _take_basis(text, reading, chosen=basis is not None)
    if not _read_table(lines, reading):
        _read_pairs(lines, reading)
    chosen = basis or said or Basis.WEIGHT
    try:
        composition = Composition.from_percent(reading.amounts, chosen)
    except CompositionError as error:
        place = reading.places.get(error.field or "") or (Place(file=file) if file else None)
        raise CompositionError(
            error.message, field=error.field, place=place, remedy=error.remedy
        ) from error
    stated, total = reading.stated_total, composition.original_total
    if stated is None or abs(stated - total) <= _ROUNDING_OF_TOTAL:
        return composition
    warning = (
        f"The total is given as {stated:g} but the oxides add up to {total:.6g}: one may be "
        "missing or mistyped."
    )
    return dataclasses.replace(composition, warnings=(*composition.warnings, warning))


def named_basis(text: str) -> Basis | None:
    """The basis a text names, ``None`` if it names none; of several the last."""
    return _take_basis(text, _Reading(None), chosen=True)[1]


def _take_basis(text: str, reading: _Reading, *, chosen: bool) -> tuple[list[str], Basis | None]:
    """Blank out basis words and percent signs, keeping columns; return lines and basis."""
    said: Basis | None = None
    lines = []
    for number, raw in enumerate(text.splitlines(), start=1):
        line = raw.translate(_PLAIN)
        for found in _BASIS_WORDS.finditer(line):
            basis = Basis.MOLE if "mole" in (found.lastgroup or "") else Basis.WEIGHT
            if said not in {None, basis} and not chosen:
                raise CompositionError(
                    "Both wt% and mol% are named.",
                    field="basis",
                    place=reading.place(number, found.start() + 1),
                    remedy="Leave one of the two, or choose the basis.",
                )
            said = basis
        line = _BASIS_WORDS.sub(lambda match: " " * len(match.group()), line)
        lines.append(line.replace("%", " "))
    return lines, said


def _tokens(line: str, number: int) -> Iterator[_Token]:
    for chunk in _CHUNK.finditer(line):
        if chunk.group() in "\t;|":
            yield _Token("cell", chunk.group(), number, chunk.start() + 1)
            continue
        quoted = chunk.start() > 0 and line[chunk.start() - 1] == '"'
        for part in _PART.finditer(chunk.group()):
            kind = part.lastgroup or "word"
            body = part.group().rstrip(",") if kind == "number" else part.group()
            yield _Token(kind, body, number, chunk.start() + part.start() + 1, quoted)


def _owner(token: _Token, reading: _Reading) -> str | None:
    """Oxide or ``"total"`` a word names; ``None`` for a label that says nothing."""
    oxide = find_oxide(token.text)
    if oxide is not None:
        return oxide
    word = token.text.lower().rstrip(".")
    if word in _TOTAL_WORDS:
        return "total"
    if word in _LABELS:
        return None
    looks_like_number = next((c for c in token.text if c.isalnum()), "").isdigit()
    remedy = "Write each oxide followed by its percentage, such as SiO2 70.1."
    with_letter = find_oxide(token.text.replace("0", "O"))
    if with_letter is not None:
        remedy = f"Did you mean {with_letter}, with the letter O?"
    raise CompositionError(
        f"“{token.text}” is not {'a number' if looks_like_number else 'an oxide in the table'}.",
        field=token.text,
        place=reading.place(token.line, token.column),
        remedy=remedy,
    )


def _read_pairs(lines: list[str], reading: _Reading) -> None:
    pending: tuple[str, Place] | None = None
    comma_since = False
    for number, line in enumerate(lines, start=1):
        for token in _tokens(line, number):
            place = reading.place(token.line, token.column)
            if token.kind == "comma":
                comma_since = True
            elif token.kind == "word":
                owner = _owner(token, reading)
                if owner is None:
                    continue
                if pending is not None:
                    raise _no_amount(*pending)
                reading.claim(owner, place)
                pending, comma_since = (owner, place), False
            elif token.kind == "number":
                if pending is None:
                    raise CompositionError(
                        f"There is no oxide before “{token.text}”.",
                        place=place,
                        remedy="Write each oxide followed by one percentage, such as SiO2 70.1.",
                    )
                owner = pending[0]
                if "," in token.text and comma_since and not token.quoted:
                    raise _ambiguous(token.text, owner, place)
                reading.add(owner, reading.number(token.text, place, owner), pending[1])
                pending = None
    if pending is not None:
        raise _no_amount(*pending)


def _no_amount(owner: str, place: Place) -> CompositionError:
    return CompositionError(
        f"{owner} has no amount.",
        field=owner,
        place=place,
        remedy="Write its percentage after it, or leave it out.",
    )


def _ambiguous(text: str, owner: str, place: Place) -> CompositionError:
    return CompositionError(
        f"“{text}” could be one number with a decimal comma or several numbers.",
        field=owner,
        place=place,
        remedy="Separate columns by semicolons or tabs, or use decimal points.",
    )


def _read_table(lines: list[str], reading: _Reading) -> bool:
    """Read a row of oxides above a row of numbers; False if the text is not such a table."""
    filled = [(n, line) for n, line in enumerate(lines, start=1) if line.strip()]
    rows = [(n, line, list(_tokens(line, n))) for n, line in filled]
    # A line of labels alone (“Analysis:”, “wt%”) may stand above the table.
    while rows and all(
        token.kind != "number" and (token.kind != "word" or token.text.lower() in _LABELS)
        for token in rows[0][2]
    ):
        rows.pop(0)
    if len(rows) < 2:
        return False
    _, header, words = rows[0]
    if any(token.kind == "number" for token in words):
        return False
    if sum(find_oxide(token.text) is not None for token in words) < 2:
        return False
    if any(token.kind == "word" for token in rows[1][2]):
        return False
    owners: list[tuple[str, Place]] = []
    for token in words:
        owner = _owner(token, reading) if token.kind == "word" else None
        if owner is not None:
            place = reading.place(token.line, token.column)
            reading.claim(owner, place)
            owners.append((owner, place))
    if len(rows) > 2:
        extra = rows[2][0]
        raise CompositionError(
            "There is more than one row of numbers.",
            place=reading.place(extra, 1),
            remedy="Paste one analysis at a time.",
        )
    number, row, _ = rows[1]
    cells = _cells(header, row, owners, reading.place(number, 1))
    for (owner, place), (start, cell) in zip(owners, cells, strict=True):
        where = reading.place(number, start + 1)
        if not cell.strip('" '):
            raise _no_amount(owner, where)
        reading.add(owner, reading.number(cell.strip('" '), where, owner), place)
    return True


def _cells(
    header: str, row: str, owners: list[tuple[str, Place]], place: Place
) -> list[tuple[int, str]]:
    """Split the row of numbers as the header is split: (start, text) for each oxide."""
    hard = next((mark for mark in "\t;|" if mark in header and mark in row), None)
    if hard is not None:
        separators = [re.escape(hard)]
    elif "," in header and "," in row:
        # Every comma separates, or only those with a space behind: whichever fits the header.
        separators = [",", r",\s+"]
    else:
        separators = [r"\s+"]
    for separator in separators:
        cells = _split(row, separator, len(owners))
        if len(cells) == len(owners):
            return cells
    if len(separators) > 1 and row.count(",") >= len(owners):
        raise _ambiguous(row.strip(), owners[0][0], place)
    raise CompositionError(
        f"There are {len(owners)} columns in the row of oxides but {len(cells)} below.",
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
