"""Rows that have lost or won a cell, so that nobody knows which value is which."""

from __future__ import annotations

from core.run.log_format import LogFormat, TimeKind
from core.run.log_problem import RowProblem, row_problem
from core.run.log_times import STAMP_INSIDE

_SHORTEST_STAMP = 11


def shape_problem(
    number: int, line: str, cells: list[str], log_format: LogFormat
) -> RowProblem | None:
    """Say what is wrong with the number of a row's cells, ``None`` when nothing is."""
    needed = max(log_format.temperature_column, *log_format.time_columns) + 1
    most = len(log_format.column_names)
    if _holds_another_row(cells, log_format):
        message = "A second date stands in the row: the end of a line between two rows is missing."
        return row_problem(
            number, log_format.column_name(log_format.time_columns[0]), line, message
        )
    for cut in log_format.cuts[1:]:
        if len(line) > cut and line[cut] != " " and line[cut - 1] != " ":
            message = "A value stands across two columns, so it cannot be told where it ends."
            return row_problem(number, log_format.column_name(0), line, message)
    if log_format.cuts and len(line.rstrip()) <= log_format.cuts[-1]:
        message = "The row ends before the last column; a value is missing, and nobody knows which."
        return row_problem(number, log_format.column_name(len(cells) - 1), line, message)
    if len(cells) < needed:
        message = f"The row has too few columns: {len(cells)}, where {needed} are needed."
        return row_problem(number, log_format.column_name(len(cells)), line, message)
    if log_format.delimiter == " " and not log_format.cuts and len(cells) < log_format.width:
        message = (
            f"The row has {len(cells)} values where others have {log_format.width}; one is "
            "missing, and nobody knows which."
        )
        return row_problem(number, log_format.column_name(len(cells)), line, message)
    if log_format.delimiter != ",":
        return None
    if 0 < most < len(cells) and any(map(str.strip, cells[most:])):
        message = (
            f"The row has {len(cells)} columns where the header has {most}; "
            "a decimal comma may have cut a number in two."
        )
        return row_problem(number, log_format.column_name(most), line, message)
    usual = log_format.width
    if 0 < usual < len(cells) and may_be_halves(cells, log_format.temperature_column):
        message = (
            f"The row has {len(cells)} columns where others have {usual}; "
            "a decimal comma may have cut a number in two."
        )
        return row_problem(number, log_format.column_name(usual), line, message)
    return None


def _holds_another_row(cells: list[str], log_format: LogFormat) -> bool:
    if log_format.time_kind is not TimeKind.DATE_AND_TIME:
        return False
    return any(
        STAMP_INSIDE.search(cell)
        for i, cell in enumerate(cells)
        if len(cell) >= _SHORTEST_STAMP and i not in log_format.time_columns
    )


def may_be_halves(cells: list[str], column: int) -> bool:
    """Tell whether a cell and the one behind it could be one number with a decimal comma."""
    behind = cells[column + 1].strip() if column + 1 < len(cells) else ""
    return cells[column].strip().lstrip("+-").isdigit() and behind[:1].isdigit()
