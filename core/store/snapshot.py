"""Frozen dataclasses to JSON and back by their own annotations.

For what is kept whole and has no history of forms yet: each field under its name, so that a field
added later is kept without more ado, and takes its default where an older snapshot lacks it. Where
a class changes in a way that old snapshots cannot follow, it gets functions written out by hand,
as in :mod:`core.store.records`. Fields may be texts, numbers, truth values, times, enumerations,
tuples and mappings of these, further dataclasses, and any of them or ``None``.
"""

from __future__ import annotations

import dataclasses
import functools
import types
from collections.abc import Mapping
from datetime import datetime
from enum import StrEnum
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from core.errors import BookDamagedError, BookError
from core.store.base import as_utc
from core.store.envelope import read_enveloped, write_enveloped
from core.store.fields import Fields, put_time

T = TypeVar("T")


def write_snapshot(kind: str, value: object) -> str:
    """Write a frozen dataclass as a snapshot of a kind."""
    return write_enveloped(kind, plain(value))


def read_snapshot(kind: str, text: str, wanted: type[T]) -> T:
    """Read a snapshot of a kind; raises BookTooNewError or BookDamagedError."""

    def take(fields: Fields) -> T:
        made: T = _taken(wanted, fields.content, kind)
        return made

    return read_enveloped(kind, text, take)


def taken(wanted: Any, value: object, path: str) -> Any:
    """Read back what :func:`plain` wrote of a value with this annotation; ``path`` names it.

    Raises
    ------
    BookDamagedError
        If it is not of that form.
    """
    return _taken(wanted, value, path)


def plain(value: object) -> object:
    """A value as JSON has it."""
    if isinstance(value, StrEnum):
        return value.value
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, datetime):
        return put_time(value)
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, tuple | list):
        return [plain(one) for one in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {
            field.name: plain(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if field.init
        }
    raise TypeError(f"{type(value).__name__} has no form in the book")


@functools.cache
def _hints(wanted: type) -> dict[str, Any]:
    return get_type_hints(wanted)


def _damaged(path: str, what: str) -> BookDamagedError:
    return BookDamagedError(
        f"The entry “{path}” in the book is missing or is not {what}.",
        remedy="Go back to a backup of the book.",
    )


def _taken(wanted: Any, value: object, path: str) -> Any:
    origin = get_origin(wanted)
    if origin in (Union, types.UnionType):
        return _one_of(get_args(wanted), value, path)
    if origin is tuple:
        return _tuple(get_args(wanted), value, path)
    if origin is not None and issubclass(origin, Mapping):
        if not isinstance(value, dict):
            raise _damaged(path, "an object")
        (_, inner) = get_args(wanted)
        return {key: _taken(inner, one, f"{path}.{key}") for key, one in value.items()}
    if dataclasses.is_dataclass(wanted):
        return _dataclass(wanted, value, path)
    if wanted is datetime:
        return _time(value, path)
    if isinstance(wanted, type) and issubclass(wanted, StrEnum):
        try:
            return wanted(str(value))
        except ValueError as error:
            raise _damaged(path, "one of " + ", ".join(wanted)) from error
    return _simple(wanted, value, path)


def _simple(wanted: Any, value: object, path: str) -> object:
    if wanted is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if wanted is int and isinstance(value, int) and not isinstance(value, bool):
        return value
    if wanted in (str, bool) and isinstance(value, wanted):
        return value
    names = {float: "a number", int: "a whole number", str: "a text", bool: "a truth value"}
    raise _damaged(path, names.get(wanted, "anything this program knows"))


def _one_of(options: tuple[Any, ...], value: object, path: str) -> object:
    if value is None and type(None) in options:
        return None
    kinds = [option for option in options if option is not type(None)]
    if len(kinds) == 1:
        return _taken(kinds[0], value, path)
    # Of several kinds the one whose form it has; a whole number may stand for a number.
    for kind in kinds:
        if isinstance(kind, type) and type(value) is kind:
            return value
    for kind in kinds:
        try:
            return _taken(kind, value, path)
        except BookDamagedError:
            continue
    raise _damaged(path, "of a form this program knows")


def _tuple(inner: tuple[Any, ...], value: object, path: str) -> tuple[object, ...]:
    if not isinstance(value, list):
        raise _damaged(path, "a list")
    if len(inner) == 2 and inner[1] is Ellipsis:
        return tuple(_taken(inner[0], one, f"{path}[{i}]") for i, one in enumerate(value))
    if len(value) != len(inner):
        raise _damaged(path, f"a list of {len(inner)}")
    return tuple(
        _taken(kind, one, f"{path}[{i}]")
        for i, (kind, one) in enumerate(zip(inner, value, strict=True))
    )


def _dataclass(wanted: Any, value: object, path: str) -> object:
    if not isinstance(value, dict):
        raise _damaged(path, "an object")
    hints = _hints(wanted)
    made = {}
    for field in dataclasses.fields(wanted):
        if not field.init:
            continue
        if field.name in value:
            made[field.name] = _taken(hints[field.name], value[field.name], f"{path}.{field.name}")
        elif field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING:
            raise _damaged(f"{path}.{field.name}", "there")
    return wanted(**made)


def _time(value: object, path: str) -> datetime:
    try:
        return as_utc(datetime.fromisoformat(str(value)))
    except (ValueError, BookError) as error:
        raise _damaged(path, "a time with its zone") from error
