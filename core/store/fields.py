"""JSON objects: times into them, and typed access; what is wrong is named by its path."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime
from enum import StrEnum
from typing import TypeVar

from core.errors import BookDamagedError, BookError
from core.store.base import as_utc

T = TypeVar("T")
E = TypeVar("E", bound=StrEnum)
Json = dict[str, object]


def put_time(time: datetime) -> str:
    """Write an aware time in UTC, to the microsecond."""
    return as_utc(time).isoformat()


def put_maybe_time(time: datetime | None) -> str | None:
    """Write an aware time, or nothing."""
    return None if time is None else put_time(time)


class Fields:
    """One JSON object; every getter raises BookDamagedError naming ``path.key``."""

    def __init__(self, content: object, path: str) -> None:
        self._path = path
        if not isinstance(content, dict):
            raise self._damaged("", "an object")
        self._content: Json = content

    def _damaged(self, key: str, wanted: str) -> BookDamagedError:
        where = f"{self._path}.{key}" if key else self._path
        return BookDamagedError(
            f"The entry “{where}” in the book is missing or is not {wanted}.",
            remedy="Go back to a backup of the book.",
        )

    @property
    def content(self) -> Json:
        """The object itself."""
        return self._content

    def names(self) -> Iterable[str]:
        """Return the names of the entries in their order."""
        return tuple(self._content)

    def text(self, key: str) -> str:
        """Return a text."""
        value = self._content.get(key)
        if not isinstance(value, str):
            raise self._damaged(key, "a text")
        return value

    def maybe_text(self, key: str) -> str:
        """Return a text, empty where none was given."""
        return "" if self._content.get(key) is None else self.text(key)

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts."""
        values = self._items(key)
        if not all(isinstance(value, str) for value in values):
            raise self._damaged(key, "a list of texts")
        return tuple(str(value) for value in values)

    def maybe_texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts, none where none was given."""
        return () if self._content.get(key) is None else self.texts(key)

    def whole(self, key: str) -> int:
        """Return a whole number."""
        value = self._content.get(key)
        if not isinstance(value, int) or isinstance(value, bool):
            raise self._damaged(key, "a whole number")
        return value

    def maybe_whole(self, key: str) -> int | None:
        """Return a whole number, or ``None`` where none was given."""
        return None if self._content.get(key) is None else self.whole(key)

    def number(self, key: str) -> float:
        """Return a number."""
        value = self._content.get(key)
        if not isinstance(value, int | float) or isinstance(value, bool):
            raise self._damaged(key, "a number")
        return float(value)

    def maybe_number(self, key: str) -> float | None:
        """Return a number, or ``None`` where none was given."""
        return None if self._content.get(key) is None else self.number(key)

    def numbers(self, key: str) -> tuple[float, ...]:
        """Return a list of numbers."""
        numbers = []
        for value in self._items(key):
            if not isinstance(value, int | float) or isinstance(value, bool):
                raise self._damaged(key, "a list of numbers")
            numbers.append(float(value))
        return tuple(numbers)

    def time(self, key: str) -> datetime:
        """Return a time in UTC."""
        try:
            return as_utc(datetime.fromisoformat(self.text(key)))
        except (ValueError, BookError) as error:
            raise self._damaged(key, "a time with its zone") from error

    def maybe_time(self, key: str) -> datetime | None:
        """Return a time, or ``None`` where none was given."""
        return None if self._content.get(key) is None else self.time(key)

    def choice(self, key: str, kind: type[E]) -> E:
        """Return one of an enumeration's values."""
        try:
            return kind(self.text(key))
        except ValueError as error:
            raise self._damaged(key, "one of " + ", ".join(kind)) from error

    def named(self, key: str, kind: type[E]) -> E:
        """Return one of an enumeration's values by its name."""
        try:
            return kind[self.text(key)]
        except KeyError as error:
            raise self._damaged(key, "one of " + ", ".join(kind.__members__)) from error

    def all_named(self, key: str, kind: type[E]) -> tuple[E, ...]:
        """Return a list of an enumeration's values by their names."""
        try:
            return tuple(kind[name] for name in self.texts(key))
        except KeyError as error:
            raise self._damaged(key, "a list of " + ", ".join(kind.__members__)) from error

    def inner(self, key: str) -> Fields:
        """Return the object under a key."""
        return Fields(self._content.get(key), f"{self._path}.{key}")

    def maybe(self, key: str, take: Callable[[Fields], T]) -> T | None:
        """Return what ``take`` makes of the object under a key, or ``None``."""
        return None if self._content.get(key) is None else take(self.inner(key))

    def inners(self, key: str) -> tuple[Fields, ...]:
        """Return the objects of a list."""
        return tuple(
            Fields(item, f"{self._path}.{key}[{number}]")
            for number, item in enumerate(self._items(key))
        )

    def maybe_inners(self, key: str) -> tuple[Fields, ...]:
        """Return the objects of a list, none where none was given."""
        return () if self._content.get(key) is None else self.inners(key)

    def _items(self, key: str) -> tuple[object, ...]:
        values = self._content.get(key)
        if not isinstance(values, list):
            raise self._damaged(key, "a list")
        return tuple(values)
