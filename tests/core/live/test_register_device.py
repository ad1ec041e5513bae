"""Reading a register of a real server process on this machine, which dies, stalls and lies.

Answers are checked against the server's own record of what it was asked. Protocol: MODBUS
Application Protocol Specification V1.1b3 (2012).
"""

import inspect
import os
import socket
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime
from pathlib import Path

import pytest
from pymodbus.client.mixin import ModbusClientMixin

from core.live import read_only_line
from core.live.events import EventKind, SignalKind
from core.live.read_only_line import LineError, ReadOnlyLine, WriteRefusedError
from core.live.register import Coding, NetworkLine, Register, SerialLine, Table
from core.live.register_reader import RegisterReader
from core.units import kelvin_from

SCRIPT = Path(__file__).parent / "lying_device.py"
QUICK = 0.5
"""Timeout of the tests [s]."""


class Present:
    def now(self):
        return datetime.now(UTC)


class Device:
    def __init__(self, kind, where, folder):
        self.arguments, self.folder = [kind, str(where), str(folder)], folder
        self.process = None
        self.say("5251")
        self.begin()

    def say(self, mode):
        part = self.folder / "mode.part"
        part.write_text(mode)
        part.replace(self.folder / "mode")

    def begin(self):
        (self.folder / "ready").unlink(missing_ok=True)
        self.process = subprocess.Popen([sys.executable, str(SCRIPT), *self.arguments])
        until = time.monotonic() + 20.0
        while not (self.folder / "ready").exists():
            assert self.process.poll() is None, "the server ended"
            assert time.monotonic() < until, "the server does not begin"
            time.sleep(0.02)

    def kill(self):
        self.process.kill()
        self.process.wait()

    def asked(self):
        return {int(line) for line in (self.folder / "asked").read_text().split()}


@pytest.fixture(scope="module")
def device(tmp_path_factory):
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    one = Device("tcp", port, tmp_path_factory.mktemp("device"))
    yield one
    one.kill()
    # Whatever the tests did: reads, and nothing else, ever came.
    assert one.asked() <= {3, 4}


@pytest.fixture
def line(device):
    device.say("5251")
    return NetworkLine("127.0.0.1", int(device.arguments[1]))


def reader_of(line, *, timeout=QUICK, **register):
    settings = {"address": 10, "scale": 0.1} | register
    return RegisterReader(line, Register(**settings), interval=0.5, timeout=timeout, name="lehr")


@pytest.mark.parametrize(("table", "celsius"), [(Table.HOLDING, 525.1), (Table.INPUT, 525.2)])
def test_a_register_becomes_a_reading_stamped_now(line, table, celsius):
    reader = reader_of(line, table=table)
    before = datetime.now(UTC)
    poll = reader.poll(Present())
    (reading,) = poll.readings
    assert reading.temperature == pytest.approx(kelvin_from(celsius))
    assert before <= reading.time <= datetime.now(UTC)
    assert [event.kind for event in poll.events] == [EventKind.CONNECTED]
    assert poll.signal.kind is SignalKind.GOOD
    assert 0.0 < reader.wait <= 0.5
    reader.close()


def test_two_registers(device, line):
    device.say(str(525123))
    reader = reader_of(line, coding=Coding.INT32, scale=0.001)
    assert reader.poll(Present()).readings[0].temperature == pytest.approx(kelvin_from(525.123))
    reader.close()


@pytest.mark.parametrize(
    ("mode", "word"),
    [
        ("refuse 2", "no register at this address"),
        ("refuse 1", "does not know this kind"),
        ("refuse 11", "gateway gets no answer"),
        ("short", ""),
        ("odd", ""),
        ("garbage", ""),
        ("other unit", ""),
        ("stall", "No answer from device 1"),
    ],
)
def test_lies_become_events_and_no_reading(device, line, mode, word):
    reader = reader_of(line)
    assert len(reader.poll(Present()).readings) == 1
    device.say(mode)
    begun = time.monotonic()
    first, second = reader.poll(Present()), reader.poll(Present())
    assert time.monotonic() - begun < 4 * QUICK + 1.0
    assert first.readings == second.readings == ()
    assert first.events == ()  # one answer lost is no news
    (lost,) = second.events
    assert lost.kind is EventKind.LOST
    assert word in lost.sentence
    assert second.signal.kind is SignalKind.SILENT
    assert reader.poll(Present()).events == ()  # told once
    device.say("5301")
    again = reader.poll(Present())
    assert again.readings[0].temperature == pytest.approx(kelvin_from(530.1))
    assert [event.kind for event in again.events] == [EventKind.CONNECTED]
    assert again.events[0].since == lost.since
    reader.close()


def test_a_killed_device_is_found_again_when_it_is_back(device, line):
    reader = reader_of(line)
    assert reader.poll(Present()).readings
    device.kill()
    pauses = []
    kinds = []
    for _ in range(4):
        poll = reader.poll(Present())
        pauses.append(reader.wait)
        kinds += [event.kind for event in poll.events]
        assert poll.readings == ()
    assert kinds == [EventKind.LOST]
    assert pauses == pytest.approx([1.0, 2.0, 4.0, 8.0], abs=0.1)
    device.begin()
    poll = reader.poll(Present())
    assert len(poll.readings) == 1
    assert [event.kind for event in poll.events] == [EventKind.CONNECTED]
    reader.close()


