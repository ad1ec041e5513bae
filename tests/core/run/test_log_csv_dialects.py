"""Files written by Python's csv module (RFC 4180) and as spreadsheets save them."""

import csv
import io
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from core.run.log_file import read_log
from core.units import ZERO_CELSIUS

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
VALUES = [round(519.5 + 0.1 * i, 1) for i in range(300)]
NOTES = ["", "door, open", 'a "quoted" word', "two\nlines", "semi;colon", "plain"]


def written(dialect, *, decimal=".", form="%Y-%m-%d %H:%M:%S", line=None, **options):
    stream = io.StringIO(newline="")
    if line is not None:
        options["lineterminator"] = line
    writer = csv.writer(stream, dialect, **options)
    writer.writerow(["Time", "Note", "Chamber °C"])
    for i, value in enumerate(VALUES):
        moment = START + timedelta(minutes=i)
        note = NOTES[i % len(NOTES)]
        writer.writerow([f"{moment:{form}}", note, f"{value:.1f}".replace(".", decimal)])
    return stream.getvalue()


def check(data):
    log = read_log(data, timezone="UTC")
    assert log.problems == ()
    assert log.questions == ()
    assert np.allclose(log.readings.temperature, np.array(VALUES) + ZERO_CELSIUS)
    assert np.array_equal(log.readings.time, START.timestamp() + 60.0 * np.arange(len(VALUES)))


@pytest.mark.parametrize("dialect", ["excel", "excel-tab", "unix"])
@pytest.mark.parametrize("quoting", [csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC])
def test_dialects_of_the_csv_module(dialect, quoting):
    check(written(dialect, quoting=quoting).encode())


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("line", ["\r\n", "\n"])
def test_encodings_and_line_ends(encoding, line):
    check(written("excel", line=line).encode(encoding))


def test_semicolons_and_decimal_commas_as_spreadsheets_save_them():
    # Where the comma marks decimals, spreadsheets part cells by semicolons.
    text = written("excel", delimiter=";", decimal=",", form="%d.%m.%Y %H:%M:%S")
    check(text.encode("cp1252"))


def test_decimal_commas_between_commas_are_quoted():
    # RFC 4180, section 2, rule 6: fields with commas are enclosed in quotes.
    check(written("excel", decimal=",", quoting=csv.QUOTE_ALL).encode())
    check(written("excel", decimal=",").encode())


def test_a_quote_that_is_never_closed_costs_its_row_only():
    lines = [f"{START + timedelta(minutes=i):%Y-%m-%d %H:%M:%S},ok,{v}" for i, v in
             enumerate(VALUES)]  # fmt: skip
    lines[100] = lines[100].replace(",ok,", ',"ok,')
    log = read_log(("Time,Note,T °C\n" + "\n".join(lines)).encode(), timezone="UTC")
    assert len(log.readings) == 299
    assert [problem.line for problem in log.problems] == [102]
