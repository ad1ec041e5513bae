"""Every error a person can meet and mend, in one hierarchy.

Anything raised from the core that is not a :class:`LehrkeeperError` is a defect of ours.
A message says what is wrong and with which value; ``field`` names the input it belongs to (so
that a form can show it beside the box), ``place`` where it stands in a file, ``remedy`` what to do.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """Where in a text or file something stands; lines and columns count from 1."""

    file: str | None = None
    line: int | None = None
    column: str | None = None

    def __str__(self) -> str:
        parts = []
        if self.file:
            parts.append(self.file)
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.column:
            parts.append(f"column {self.column}")
        return ", ".join(parts)


class LehrkeeperError(Exception):
    """Something a person can put right.

    Parameters
    ----------
    message : str
        What is wrong, with the value and the limit, as a sentence.
    field : str, optional
        Name of the input at fault, as in the dataclass or file key.
    place : Place, optional
        File, line and column.
    remedy : str, optional
        What to do about it, as a sentence.
    """

    def __init__(
        self,
        message: str,
        *,
        field: str | None = None,
        place: Place | None = None,
        remedy: str | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.field = field
        self.place = place
        self.remedy = remedy

    def __str__(self) -> str:
        where = str(self.place) if self.place else ""
        text = f"{where}: {self.message}" if where else self.message
        return f"{text} {self.remedy}" if self.remedy else text


class UnitError(LehrkeeperError):
    """A number or unit that cannot be read."""


class CompositionError(LehrkeeperError):
    """An analysis that is empty, negative, unknown or does not add up."""


class GlassError(LehrkeeperError):
    """A glass whose properties cannot be had or contradict each other."""


class PieceError(LehrkeeperError):
    """A piece with missing or impossible dimensions."""


class EquipmentError(LehrkeeperError):
    """A lehr, furnace or controller with impossible settings."""


class LoadError(LehrkeeperError):
    """A load (file) that cannot be understood or is incomplete."""


class PlanError(LehrkeeperError):
    """No plan can be drawn up for this load in this lehr with this controller."""


class StressError(LehrkeeperError):
    """A temperature history or a section of which no stress can be reckoned."""


class LogFileError(LehrkeeperError):
    """A logger's file that cannot be read at all, or only in part."""


class RunError(LehrkeeperError):
    """A run or its readings that cannot be compared or recorded."""


class FurnaceError(LehrkeeperError):
    """A pot, charge or furnace reading that cannot be right."""


class BatchError(LehrkeeperError):
    """A raw material or a batch that cannot be right, or a glass that cannot be made of it."""


class BookError(LehrkeeperError):
    """The studio's book (database file) cannot be opened, read or written."""


class BookTooNewError(BookError):
    """The book was written by a newer version of this program."""


class BookLockedError(BookError):
    """The book is read-only or held by somebody else."""


class BookDamagedError(BookError):
    """The file is not a Lehrkeeper book, or it is damaged."""


class PlanInUseError(BookError):
    """A plan that a run uses may not be changed or removed."""


class StoppedError(LehrkeeperError):
    """Work was stopped by the person who began it; nothing of it is left."""
