"""Reading an analysis from text as people type and paste it."""

from __future__ import annotations

import re

from core.composition.composition import Basis, Composition
from core.composition.counting import counted
from core.composition.grid import read_grid, with_tabs
from core.composition.headings import MOLE_WORDS, WEIGHT_WORDS
from core.composition.pairs import read_pairs, read_two_rows
from core.composition.reading import Reading
from core.composition.scanner import plain
from core.errors import CompositionError, Place

_BASIS_WORDS = re.compile(rf"(?P<weight>{WEIGHT_WORDS})|(?P<mole>{MOLE_WORDS})", re.IGNORECASE)


def parse_composition(
    text: str, basis: Basis | None = None, *, file: str | None = None
) -> Composition:
    """Read an analysis.

    Pairs of oxide and amount on one or many lines (``SiO2 70.1, Na2O 16.2``, ``SiO2: 70.1 %``,
    ``SiO2=70.1``, or all the other way round, ``70.1 % silica, 16.2 % soda``), two columns
    separated by tab, comma or semicolon (a third may hold errors if its heading says so, or
    units), or a row of oxides above a row of numbers. Oxides go by any of their names
    (:mod:`core.composition.names`), amounts as analyses report them
    (:mod:`core.composition.amounts`). Decimal commas are read where they can mean nothing else.
    ``wt%`` or ``mol%`` anywhere sets the basis; ``ppm`` counts for the oxide it stands beside, or
    for all that name no unit if it stands alone above them. A stated total is not needed; a wrong
    one gives a warning.

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
    reading, said = _read(text, basis, file)
    entries, total = reading.entries()
    try:
        return Composition.from_entries(entries, basis or said or Basis.WEIGHT, stated_total=total)
    except CompositionError as error:
        found = reading.places.get(error.field or "") or (Place(file=file) if file else None)
        raise CompositionError(
            error.message, field=error.field, place=found, remedy=error.remedy
        ) from error


def read_weights(text: str) -> dict[str, float]:
    """Oxides of an analysis that need not be a glass, such as a raw material's [wt%].

    Written as for :func:`parse_composition`, but nothing is asked of the total.

    Raises
    ------
    CompositionError
        Anything that cannot be read with certainty, or an analysis by moles.
    """
    reading, said = _read(text, None, None)
    if said is Basis.MOLE:
        raise CompositionError(
            "This analysis is by moles.", remedy="A material's analysis is given by weight."
        )
    percent, _ = counted(reading.entries()[0], Basis.WEIGHT)
    return percent


def _read(text: str, basis: Basis | None, file: str | None) -> tuple[Reading, Basis | None]:
    """Everything a text says, and the basis it names."""
    reading = Reading(file)
    lines, said = _take_basis(text, reading, chosen=basis is not None)
    lines = with_tabs(lines)
    if not (read_grid(lines, reading) or read_two_rows(lines, reading)):
        read_pairs(lines, reading)
    for heading, place in reading.bases:
        said = _same_basis(said, heading, place, chosen=basis is not None)
    return reading, said


def named_basis(text: str) -> Basis | None:
    """The basis a text names, ``None`` if it names none; of several the last."""
    return _take_basis(text, Reading(None), chosen=True)[1]


def _take_basis(text: str, reading: Reading, *, chosen: bool) -> tuple[list[str], Basis | None]:
    """Blank out the words of the basis, keeping columns; return lines and basis."""
    said: Basis | None = None
    lines: list[str] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        line = plain(raw)
        for found in _BASIS_WORDS.finditer(line):
            basis = Basis.MOLE if found.lastgroup == "mole" else Basis.WEIGHT
            place = reading.place(number, found.start() + 1)
            said = _same_basis(said, basis, place, chosen=chosen)
        lines.append(_BASIS_WORDS.sub(lambda match: " " * len(match.group()), line))
    return lines, said


def _same_basis(said: Basis | None, basis: Basis, place: Place, *, chosen: bool) -> Basis:
    if said not in {None, basis} and not chosen:
        raise CompositionError(
            "Both wt% and mol% are named.",
            field="basis",
            place=place,
            remedy="Leave one of the two, or choose the basis.",
        )
    return basis
