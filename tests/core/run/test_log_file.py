"""Reading loggers' files: good rows kept, bad ones named by line and column."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from core.errors import LogFileError
from core.run.log_cells import LARGEST_FILE
from core.run.log_file import read_log
from core.run.log_format import LogUnit
from core.units import ZERO_CELSIUS, kelvin_from

HEADER = "time,temperature (°C)\n"


def read(text, **options):
    options.setdefault("timezone", "UTC")
    return read_log(text.encode(), file_name="night.csv", **options)


def minutes(*cells, first=30):
    """Rows a minute apart from 17:30 with these temperature cells."""
    return HEADER + "".join(
        f"2026-11-24T17:{first + i:02d}:00,{cell}\n" for i, cell in enumerate(cells)
    )


def at(hour, minute, day=24, month=11):
    return datetime(2026, month, day, hour, minute, tzinfo=UTC).timestamp()


def test_good_rows_become_utc_seconds_and_kelvin():
    log = read(minutes("520.5", "519", "-1.5e1"))
    assert log.readings.time.tolist() == [at(17, 30), at(17, 31), at(17, 32)]
    assert log.readings.temperature == pytest.approx([793.65, 792.15, 258.15])
    assert (log.problems, log.notes, log.questions) == ((), (), ())


@pytest.mark.parametrize(
    ("cell", "words"),
    [
        ("", "no temperature"),
        ("   ", "no temperature"),
        ("OPEN", "no thermocouple answered"),
        ("----", "no thermocouple answered"),
        ("Err 3", "no thermocouple answered"),
        ("warm", "is text"),
        ("5O2", "is text"),
        ("１２", "is text"),
        ("1_0", "is text"),
        ("nan", "not a number"),
        ("-inf", "not a number"),
        ("1e400", "is text"),
        ('"520,5"', "decimal comma"),
        ("1372", "top of the type K range"),
        ("-200", "foot of the thermocouple range"),
        ("9999", "filler"),
        ("999.9", "filler"),
        ("32767", "filler"),
        ('"1,024"', "decimal comma"),
        ('"1,024.5"', "thousands mark"),
        ("970 °F", "not in °C"),
        ("1.024", "thousands mark"),
    ],
)
def test_a_bad_temperature_costs_its_row_only(cell, words):
    log = read(minutes("520.5", "521", cell, "522.5"))
    (problem,) = log.problems
    assert problem.line == 4
    assert problem.column == "temperature (°C)"
    assert problem.value == cell.strip().strip('"')
    assert words in problem.message
    assert str(problem).startswith("line 4, column temperature (°C): ")
    assert log.readings.temperature - ZERO_CELSIUS == pytest.approx([520.5, 521, 522.5])


@pytest.mark.parametrize(
    ("row", "column", "words"),
    [
        (",520", "time", "no time"),
        ("2026-11-24,520", "time", "no time of day"),
        ("17:32,520", "time", "no date"),
        ("2026-02-30 17:32,520", "time", "not a date that exists"),
        ("2026-13-01 17:32,520", "time", "not a date that exists"),
        ("1970-01-01 17:32,520", "time", "between 1990 and 2099"),
        ("2026-11-24 25:00,520", "time", "not a time of day"),
        ("2026-11-24 17:61,520", "time", "not a time of day"),
        ("2026-11-24 13:30 PM,520", "time", "not a time of day"),
        ("yesterday,520", "time", "not a date and time"),
        ("2026-11-24 17:32", "temperature (°C)", "too few columns"),
        ("2026-11-24 17:32,520,5", "3", "decimal comma may have cut"),
        ("2026-11-24 17:31,520", "time", "same as in the row before"),
        ("2026-11-24 17:29,520", "time", "goes backward"),
        ("2036-11-24 17:31,520", "time", "runs ahead"),
    ],
)
def test_a_bad_row_costs_itself_only(row, column, words):
    text = (
        HEADER + "2026-11-24 17:30,520\n2026-11-24 17:31,521\n" + row
        + "\n2026-11-24 17:33,523\n2026-11-24 17:34,524\n"
    )  # fmt: skip
    log = read(text)
    (problem,) = log.problems
    assert (problem.line, problem.column) == (4, column)
    assert words in problem.message
    assert log.readings.temperature - ZERO_CELSIUS == pytest.approx([520, 521, 523, 524])


def test_all_problems_of_a_file_come_in_order_of_line():
    log = read(minutes("520", "1372", "", "520", "OPEN") + "2026-11-24T17:30:00,520\nnow,1\n")
    assert [problem.line for problem in log.problems] == [3, 4, 6, 7, 8]


def test_mixed_decimal_marks_the_rarer_ones_are_the_problem():
    text = "time;T °C\n" + "".join(
        f"24.11.2026 17:{i:02d}:00;{520 + i}{'.' if i == 7 else ','}5\n" for i in range(20)
    )
    log = read(text)
    (problem,) = log.problems
    assert (problem.line, problem.value) == (9, "527.5")
    assert "decimal point" in problem.message
    assert len(log.readings) == 19


def test_a_clock_set_back_by_a_day_keeps_the_longer_part():
    before = "".join(f"2026-11-25 10:{i:02d},520\n" for i in range(5))
    after = "".join(f"2026-11-24 17:{i:02d},521\n" for i in range(30))
    log = read(HEADER + before + after)
    assert len(log.readings) == 30
    assert {problem.message for problem in log.problems} == {
        "The time runs ahead of the rows that follow."
    }


def test_999_among_like_readings_is_a_temperature_and_alone_a_filler():
    """A °F log that does not say so holds at 999 °F (537 °C)."""
    text = minutes("997", "999", "999", "1000").replace(" (°C)", "")
    assert read(text).problems == ()
    log = read(minutes("520", "999", "999", "521"))
    assert [problem.line for problem in log.problems] == [3, 4]


def test_header_again_and_comments_are_passed_over():
    log = read(minutes("520", "521") + "# door opened\n\n" + minutes("522", first=40))
    assert log.readings.temperature - ZERO_CELSIUS == pytest.approx([520, 521, 522])
    assert log.problems == ()
    assert "restarted" in log.notes[0]


def test_offsets_from_utc_are_respected_in_any_zone():
    text = HEADER + (
        "2026-11-24T17:30:00Z,520\n2026-11-24T18:31:00+01:00,521\n"
        "2026-11-24T12:32:00-0500,522\n2026-11-24T23:03:00.500+05:30,523\n"
    )
    log = read(text, timezone="America/New_York")
    expected = [at(17, 30), at(17, 31), at(17, 32), at(17, 33) + 0.5]
    assert log.readings.time.tolist() == expected


def test_local_times_follow_the_zone():
    log = read("time,T °C\n2026-07-01 12:00,520\n2026-07-01 12:01,520\n", timezone="Europe/Lisbon")
    assert log.readings.time[0] == at(11, 0, day=1, month=7)


@pytest.mark.parametrize(
    "written",
    [
        "2026-11-24T17:30:00",
        "2026-11-24 17:30",
        "2026/11/24 17:30:00.000",
        "24.11.2026 17:30:00,000",
        "24.11.2026 17.30",
        "24/11/26 17h30",
        "24-Nov-2026 5:30 PM",
        "24 nov. 2026 17:30",
        "11/24/2026 05:30:00 p.m.",
        "24/11/2026, 17:30:00",
        " 2026-11-24_17:30 ",
    ],
)
def test_ways_of_writing_a_time(written):
    log = read(f"time;T °C\n{written};520\n")
    assert log.readings.time.tolist() == [at(17, 30)]


def test_noon_and_midnight_on_a_twelve_hour_clock():
    text = "time,T °C\n24-Nov-2026 12:05 AM,520\n24-Nov-2026 12:05 PM,519\n"
    assert read(text).readings.time.tolist() == [at(0, 5), at(12, 5)]


def test_elapsed_times_count_from_the_start():
    start = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
    log = read("t (min);T °C\n0;20,5\n1;21\n2,5;22\n", start=start)
    assert log.readings.time.tolist() == [at(17, 30), at(17, 31), at(17, 32) + 30]
    assert log.questions == ()
    log = read("time;T °C\n0:00:00;20\n0:30:00;21\n26:00:00;22\n", start=start)
    assert (log.readings.time - at(17, 30)).tolist() == [0, 1800, 26 * 3600]


def test_times_of_day_pass_midnight():
    start = datetime(2026, 11, 24, 17, 28, tzinfo=UTC)
    log = read("time;T °C\n17:30;520\n23:59;500\n00:01;499\n17:00;100\n18:00;90\n", start=start)
    expected = [at(17, 30), at(23, 59), at(0, 1, day=25), at(17, 0, day=25), at(18, 0, day=25)]
    assert log.readings.time.tolist() == expected


def test_a_file_without_dates_asks_for_the_start():
    for start in (None, datetime(2026, 11, 24, 17, 30)):  # noqa: DTZ001 - naive on purpose
        with pytest.raises(LogFileError) as caught:
            read("time;T °C\n17:30;520\n17:31;520\n", start=start)
        assert caught.value.field == "start"


def test_fahrenheit_and_kelvin_are_converted():
    log = read("time,T °F\n2026-11-24 17:30,977\n2026-11-24 17:31,212\n")
    assert log.readings.temperature == pytest.approx([kelvin_from(525), kelvin_from(100)])
    log = read("time,T (K)\n2026-11-24 17:30,798.15\n2026-11-24 17:31,300\n")
    assert log.readings.temperature == pytest.approx([798.15, 300])


def test_answering_a_question_rereads_the_same_rows():
    log = read("time,T\n2026-11-24 17:30,977\n2026-11-24 17:31,970\n")
    (doubt,) = log.questions
    fahrenheit = next(o.format for o in doubt.options if o.format.unit is LogUnit.FAHRENHEIT)
    again = read("time,T\n2026-11-24 17:30,977\n2026-11-24 17:31,970\n", log_format=fahrenheit)
    assert again.questions == ()
    assert again.readings.temperature[0] == pytest.approx(kelvin_from(525))
    assert again.digest == log.digest


def test_guessed_and_given_format_read_the_same():
    text = minutes("520.5", "", "OPEN", "521")
    first = read(text)
    second = read(text, log_format=first.format)
    assert np.array_equal(first.readings.time, second.readings.time)
    assert first.problems == second.problems


def test_a_path_is_read_and_named(tmp_path):
    path = tmp_path / "tuesday.csv"
    path.write_text(minutes("520", "521"), encoding="utf-8")
    assert read_log(path, timezone="UTC").file_name == "tuesday.csv"
    for wrong in (tmp_path / "none.csv", tmp_path):
        with pytest.raises(LogFileError, match="cannot be read") as caught:
            read_log(wrong)
        assert caught.value.place.file == wrong.name


def test_no_readable_row_names_the_first():
    text = minutes("OPEN", "OPEN", "OPEN")
    with_one = read(minutes("OPEN", "OPEN", "520"))
    with pytest.raises(LogFileError, match="No row can be read") as caught:
        read(text, log_format=with_one.format)
    assert str(caught.value.place) == "night.csv, line 2, column temperature (°C)"


def test_a_format_that_does_not_fit_is_refused():
    good = read(minutes("520", "521")).format
    for change in ({"header_lines": 99}, {"temperature_column": 7}, {"encoding": "ascii"}):
        with pytest.raises(LogFileError):
            read(minutes("520", "521"), log_format=replace(good, **change))


def test_a_file_too_large_is_refused(tmp_path):
    path = tmp_path / "year.csv"
    with path.open("wb") as stream:
        stream.truncate(LARGEST_FILE + 10)
    with pytest.raises(LogFileError, match="too much"):
        read_log(path)


def test_long_cells_are_cut_for_showing():
    log = read(minutes("520", "x" * 5000, "521"))
    assert len(log.problems[0].value) <= 40
    assert len(log.problems[0].message) < 100


def test_decimal_commas_between_commas_are_never_cut_to_whole_degrees():
    rows = "\n".join(f"2026-11-24 17:{minute},52{minute % 7},5" for minute in range(10, 30))
    with pytest.raises(LogFileError, match="decimal comma may have cut"):
        read("time,T (C)\n" + rows)
    # The same with a name for each column is a log of whole degrees with a segment number.
    assert len(read("time,T (C),segment\n" + rows).readings) == 20


def test_zeros_left_by_a_power_cut_cost_their_rows_only():
    rows = [f"2026-11-24 17:{minute},520.0" for minute in range(10, 40)]
    rows[4] = "2026-11-24 17:14,\0\0\0"
    log = read("time,T (C)\n" + "\n".join(rows) + "\n2026-11-24 17:4" + "\0" * 4000)
    assert len(log.readings) == 29
    assert [problem.line for problem in log.problems] == [6, 32]
