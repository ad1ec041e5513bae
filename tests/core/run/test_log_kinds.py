"""Channels, corrections, fixed widths, memory and many files."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from core.errors import LogFileError, StoppedError
from core.run.log_answers import answered_format
from core.run.log_file import read_log
from core.run.log_files import read_files
from core.run.log_format import Corrections, LogUnit, TimeKind
from core.run.log_guess import guess_format
from core.run.log_sample import first_rows
from core.run.log_times import DateOrder
from core.units import ZERO_CELSIUS

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)

CHANNELS = (
    b"Date,Setpoint C,Chamber C,Shelf C,Ambient C\n"
    b"2026-11-24 17:30:00,520,519.5,511.0,21\n"
    b"2026-11-24 17:31:00,520,519.6,511.2,21\n"
    b"2026-11-24 17:32:00,520,519.7,511.4,22\n"
)


def celsius(log):
    return np.round(log.readings.temperature - ZERO_CELSIUS, 6).tolist()


def test_every_channel_is_offered_with_its_first_figures():
    log = read_log(CHANNELS, timezone="UTC")
    assert [one.name for one in log.channels] == ["Chamber C", "Shelf C"]
    assert log.channels[1].preview == ("511.0", "511.2", "511.4")
    assert [(one.name, one.likely) for one in log.columns] == [
        ("Setpoint C", False),
        ("Chamber C", True),
        ("Shelf C", True),
        ("Ambient C", False),
    ]
    assert {one.unit for one in log.columns} == {LogUnit.CELSIUS}


def test_a_person_may_choose_any_channel():
    log = read_log(CHANNELS, timezone="UTC", corrections=Corrections(temperature_column=4))
    assert celsius(log) == [21.0, 21.0, 22.0]
    assert log.questions == ()


def test_a_channel_without_unit_beside_one_with_is_not_silently_given_it():
    data = CHANNELS.replace(b"Chamber C", b"Chamber F").replace(b"Shelf C", b"Shelf")
    data = data.replace(b"Setpoint C", b"Setpoint").replace(b"Ambient C", b"Ambient")
    guess = guess_format(data)
    # The chamber's is the one that states a unit, so it alone is offered at first.
    assert guess.format.unit is LogUnit.FAHRENHEIT
    chosen = guess_format(data, corrections=Corrections(temperature_column=3))
    assert [doubt.field for doubt in chosen.doubts if doubt.field == "unit"] == ["unit"]


def test_what_a_person_sets_right_is_kept_and_the_rest_found_to_fit():
    data = b"logger 7; 12 rows\na;b;c\n01/02/2026 17:30;520;3\n01/02/2026 17:31;521;3\n"
    log = read_log(
        data,
        timezone="UTC",
        corrections=Corrections(
            date_order=DateOrder.MDY, unit=LogUnit.FAHRENHEIT, header_lines=3, temperature_column=1
        ),
    )
    assert log.questions == ()
    assert log.format.header_lines == 3
    assert len(log.readings) == 1
    assert datetime.fromtimestamp(log.readings.time[0], UTC).month == 1
    assert log.readings.temperature[0] == pytest.approx((521 + 459.67) / 1.8)


def test_another_delimiter_is_guessed_with():
    data = b"time,T C;note\n2026-11-24 17:30,520.5;a\n2026-11-24 17:31,521.5;b\n"
    with pytest.raises(LogFileError) as caught:
        read_log(data, timezone="UTC", corrections=Corrections(delimiter="\t"))
    assert caught.value.field == "delimiter"


@pytest.mark.parametrize("given", [{"delimiter": "|"}, {"decimal_mark": ";"}, {"header_lines": -1}])
def test_impossible_corrections_are_refused(given):
    with pytest.raises(LogFileError) as caught:
        Corrections(**given)
    assert caught.value.field in given


def test_the_preview_is_cut_by_the_format_that_is_imported():
    log = read_log(FIXED, timezone="UTC")
    sample = first_rows(FIXED, log.format, 3)
    column = log.format.temperature_column
    assert [float(row.cells[column]) for row in sample.rows] == celsius(log)[:3]
    quoted = b'time,note,T C\n2026-11-24 17:30,"a\nb",520\n2026-11-24 17:31,c,521\n'
    log = read_log(quoted, timezone="UTC")
    assert celsius(log) == [520.0, 521.0]
    assert [row.line for row in first_rows(quoted, log.format).rows] == [2, 4]


FIXED = (
    b"Date       Time      Shelf   Chamber C   Power\n"
    b"2026-11-24 17:30:00  511.0       519.5      40\n"
    b"2026-11-24 17:31:00  511.2       519.6      41\n"
    b"2026-11-24 17:32:00              519.7      42\n"
    b"2026-11-24 17:33:00   99.5       519.8       9\n"
)


def test_an_empty_cell_of_fixed_width_does_not_move_the_others():
    log = read_log(FIXED, timezone="UTC")
    assert log.format.cuts
    assert celsius(log) == [519.5, 519.6, 519.7, 519.8]
    assert log.problems == ()


def test_a_figure_that_outgrows_its_column_is_told():
    rows = FIXED + b"2026-11-24 17:34:00  511.01000000519.9      40\n"
    log = read_log(rows, guess_format(FIXED, timezone="UTC").format)
    assert len(log.readings) == 4
    assert "two columns" in log.problems[0].message


def test_a_missing_value_among_blanks_is_not_read_as_its_neighbour():
    rows = [f"2026-11-24 17:{30 + i:02d} {511 + i} {519 + i} {40}" for i in range(9)]
    rows[4] = "2026-11-24 17:34 523 40"  # one of the three is lost, nobody knows which
    data = ("Date Time Shelf Chamber Power\n" + "\n".join(rows)).encode()
    log = read_log(
        data, timezone="UTC", corrections=Corrections(unit=LogUnit.CELSIUS, temperature_column=2)
    )
    assert len(log.readings) == 8
    assert "one is missing" in log.problems[0].message
    assert log.problems[0].line == 6


def test_dates_with_the_month_s_name_between_blanks():
    data = b"24 Nov 2026 17:30:00  520.5 C\n24 Nov 2026 17:31:00  521.5 C\n"
    log = read_log(data, timezone="UTC")
    assert log.format.time_kind is TimeKind.DATE_AND_TIME
    assert log.readings.time[0] == START.timestamp()
    assert celsius(log) == [520.5, 521.5]


TWO = b"time,Top,Shelf\n01/02/2026 17:30,520,%d\n01/02/2026 17:31,521,%d\n"


def test_answers_given_once_are_not_asked_again():
    guess = guess_format(TWO % (511, 512))
    answers = {doubt.field: doubt.options[-1] for doubt in guess.doubts}
    assert set(answers) == {"date_order", "unit", "temperature_column"}
    before = answered_format(guess.format, answers)
    log = read_log(TWO % (601, 602), timezone="UTC", remembered=before)
    assert log.questions == ()
    assert set(log.from_memory) == set(answers)
    assert log.format.unit is LogUnit.FAHRENHEIT
    assert log.format.temperature_column == 2
    assert log.readings.temperature[0] == pytest.approx((601 + 459.67) / 1.8)


def test_memory_says_nothing_of_a_file_laid_out_otherwise():
    before = answered_format(guess_format(TWO % (1, 2)).format, {}, LogUnit.FAHRENHEIT)
    other = TWO.replace(b"time,Top,Shelf", b"time,Shelf,Top") % (511, 512)
    log = read_log(other, timezone="UTC", remembered=before)
    assert "unit" in {doubt.field for doubt in log.questions}
    assert log.from_memory == ()


def test_what_the_file_says_of_its_unit_is_asked_again_where_memory_differs():
    data = b"time,T C\n2026-11-24 17:30,520\n2026-11-24 17:31,521\n"
    before = replace(guess_format(data).format, unit=LogUnit.FAHRENHEIT)
    log = read_log(data, timezone="UTC", remembered=before)
    (doubt,) = log.questions
    assert doubt.field == "unit"
    assert "read as °F before" in doubt.question
    assert log.format.unit is LogUnit.CELSIUS


def test_many_files_have_an_answer_each(tmp_path):
    good, bad, gone = tmp_path / "a.csv", tmp_path / "b.csv", tmp_path / "c.csv"
    good.write_bytes(CHANNELS)
    bad.write_bytes(b"\x00\x01\x02 nothing")
    told = []
    answers = list(read_files([good, bad, gone, good], timezone="UTC", progress=told.append))
    assert [answer.path for answer in answers] == [good, bad, gone]
    assert answers[0].log is not None
    assert answers[0].error is None
    assert [answer.error is None for answer in answers] == [True, False, False]
    assert "c.csv" in str(answers[2].error)
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_many_files_can_be_stopped_and_remember(tmp_path):
    paths = []
    for i in range(3):
        path = tmp_path / f"{i}.csv"
        path.write_bytes(TWO % (510 + i, 512))
        paths.append(path)
    before = answered_format(guess_format(TWO % (1, 2)).format, {})
    answers = read_files(paths, timezone="UTC", format_of=lambda _: before)
    assert next(answers).log.questions == ()
    stopped = read_files(paths, cancelled=lambda: True)
    with pytest.raises(StoppedError):
        next(stopped)


def rows_of(cells, delimiter=","):
    return "time,T C,note\n".replace(",", delimiter) + "\n".join(
        f"2026-11-24 17:{30 + i}{delimiter}{cell}" for i, cell in enumerate(cells)
    )


@pytest.mark.parametrize("last", ["52", "520.", "5"])
def test_a_file_copied_while_it_was_written_ends_with_the_row_before(last):
    log = read_log(rows_of(["520.1", "520.2", "520.4", last]).encode(), timezone="UTC")
    assert celsius(log) == [520.1, 520.2, 520.4]
    assert [problem.line for problem in log.problems] == [5]
    assert "in the middle" in log.problems[0].message
    whole = read_log((rows_of(["520.1", "520.2", "520.4", "52"]) + "\n").encode(), timezone="UTC")
    assert celsius(whole)[-1] == 52.0


def test_a_last_row_without_line_end_that_is_whole_is_kept():
    assert (
        celsius(read_log(rows_of(["100.1", "100.0", "99.9"]).encode(), timezone="UTC"))[-1] == 99.9
    )
    assert celsius(read_log(rows_of(["102", "100", "99"]).encode(), timezone="UTC"))[-1] == 99.0
    cut = read_log(rows_of(["520", "521", "52"]).encode(), timezone="UTC")
    assert celsius(cut) == [520.0, 521.0]


def test_two_rows_in_one_line_are_not_mixed():
    data = (
        "time,set C,T C\n2026-11-24 17:30,530,520.1\n2026-11-24 17:31,530,520.2\n"
        "2026-11-24 17:32,5302026-11-24 17:33,530\n2026-11-24 17:34,530,520.4\n"
    )
    log = read_log(data.encode(), timezone="UTC")
    assert celsius(log) == [520.1, 520.2, 520.4]
    assert "second date" in log.problems[0].message


def test_a_decimal_comma_between_commas_is_not_cut_in_two():
    cells = ["520.1,ok", "520.2,ok", "520,3,ok", "520,4", "520.5,ok", "520.6,ok"]
    log = read_log(rows_of(cells).encode(), timezone="UTC")
    assert celsius(log) == [520.1, 520.2, 520.5, 520.6]
    assert [problem.line for problem in log.problems] == [4, 5]
    # Two channels of whole degrees are no halves.
    two = "time,T C,S C\n" + "".join(f"2026-11-24 17:{30 + i},{520 + i},511\n" for i in range(5))
    assert len(read_log(two.encode(), timezone="UTC").readings) == 5


@pytest.mark.parametrize("name", ["C", "F", "Zone C", "Probe F", "channel_K"])
def test_a_letter_that_may_be_a_label_is_no_unit(name):
    data = f"time,{name}\n2026-11-24 17:30,520.1\n2026-11-24 17:31,520.2\n".encode()
    assert [doubt.field for doubt in guess_format(data).doubts] == ["unit"]
