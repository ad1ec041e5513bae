"""How a logger's file is laid out, as settled with the person who reads it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum
from itertools import pairwise

from core.errors import LogFileError
from core.run.log_times import DateOrder

DELIMITERS = ("\t", ";", ",", " ")
"""Marks between cells; ``" "`` stands for runs of blanks."""


class LogUnit(StrEnum):
    """Unit of the logged temperatures."""

    CELSIUS = "C"
    FAHRENHEIT = "F"
    KELVIN = "K"

    @property
    def symbol(self) -> str:
        """The unit as printed."""
        return "K" if self is LogUnit.KELVIN else f"°{self.value}"


class TimeKind(StrEnum):
    """What the time columns hold."""

    DATE_AND_TIME = "date and time"
    """In one column, or spread over several that are read one after the other."""
    CLOCK = "time of day"
    """Without a date; the date comes from the start of the log."""
    ELAPSED = "time since the start"
    """A number, or hours and minutes, since the start of the log."""


class LapseUnit(StrEnum):
    """Unit of elapsed times given as numbers."""

    SECONDS = "seconds"
    MINUTES = "minutes"
    HOURS = "hours"

    @property
    def seconds(self) -> float:
        """Seconds in one unit."""
        return {"seconds": 1.0, "minutes": 60.0, "hours": 3600.0}[self.value]


@dataclass(frozen=True)
class LogFormat:
    """Everything needed to read a logger's file the same way twice.

    Attributes
    ----------
    encoding : str
        Python name.
    delimiter : str
        ``","``, ``";"``, a tab, or ``" "`` for runs of blanks.
    decimal_mark : str
        ``"."`` or ``","``.
    header_lines : int
        Lines before the first reading.
    time_kind : TimeKind
    time_columns : tuple of int
        Columns (from 0) that together hold the time, date first.
    date_order : DateOrder
        Of dates written with numbers; a year of four digits in front is always read as such.
    lapse_unit : LapseUnit
        For ``TimeKind.ELAPSED``.
    temperature_column : int
        From 0.
    unit : LogUnit
    timezone : str
        Zone of times without an offset; IANA name, ``""`` for the machine's own.
    column_names : tuple of str
        As in the header; may be empty.
    cuts : tuple of int
        Where the columns begin in a table of fixed widths, the first at 0; only with ``" "``.
        Empty cells then stay in their place.
    width : int
        Cells of an ordinary row, 0 if they vary. Where blanks part the cells, a row with fewer
        has lost one, nobody knows which; where commas do, one with more may have a decimal comma.
    """

    encoding: str = "utf-8-sig"
    delimiter: str = ","
    decimal_mark: str = "."
    header_lines: int = 1
    time_kind: TimeKind = TimeKind.DATE_AND_TIME
    time_columns: tuple[int, ...] = (0,)
    date_order: DateOrder = DateOrder.YMD
    lapse_unit: LapseUnit = LapseUnit.MINUTES
    temperature_column: int = 1
    unit: LogUnit = LogUnit.CELSIUS
    timezone: str = ""
    column_names: tuple[str, ...] = ()
    cuts: tuple[int, ...] = ()
    width: int = 0

    def __post_init__(self) -> None:
        columns = (self.temperature_column, *self.time_columns)
        checks = (
            ("delimiter", self.delimiter in DELIMITERS, "Use a comma, semicolon, tab or blank."),
            ("decimal_mark", self.decimal_mark in (".", ","), "Use a point or a comma."),
            ("width", self.width >= 0, "Use 0 or more."),
            ("header_lines", self.header_lines >= 0, "Use 0 or more."),
            ("time_columns", len(self.time_columns) > 0, "Choose the column with the time."),
            ("temperature_column", min(columns) >= 0, "Columns count from 0."),
            (
                "temperature_column",
                self.temperature_column not in self.time_columns,
                "Choose another column for the temperature than for the time.",
            ),
            (
                "cuts",
                not self.cuts
                or (
                    self.delimiter == " "
                    and self.cuts[0] == 0
                    and all(a < b for a, b in pairwise(self.cuts))
                ),
                "Cut the lines at rising places, the first at 0, and at nothing else.",
            ),
        )
        for field, right, remedy in checks:
            if not right:
                label = field.replace("_", " ")
                raise LogFileError(f"The {label} is not possible.", field=field, remedy=remedy)

    def column_name(self, column: int) -> str:
        """Name of a column (from 0) as in the header, or its number from 1."""
        if 0 <= column < len(self.column_names) and self.column_names[column].strip():
            return self.column_names[column].strip()
        return str(column + 1)

    @property
    def needs_start(self) -> bool:
        """True when the file has no dates, so that the start must be given."""
        return self.time_kind is not TimeKind.DATE_AND_TIME


@dataclass(frozen=True)
class Corrections:
    """What a person has set right in a guess; ``None`` is left to be found.

    Attributes are those of :class:`LogFormat`.
    """

    encoding: str | None = None
    delimiter: str | None = None
    decimal_mark: str | None = None
    header_lines: int | None = None
    date_order: DateOrder | None = None
    lapse_unit: LapseUnit | None = None
    temperature_column: int | None = None
    unit: LogUnit | None = None

    def __post_init__(self) -> None:
        checks = (
            ("delimiter", self.delimiter in (None, *DELIMITERS), "a comma, semicolon, tab, blank"),
            ("decimal_mark", self.decimal_mark in (None, ".", ","), "a point or a comma"),
            ("header_lines", (self.header_lines or 0) >= 0, "0 or more"),
            ("temperature_column", (self.temperature_column or 0) >= 0, "0 or more"),
        )
        for field, right, remedy in checks:
            if not right:
                label = field.replace("_", " ")
                raise LogFileError(
                    f"The {label} is not possible.", field=field, remedy=f"Use {remedy}."
                )

    @property
    def given(self) -> dict[str, object]:
        """What was set right, by field."""
        return {
            one.name: value
            for one in fields(self)
            if (value := getattr(self, one.name)) is not None
        }


@dataclass(frozen=True)
class Option:
    """One answer to a doubt, and the format it leads to."""

    label: str
    format: LogFormat


@dataclass(frozen=True)
class Doubt:
    """Something the file does not say, to be asked of the person who reads it.

    Attributes
    ----------
    field : str
        ``"date_order"``, ``"unit"``, ``"temperature_column"``, ``"lapse_unit"`` or ``"start"``.
    question : str
    options : tuple of Option
        The first is what is taken meanwhile; empty for ``"start"``, which wants a date and time.
    """

    field: str
    question: str
    options: tuple[Option, ...] = ()

    def __str__(self) -> str:
        return self.question


@dataclass(frozen=True)
class Channel:
    """A column with numbers in it.

    Attributes
    ----------
    column : int
        From 0.
    name : str
    preview : tuple of str
        Its first cells, as written.
    unit : LogUnit or None
        As stated; ``None`` when the file does not say.
    likely : bool
        True when it may be the chamber's temperature, not a set point, a counter or the like.
    """

    column: int
    name: str
    preview: tuple[str, ...] = ()
    unit: LogUnit | None = None
    likely: bool = True


@dataclass(frozen=True)
class GuessedFormat:
    """A format found by looking at the file, with what remains doubtful.

    Attributes
    ----------
    format : LogFormat
    doubts : tuple of Doubt
    channels : tuple of Channel
        Columns that may hold the chamber's temperature, the likeliest first.
    columns : tuple of Channel
        All columns with numbers but the time's, in their order; a person may choose any.
    """

    format: LogFormat
    doubts: tuple[Doubt, ...]
    channels: tuple[Channel, ...]
    columns: tuple[Channel, ...] = ()
