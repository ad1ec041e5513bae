"""A furnace's log with its power: from a file in any of the usual hands, or told by somebody."""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from core.errors import LehrkeeperError, LogFileError, RunError
from core.furnace.ledger import FurnaceReading
from core.melt.power_log import PowerStretch, read_power_log, told_log

START = datetime(2026, 11, 20, 18, tzinfo=UTC)
FULL = 14_000.0


def at(hours):
    return START + timedelta(hours=hours)


def reading(hours, celsius):
    return FurnaceReading(at(hours), "F", celsius + 273.15)


COOLING = tuple(reading(h / 2, 1200.0 * np.exp(-h / 40.0)) for h in range(60))


def test_readings_get_the_power_told_for_their_time():
    told = told_log(
        COOLING, [PowerStretch(at(10), at(40), 7000.0), PowerStretch(at(-1), at(10), 0.0)], FULL
    )
    assert told.start == START
    assert told.log.metered
    assert told.log.power[told.log.time < 10 * 3600.0].max() == 0.0
    assert told.log.power[told.log.time >= 10 * 3600.0].min() == pytest.approx(0.5)
    assert told.end == at(29.5)
    # The change of power falls between two readings: it has its own point in time.
    odd = told_log(
        COOLING,
        [PowerStretch(at(-1), at(10.25), 0.0), PowerStretch(at(10.25), at(40), 7000.0)],
        FULL,
    )
    assert 10.25 * 3600.0 in odd.log.time
    assert len(odd.log.time) == 61


@pytest.mark.parametrize(
    ("stretches", "says"),
    [
        ([], "Nothing is told"),
        ([PowerStretch(at(0), at(5), 0.0), PowerStretch(at(6), at(9), 0.0)], "nobody knows"),
        ([PowerStretch(at(0), at(5), 0.0), PowerStretch(at(4), at(9), 0.0)], "overlap"),
        ([PowerStretch(at(100), at(105), 0.0)], "No reading lies"),
        ([PowerStretch(at(0), at(2), 0.0)], "too few"),
    ],
)
def test_power_that_is_not_told_throughout_is_refused(stretches, says):
    with pytest.raises(RunError, match=says):
        told_log(COOLING, stretches, FULL)


def test_a_stretch_backwards_is_refused_at_its_end():
    with pytest.raises(LehrkeeperError) as caught:
        PowerStretch(at(1), at(0), 0.0)
    assert caught.value.field == "end"


def test_a_file_is_read_with_kilowatts_or_percent_and_either_decimal_mark(tmp_path):
    plain, german = tmp_path / "a.csv", tmp_path / "b.csv"
    lines = ["time,temperature_C,power_kW"]
    other = ["time;temperature_C;power_percent"]
    for i in range(30):
        clock = (datetime(2026, 7, 1, 20) + timedelta(minutes=i)).isoformat()  # noqa: DTZ001
        lines.append(f"{clock},{1200 - i}.5,7")
        other.append(f"{clock};{1200 - i},5;50")
    plain.write_text("\n".join(lines), encoding="utf-8")
    german.write_text("\n".join(other) + "\n\n", encoding="utf-8-sig")
    first = read_power_log(plain, FULL, ZoneInfo("Europe/Lisbon"))
    second = read_power_log(german, FULL, ZoneInfo("Europe/Lisbon"))
    # Lisbon is an hour ahead of UTC in July.
    assert first.start == second.start == datetime(2026, 7, 1, 19, tzinfo=UTC)
    for found in (first, second):
        assert found.log.temperature[1] == pytest.approx(1199.5 + 273.15)
        assert found.log.power[1] == pytest.approx(0.5)
        assert found.log.metered


@pytest.mark.parametrize(
    ("text", "says", "line"),
    [
        ("", "empty", None),
        ("when,how hot\n1,2\n", "no columns", 1),
        ("time,temperature_C,power_kW\n2026-11-20T18:00,hot,3\n", "not a time", 2),
        ("time,temperature_C,power_kW\n2026-11-20T18:00,900\n", "not a time", 2),
        (
            "time,temperature_C,power_kW\n2026-11-20T18:00,900,3\n2026-11-20T18:00,901,3\n",
            "order of time",
            3,
        ),
        ("time,temperature_C,power_kW\n", "no readings", None),
    ],
)
def test_a_file_that_is_no_log_says_where(text, says, line, tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(LogFileError, match=says) as caught:
        read_power_log(path, FULL)
    assert caught.value.place.line == line
    assert "log.csv" in str(caught.value)
    with pytest.raises(LogFileError):
        read_power_log(tmp_path / "missing.csv", FULL)
