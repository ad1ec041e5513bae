"""The first rows of a logger's file as they stand there, for a person to check the columns."""

from __future__ import annotations

from dataclasses import dataclass

from core.run.log_cells import decode, is_comment, split_cells
from core.run.log_format import LogFormat
from core.run.log_lines import Lines
from core.run.log_rows import quoted_line


@dataclass(frozen=True)
class SampleRow:
    """A line of the file, counted from 1, cut into cells."""

    line: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class LogSample:
    """The first rows of readings.

    Attributes
    ----------
    columns : tuple of str
        Names as in the header, or numbers from 1.
    rows : tuple of SampleRow
        Each with as many cells as there are columns; missing ones are empty.
    """

    columns: tuple[str, ...]
    rows: tuple[SampleRow, ...]


def first_rows(data: bytes, log_format: LogFormat, count: int = 8) -> LogSample:
    """Cut the first rows of a file as :func:`core.run.log_file.read_log` does.

    Parameters
    ----------
    data : bytes
        The file.
    log_format : LogFormat
    count : int
        At most so many rows.

    Raises
    ------
    LogFileError
        If the file is empty, too large or not text.
    """
    text, _ = decode(data, log_format.encoding)
    rows: list[tuple[int, list[str]]] = []
    lines = Lines(text)
    following = log_format.header_lines
    while following < len(lines) and len(rows) < count:
        place = following
        line, following = quoted_line(lines, place, log_format)
        if is_comment(line):
            continue
        cells = split_cells(line, log_format.delimiter, log_format.cuts)
        rows.append((place + 1, cells))
    named = len(log_format.column_names)
    needed = max(log_format.temperature_column, *log_format.time_columns) + 1
    width = max(named, needed, *(len(cells) for _, cells in rows)) if rows else max(named, needed)
    return LogSample(
        columns=tuple(log_format.column_name(column) for column in range(width)),
        rows=tuple(
            SampleRow(number, tuple(cell.strip() for cell in cells) + ("",) * (width - len(cells)))
            for number, cells in rows
        ),
    )
