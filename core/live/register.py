"""A temperature in the registers of a controller: where it stands and how it is coded."""

from __future__ import annotations

import math
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from core.equipment.thermocouple import break_reason
from core.errors import RunError
from core.units import TemperatureUnit, kelvin_from


class Table(StrEnum):
    """Which of a device's tables of registers; read by function code 3 and 4."""

    HOLDING = "holding registers"
    INPUT = "input registers"


class Coding(StrEnum):
    """How a number is coded."""

    INT16 = "int16"
    UINT16 = "uint16"
    INT32 = "int32"
    UINT32 = "uint32"
    FLOAT32 = "float32"

    @property
    def words(self) -> int:
        """Registers it takes."""
        return 1 if self in (Coding.INT16, Coding.UINT16) else 2


class WordOrder(StrEnum):
    """Which of two registers comes first."""

    HIGH_FIRST = "high word first"
    LOW_FIRST = "low word first"


@dataclass(frozen=True)
class NetworkLine:
    """A device reached over the network; ``host`` is its name or address."""

    host: str
    port: int = 502

    def __post_init__(self) -> None:
        if not self.host.strip():
            raise RunError("The device has no address.", field="host", remedy="Type it.")
        _whole("port", self.port, 1, 65535)

    @property
    def name(self) -> str:
        """As shown."""
        return f"{self.host}:{self.port}"


@dataclass(frozen=True)
class SerialLine:
    """A device on a serial line; parity ``"N"``, ``"E"`` or ``"O"``."""

    port: str
    baud: int = 9600
    parity: str = "E"
    stop_bits: int = 1

    def __post_init__(self) -> None:
        if not self.port.strip():
            raise RunError("No serial port was chosen.", field="port", remedy="Choose one.")
        _whole("baud", self.baud, 300, 1_000_000)
        _whole("stop_bits", self.stop_bits, 1, 2)
        if self.parity not in ("N", "E", "O"):
            raise RunError(
                f"“{self.parity}” is no parity.", field="parity", remedy="Use none, even or odd."
            )

    @property
    def name(self) -> str:
        """As shown."""
        return self.port


@dataclass(frozen=True)
class Register:
    """Where a temperature stands and what its number means.

    The temperature in ``temperature_unit`` is ``scale`` times the number, plus ``offset``.

    Attributes
    ----------
    address : int
        As sent on the line, from 0: the register that lists call 40001 or 30001 is 0.
    unit : int
        Number of the device on its line, 1 to 247; 0 or 255 too for one alone on a network.
    table : Table
    coding : Coding
    word_order : WordOrder
    scale, offset : float
    temperature_unit : TemperatureUnit
    """

    address: int
    unit: int = 1
    table: Table = Table.HOLDING
    coding: Coding = Coding.INT16
    word_order: WordOrder = WordOrder.HIGH_FIRST
    scale: float = 1.0
    offset: float = 0.0
    temperature_unit: TemperatureUnit = TemperatureUnit.CELSIUS

    def __post_init__(self) -> None:
        _whole("address", self.address, 0, 65536 - self.coding.words)
        _whole("unit", self.unit, 0, 255)
        if not (math.isfinite(self.scale) and 1e-6 <= abs(self.scale) <= 1e6):
            raise RunError(
                f"A scale of {self.scale:g} is not possible.",
                field="scale",
                remedy="Use 0.1 where the device sends tenths of a degree.",
            )
        if not (math.isfinite(self.offset) and abs(self.offset) <= 1e4):
            raise RunError(
                f"An offset of {self.offset:g} is not possible.",
                field="offset",
                remedy="Use 0 unless the device's list says otherwise.",
            )


class LineError(Exception):
    """Why no registers came, as a sentence; told as an event, never shown as an error."""

    def __init__(self, sentence: str, remedy: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.remedy = remedy


class NoTemperatureError(Exception):
    """The number is none of a lehr's temperature; told as an event, never shown as an error."""


_FULL = {
    Coding.INT16: frozenset({32767, -32768}),
    Coding.UINT16: frozenset({65535, 32767}),
    Coding.INT32: frozenset({2147483647, -2147483648}),
    Coding.UINT32: frozenset({4294967295, 2147483647}),
    Coding.FLOAT32: frozenset[int](),
}
"""Devices fill the register when no thermocouple answers; common practice, no source."""

_FORMATS = {
    Coding.INT16: ">h",
    Coding.UINT16: ">H",
    Coding.INT32: ">i",
    Coding.UINT32: ">I",
    Coding.FLOAT32: ">f",
}


def temperature_in(registers: Sequence[int], register: Register) -> float:
    """Temperature [K] coded in the registers that were read.

    Raises
    ------
    NoTemperatureError
        If it is not a number, a full register, or no temperature of a lehr.

    References
    ----------
    Each register is sent high byte first: MODBUS Application Protocol Specification V1.1b3
    (2012), section 4.2. The order of two registers is the device's own; float32 is IEEE 754.
    """
    words = list(registers)
    if register.word_order is WordOrder.LOW_FIRST:
        words.reverse()
    raw = struct.pack(f">{len(words)}H", *words)
    number = struct.unpack(_FORMATS[register.coding], raw)[0]
    if not math.isfinite(number):
        raise NoTemperatureError("The device says that it has no number (NaN).")
    if number in _FULL[register.coding]:
        raise NoTemperatureError(
            f"The device sends {number}, a full register: no thermocouple answers."
        )
    value = float(number) * register.scale + register.offset
    symbol = register.temperature_unit.symbol
    reason = break_reason(round(value, 6), register.temperature_unit.value)
    if reason is not None:
        raise NoTemperatureError(f"The device sends {value:.6g} {symbol}: {reason}.")
    return kelvin_from(value, register.temperature_unit)


def _whole(field: str, value: int, low: int, high: int) -> None:
    if not (isinstance(value, int) and low <= value <= high):
        raise RunError(
            f"{value} is not possible for {field.replace('_', ' ')}.",
            field=field,
            remedy=f"Use {low} to {high}.",
        )
