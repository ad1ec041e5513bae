"""Values of the book as they are written into CSV and JSON files, and read back exactly.

Times are ISO 8601 in UTC to the microsecond, numbers in their shortest exact form. In CSV an empty
cell of a column that may be empty is nothing at all; a text there that is empty or begins with a
backslash gets one in front.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta

import numpy as np

from core.store.base import EPOCH
from core.store.tables import Column, ColumnKind

Value = str | int | float | None
_MICROSECOND = timedelta(microseconds=1)


def time_text(microseconds: int) -> str:
    """Write a time as it is kept (microseconds since 1970) in ISO 8601."""
    moment = EPOCH + timedelta(microseconds=microseconds)
    return moment.isoformat(timespec="microseconds").replace("+00:00", "Z")


def time_value(text: str) -> int:
    """Read a time; raises ValueError if it is none or has no zone."""
    moment = datetime.fromisoformat(text)
    if moment.tzinfo is None:
        raise ValueError("no time zone")
    return (moment - EPOCH) // _MICROSECOND


def cells_of(column: Column, values: Sequence[Value]) -> Sequence[Value]:
    """The values of a column as cells; numbers as they are, which the csv module writes exactly."""
    if column.kind is ColumnKind.TIME:
        known = [0 if value is None else int(value) for value in values]
        texts = np.datetime_as_string(np.array(known, dtype="datetime64[us]")).tolist()
        return [
            "" if value is None else f"{text}Z" for text, value in zip(texts, values, strict=True)
        ]
    if column.nullable and column.kind in (ColumnKind.TEXT, ColumnKind.JSON):
        return [_escaped(value) for value in values]
    return values


def _escaped(value: Value) -> str:
    if value is None:
        return ""
    text = str(value)
    return f"\\{text}" if not text or text.startswith("\\") else text


def cell_reader(column: Column) -> Callable[[str], Value]:
    """How cells become the values of a column; raises ValueError where one cannot be read."""
    readers: dict[ColumnKind, Callable[[str], Value]] = {
        ColumnKind.TIME: time_value,
        ColumnKind.WHOLE: int,
        ColumnKind.NUMBER: float,
    }
    read = readers.get(column.kind, str)
    if not column.nullable:
        return read
    if read is not str:
        return lambda cell: read(cell) if cell else None
    return lambda cell: cell.removeprefix("\\") if cell else None


def member(column: Column, value: Value) -> tuple[str, object]:
    """Name and value of a row's entry in a JSON file; JSON within is unpacked."""
    if value is None:
        return column.name, None
    if column.kind is ColumnKind.TIME:
        return column.name, time_text(int(value))
    if column.kind is ColumnKind.JSON:
        text = str(value)
        try:
            inner = json.loads(text)
            if packed(inner) == text:
                return column.name, inner
        except ValueError:
            pass
        # Not as this program writes it: kept to the letter.
        return f"{column.name} (text)", text
    return column.name, value


def member_value(column: Column, row: dict[str, object]) -> Value:
    """Read an entry back; raises ValueError or KeyError where it cannot be."""
    if column.kind is ColumnKind.JSON and f"{column.name} (text)" in row:
        return str(row[f"{column.name} (text)"])
    value = row[column.name]
    if value is None:
        if not column.nullable:
            raise ValueError("nothing there")
        return None
    if column.kind is ColumnKind.JSON:
        return packed(value)
    if column.kind is ColumnKind.TIME:
        return time_value(str(value))
    if column.kind is ColumnKind.NUMBER and isinstance(value, int | float):
        return float(value)
    wanted = str if column.kind is ColumnKind.TEXT else int
    if isinstance(value, wanted) and not isinstance(value, bool):
        return value
    raise ValueError("of the wrong kind")


def packed(content: object) -> str:
    """JSON as the book keeps it."""
    return json.dumps(content, ensure_ascii=False, allow_nan=False)
