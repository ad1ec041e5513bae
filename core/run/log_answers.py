"""One format out of a guess and the answers to what it left open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from core.run.log_format import LogFormat, LogUnit, Option


def answered_format(
    guess: LogFormat, answers: Mapping[str, Option], unit: LogUnit | None = None
) -> LogFormat:
    """Join the answers, each of which alone leads to a format that differs in its own field.

    Parameters
    ----------
    guess : LogFormat
        As guessed.
    answers : mapping of str to Option
        By the field of the doubt; those missing stay as guessed.
    unit : LogUnit, optional
        Unit a person insists on, whatever the file says.
    """
    settled = guess
    column = answers.get("temperature_column")
    if column is not None:
        # Another column may have its own unit and way of writing decimals.
        settled = replace(
            settled,
            temperature_column=column.format.temperature_column,
            decimal_mark=column.format.decimal_mark,
            unit=column.format.unit,
        )
    if "unit" in answers:
        settled = replace(settled, unit=answers["unit"].format.unit)
    if "date_order" in answers:
        settled = replace(settled, date_order=answers["date_order"].format.date_order)
    if "lapse_unit" in answers:
        settled = replace(settled, lapse_unit=answers["lapse_unit"].format.lapse_unit)
    return settled if unit is None else replace(settled, unit=unit)
