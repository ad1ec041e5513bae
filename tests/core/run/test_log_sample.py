"""The first rows for the preview, and answers joined to one format."""

from dataclasses import replace

from core.run.log_answers import answered_format
from core.run.log_format import LogFormat, LogUnit, Option
from core.run.log_guess import guess_format
from core.run.log_sample import first_rows
from core.run.log_times import DateOrder

TWO_CHANNELS = (
    "# lehr logger\n"
    "Time;Chamber °C;Door °F\n"
    "24.11.2026 17:30;525,0;301\n"
    "\n"
    "24.11.2026 17:32;525,4;302\n"
    "24.11.2026 17:34;;303;spare\n"
).encode()


def test_first_rows_stand_as_in_the_file_with_names_and_line_numbers():
    guess = guess_format(TWO_CHANNELS)
    sample = first_rows(TWO_CHANNELS, guess.format)
    assert sample.columns == ("Time", "Chamber °C", "Door °F", "4")
    assert [row.line for row in sample.rows] == [3, 5, 6]
    assert sample.rows[0].cells == ("24.11.2026 17:30", "525,0", "301", "")
    assert sample.rows[2].cells == ("24.11.2026 17:34", "", "303", "spare")


def test_no_more_rows_than_asked_for():
    guess = guess_format(TWO_CHANNELS)
    assert len(first_rows(TWO_CHANNELS, guess.format, 1).rows) == 1


def test_answers_to_several_doubts_all_hold():
    guess = LogFormat(date_order=DateOrder.DMY)
    answers = {
        "date_order": Option("month first", replace(guess, date_order=DateOrder.MDY)),
        "temperature_column": Option(
            "second", replace(guess, temperature_column=2, unit=LogUnit.FAHRENHEIT)
        ),
    }
    settled = answered_format(guess, answers)
    assert settled == replace(
        guess, date_order=DateOrder.MDY, temperature_column=2, unit=LogUnit.FAHRENHEIT
    )


def test_an_answered_unit_wins_over_the_chosen_columns_and_insistence_over_both():
    guess = LogFormat()
    answers = {
        "temperature_column": Option(
            "second", replace(guess, temperature_column=2, unit=LogUnit.FAHRENHEIT)
        ),
        "unit": Option("°C", guess),
    }
    assert answered_format(guess, answers).unit is LogUnit.CELSIUS
    assert answered_format(guess, answers, LogUnit.FAHRENHEIT).unit is LogUnit.FAHRENHEIT


def test_no_answers_leave_the_guess():
    guess = LogFormat(decimal_mark=",")
    assert answered_format(guess, {}) == guess
