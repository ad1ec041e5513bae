"""The logs shipped for trying out show what their table says they show."""

from pathlib import Path

import pytest

from core.run.compare import compare
from core.run.log_file import LogImport, read_log
from core.run.log_times import DateOrder
from core.run.unit_check import fahrenheit_suspected
from core.units import ZERO_CELSIUS

FOLDER = Path(__file__).parents[3] / "demo_data"


def read(name: str) -> LogImport:
    return read_log(FOLDER / name, timezone="Europe/Lisbon")


@pytest.mark.parametrize(
    "name", ["decanters_clean.csv", "decanters_noisy.csv", "decanters_power_cut.csv"]
)
def test_sound_logs_are_read_without_a_question(name):
    log = read(name)
    assert (log.problems, log.questions, log.notes) == ((), (), ())
    assert len(log.readings) > 300
    assert ZERO_CELSIUS + 480 < log.readings.temperature.max() < ZERO_CELSIUS + 580


def test_noisy_log_has_the_other_marks():
    found = read("decanters_noisy.csv").format
    assert (found.delimiter, found.decimal_mark, found.encoding) == (";", ",", "cp1252")
    assert found.date_order is DateOrder.DMY


def test_power_cut_leaves_a_gap(plan):
    gaps = compare(plan, read("decanters_power_cut.csv").readings).gaps
    assert len(gaps) == 1
    assert 20 * 60 < gaps[0].duration < 50 * 60
    assert compare(plan, read("decanters_clean.csv").readings).gaps == ()


def test_fahrenheit_log_is_asked_about():
    log = read("decanters_fahrenheit.csv")
    assert [doubt.field for doubt in log.questions] == ["unit"]
    assert fahrenheit_suspected(log.readings, None, "C") is not None
    assert fahrenheit_suspected(read("decanters_clean.csv").readings, None, "C") is None


def test_two_channels_are_offered():
    log = read("decanters_two_channels.txt")
    assert [channel.name for channel in log.channels] == ["Chamber °C", "Shelf °C"]
    assert [doubt.field for doubt in log.questions] == ["temperature_column"]
    assert log.problems == ()


def test_broken_thermocouple_is_named_row_by_row():
    log = read("decanters_broken_thermocouple.csv")
    rows = len((FOLDER / "decanters_broken_thermocouple.csv").read_text("utf-8").splitlines()) - 1
    assert len(log.readings) + len(log.problems) == rows
    words = [problem.message for problem in log.problems]
    for part, count in (
        ("no temperature", 3),
        ("type K", 4),
        ("no thermocouple answered", 2),
        ("same as", 1),
        ("backward", 1),
    ):
        assert sum(part in message for message in words) == count
