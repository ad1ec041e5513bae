"""Rows whose number only their neighbours can explain."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from core.equipment.thermocouple import break_reason
from core.run.log_format import LogFormat
from core.run.log_problem import RowProblem, row_problem
from core.run.log_rows import Rows

_WITH_DECIMALS = 0.8
"""Share of readings that are no whole numbers where every cell has decimals."""

BoolArray = NDArray[np.bool_]
FloatArray = NDArray[np.float64]


def refuse_doubtful(rows: Rows, log_format: LogFormat, problems: list[RowProblem]) -> Rows:
    """Leave out numbers that only their neighbours show to be wrong.

    1,024 among 998 and 1010 could be 1024 as well as 1.024; 999 among 520 and 521 is a filler,
    but among 998 and 1001 a temperature (of a log in °F, say).

    Parameters
    ----------
    rows : Rows
    log_format : LogFormat
    problems : list of RowProblem
        Added to.
    """
    rows = _refuse_halves(rows, log_format, problems)
    if not rows.thousands and not rows.fillers:
        return rows
    refused: dict[int, str] = {}
    marked = np.isin(rows.line, list(rows.thousands))
    if rows.thousands and (marked.all() or float(np.median(rows.temperature[~marked])) >= 50):
        for index in np.flatnonzero(marked).tolist():
            shown = rows.thousands[int(rows.line[index])]
            refused[index] = f"“{shown}” could be {shown[0] + shown[2:]} with a thousands mark."
    doubtful = np.isin(rows.line, list(rows.fillers))
    company = _with_company(rows.temperature, doubtful)
    broken = frozenset(np.flatnonzero(doubtful & ~company).tolist())
    for index in sorted(broken):
        value = float(rows.temperature[index])
        reason = break_reason(value, "C")
        refused[index] = f"{value:g} {log_format.unit.symbol} is {reason}."
    column = log_format.column_name(log_format.temperature_column)
    for index, message in refused.items():
        line = int(rows.line[index])
        shown = rows.thousands.get(line, f"{rows.temperature[index]:g}")
        problems.append(row_problem(line, column, shown, message, broken=index in broken))
    kept = np.ones(rows.line.size, dtype=bool)
    kept[list(refused)] = False
    return rows.part(kept)


def _refuse_halves(rows: Rows, log_format: LogFormat, problems: list[RowProblem]) -> Rows:
    """Leave out whole numbers with a number behind, where the other rows have decimals.

    Between commas 596,5 is 596 and 5; among 598.3 and 597.8 it is 596.5 written otherwise.
    """
    if rows.halves.size == 0:
        return rows
    half = np.isin(rows.line, rows.halves)
    others = rows.temperature[~half]
    if others.size < half.sum() or np.mean(others % 1.0 != 0.0) < _WITH_DECIMALS:
        return rows
    column = log_format.column_name(log_format.temperature_column)
    for index in np.flatnonzero(half).tolist():
        shown = f"{rows.temperature[index]:g}"
        message = f"“{shown}” has no decimals like the others; a decimal comma may have cut it."
        problems.append(row_problem(int(rows.line[index]), column, shown, message))
    return rows.part(~half)


def _with_company(temperature: FloatArray, doubtful: BoolArray) -> BoolArray:
    """Rows for which the nearest reading beyond doubt, on either side, is about as hot."""
    sure = np.flatnonzero(~doubtful)
    if sure.size == 0:
        return np.zeros(temperature.size, dtype=bool)
    rows = np.arange(temperature.size)
    after = np.searchsorted(sure, rows)
    near = np.zeros(temperature.size, dtype=bool)
    for place, there in ((after - 1, after > 0), (after, after < sure.size)):
        other = temperature[sure[np.clip(place, 0, sure.size - 1)]]
        near |= there & (np.abs(other - temperature) < 60)
    return near
