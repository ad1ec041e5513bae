"""Finding out how a logger's file is laid out."""

from datetime import UTC, datetime

import pytest

from core.errors import LogFileError
from core.run.log_format import LapseUnit, LogFormat, LogUnit, TimeKind
from core.run.log_guess import guess_format
from core.run.log_times import DateOrder

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)


def guess(text, encoding="utf-8", **options):
    return guess_format(text.encode(encoding), timezone="UTC", **options)


def asked(guessed):
    return [doubt.field for doubt in guessed.doubts]


def test_plain_csv_leaves_no_doubt():
    guessed = guess("time,temperature (°C)\n2026-11-24T17:30:00,520.1\n2026-11-24T17:31:00,519\n")
    assert guessed.doubts == ()
    assert guessed.format == LogFormat(
        encoding="utf-8-sig",
        timezone="UTC",
        column_names=("time", "temperature (°C)"),
        width=2,
    )


@pytest.mark.parametrize(
    ("delimiter", "mark", "text"),
    [
        (",", ".", "time,T °C\n2026-11-24 17:30,520.1\n2026-11-24 17:31,520.2\n"),
        (",", ",", 'time,T °C\n2026-11-24 17:30,"520,1"\n2026-11-24 17:31,"520,2"\n'),
        (";", ",", "time;T °C\n2026-11-24 17:30;520,1\n2026-11-24 17:31;520,2\n"),
        (";", ".", "time;T °C\n2026-11-24 17:30;520.1\n2026-11-24 17:31;520.2\n"),
        ("\t", ",", "time\tT °C\n2026-11-24 17:30\t520,1\n2026-11-24 17:31\t520,2\n"),
        (" ", ".", "date  time  T °C\n2026-11-24 17:30   520.1\n2026-11-24 17:31   520.2\n"),
    ],
)
def test_delimiter_and_decimal_mark(delimiter, mark, text):
    found = guess(text).format
    assert (found.delimiter, found.decimal_mark) == (delimiter, mark)
    assert found.unit is LogUnit.CELSIUS


@pytest.mark.parametrize(
    ("codec", "name"),
    [
        ("utf-8", "utf-8-sig"),
        ("utf-8-sig", "utf-8-sig"),
        ("utf-16", "utf-16"),
        ("utf-16-le", "utf-16-le"),
        ("utf-16-be", "utf-16-be"),
        ("cp1252", "cp1252"),
    ],
)
def test_encoding(codec, name):
    guessed = guess("time;T [°C]\n2026-11-24 17:30;520,1\n2026-11-24 17:31;520,2\n", codec)
    assert guessed.format.encoding == name
    assert guessed.format.column_names == ("time", "T [°C]")


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("Temp (°C)", LogUnit.CELSIUS),
        ("T degC", LogUnit.CELSIUS),
        ("chamber_C", LogUnit.CELSIUS),
        ("Lehr [F]", LogUnit.FAHRENHEIT),
        ("temperature Fahrenheit", LogUnit.FAHRENHEIT),
        ("T/°F", LogUnit.FAHRENHEIT),
        ("deg. F", None),
        ("Temp (K)", LogUnit.KELVIN),
        ("type K", None),
        ("Chamber", None),
        ("Furnace front", None),
    ],
)
def test_unit_in_the_column_name(name, unit):
    guessed = guess(f"time,{name}\n2026-11-24 17:30,793.1\n2026-11-24 17:31,793.2\n")
    if name == "deg. F":
        assert guessed.format.unit is LogUnit.FAHRENHEIT
    elif unit is None:
        assert asked(guessed) == ["unit"]
        assert [option.format.unit for option in guessed.doubts[0].options] == [
            LogUnit.CELSIUS,
            LogUnit.FAHRENHEIT,
        ]
    else:
        assert asked(guessed) == []
        assert guessed.format.unit is unit


@pytest.mark.parametrize(
    "text",
    [
        "time;T\n;°F\n2026-11-24 17:30;970\n2026-11-24 17:31;971\n",
        "Unit: °F\ntime;T\n2026-11-24 17:30;970\n2026-11-24 17:31;971\n",
        "time;T\n2026-11-24 17:30;970 °F\n2026-11-24 17:31;971 °F\n",
        "time;T\n2026-11-24 17:30;970F\n2026-11-24 17:31;971F\n",
    ],
)
def test_unit_stated_elsewhere(text):
    guessed = guess(text)
    assert guessed.format.unit is LogUnit.FAHRENHEIT
    assert asked(guessed) == []


@pytest.mark.parametrize(
    ("dates", "order", "doubtful"),
    [
        (("24/11/2026", "25/11/2026"), DateOrder.DMY, False),
        (("11/24/2026", "11/25/2026"), DateOrder.MDY, False),
        (("2026-11-09", "2026-11-10"), DateOrder.YMD, False),
        (("2026/03/04", "2026/03/04"), DateOrder.YMD, False),
        (("03/04/2026", "03/04/2026"), DateOrder.DMY, True),
        (("03.04.2026", "03.04.2026"), DateOrder.DMY, False),
        # A run passes midnight: 3 to 4 April, not 4 March to 4 April.
        (("03/04/2026", "04/04/2026"), DateOrder.DMY, False),
        (("03/04/2026", "03/05/2026"), DateOrder.MDY, False),
        (("24 Nov 2026", "25 Nov 2026"), DateOrder.DMY, False),
        (("24-nov.-26", "25-nov.-26"), DateOrder.DMY, False),
    ],
)
def test_date_order(dates, order, doubtful):
    first, second = dates
    guessed = guess(f"time;T °C\n{first} 17:30;520\n{first} 17:31;521\n{second} 23:50;500\n")
    assert guessed.format.date_order is order or not doubtful
    assert (asked(guessed) == ["date_order"]) is doubtful
    if doubtful:
        assert [option.format.date_order for option in guessed.doubts[0].options] == [
            DateOrder.DMY,
            DateOrder.MDY,
        ]
        assert "03/04/2026" in str(guessed.doubts[0])
    elif not first[0:4].isdigit() and not any(c.isalpha() for c in first):
        assert guessed.format.date_order is order


