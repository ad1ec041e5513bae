"""Settings of a source make the reader they came from."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import LogFileError, RunError
from core.live.followed_file import FollowedFile
from core.live.open_source import (
    file_settings,
    line_of,
    open_source,
    register_of,
    register_settings,
)
from core.live.register import Coding, NetworkLine, Register, SerialLine, Table, WordOrder
from core.live.register_reader import RegisterReader
from core.run.live_source import LiveSource, SourceKind
from core.units import TemperatureUnit


@given(
    st.builds(
        Register,
        address=st.integers(0, 65534),
        unit=st.integers(1, 247),
        table=st.sampled_from(Table),
        coding=st.sampled_from(Coding),
        word_order=st.sampled_from(WordOrder),
        scale=st.floats(1e-3, 1e3),
        offset=st.floats(-1e3, 1e3),
        temperature_unit=st.sampled_from(TemperatureUnit),
    ),
    st.one_of(
        st.builds(NetworkLine, st.just("192.0.2.7"), st.integers(1, 65535)),
        st.builds(SerialLine, st.just("COM3"), st.sampled_from([9600, 19200])),
    ),
)
def test_a_register_is_found_again_in_its_settings(register, line):
    kind = SourceKind.MODBUS_TCP if isinstance(line, NetworkLine) else SourceKind.MODBUS_SERIAL
    source = LiveSource("lehr", "long lehr", kind, register_settings(line, register))
    assert register_of(source) == register
    assert line_of(source) == line


def test_readers_of_each_kind(tmp_path):
    path = tmp_path / "lehr.csv"
    path.write_text("time,lehr °C\n2026-11-24 17:30:00,520\n2026-11-24 17:31:00,521\n", "utf-8")
    file = LiveSource("logger", "long lehr", SourceKind.FILE, file_settings(path))
    assert isinstance(open_source(file), FollowedFile)
    settings = register_settings(NetworkLine("192.0.2.7"), Register(4))
    device = open_source(LiveSource("controller", "lehr", SourceKind.MODBUS_TCP, settings))
    assert isinstance(device, RegisterReader)
    assert device.name == "controller"


def test_a_file_that_leaves_its_unit_open_is_not_followed_on_a_guess(tmp_path):
    path = tmp_path / "lehr.csv"
    path.write_text("time,lehr\n2026-11-24 17:30:00,520\n2026-11-24 17:31:00,521\n", "utf-8")
    source = LiveSource("logger", "long lehr", SourceKind.FILE, file_settings(path))
    with pytest.raises(LogFileError, match="°C or °F") as caught:
        open_source(source, start=datetime(2026, 11, 24, tzinfo=UTC))
    assert caught.value.field == "unit"


@pytest.mark.parametrize(
    ("kind", "settings", "field"),
    [
        (SourceKind.FILE, {}, "path"),
        (SourceKind.MODBUS_TCP, {"address": 1}, "host"),
        (SourceKind.MODBUS_TCP, {"host": "lehr"}, "address"),
        (SourceKind.MODBUS_TCP, {"host": "lehr", "address": 1.5}, "address"),
        (SourceKind.MODBUS_TCP, {"host": "lehr", "address": 1, "coding": "int7"}, "coding"),
        (SourceKind.MODBUS_TCP, {"host": "lehr", "address": 1, "scale": "x"}, "scale"),
        (SourceKind.MODBUS_TCP, {"host": "lehr", "address": True}, "address"),
        (SourceKind.MODBUS_SERIAL, {"serial_port": "COM3", "address": 1, "baud": 1}, "baud"),
    ],
)
def test_damaged_settings_are_named(kind, settings, field):
    with pytest.raises(RunError) as caught:
        open_source(LiveSource("x", "lehr", kind, settings))
    assert caught.value.field == field