@pytest.mark.parametrize("mode", ["32767", "-32768", "-9999", "13720"])
def test_no_thermocouple(device, line, mode):
    reader = reader_of(line)
    reader.poll(Present())
    device.say(mode)
    poll = reader.poll(Present())
    assert poll.readings == ()
    assert [event.kind for event in poll.events] == [EventKind.BROKEN]
    assert poll.signal.kind is SignalKind.BROKEN
    assert reader.poll(Present()).events == ()
    device.say("5251")
    mended = reader.poll(Present())
    assert [event.kind for event in mended.events] == [EventKind.MENDED]
    assert mended.readings
    reader.close()


def test_not_a_number_in_floating_point(device, line):
    device.say(str(0x7FC00000))
    reader = reader_of(line, coding=Coding.FLOAT32, scale=1.0)
    poll = reader.poll(Present())
    assert poll.readings == ()
    assert "NaN" in poll.signal.sentence
    reader.close()


def test_a_second_program_s_late_answers_are_not_taken_for_ours(device, line):
    # Answers that come after their time carry the number of their own question.
    reader = reader_of(line)
    device.say("stall")
    assert reader.poll(Present()).readings == ()
    device.say("5333")
    assert reader.poll(Present()).readings[0].temperature == pytest.approx(kelvin_from(533.3))
    reader.close()


# -- nothing is ever written -----------------------------------------------------------------


WRITES = sorted(
    name
    for name, _ in inspect.getmembers(ModbusClientMixin, inspect.isfunction)
    if not name.startswith(("_", "convert", "execute", "read_holding", "read_input"))
)
ARGUMENTS = {
    "address": 1, "value": 1, "values": [1], "records": [], "record": None, "and_mask": 1,
    "or_mask": 1, "data": b"\0\0", "msg": b"x", "read_address": 1, "write_address": 1,
    "read_count": 1, "toggle": True,
}  # fmt: skip


LEFT_OUT = {"read_count", "values"}
"""Arguments without which the library itself would refuse."""


@pytest.mark.parametrize("name", WRITES)
def test_no_other_question_leaves_the_client_even_when_asked_for(device, line, name):
    before = (device.folder / "asked").read_text()
    client = ReadOnlyLine(line, QUICK)._client
    client.connect()
    method = getattr(client, name)
    given = {
        key: ARGUMENTS[key]
        for key, one in inspect.signature(method).parameters.items()
        if key in ARGUMENTS and (one.default is inspect.Parameter.empty or key in LEFT_OUT)
    }
    try:
        with pytest.raises(WriteRefusedError):
            method(**given)
    finally:
        client.close()
    time.sleep(0.02)
    assert (device.folder / "asked").read_text() == before


def test_writes_are_among_those_tried():
    assert {"write_register", "write_registers", "write_coil", "write_coils",
            "mask_write_register", "readwrite_registers"} <= set(WRITES)  # fmt: skip


def test_our_own_classes_offer_nothing_but_reading():
    public = {name for name in dir(ReadOnlyLine) if not name.startswith("_")}
    assert public == {"read", "close"}
    offered = {name for name in dir(RegisterReader) if not name.startswith("_")}
    assert offered == {"name", "wait", "poll", "close"}
    code = Path(read_only_line.__file__).read_text(encoding="utf-8")
    assert ".write" not in code


# -- a serial line ---------------------------------------------------------------------------


def _carry(source, target):
    while True:
        try:
            data = os.read(source, 256)
        except OSError:
            return
        if not data:
            return
        os.write(target, data)


@pytest.mark.skipif(not hasattr(os, "openpty"), reason="no pseudo-terminals here")
def test_a_serial_line(tmp_path):
    ends = [os.openpty(), os.openpty()]
    (ours, our_slave), (theirs, their_slave) = ends
    for pair in ((ours, theirs), (theirs, ours)):
        threading.Thread(target=_carry, args=pair, daemon=True).start()
    device = Device("serial", os.ttyname(their_slave), tmp_path)
    reader = RegisterReader(
        SerialLine(os.ttyname(our_slave), parity="N"),
        Register(10, scale=0.1),
        interval=0.5,
        timeout=1.0,
    )
    try:
        poll = reader.poll(Present())
        assert [round(one.temperature, 2) for one in poll.readings] == [798.25]
        device.say("stall")
        assert reader.poll(Present()).readings == ()
        with pytest.raises(WriteRefusedError):
            reader._line._client.write_register(1, 1, device_id=1)
        device.kill()
        assert reader.poll(Present()).signal.kind is SignalKind.SILENT
        device.say("5301")
        device.begin()
        assert round(reader.poll(Present()).readings[0].temperature, 2) == 803.25
        assert device.asked() == {3}
    finally:
        reader.close()
        device.kill()
        for end in (our_slave, their_slave, ours, theirs):
            os.close(end)


def test_a_port_that_is_not_there():
    line = ReadOnlyLine(SerialLine("/dev/no-such-port"), QUICK)
    with pytest.raises(LineError, match="No connection"):
        line.read(Table.HOLDING, 0, 1, 1)
