"""Reading values out of a TOML table, with every fault placed at its line and key."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, TypeVar, overload

from core.errors import LehrkeeperError, LoadError, Place

Made = TypeVar("Made")
Option = TypeVar("Option", bound=StrEnum)
Chosen = TypeVar("Chosen")

LARGEST_NUMBER = 1e15
"""Beyond any quantity of the trade in any unit; what is larger was never meant."""
LONGEST_QUOTE = 60
"""Characters of a faulty value that a message repeats."""


@dataclass(frozen=True)
class TableReader:
    """Reads single values of a parsed TOML text and knows where in the text each key stands.

    ``path`` arguments name the table a key is in, such as ``"pieces[1]"`` or ``""`` for the top.
    """

    source: str
    file: str | None

    @overload
    def number(self, table: Mapping[str, Any], key: str, path: str, default: float) -> float: ...
    @overload
    def number(self, table: Mapping[str, Any], key: str, path: str) -> float | None: ...
    def number(
        self, table: Mapping[str, Any], key: str, path: str, default: float | None = None
    ) -> float | None:
        """A finite number, or the default; quoted numbers and booleans are refused."""
        value = table.get(key, default)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise self.fault(
                f"“{shown(value)}” is not a number.", joined(path, key), "Write it without quotes."
            )
        try:
            number = float(value)
        except OverflowError:  # TOML's whole numbers may be longer than any float
            number = math.inf
        if math.isnan(number):
            raise self.fault(f"The {key} is not a number.", joined(path, key), "Write one.")
        if abs(number) > LARGEST_NUMBER:
            raise self.fault(
                f"The {key} is beyond all bounds.", joined(path, key), "Check the number."
            )
        return number

    def whole(self, table: Mapping[str, Any], key: str, path: str, default: int) -> int:
        """A whole number, or the default."""
        value = self.number(table, key, path, float(default))
        if value != int(value):
            raise self.fault(
                f"{value:g} is not a whole number.", joined(path, key), "Use 1, 2, 3 ..."
            )
        return int(value)

    def text(
        self, table: Mapping[str, Any], key: str, path: str, default: str | None = None
    ) -> str:
        """A text; without a default it must be there."""
        value = table.get(key, default)
        if value is None:
            raise self.fault(f"The {key} is missing.", joined(path, key), "Add it.")
        if not isinstance(value, str):
            raise self.fault(
                f"“{shown(value)}” is not text.", joined(path, key), "Put it in quotes."
            )
        return value

    def choice(
        self, table: Mapping[str, Any], key: str, path: str, kind: type[Option], default: Chosen
    ) -> Option | Chosen:
        """One of an enumeration's values, whatever its capitals."""
        if key not in table:
            return default
        value = table[key]
        for option in kind:
            if isinstance(value, str) and value.strip().lower() == option.value.lower():
                return option
        options = ", ".join(f'"{option.value}"' for option in kind)
        raise self.fault(
            f"“{shown(value)}” is not possible here.", joined(path, key), f"Use one of {options}."
        )

    def table(self, table: Mapping[str, Any], key: str, path: str) -> Mapping[str, Any]:
        """A table inside a table; empty when it is not there."""
        value = table.get(key, {})
        if not isinstance(value, dict):
            raise self.fault(
                f"“{key}” should be a table.", joined(path, key), f"Write [{joined(path, key)}]."
            )
        return value

    def tables(self, table: Mapping[str, Any], key: str) -> list[Mapping[str, Any]]:
        """The ``[[key]]`` tables; none when they are not there."""
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            raise self.fault(f"“{key}” should be tables.", key, f"Write [[{key}]] before each.")
        return value

    def only(self, table: Mapping[str, Any], path: str, keys: str) -> None:
        """Refuse a key that is not among the space-separated ``keys``, naming the nearest."""
        known = keys.split()
        for key in table:
            if key not in known:
                near = difflib.get_close_matches(key, known, 1)
                remedy = f"Did you mean {near[0]}?" if near else "Known: " + ", ".join(known) + "."
                raise self.fault(f"“{shown(key)}” is not a known key.", joined(path, key), remedy)

    def fault(self, message: str, path: str, remedy: str) -> LoadError:
        """An error placed at a key path, to be raised."""
        return LoadError(
            message, field=path.rsplit(".", 1)[-1], place=self.place(path), remedy=remedy
        )

    def guarded(
        self, path: str, make: Callable[[], Made], fields: Mapping[str, str] | None = None
    ) -> Made:
        """Call ``make``; an error of the core gains its place in this file.

        ``fields`` maps the core's field names to the keys of the file.
        """
        try:
            return make()
        except LehrkeeperError as error:
            if error.place is not None and error.place.file == self.file and error.place.line:
                raise
            key = (fields or {}).get(error.field or "", error.field or "")
            place = self.place(joined(path, key) if key else path)
            if place.line is None:
                place = self.place(path)
            raise LoadError(
                error.message, field=error.field, place=place, remedy=error.remedy
            ) from error

    def place(self, path: str) -> Place:
        """Where a key path stands in the text."""
        return Place(self.file, _line_of(self.source, path), path or None)


def shown(value: object) -> str:
    """A value of the file as a message quotes it: never longer than a glance takes in."""
    try:
        text = str(value)
    except ValueError:  # a whole number of more digits than Python writes out
        return "a very long number"
    return text if len(text) <= LONGEST_QUOTE else f"{text[:LONGEST_QUOTE]} …"


def joined(path: str, key: str) -> str:
    """A key path with one more key."""
    return f"{path}.{key}" if path else key


def _line_of(text: str, path: str) -> int | None:
    """Line on which a key path such as ``pieces[1].wall_mm`` stands, or what holds it."""
    wanted = [re.sub(r"\[\d+\]", "", part) for part in path.split(".")]
    index = re.search(r"\[(\d+)\]", path)
    number = int(index[1]) if index else 0
    table: list[str] = []
    seen: dict[str, int] = {}
    table_line: int | None = None
    depth = 0
    inline: int | None = None
    for count, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[\[?\s*(.+?)\s*\]\]?\s*(#.*)?$", line)
        if header:
            name = header[1].replace('"', "").replace("'", "")
            seen[name] = seen.get(name, -1) + 1
            table = name.split(".")
            here = not index or seen[name] == number or table != wanted[: len(table)]
            if table == wanted[: len(table)] and here and len(table) > depth:
                table_line, depth = count, len(table)
            continue
        key = re.match(r"""\s*["']?([^"'=]+?)["']?\s*=""", line)
        if key is None:
            continue
        full = [*table, *key[1].split(".")]
        in_item = not index or seen.get(".".join(table), -1) == number
        if in_item and full == wanted:
            return count
        if (in_item or not table) and full == wanted[: len(full)]:
            inline = count  # as in glasses = {clear = {...}}: the outer key has the line
    return inline or table_line
