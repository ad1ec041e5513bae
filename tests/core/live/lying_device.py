"""A device for the tests, a process of its own: a Modbus server that lies as it is told.

``python lying_device.py tcp PORT FOLDER`` or ``python lying_device.py serial PATH FOLDER``. Each
request's function code is added to FOLDER/asked; FOLDER/mode says what to answer: a number, or
``stall``, ``refuse N``, ``short``, ``odd``, ``garbage``, ``other unit``.
"""

import asyncio
import sys
from pathlib import Path

from pymodbus import FramerType
from pymodbus.constants import ExcCodes
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

kind, where, folder = sys.argv[1], sys.argv[2], Path(sys.argv[3])


def mode():
    return (folder / "mode").read_text().strip()


async def act(function_code, start, address, count, registers, set_values):
    said = mode()
    if said == "stall":
        await asyncio.sleep(3600)
    if said.startswith("refuse"):
        return ExcCodes(int(said.split()[1]))
    if said.lstrip("-").isdigit():
        value = int(said)
        words = [(value >> 16) & 0xFFFF, value & 0xFFFF]
        # Input registers tell one more, so that the two tables can be told apart.
        words[1] = (words[1] + (1 if function_code == 4 else 0)) & 0xFFFF
        for i in range(count):
            registers[address - start + i] = words[1] if count == 1 else words[i]
    return None


def trace_pdu(sending, pdu):
    if not sending:
        with (folder / "asked").open("a") as stream:
            stream.write(f"{pdu.function_code}\n")
    return pdu


def trace_packet(sending, data):
    if not sending:
        return data
    said = mode()
    head = 7 if kind == "tcp" else 1
    if said == "short":  # fewer registers than asked for, soundly framed
        return data[:4] + b"\x00\x03" + data[6:8] + b"\x00" if kind == "tcp" else data[:-2]
    if said == "odd":  # three bytes, where registers have two
        return data[:4] + b"\x00\x06" + data[6:8] + b"\x03\x01\x02\x03"
    if said == "garbage":
        return bytes(range(200, 200 + len(data)))
    if said == "other unit":
        return data[: head - 1] + bytes([99]) + data[head:]
    return data


async def serve():
    device = SimDevice(
        id=0,
        simdata=[SimData(0, count=200, values=0, datatype=DataType.REGISTERS)],
        action=act,
    )
    more = {"trace_pdu": trace_pdu, "trace_packet": trace_packet}
    if kind == "tcp":
        server = ModbusTcpServer(device, address=("127.0.0.1", int(where)), **more)
    else:
        server = ModbusSerialServer(
            device, port=where, framer=FramerType.RTU, baudrate=9600, parity="N", **more
        )
    await server.serve_forever(background=True)
    (folder / "ready").write_text("yes")
    await asyncio.sleep(3600)


asyncio.run(serve())