def test_plan_start_settles_an_ambiguous_date():
    text = "time;T °C\n03/04/2026 17:30;520\n03/04/2026 17:31;521\n"
    april = datetime(2026, 4, 3, 17, 0, tzinfo=UTC)
    march = datetime(2026, 3, 4, 17, 0, tzinfo=UTC)
    assert guess(text, near=april).format.date_order is DateOrder.DMY
    assert guess(text, near=march).format.date_order is DateOrder.MDY
    assert guess(text, near=march).doubts == ()


def test_am_and_pm_lean_to_month_first_but_still_ask():
    guessed = guess("time,T °F\n03/04/2026 5:30 PM,970\n03/04/2026 5:31 PM,970\n")
    assert guessed.format.date_order is DateOrder.MDY
    assert asked(guessed) == ["date_order"]


def test_date_and_time_in_two_columns_after_a_preamble():
    guessed = guess(
        "Harbour logger\nInterval\t60 s\n\nDate\tTime\tChamber\tShelf\n\t\t°C\t°C\n"
        "24/11/2026\t17:30:00\t520,5\t511\n24/11/2026\t17:31:00\t520,4\t511\n"
    )
    found = guessed.format
    assert found.time_columns == (0, 1)
    assert found.header_lines == 5
    assert found.column_names == ("Date", "Time", "Chamber °C", "Shelf °C")
    assert [channel.name for channel in guessed.channels] == ["Chamber °C", "Shelf °C"]
    assert asked(guessed) == ["temperature_column"]
    assert guessed.doubts[0].options[1].format.temperature_column == 3


def test_time_before_date_is_read_date_first():
    found = guess("time,date,T °C\n17:30,24/11/2026,520\n17:31,24/11/2026,521\n").format
    assert found.time_columns == (1, 0)


def test_columns_that_are_no_chamber_are_passed_over():
    guessed = guess(
        "No,time,setpoint,output %,lehr °C\n"
        "1,2026-11-24 17:30,520,40,519.5\n2,2026-11-24 17:31,520,41,519.6\n"
        "3,2026-11-24 17:32,520,41,519.9\n"
    )
    assert guessed.format.temperature_column == 4
    assert asked(guessed) == []


@pytest.mark.parametrize(
    ("name", "unit"),
    [
        ("time (s)", LapseUnit.SECONDS),
        ("elapsed min", LapseUnit.MINUTES),
        ("t [h]", LapseUnit.HOURS),
    ],
)
def test_elapsed_times(name, unit):
    guessed = guess(f"{name};T °C\n0;20,5\n0,5;21\n1;22,5\n1,5;24\n")
    assert guessed.format.time_kind is TimeKind.ELAPSED
    assert guessed.format.lapse_unit is unit
    assert asked(guessed) == ["start"]


def test_unit_of_elapsed_times_is_asked_for_when_not_stated():
    guessed = guess("0;20,5 °C\n1;21,0 °C\n2;22,5 °C\n")
    assert asked(guessed) == ["start", "lapse_unit"]


def test_times_of_day_without_dates():
    assert guess("time,T °C\n17:30,520\n17:31,520\n").format.time_kind is TimeKind.CLOCK
    assert guess("time,T °C\n0:00:00,520\n0:01:00,520\n").format.time_kind is TimeKind.ELAPSED


def test_first_reading_with_a_damaged_time_is_not_taken_for_a_header():
    found = guess("time,T °C\n,520\n2026-11-24 17:31,520\n2026-11-24 17:32,520\n").format
    assert found.header_lines == 1


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "empty"),
        (b"  \r\n \n", "empty"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" * 20, "not text"),
        (bytes(range(32)) * 40, "not text"),
        (b"dear diary\ntoday the lehr was warm\n", "No line has a time"),
        (b"time,temp\n", "No line has a time"),
        (b"1\n2\n3\n", "No line has a time"),
    ],
)
def test_files_that_are_no_logs(data, message):
    with pytest.raises(LogFileError, match=message) as caught:
        guess_format(data, file_name="night.csv")
    assert caught.value.place.file == "night.csv"
    assert caught.value.remedy


def test_unknown_zone_is_refused():
    for name in ("Europe/Atlantis", "Europe", "../etc/passwd", "\0"):
        with pytest.raises(LogFileError, match="time zone"):
            guess_format(b"2026-11-24 17:30,520\n", timezone=name)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"delimiter": "x"}, "delimiter"),
        ({"decimal_mark": "'"}, "decimal_mark"),
        ({"header_lines": -1}, "header_lines"),
        ({"time_columns": ()}, "time_columns"),
        ({"temperature_column": -1}, "temperature_column"),
        ({"temperature_column": 0}, "temperature_column"),
    ],
)
def test_impossible_formats_are_refused(change, field):
    with pytest.raises(LogFileError) as caught:
        LogFormat(**change)
    assert caught.value.field == field
