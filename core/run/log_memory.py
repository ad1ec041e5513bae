"""What was answered about a file of the same kind before, put to this one."""

from __future__ import annotations

from dataclasses import dataclass, replace

from core.run.log_answers import answered_format
from core.run.log_format import Doubt, GuessedFormat, LogFormat, Option

_STRUCTURE = ("delimiter", "time_kind", "time_columns", "column_names")


@dataclass(frozen=True)
class Remembered:
    """A guess with the answers that were given before.

    Attributes
    ----------
    format : LogFormat
    doubts : tuple of Doubt
        What still has to be asked.
    used : tuple of str
        Fields that were settled from memory, to be shown as such.
    """

    format: LogFormat
    doubts: tuple[Doubt, ...]
    used: tuple[str, ...]


def with_memory(guess: GuessedFormat, before: LogFormat) -> Remembered:
    """Settle what the file leaves open as it was settled for a file of the same kind.

    What the file itself says counts more: only questions it leaves open are answered from memory,
    and only if it is laid out like the earlier one. ``start`` is always asked.

    Parameters
    ----------
    guess : GuessedFormat
        Of this file.
    before : LogFormat
        As the earlier file was read.
    """
    if not is_alike(guess.format, before):
        return Remembered(guess.format, guess.doubts, ())
    left: list[Doubt] = []
    answers: dict[str, Option] = {}
    for doubt in guess.doubts:
        wanted = getattr(before, doubt.field, None)
        chosen = next(
            (one for one in doubt.options if getattr(one.format, doubt.field) == wanted), None
        )
        if chosen is None:
            left.append(doubt)
            continue
        answers[doubt.field] = chosen
    settled = answered_format(guess.format, answers)
    used = list(answers)
    column = next((one for one in guess.columns if one.column == settled.temperature_column), None)
    stated = None if column is None else column.unit
    if stated is not None:
        # Asked or not about another column, this one says its unit.
        settled = replace(settled, unit=stated)
        used = [field for field in used if field != "unit"]
        if column is not None and stated is not before.unit and _same_column(settled, before):
            left = [*(one for one in left if one.field != "unit"), _unit_doubt(settled, before)]
    return Remembered(settled, tuple(left), tuple(used))


def is_alike(one: LogFormat, other: LogFormat) -> bool:
    """Tell whether two files are laid out alike, so that answers for one may serve the other."""
    return all(getattr(one, name) == getattr(other, name) for name in _STRUCTURE)


def _same_column(one: LogFormat, other: LogFormat) -> bool:
    return one.temperature_column == other.temperature_column


def _unit_doubt(settled: LogFormat, before: LogFormat) -> Doubt:
    """A unit that a person set against what the file says is asked again, never assumed."""
    options = tuple(
        Option(unit.symbol, replace(settled, unit=unit)) for unit in (settled.unit, before.unit)
    )
    question = (
        f"The file says {settled.unit.symbol}, but files of this kind were read as "
        f"{before.unit.symbol} before. In which are its temperatures?"
    )
    return Doubt("unit", question, options)
