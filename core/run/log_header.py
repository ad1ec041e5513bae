"""What the head of a logger's file says: names of columns, units of temperature and of time."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from core.run.log_cells import number_unit, read_number, split_cells
from core.run.log_format import LapseUnit, LogUnit
from core.run.log_times import date_in

_UNIT_NAME = re.compile(
    r"[°º]\s*([CF])(?![a-z])|\bdeg(?:rees?)?[\s._]*([CF])\b|\b(celsius|fahrenheit|kelvin)\b|"
    r"[\[(]\s*([CFK])\s*[\])]|(?:[\s_,/]|^)([CFK])$|℃()|℉()",
    re.IGNORECASE,
)
_ONLY_A_LETTER = re.compile(
    r"(?:(?:zone|channel|chan|ch|probe|sensor|input|loop|section|pair)[\s_]*)?[CFK]", re.IGNORECASE
)
_UNIT_WORD = re.compile(r"[°º℃℉]|deg|celsius|fahrenheit|unit", re.IGNORECASE)
_THERMOCOUPLE = re.compile(r"type|\btc|thermo", re.IGNORECASE)
_LAPSE_NAMES = (
    (LapseUnit.SECONDS, re.compile(r"\b(?:s|secs?|seconds?|segundos)\b", re.IGNORECASE)),
    (LapseUnit.MINUTES, re.compile(r"\b(?:m|mins?|minutes?|minutos)\b", re.IGNORECASE)),
    (LapseUnit.HOURS, re.compile(r"\b(?:h|hrs?|hours?|horas)\b", re.IGNORECASE)),
)


def column_names(header: Sequence[str], delimiter: str, width: int, needed: int) -> tuple[str, ...]:
    """Find the names of the columns; a line of units under them is joined on.

    Parameters
    ----------
    header : sequence of str
        Lines before the first reading.
    delimiter : str
    width : int
        Cells in a row of readings.
    needed : int
        Fewest cells a line of names must have.
    """
    below: list[str] | None = None
    for line in reversed(header):
        cells = _name_cells(line, delimiter, width)
        if len(cells) < max(2, min(width, needed)) or any(map(date_in, cells)):
            continue  # too few, or a damaged row
        if below is None and all(not c or _UNIT_NAME.fullmatch(c) for c in cells):
            below = cells
            continue
        if below is not None:
            below += [""] * (len(cells) - len(below))
            cells = [f"{a} {b}".strip() for a, b in zip(cells, below, strict=False)]
        return tuple(cells)
    return tuple(below or ())


def _name_cells(line: str, delimiter: str, width: int) -> list[str]:
    text = line.strip().removeprefix("#").strip() if line.lstrip().startswith("#") else line
    if delimiter != " ":
        return [cell.strip() for cell in split_cells(text, delimiter)]
    # Over columns kept apart by blanks, names may hold single blanks themselves.
    cells = re.split(r"\s{2,}|\t", text.strip())
    return cells if len(cells) == width else text.split()


def names_a_unit(name: str) -> bool:
    """Tell whether a column's name carries a unit of temperature."""
    return _UNIT_NAME.search(name) is not None


def stated_unit(name: str, cells: Sequence[str] = (), header: Sequence[str] = ()) -> LogUnit | None:
    """Find the unit stated in a column's name, behind its numbers, or above the table.

    Parameters
    ----------
    name : str
        Of the temperature column.
    cells : sequence of str
        From that column.
    header : sequence of str
        Lines before the first reading.
    """
    found = _named_unit(name)
    if found is LogUnit.KELVIN:
        values = [read_number(cell.replace(",", "."), ".") for cell in cells]
        # A column called K that never reaches 250 names the thermocouple, not kelvin.
        found = None if max((v for v in values if v is not None), default=999.0) < 250 else found
    if found is not None:
        return found
    written = Counter(unit for cell in cells if (unit := number_unit(cell)))
    if written:
        return LogUnit(written.most_common(1)[0][0])
    stated = {
        unit
        for line in header
        if _UNIT_WORD.search(line)
        for part in re.split(r"[;,\t:=]", line)
        if (unit := _named_unit(part.strip().strip('"'))) not in (None, LogUnit.KELVIN)
    }
    return stated.pop() if len(stated) == 1 else None


def _named_unit(name: str) -> LogUnit | None:
    match = _UNIT_NAME.search(name)
    if match is None:
        return None
    letter = next((group for group in match.groups() if group), None)
    if letter is None:
        letter = "C" if match.group(0) == "℃" else "F"
    if letter.upper() == "K" and _THERMOCOUPLE.search(name):
        return None
    if _ONLY_A_LETTER.fullmatch(name.strip()):
        # What is left of a longer name cut short, or one of several called A, B, C.
        return None
    return LogUnit(letter[0].upper())


def lapse_unit(name: str) -> LapseUnit | None:
    """Find the unit of time in the name of a column of elapsed times."""
    for unit, pattern in _LAPSE_NAMES:
        if pattern.search(name):
            return unit
    return None
