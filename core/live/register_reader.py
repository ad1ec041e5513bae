"""Readings from a controller's register, asked for at a steady pace."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime
from typing import Protocol

from core.errors import RunError
from core.live.events import (
    Clock,
    EventKind,
    LiveEvent,
    LiveReading,
    Poll,
    Signal,
    SignalKind,
)
from core.live.register import (
    LineError,
    NetworkLine,
    NoTemperatureError,
    Register,
    SerialLine,
    Table,
    temperature_in,
)

_FIRST_PAUSE, _LONGEST_PAUSE = 1.0, 30.0
"""Pause after a first failure, doubled with each more [s]."""
_TELL_AFTER = 2
"""One answer lost is no news."""


class RegisterLine(Protocol):
    """What reads registers; :class:`core.live.read_only_line.ReadOnlyLine` or a double of it."""

    def read(self, table: Table, address: int, count: int, unit: int) -> tuple[int, ...]:
        """Registers, or LineError."""

    def close(self) -> None:
        """Let go of the connection."""


class RegisterReader:
    """Asks a device for its temperature; fulfils :class:`core.live.events.Source`.

    Parameters
    ----------
    line : NetworkLine or SerialLine
    register : Register
    interval : float
        Between two questions [s], 0.5 to 3600.
    timeout : float
        Longest wait for an answer [s], 0.1 to 10.
    name : str, optional
    opened : callable, optional
        Makes the line, by default a :class:`core.live.read_only_line.ReadOnlyLine`.

    Raises
    ------
    RunError
        If a number is impossible.
    """

    def __init__(
        self,
        line: NetworkLine | SerialLine,
        register: Register,
        *,
        interval: float = 5.0,
        timeout: float = 2.0,
        name: str = "",
        opened: Callable[[NetworkLine | SerialLine, float], RegisterLine] | None = None,
    ) -> None:
        _between("interval", interval, 0.5, 3600.0)
        _between("timeout", timeout, 0.1, 10.0)
        if isinstance(line, SerialLine) and not 1 <= register.unit <= 247:
            raise RunError(
                f"No device on a serial line has the number {register.unit}.",
                field="unit",
                remedy="Use 1 to 247.",
            )
        self._name = name or f"register {register.address} of {line.name}"
        self._register = register
        self._interval = interval
        self._line = (_read_only if opened is None else opened)(line, timeout)
        self._failures = 0
        self._told = False
        self._welcome = True
        self._due = 0.0
        self._signal = Signal()

    @property
    def name(self) -> str:
        """What it is called on screen."""
        return self._name

    @property
    def wait(self) -> float:
        """Seconds until the next question."""
        return max(0.0, self._due - time.monotonic())

    def poll(self, clock: Clock) -> Poll:
        """Ask once; whatever the device does becomes an event."""
        begun = time.monotonic()
        register = self._register
        try:
            words = self._line.read(
                register.table, register.address, register.coding.words, register.unit
            )
        except LineError as error:
            return self._failed(clock.now(), error)
        now = clock.now()
        # A steady pace: the time an answer takes does not add up.
        self._due = max(begun + self._interval, time.monotonic())
        events = self._answered(now)
        try:
            temperature = temperature_in(words, register)
        except NoTemperatureError as error:
            if self._signal.kind is not SignalKind.BROKEN:
                self._signal = Signal(SignalKind.BROKEN, now, str(error))
                events += (
                    LiveEvent(
                        now, EventKind.BROKEN, str(error), "Look at the thermocouple and its plug."
                    ),
                )
            return Poll((), events, self._signal)
        if self._signal.kind is SignalKind.BROKEN:
            events += (
                LiveEvent(
                    now,
                    EventKind.MENDED,
                    "The device sends temperatures again.",
                    since=self._signal.since,
                ),
            )
        if self._signal.kind is not SignalKind.GOOD:
            self._signal = Signal(SignalKind.GOOD, now)
        return Poll((LiveReading(now, temperature),), events, self._signal)

    def _answered(self, now: datetime) -> tuple[LiveEvent, ...]:
        events: tuple[LiveEvent, ...] = ()
        if self._welcome:
            since = self._signal.since
            events = (LiveEvent(now, EventKind.CONNECTED, f"{self._name} answers.", since=since),)
        self._failures, self._told, self._welcome = 0, False, False
        if self._signal.kind is SignalKind.SILENT:
            self._signal = Signal(SignalKind.GOOD, now)
        return events

    def _failed(self, now: datetime, error: LineError) -> Poll:
        self._failures += 1
        pause = min(_LONGEST_PAUSE, _FIRST_PAUSE * 2.0 ** min(self._failures - 1, 10))
        self._due = time.monotonic() + pause
        kind, since = self._signal.kind, self._signal.since
        begun = since if kind is SignalKind.SILENT else now
        self._signal = Signal(SignalKind.SILENT, begun, error.sentence)
        if self._told or self._failures < _TELL_AFTER:
            return Poll((), (), self._signal)
        self._told = self._welcome = True
        lost = LiveEvent(now, EventKind.LOST, error.sentence, error.remedy, since=begun)
        return Poll((), (lost,), self._signal)

    def close(self) -> None:
        """Let go of the connection."""
        self._line.close()


def _read_only(line: NetworkLine | SerialLine, timeout: float) -> RegisterLine:
    # Only who reads a device waits for the library to load.
    from core.live.read_only_line import ReadOnlyLine  # noqa: PLC0415

    return ReadOnlyLine(line, timeout)


def _between(field: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        raise RunError(
            f"{value:g} s is not possible for the {field}.",
            field=field,
            remedy=f"Use {low:g} to {high:g} s.",
        )
