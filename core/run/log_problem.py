"""What is wrong with one row of a logger's file."""

from __future__ import annotations

from dataclasses import dataclass

_LONGEST_VALUE = 40


@dataclass(frozen=True)
class RowProblem:
    """Why one row was left out.

    Attributes
    ----------
    line : int
        Line of the file, from 1.
    column : str
        Name of the column as in the header, or its number from 1.
    value : str
        What stands there.
    message : str
        What is wrong, as a sentence.
    broken : bool
        True when it says that no thermocouple answered.
    """

    line: int
    column: str
    value: str
    message: str
    broken: bool = False

    def __str__(self) -> str:
        return f"line {self.line}, column {self.column}: {self.message}"


def row_problem(
    line: int, column: str, value: str, message: str, *, broken: bool = False
) -> RowProblem:
    """Make a problem of a row, its value cut to a length that can be shown."""
    shown = value.strip()
    if len(shown) > _LONGEST_VALUE:
        shown = shown[: _LONGEST_VALUE - 1] + "…"
        message = message.replace(value.strip(), shown)
    return RowProblem(line, column, shown, message, broken)
