"""What registers mean, against Python's struct (IEEE 754, big endian as Modbus sends it)."""

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import RunError
from core.live.register import (
    Coding,
    NetworkLine,
    NoTemperatureError,
    Register,
    SerialLine,
    WordOrder,
    temperature_in,
)
from core.live.register_reader import RegisterReader
from core.units import TemperatureUnit, kelvin_from


def words(layout, value):
    raw = struct.pack(layout, value)
    return [int.from_bytes(raw[i : i + 2], "big") for i in range(0, len(raw), 2)]


LAYOUTS = {
    Coding.INT16: ">h", Coding.UINT16: ">H", Coding.INT32: ">i", Coding.UINT32: ">I",
    Coding.FLOAT32: ">f",
}  # fmt: skip


@given(
    coding=st.sampled_from(list(Coding)), order=st.sampled_from(list(WordOrder)),
    value=st.integers(0, 1200), fahrenheit=st.booleans(),
)  # fmt: skip
def test_every_coding_and_order(coding, order, value, fahrenheit):
    sent = words(LAYOUTS[coding], value)
    if order is WordOrder.LOW_FIRST:
        sent.reverse()
    unit = TemperatureUnit.FAHRENHEIT if fahrenheit else TemperatureUnit.CELSIUS
    register = Register(0, coding=coding, word_order=order, temperature_unit=unit)
    try:
        got = temperature_in(sent, register)
    except NoTemperatureError:
        assert value == 999  # a filler of three-digit displays
        return
    assert got == pytest.approx(kelvin_from(float(value), unit))


def test_tenths_below_nought_and_an_offset():
    assert temperature_in([0xFFCE], Register(0, scale=0.1)) == pytest.approx(kelvin_from(-5.0))
    shifted = Register(0, coding=Coding.UINT16, scale=0.1, offset=-100.0)
    assert temperature_in([6251], shifted) == pytest.approx(kelvin_from(525.1))


@pytest.mark.parametrize(
    ("sent", "register"),
    [
        (words(">f", float("nan")), Register(0, coding=Coding.FLOAT32)),
        (words(">f", float("inf")), Register(0, coding=Coding.FLOAT32)),
        (words(">f", 1e30), Register(0, coding=Coding.FLOAT32)),
        ([0x7FFF], Register(0, scale=0.01)),  # 327.67 °C would be believed
        ([0xFFFF], Register(0, coding=Coding.UINT16, scale=0.01)),
        ([1372], Register(0)),
        ([2502], Register(0, temperature_unit=TemperatureUnit.FAHRENHEIT)),
    ],
)
def test_what_is_no_temperature(sent, register):
    with pytest.raises(NoTemperatureError):
        temperature_in(sent, register)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Register(-1),
        lambda: Register(65535, coding=Coding.FLOAT32),
        lambda: Register(0, unit=300),
        lambda: Register(0, scale=0.0),
        lambda: Register(0, scale=float("nan")),
        lambda: Register(0, offset=float("inf")),
        lambda: NetworkLine(" "),
        lambda: NetworkLine("lehr", 0),
        lambda: SerialLine(""),
        lambda: SerialLine("COM3", parity="even"),
        lambda: RegisterReader(SerialLine("COM3"), Register(0, unit=0)),
        lambda: RegisterReader(NetworkLine("lehr"), Register(0), interval=0.1),
    ],
)
def test_impossible_settings_are_refused_with_their_field(make):
    with pytest.raises(RunError) as caught:
        make()
    assert caught.value.field
    assert caught.value.remedy
