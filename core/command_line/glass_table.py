"""``lehrkeeper glass --table``: properties of every glass in a CSV file, one a row."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from core.composition.columns import AnalysisColumns
from core.composition.composition import Basis, Composition
from core.composition.headings import read_heading
from core.errors import CompositionError, GlassError, Place
from core.glass.many_glasses import ManyGlasses, properties_of_many
from core.load.load_writer import write_whole
from core.units import ZERO_CELSIUS

LARGEST_FILE = 200_000_000
"""Bytes; a row is some hundred."""
_LONGEST_CELL = 1_000_000
_LINES_SHOWN = 10

_COLUMNS = (
    # heading, property, less, per unit, decimals
    ("strain_point_C", "strain_point", ZERO_CELSIUS, 1.0, 1),
    ("annealing_point_C", "annealing_point", ZERO_CELSIUS, 1.0, 1),
    ("glass_transition_C", "glass_transition", ZERO_CELSIUS, 1.0, 1),
    ("softening_point_C", "softening_point", ZERO_CELSIUS, 1.0, 1),
    ("working_point_C", "working_point", ZERO_CELSIUS, 1.0, 1),
    ("T_log2_C", "temperature_log2", ZERO_CELSIUS, 1.0, 1),
    ("melting_point_C", "melting_point", ZERO_CELSIUS, 1.0, 1),
    ("expansion_1e7_per_K", "expansion", 0.0, 1e-7, 2),
    ("density_g_cm3", "density", 0.0, 1e3, 4),
)
IN_RANGE, ERROR = "in_range", "error"
ADDED = (
    *(f"{name}{end}" for name, *_ in _COLUMNS for end in ("", "_low", "_high")),
    IN_RANGE,
    ERROR,
)
"""Headings of the columns added, in their order."""

_NOT_PHYSICAL = (
    "The fitted model gives no physical properties for this analysis; it lies too far from the "
    "glasses the model was made for."
)


@dataclass(frozen=True)
class Table:
    """A CSV file as read: its headings, and the rows with the line each begins on."""

    headings: list[str]
    rows: list[list[str]]
    lines: list[int]


def convert(source: Path, target: Path, basis: Basis | None = None) -> str:
    """Read a table of analyses, add its properties, write it, and say what was done.

    Columns named by an oxide (or another name of it) are the analysis, blanks none; the others
    are carried through. A row that is no glass gets blanks and the reason in ``error``. OUT is
    UTF-8 with commas and decimal points, and is written whole or not at all.

    Raises
    ------
    GlassError
        If a file cannot be read or written, or the headings will not do.
    CompositionError
        If no column is an oxide or two are the same; the place names the column.
    """
    if _same_file(source, target):
        raise GlassError(
            "The table would be written over the one it is read from.",
            field="out",
            place=Place(str(target)),
            remedy="Give --out another name.",
        )
    if target.exists() and not target.is_file():
        raise _not_written(target, "there is something else of that name")
    table = read_table(source)
    check_headings(table.headings, source)
    columns = AnalysisColumns.of(table.headings, basis, file=str(source))
    answers, told = added_cells(table, columns)
    headings = carried_headings(table.headings)
    lines = [[*headings, *ADDED]]
    width = len(table.headings)
    for row, answer in zip(table.rows, answers, strict=True):
        lines.append([*row[:width], *[""] * (width - len(row)), *answer])
    text = io.StringIO()
    csv.writer(text).writerows(lines)  # ends lines with CR LF (RFC 4180) and quotes either
    try:
        write_whole(target, text.getvalue())
    except (OSError, ValueError) as error:
        raise _not_written(target, getattr(error, "strerror", None) or str(error)) from error
    renamed = [
        f"“{was}” is a column added; the one given is carried through as “{name}”."
        for was, name in zip(table.headings, headings, strict=True)
        if was != name
    ]
    return "\n".join([*_summary(table, columns, told, target), *renamed, *columns.notes])


@dataclass(frozen=True)
class Told:
    """What the rows gave cause to say: how many are faulty, and lines whose total is off."""

    faults: int
    scaled: tuple[int, ...]


def added_cells(table: Table, columns: AnalysisColumns) -> tuple[list[list[str]], Told]:
    """The cells each row gains, and what there is to say of the rows."""
    compositions: list[Composition] = []
    good: list[int] = []
    errors: dict[int, str] = {}
    width = len(table.headings)
    for index, (row, line) in enumerate(zip(table.rows, table.lines, strict=True)):
        if any(cell.strip() for cell in row[width:]):
            errors[index] = (
                f"line {line}: This row has {len(row)} cells, the headings are {width}. Check the "
                "separators; put quotes around a cell that has one in it."
            )
            continue
        try:
            compositions.append(columns.composition(row, line))
            good.append(index)
        except CompositionError as error:
            errors[index] = str(_without_file(error))
    many = properties_of_many(compositions)
    for at, index in enumerate(good):
        if not many.physical[at]:
            errors[index] = f"line {table.lines[index]}: {_NOT_PHYSICAL}"
    cells = _formatted(many)
    answers = [[""] * (len(ADDED) - 1) for _ in table.rows]
    for at, index in enumerate(good):
        if index not in errors:
            answers[index] = cells[at]
    scaled = (i for i, c in zip(good, compositions, strict=True) if c.warnings and i not in errors)
    told = Told(len(errors), tuple(table.lines[index] for index in scaled))
    return [[*answer, errors.get(i, "")] for i, answer in enumerate(answers)], told


def _formatted(many: ManyGlasses) -> list[list[str]]:
    columns: list[list[str]] = []
    for _, key, less, unit, decimals in _COLUMNS:
        values = many.values[key]
        for end in (values.value, values.low, values.high):
            numbers = np.asarray((end - less) / unit).tolist()
            columns.append([f"{number:.{decimals}f}" for number in numbers])
    columns.append(["true" if inside else "false" for inside in many.in_range.tolist()])
    return [list(row) for row in zip(*columns, strict=True)]


def read_table(path: Path) -> Table:
    """Read a CSV file: commas, semicolons or tabs; UTF-8, UTF-16 with its mark, or Windows-1252.

    Raises
    ------
    GlassError
        If it cannot be read as a table; the place names the line.
    """
    text = _text_of(path)
    delimiter = _delimiter(text)
    csv.field_size_limit(_LONGEST_CELL)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    rows: list[list[str]] = []
    lines: list[int] = []
    line = 1
    try:
        for row in reader:
            if row:
                rows.append(row)
                lines.append(line)
            line = reader.line_num + 1
    except csv.Error as error:
        raise GlassError(
            f"The table cannot be read: {error}.",
            place=Place(str(path), reader.line_num),
            remedy="Look for a quotation mark that is never closed.",
        ) from error
    if not rows:
        raise _no_table(path, "The table is empty.")
    if text.count('"') % 2 and "\n" in "".join(rows[-1]).strip():
        raise GlassError(
            "A quotation mark is never closed, and all behind it would be one cell.",
            place=Place(str(path), lines[-1]),
            remedy="Close it, or take it out.",
        )
    return Table([heading.strip() for heading in rows[0]], rows[1:], lines[1:])


def check_headings(headings: Sequence[str], path: Path) -> None:
    """Refuse headings that come twice.

    Raises
    ------
    GlassError
        The place names the column.
    """
    seen: set[str] = set()
    for heading in headings:
        name = heading.casefold()
        if name and name in seen:
            raise GlassError(
                f"Two columns are called “{heading}”.",
                field=heading,
                place=Place(str(path), 1, heading),
                remedy="Rename one or leave it out.",
            )
        seen.add(name)


def carried_headings(headings: Sequence[str]) -> list[str]:
    """Headings as they are carried through: one that a column added has gets ``_given``."""
    ours = {name.casefold() for name in ADDED}
    taken = ours | {heading.casefold() for heading in headings}
    carried = []
    for heading in headings:
        name = heading
        if name.casefold() in ours:
            while name.casefold() in taken:
                name += "_given"
            taken.add(name.casefold())
        carried.append(name)
    return carried


def _text_of(path: Path) -> str:
    try:
        if path.is_dir():
            raise _no_table(path, "This is a folder, not a table.")
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _no_table(path, f"The table cannot be read: {reason}.") from error
    if len(data) > LARGEST_FILE:
        raise _no_table(path, f"The table has more than {LARGEST_FILE // 1_000_000} MB.")
    marked = data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE))
    for encoding in ("utf-16",) if marked else ("utf-8-sig", "cp1252"):
        try:
            text = data.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise _no_table(path, "This is not a text file.")


def _delimiter(text: str) -> str:
    """The mark that parts the headings into most oxides."""
    return max(";\t,", key=lambda mark: _oxides_in(next(filter(None, _rows(text, mark)), [])))


def _rows(text: str, delimiter: str) -> Iterator[list[str]]:
    try:
        yield from csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    except csv.Error:  # said with its line when the rows are read
        return


def _oxides_in(headings: Sequence[str]) -> int:
    return sum(_names_an_oxide(heading) for heading in headings)


def _names_an_oxide(heading: str) -> bool:
    try:
        return read_heading(heading) is not None
    except CompositionError:  # one of two oxides
        return True


def _no_table(path: Path, message: str) -> GlassError:
    return GlassError(
        message, place=Place(str(path)), remedy="Give a CSV file with a row of headings."
    )


def _not_written(target: Path, reason: str) -> GlassError:
    return GlassError(
        f"The table cannot be written: {reason}.",
        field="out",
        place=Place(str(target)),
        remedy="Choose another folder or name.",
    )


def _same_file(source: Path, target: Path) -> bool:
    try:
        return source.samefile(target)
    except (OSError, ValueError):
        return False


def _without_file(error: CompositionError) -> CompositionError:
    """The error as it reads in its own row: the line and column, not the file."""
    place = error.place
    if place is not None:
        place = Place(None, place.line, place.column)
    return CompositionError(error.message, place=place, remedy=error.remedy)


def _summary(table: Table, columns: AnalysisColumns, told: Told, target: Path) -> list[str]:
    count, faults = len(table.rows), told.faults
    lines = [f"{count} {'glass' if count == 1 else 'glasses'} reckoned, written to {target}."]
    if faults:
        lines[0] = (
            f"{count - faults} of {count} glasses reckoned, written to {target}; what is wrong "
            f"with the {'other' if faults == 1 else f'other {faults}'} is in the column {ERROR}."
        )
    if told.scaled:
        shown = ", ".join(str(line) for line in told.scaled[:_LINES_SHOWN])
        more = len(told.scaled) - _LINES_SHOWN
        shown += f" and {more} more" if more > 0 else ""
        lines.append(f"Totals far from 100 or not as printed, scaled to 100: line {shown}.")
    others = [table.headings[index] for index in columns.others if table.headings[index]]
    if others:
        lines.append(f"Carried through, not counted: {', '.join(others)}.")
    return lines
