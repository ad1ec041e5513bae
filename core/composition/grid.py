"""An analysis pasted as a table with tabs, semicolons or bars: oxides above their amounts."""

from __future__ import annotations

from dataclasses import dataclass

from core.composition.amounts import Unit, unit_named
from core.composition.headings import Heading, is_total, read_heading
from core.composition.reading import Reading, error_label, is_label
from core.errors import CompositionError, Place


@dataclass(frozen=True)
class _Line:
    number: int
    cells: tuple[str, ...]
    starts: tuple[int, ...]


def read_grid(lines: list[str], reading: Reading) -> bool:
    """Read a row of oxides above a row of numbers; False if the text is not such a table.

    A row of units may stand between, a row of errors below (headed ± or the like), and names of
    the rows in the first column.
    """
    filled = [(n, line) for n, line in enumerate(lines, start=1) if line.strip()]
    for mark in "\t;|":
        rows = [_line(n, line, mark) for n, line in filled]
        header = next((i for i, row in enumerate(rows) if _is_header(row)), None)
        if header is not None and len(rows) > header + 1 and len(rows[header].cells) > 1:
            if all(_says_nothing(cell) for row in rows[:header] for cell in row.cells):
                _read(rows[header:], rows[:header], reading)
                return True
            return False
    return False


def with_tabs(lines: list[str]) -> list[str]:
    """Put tabs for the commas of a table whose headings leave no doubt that they separate.

    A heading of errors or units, or names of rows, in as many columns as every row has.
    """
    filled = [line for line in lines if line.strip()]
    if len(filled) < 2 or any(mark in line for line in filled for mark in '\t;|"'):
        return lines
    counts = {line.count(",") for line in filled}
    headings = [cell.strip() for cell in filled[0].split(",")]
    says = any(error_label(cell) is not None or _is_unit_heading(cell) for cell in headings)
    rows_named = not _is_name(headings[0]) and sum(map(_is_name, headings)) > 1
    if counts != {len(headings) - 1} or len(headings) < 2 or not (says or rows_named):
        return lines
    return [line.replace(",", "\t") for line in lines]


def _is_unit_heading(cell: str) -> bool:
    """Tell the heading of a column of units."""
    return cell.casefold() in {"unit", "units"}


def _line(number: int, line: str, mark: str) -> _Line:
    cells, starts, start = [], [], 0
    for part in line.split(mark):
        cells.append(part.strip(' "'))
        starts.append(start + len(part) - len(part.lstrip(' "')))
        start += len(part) + 1
    return _Line(number, tuple(cells), tuple(starts))


def _is_header(row: _Line) -> bool:
    return sum(_is_name(cell) for cell in row.cells) > 1


def _is_name(cell: str) -> bool:
    try:
        return read_heading(cell) is not None
    except CompositionError:
        return True


def _says_nothing(cell: str) -> bool:
    return not cell or unit_named(cell) is not None or all(is_label(w) for w in cell.split())


def _is_rule(row: _Line) -> bool:
    """A line drawn under the header."""
    return all(not cell.strip(":-") for cell in row.cells) and any("--" in c for c in row.cells)


def _read(rows: list[_Line], above: list[_Line], reading: Reading) -> None:
    header, below = rows[0], [row for row in rows[1:] if not _is_rule(row)]
    for row in above:
        for cell in row.cells:
            reading.unit = unit_named(cell) or reading.unit
    columns = _columns(header, reading)
    units: dict[int, Unit] = {}
    if below and all(_says_nothing(cell) for cell in below[0].cells):
        named = {index: unit_named(cell) for index, cell in enumerate(below[0].cells)}
        units = {index: unit for index, unit in named.items() if unit is not None}
        if units or len(below) > 1:
            below = below[1:]
    if not below:
        raise CompositionError(
            "There is no row of numbers below the oxides.",
            place=reading.place(header.number, 1),
            remedy="Paste the amounts with them.",
        )
    amounts, *more = below
    _check_width(amounts, columns, reading)
    errors = more[0] if len(more) == 1 and error_label(more[0].cells[0]) is not None else None
    if more and errors is None:
        raise CompositionError(
            "There is more than one row of numbers.",
            place=reading.place(more[0].number, 1),
            remedy="Paste one analysis at a time.",
        )
    for index, (heading, place) in columns.items():
        text, at = _cell(amounts, index, reading)
        if heading.is_error:
            reading.add_error(heading.component, text, heading.sigmas, at)
            continue
        unit = heading.unit or units.get(index)
        reading.add(heading.component, place, text, at, unit if unit is not Unit.PERCENT else None)
        if errors is not None:
            wrong, at = _cell(errors, index, reading)
            sigmas = error_label(errors.cells[0]) or 1.0
            reading.add_error(heading.component, wrong, sigmas, at)


def _columns(header: _Line, reading: Reading) -> dict[int, tuple[Heading, Place]]:
    columns: dict[int, tuple[Heading, Place]] = {}
    for index, cell in enumerate(header.cells):
        place = reading.place(header.number, header.starts[index] + 1)
        # The first column may name the rows, whatever its heading is.
        if not cell or (index == 0 and not _is_name(cell) and not is_total(cell)):
            continue
        if error_label(cell) is not None and index - 1 in columns:
            before = columns[index - 1][0]
            heading: Heading | None = Heading(
                cell,
                before.component,
                before.unit,
                is_error=True,
                sigmas=error_label(cell) or 1.0,
            )
        else:
            heading = reading.heading(cell, place)
        if heading is None:
            continue
        if not heading.is_error:
            reading.claim(heading.component, place)
        columns[index] = (heading, place)
    return columns


def _check_width(row: _Line, columns: dict[int, tuple[Heading, Place]], reading: Reading) -> None:
    for index, cell in enumerate(row.cells):
        if cell and index > 0 and index > max(columns):
            raise CompositionError(
                f"There are {max(columns) + 1} columns in the row of oxides but "
                f"{len(row.cells)} below.",
                place=reading.place(row.number, row.starts[index] + 1),
                remedy="Give each oxide one number; type 0 where there is none.",
            )


def _cell(row: _Line, index: int, reading: Reading) -> tuple[str, Place]:
    if index >= len(row.cells):
        return "", reading.place(row.number, 1)
    return row.cells[index], reading.place(row.number, row.starts[index] + 1)
