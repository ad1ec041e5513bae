"""Rows read many at a time are read exactly as one by one."""

import re
import time
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.run.log_bytes import read_numbers
from core.run.log_file import read_log
from core.run.log_format import LapseUnit, LogFormat, LogUnit, TimeKind
from core.run.log_lines import Lines
from core.run.log_order import longest_rising, rising_rows
from core.run.log_rows_at_once import nothing_regular, read_regular
from core.run.log_times import DateOrder

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)


@given(
    st.lists(
        st.one_of(
            st.floats(-500, 5000).map(lambda v: f"{v:.3f}"),
            st.integers(-(10**14), 10**14).map(str),
            st.sampled_from(["", ".", "-", "+.5", "5.", "1e3", "nan", "0x1", "1_0", "٣", "12,5"]),
        ),
        min_size=1,
        max_size=40,
    )
)
def test_numbers_are_those_of_float(cells):
    text = "\n".join(cells)
    lines = Lines(text)
    value, read = read_numbers(
        lines.buffer, lines.start, lines.end, ".", np.ones(len(lines), dtype=bool)
    )
    plain = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)", re.ASCII)
    for i, cell in enumerate(cells):
        assert read[i] == (plain.fullmatch(cell) is not None)
        assert not read[i] or value[i] == float(cell)


FORMS = [
    ("%Y-%m-%d %H:%M:%S", 0.0, LogFormat(timezone="UTC")),
    ("%Y-%m-%dT%H:%M:%S.250Z", 0.25, LogFormat()),
    ("%Y-%m-%d %H:%M:%S+0130", -5400.0, LogFormat()),
    ("%d.%m.%Y %H:%M:%S", 0.0, LogFormat(date_order=DateOrder.DMY, timezone="Europe/Lisbon")),
    ("%m/%d/%y %I:%M:%S %p", 0.0, LogFormat(date_order=DateOrder.MDY, timezone="UTC")),
    ("%d %b %Y %H:%M", 0.0, LogFormat(date_order=DateOrder.DMY, timezone="UTC")),
    ("%H:%M:%S", 0.0, LogFormat(time_kind=TimeKind.CLOCK, timezone="UTC")),
]


@pytest.mark.parametrize(("form", "shift", "log_format"), FORMS)
def test_usual_forms_of_time_are_read_together(form, shift, log_format):
    moments = [START + timedelta(seconds=97 * i) for i in range(900)]
    text = "time,T\n" + "\n".join(f"{m:{form}},{500 + i / 10:.1f}" for i, m in enumerate(moments))
    lines = Lines(text)
    found = read_regular(lines, 1, len(lines), log_format, {})
    assert found.read.all()
    assert np.allclose(found.temperature, 500 + np.arange(900) / 10)
    log = read_log(text.encode(), log_format, start=START)
    expected = np.array([m.timestamp() for m in moments]) + shift
    if "%S" not in form:
        expected -= expected % 60
    assert np.array_equal(log.readings.time, expected)


@pytest.mark.parametrize(
    ("cell", "unit", "seconds"),
    [("{:.1f}", LapseUnit.MINUTES, 60.0), ("{:.0f}", LapseUnit.SECONDS, 1.0)],
)
def test_elapsed_numbers(cell, unit, seconds):
    log_format = LogFormat(time_kind=TimeKind.ELAPSED, lapse_unit=unit)
    text = "t,T\n" + "\n".join(f"{cell.format(i)},{20 + i / 10:.1f}" for i in range(500))
    lines = Lines(text)
    assert read_regular(lines, 1, len(lines), log_format, {}).read.all()
    log = read_log(text.encode(), log_format, start=START)
    assert np.array_equal(log.readings.time, START.timestamp() + seconds * np.arange(500.0))


def test_what_needs_a_second_look_is_left_for_it():
    rows = [
        "2026-11-24 17:30:00,520.0",  # read
        "2026-11-24 17:30:01,999",  # a filler, or a temperature
        "2026-11-24 17:30:02,1372",  # the top of type K
        "2026-11-24 17:30:03,1.024",  # with a thousands mark?
        "2026-11-24 24:30:04,520.0",
        "2026-02-30 17:30:05,520.0",
        '2026-11-24 17:30:06,"520".0',
        "#2026-11-24 17:30:07,520.0",
        "2026-11-24 17:30:08,520.0,",
        "2026-11-24 17:30:09,-999.9",
        "2026-11-24 17:30:10,",
        "2026-11-24 17:30:11,+20.5",  # read
    ]
    lines = Lines("\n".join(rows))
    found = read_regular(lines, 0, len(lines), LogFormat(timezone="UTC"), {})
    assert found.read.tolist() == [True] + [False] * 10 + [True]


def test_fahrenheit_fillers_and_range_ends():
    cells = ["977.0", "999", "2501.6", "2502", "-99.9", "9999"]
    lines = Lines("\n".join(f"2026-11-24 17:30:0{i},{cell}" for i, cell in enumerate(cells)))
    found = read_regular(lines, 0, len(lines), LogFormat(unit=LogUnit.FAHRENHEIT), {})
    assert found.read.tolist() == [True] + [False] * 5


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.one_of(st.integers(0, 30).map(float), st.just(float("nan"))), max_size=40),
    st.integers(0, 3),
)
def test_the_longest_rising_run_is_found_in_stretches(times, sorted_ends):
    # Long sorted parts at both ends, as in a log with a few rows out of order.
    array = np.array([-5.0 + i for i in range(sorted_ends)] + times + [40.0 + i for i in range(3)])
    assert rising_rows(array).tolist() == longest_rising(array.tolist())


def test_reading_together_is_several_times_faster(monkeypatch):
    text = "time,T C,S C\n" + "".join(
        f"{START + timedelta(seconds=i):%Y-%m-%d %H:%M:%S},{500 + i % 300 / 10:.1f},511.5\n"
        for i in range(20_000)
    )
    data = text.encode()

    def spent():
        begun = time.process_time()
        assert len(read_log(data, timezone="UTC").readings) == 20_000
        return time.process_time() - begun

    together = min(spent() for _ in range(3))
    monkeypatch.setattr(
        "core.run.log_rows.read_regular",
        lambda _, first, last, *more: nothing_regular(last - first),
    )
    assert spent() > 3.0 * together


def test_quotes_between_blanks_are_left_for_one_by_one():
    lines = Lines('"2026-11-24" "17:30:00" 520.0\n2026-11-24 17:30:01 520.0')
    log_format = LogFormat(delimiter=" ", time_columns=(0, 1), temperature_column=2)
    assert read_regular(lines, 0, 2, log_format, {}).read.tolist() == [False, True]


def test_times_as_long_as_others_are_not_read_by_their_shape():
    rows = ["04/16/2026 12:02 AM,520.5", "04/16/2026 12:00:24,520.5", "04/16/2026 01:03 PM,520.5"]
    log = read_log(
        "\n".join(rows).encode(),
        LogFormat(date_order=DateOrder.MDY, header_lines=0, timezone="UTC"),
    )
    clocks = [datetime.fromtimestamp(t, UTC).strftime("%H:%M:%S") for t in log.readings.time]
    assert clocks == ["00:02:00", "12:00:24", "13:03:00"]
