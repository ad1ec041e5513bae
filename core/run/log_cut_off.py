"""A last row that was cut off, as when a file was copied while the logger wrote it."""

from __future__ import annotations

import numpy as np

from core.run.log_cells import NUMBER_AND_UNIT, clean, split_cells
from core.run.log_format import LogFormat
from core.run.log_lines import Lines
from core.run.log_problem import RowProblem, row_problem
from core.run.log_rows import Rows

_NEIGHBOURS = 20
"""Rows before the last that show how it should be written."""
_FAR = 20.0
"""A whole number with a digit less may still be right if it is as near as this [°, any unit]."""


def refuse_cut_off(
    rows: Rows, lines: Lines, log_format: LogFormat, problems: list[RowProblem]
) -> Rows:
    """Leave out the last row if its line has no end and its last cell is shorter than others.

    520.4 cut to 52 is a temperature too; only the rows before tell that it is half of one.

    Parameters
    ----------
    rows : Rows
    lines : Lines
    log_format : LogFormat
    problems : list of RowProblem
        Added to.
    """
    count = rows.line.size
    if count < 3 or int(rows.line[-1]) != len(lines) or not lines[len(lines) - 1]:
        return rows
    cells = _cells(lines, len(lines), log_format)
    column = len(cells) - 1
    if column not in (log_format.temperature_column, *log_format.time_columns):
        return rows
    before = []
    for line in rows.line[max(0, count - 1 - _NEIGHBOURS) : count - 1].tolist():
        others = _cells(lines, int(line), log_format)
        if column < len(others):
            before.append(others[column])
    last = cells[column]
    if column == log_format.temperature_column:
        step = abs(float(rows.temperature[-1] - rows.temperature[-2]))
        cut = _is_cut_number(last, before, log_format.decimal_mark, step)
    else:
        cut = bool(before) and len(last) < min(map(len, before))
    if not cut:
        return rows
    problems.append(
        row_problem(
            len(lines),
            log_format.column_name(column),
            last,
            "The file ends in the middle of this row; a part of it is missing.",
        )
    )
    return rows.part(np.arange(count) < count - 1)


def _cells(lines: Lines, line: int, log_format: LogFormat) -> list[str]:
    cells = split_cells(lines[line - 1], log_format.delimiter, log_format.cuts)
    while cells and not cells[-1].strip():
        cells.pop()
    return [clean(cell) for cell in cells]


def _is_cut_number(last: str, before: list[str], mark: str, step: float) -> bool:
    number, others = _number(last), [_number(cell) for cell in before]
    if not others:
        return False
    decimals = [len(text.partition(mark)[2]) for text in others]
    mine = len(number.partition(mark)[2])
    if min(decimals) > 0:
        return mine < min(decimals)
    return max(decimals) == 0 and len(number) < min(map(len, others)) and step > _FAR


def _number(cell: str) -> str:
    match = NUMBER_AND_UNIT.fullmatch(cell)
    return match.group(1) if match else cell
