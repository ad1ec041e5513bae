"""A line to a device on which nothing but questions for registers can leave.

Two locks, one behind the other: :class:`ReadOnlyLine` has a single method that sends, and the
clients under it look at every frame on its way out and let only function codes 3 (read holding
registers) and 4 (read input registers) pass: MODBUS Application Protocol Specification V1.1b3
(2012), sections 6.3 and 6.4.
"""

from __future__ import annotations

import logging
from typing import Any

from pymodbus.client import ModbusSerialClient, ModbusTcpClient
from pymodbus.exceptions import ConnectionException, ModbusException, ModbusIOException
from pymodbus.pdu.register_message import (
    ReadHoldingRegistersResponse,
    ReadInputRegistersResponse,
)

from core.live.register import LineError, NetworkLine, SerialLine, Table

# Every failed try is told by us, once; the library would fill the log all night.
logging.getLogger("pymodbus.logging").setLevel(logging.CRITICAL)

_READ_CODES = frozenset({3, 4})
_NETWORK_HEAD, _SERIAL_HEAD = 7, 1
"""Bytes before the function code: MBAP header, or the number of the device."""
_NETWORK_LENGTH, _SERIAL_LENGTH = 12, 8
"""Bytes of a question for registers."""


class WriteRefusedError(RuntimeError):
    """Something other than a question for registers was to be sent; a defect, never the device."""


def _only_questions(frame: bytes, head: int, length: int) -> bytes:
    if len(frame) != length or frame[head] not in _READ_CODES:
        raise WriteRefusedError("Only questions for registers may be sent to a device.")
    return frame


class _HoldingAnswer(ReadHoldingRegistersResponse):
    """The library reads three bytes as one register; an answer is whole or it is none."""

    def decode(self, data: bytes) -> None:
        super().decode(_whole_registers(data))


class _InputAnswer(ReadInputRegistersResponse):
    def decode(self, data: bytes) -> None:
        super().decode(_whole_registers(data))


def _whole_registers(data: bytes) -> bytes:
    if not data or data[0] % 2 or data[0] != len(data) - 1:
        raise ModbusIOException("The count of bytes is not that of the answer.")
    return data


class _NetworkClient(ModbusTcpClient):
    def send(self, request: bytes, addr: tuple[Any, ...] | None = None) -> int:
        checked = _only_questions(request, _NETWORK_HEAD, _NETWORK_LENGTH)
        return int(super().send(checked, addr))


class _SerialClient(ModbusSerialClient):
    def send(self, request: bytes, addr: tuple[Any, ...] | None = None) -> int:
        checked = _only_questions(request, _SERIAL_HEAD, _SERIAL_LENGTH)
        return int(super().send(checked, addr))


_REFUSALS = {
    1: (
        "The device does not know this kind of question.",
        "Try input instead of holding registers, or the other way round.",
    ),
    2: ("The device has no register at this address.", "Lists often count from 1: try one less."),
    3: ("The device takes the question for a wrong one.", "Try another coding (16 or 32 bits)."),
    4: ("The device reports a fault of its own.", "Look at its display."),
    6: ("The device is busy.", ""),
    10: ("The gateway has no way to the device.", "Check the number of the device."),
    11: ("The gateway gets no answer from the device.", "Check its number, cable and power."),
}
"""By exception code: MODBUS Application Protocol Specification V1.1b3 (2012), section 7."""


class ReadOnlyLine:
    """Reads registers; opens the connection when needed.

    Parameters
    ----------
    line : NetworkLine or SerialLine
    timeout : float
        Longest wait for a connection and for an answer [s].
    """

    def __init__(self, line: NetworkLine | SerialLine, timeout: float = 2.0) -> None:
        self._where = line.name
        self._client: _NetworkClient | _SerialClient
        if isinstance(line, NetworkLine):
            self._client = _NetworkClient(line.host, port=line.port, timeout=timeout, retries=0)
        else:
            self._client = _SerialClient(
                line.port,
                baudrate=line.baud,
                parity=line.parity,
                stopbits=line.stop_bits,
                timeout=timeout,
                retries=0,
            )

        for answer in (_HoldingAnswer, _InputAnswer):
            self._client.register(answer)

    def read(self, table: Table, address: int, count: int, unit: int) -> tuple[int, ...]:
        """Ask for registers.

        Raises
        ------
        LineError
            If they do not come, whatever the reason; the connection is then closed.
        """
        try:
            return self._ask(table, address, count, unit)
        except LineError:
            self.close()
            raise
        except WriteRefusedError:
            self.close()
            raise
        except ConnectionException as error:
            self.close()
            raise LineError(
                f"No connection to {self._where}.", "Check power, cable and address."
            ) from error
        except (ModbusIOException, OSError) as error:
            self.close()
            raise LineError(
                f"No answer from device {unit} at {self._where}.",
                "Check its power and number; it may be busy with another program.",
            ) from error
        except Exception as error:  # a lying device may trip the decoder anywhere
            self.close()
            raise LineError(
                f"The answer of device {unit} at {self._where} makes no sense.",
                "Check the cable, the speed and the parity of the line.",
            ) from error

    def _ask(self, table: Table, address: int, count: int, unit: int) -> tuple[int, ...]:
        ask = (
            self._client.read_holding_registers
            if table is Table.HOLDING
            else self._client.read_input_registers
        )
        answer = ask(address, count=count, device_id=unit)
        if answer.isError():
            code = int(getattr(answer, "exception_code", 0))
            sentence, remedy = _REFUSALS.get(code, (f"The device refuses (code {code}).", ""))
            raise LineError(sentence, remedy)
        registers = tuple(int(word) for word in answer.registers)
        wanted = 3 if table is Table.HOLDING else 4
        if answer.function_code != wanted or len(registers) != count:
            raise LineError(
                f"The device sent {len(registers)} registers where {count} were asked for.",
                "Check the coding, and whether two devices share one number.",
            )
        return registers

    def close(self) -> None:
        """Let go of the connection; the next question opens it again."""
        try:
            self._client.close()  # type: ignore[no-untyped-call]
        except (OSError, ModbusException):
            # Closing a line that is gone; there is nothing left to let go of.
            return
