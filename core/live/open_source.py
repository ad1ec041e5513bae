"""A studio's source by its settings: what they mean, and the reader they make."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

from core.errors import LogFileError, RunError
from core.live.events import Source
from core.live.followed_file import FollowedFile
from core.live.register import (
    Coding,
    NetworkLine,
    Register,
    SerialLine,
    Table,
    WordOrder,
)
from core.live.register_reader import RegisterReader
from core.run.live_source import LiveSource, Setting, SourceKind
from core.run.log_file import read_log
from core.run.log_format import LogFormat
from core.units import TemperatureUnit

_Choice = TypeVar("_Choice", bound=StrEnum)

INTERVAL, TIMEOUT = 5.0, 2.0
"""Defaults [s]."""


def file_settings(path: Path, interval: float = 2.0) -> dict[str, Setting]:
    """Settings of a source of kind ``FILE``."""
    return {"path": str(path), "interval": interval}


def register_settings(
    line: NetworkLine | SerialLine,
    register: Register,
    *,
    interval: float = INTERVAL,
    timeout: float = TIMEOUT,
) -> dict[str, Setting]:
    """Settings of a source of kind ``MODBUS_TCP`` or ``MODBUS_SERIAL``."""
    settings: dict[str, Setting] = (
        {"host": line.host, "port": line.port}
        if isinstance(line, NetworkLine)
        else {
            "serial_port": line.port,
            "baud": line.baud,
            "parity": line.parity,
            "stop_bits": line.stop_bits,
        }
    )
    return settings | {
        "address": register.address,
        "unit": register.unit,
        "table": register.table.value,
        "coding": register.coding.value,
        "word_order": register.word_order.value,
        "scale": register.scale,
        "offset": register.offset,
        "temperature_unit": register.temperature_unit.value,
        "interval": interval,
        "timeout": timeout,
    }


def line_of(source: LiveSource) -> NetworkLine | SerialLine:
    """Line of a source that is a register.

    Raises
    ------
    RunError
        If a setting is missing or impossible.
    """
    if source.kind is SourceKind.MODBUS_TCP:
        return NetworkLine(_text(source, "host"), _whole(source, "port", 502))
    return SerialLine(
        _text(source, "serial_port"),
        _whole(source, "baud", 9600),
        _text(source, "parity", "E"),
        _whole(source, "stop_bits", 1),
    )


def register_of(source: LiveSource) -> Register:
    """Register of a source that is one.

    Raises
    ------
    RunError
        If a setting is missing or impossible.
    """
    return Register(
        address=_whole(source, "address"),
        unit=_whole(source, "unit", 1),
        table=_choice(source, "table", Table.HOLDING),
        coding=_choice(source, "coding", Coding.INT16),
        word_order=_choice(source, "word_order", WordOrder.HIGH_FIRST),
        scale=_number(source, "scale", 1.0),
        offset=_number(source, "offset", 0.0),
        temperature_unit=_choice(source, "temperature_unit", TemperatureUnit.CELSIUS),
    )


def open_source(
    source: LiveSource,
    *,
    log_format: LogFormat | None = None,
    start: datetime | None = None,
    after: datetime | None = None,
) -> Source:
    """Make what reads a source.

    Parameters
    ----------
    source : LiveSource
    log_format : LogFormat, optional
        How a file is laid out; found by looking at it when not given, which only does if it
        leaves nothing to ask.
    start, after : datetime, optional
        As for :class:`core.live.followed_file.FollowedFile`.

    Raises
    ------
    RunError
        If a setting is missing or impossible.
    LogFileError
        If a file cannot be read yet, or does not say how.
    """
    if source.kind is SourceKind.FILE:
        path = Path(_text(source, "path"))
        if log_format is None:
            log_format = _format_found(path, start)
        interval = _number(source, "interval", 2.0)
        return FollowedFile(path, log_format, start=start, after=after, interval=interval)
    return RegisterReader(
        line_of(source),
        register_of(source),
        interval=_number(source, "interval", INTERVAL),
        timeout=_number(source, "timeout", TIMEOUT),
        name=source.name,
    )


def _format_found(path: Path, start: datetime | None) -> LogFormat:
    log = read_log(path, start=start, near=start)
    if log.questions:
        raise LogFileError(
            f"“{path.name}” leaves open how it is to be read: {log.questions[0].question}",
            field=log.questions[0].field,
            remedy="Import the file once and answer what is asked; the answers are remembered.",
        )
    return log.format


def _value(source: LiveSource, key: str, default: Setting) -> Setting:
    value = source.settings.get(key, default)
    if value is None or isinstance(value, bool):
        raise _wrong(source, key, value)
    return value


def _wrong(source: LiveSource, key: str, value: Setting) -> RunError:
    shown = "is missing" if value is None else f"cannot be {value!r}"
    return RunError(
        f"The {key.replace('_', ' ')} of the source “{source.name}” {shown}.",
        field=key,
        remedy="Set the source up again.",
    )


def _text(source: LiveSource, key: str, default: str | None = None) -> str:
    value = _value(source, key, default)
    if not isinstance(value, str):
        raise _wrong(source, key, value)
    return value


def _whole(source: LiveSource, key: str, default: int | None = None) -> int:
    value = _number(source, key, default)
    if value != int(value):
        raise _wrong(source, key, value)
    return int(value)


def _number(source: LiveSource, key: str, default: float | None = None) -> float:
    value = _value(source, key, default)
    if isinstance(value, str) or not abs(value or 0.0) < 1e12:
        raise _wrong(source, key, value)
    return float(value or 0.0)


def _choice(source: LiveSource, key: str, default: _Choice) -> _Choice:
    value = _text(source, key, default.value)
    try:
        return type(default)(value)
    except ValueError as error:
        raise _wrong(source, key, value) from error
