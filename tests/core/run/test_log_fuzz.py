"""Whatever the bytes, a log is read or refused; nothing else happens."""

import os
from datetime import UTC, datetime

import numpy as np
import pytest
from damaged_logs import make, with_changed_bytes
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import LogFileError
from core.run.log_file import read_log
from core.run.log_format import LogFormat, TimeKind
from core.run.log_rows_at_once import nothing_regular

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)

VALID = (
    b"time,T degC,set\n2026-11-24T17:30:00,520.1,520\n2026-11-24T17:31:00+01:00,521.1,520\n",
    "Site;Lehr\nZeit;T °F\n24.11.2026 17:30:00;970,5\n24.11.2026 17:31:00;971,5\n".encode("cp1252"),
    "Date\tTime\tChamber\tShelf\n24/11/26\t5:30 PM\t520,1\t511\n".encode("utf-16"),
    b"t (min)  T\n0 20.5\n1 21.5\n2 22\n",
    b"17:30,520\n23:59,510\n00:10,500\n",
    b"0:00:00;520,5 C\n0:00:30;521,5 C\n0:01:00;522,25 C\n0:01:30;523 C\n",
    b"Date,Time,T F\n11/24/2026,11:59:58 PM,977.5\n11/25/2026,12:00:03 AM,976\n",
    b'"time","T C"\n"2026-11-24 17:30:00.250","520.10"\n"2026-11-24 17:30:01.750","-0.5"\n',
    b"2026-10-25 00:30,500\n2026-10-25 01:30,500\n2026-10-25 01:10,500\n2026-10-25 02:30,500\n",
)
PIECES = st.sampled_from(
    [piece.encode() for piece in (",", ";", "\t", "\n", "\r", '"', " ", ".", "-", ":", "\0", "#")]
    + [piece.encode() for piece in ("9" * 30, "nan", "1e9", "+25:00", "\u2028", "d 1:00", "\ufeff")]
    + [piece.encode() for piece in ("29/02/2026", "PM", "K", "999", "1,024", "é")]
    + [b"\xff", b"\x81"]
)


def outcome(data, log_format, start):
    try:
        return read_log(
            data, log_format, file_name="x.csv", start=start, timezone="Europe/Lisbon", near=START
        ), None
    except LogFileError as error:
        return None, error


def row_by_row(data, log_format, start):
    """The same file with no row read together with others."""

    def nothing(lines, first, last, log_format, days):
        return nothing_regular(last - first)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("core.run.log_rows.read_regular", nothing)
        return outcome(data, log_format, start)


def check(data, log_format=None, start=START):
    log, refusal = outcome(data, log_format, start)
    alone, alone_refusal = row_by_row(data, log_format, start)
    assert str(refusal) == str(alone_refusal)
    if log is not None:
        assert alone is not None
        assert np.array_equal(log.readings.time, alone.readings.time)
        assert np.array_equal(log.readings.temperature, alone.readings.temperature)
        assert (log.problems, log.notes, log.format) == (
            alone.problems, alone.notes, alone.format
        )  # fmt: skip
    if refusal is not None:
        assert refusal.message
        assert refusal.remedy
        return
    assert len(log.readings) > 0
    assert np.isfinite(log.readings.temperature).all()
    assert (np.diff(log.readings.time) > 0).all()
    assert (log.readings.temperature > 200).all()
    lines = data.count(b"\n") + data.count(b"\r") + 1
    assert all(1 <= problem.line <= lines for problem in log.problems)
    assert all(problem.column and problem.message for problem in log.problems)


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=300))
def test_any_bytes(data):
    check(data)


@settings(max_examples=200, deadline=None)
@given(st.text(alphabet='0123456789-/:;,. \t\n"TZCF°apmdKe+#', max_size=200))
def test_any_text_of_a_log_s_letters(text):
    check(text.encode())


@settings(max_examples=300, deadline=None)
@given(
    base=st.sampled_from(VALID),
    changes=st.lists(st.tuples(st.floats(0, 1), st.integers(0, 6), PIECES), min_size=1, max_size=6),
    times=st.integers(1, 4),
)
def test_damaged_logs(base, changes, times):
    data = bytearray(base * times)
    for share, length, piece in changes:
        at = int(share * len(data))
        data[at : at + length] = piece
    check(bytes(data))


@settings(max_examples=150, deadline=None)
@given(
    base=st.sampled_from(VALID),
    encoding=st.sampled_from(["utf-8-sig", "cp1252", "utf-16", "ascii", "no such", "", "hex"]),
    delimiter=st.sampled_from([",", ";", "\t", " "]),
    mark=st.sampled_from([".", ","]),
    header=st.integers(0, 6),
    kind=st.sampled_from(list(TimeKind)),
    columns=st.permutations([0, 1, 2, 3]),
    width=st.integers(1, 3),
    zone=st.sampled_from(["", "UTC", "Europe/Lisbon", "Nowhere"]),
)
def test_formats_that_do_not_fit(
    base, encoding, delimiter, mark, header, kind, columns, width, zone
):
    check(
        base,
        LogFormat(
            encoding=encoding,
            delimiter=delimiter,
            decimal_mark=mark,
            header_lines=header,
            time_kind=kind,
            time_columns=tuple(columns[:width]),
            temperature_column=columns[3],
            timezone=zone,
        ),
    )


VALUES = st.one_of(
    st.floats(20, 900).map(lambda value: f"{value:.1f}"),
    st.sampled_from(["", "OPEN", "1372", "nan", "12,5", "-200", "999"]),
)


@settings(max_examples=100, deadline=None)
@given(st.lists(VALUES, min_size=1, max_size=40))
def test_every_row_is_either_a_reading_or_a_problem(cells):
    rows = [f"2026-11-24 {17 + i // 60}:{i % 60:02d};{cell}" for i, cell in enumerate(cells)]
    data = ("time;T °C\n" + "\n".join(rows)).encode()
    log_format = LogFormat(delimiter=";", timezone="UTC", column_names=("time", "T °C"))
    try:
        log = read_log(data, log_format)
    except LogFileError:
        return
    assert len(log.readings) + len(log.problems) == len(cells)
    kept = set(range(2, len(cells) + 2)) - {problem.line for problem in log.problems}
    expected = [float(cells[line - 2]) + 273.15 for line in sorted(kept)]
    assert np.allclose(log.readings.temperature, expected)


FILES = int(os.environ.get("LEHRKEEPER_FUZZED_FILES", "150"))
"""How many damaged files are tried; 10 000 before a release."""


def test_changed_bytes_are_read_the_same_together_and_one_by_one():
    for seed in range(FILES // 2):
        check(with_changed_bytes(seed))


def test_no_silent_unit_and_no_wrong_figure_in_damaged_files():
    """Readings are those of the file before it was damaged, or something was asked."""
    readings = 0
    for seed in range(FILES):
        data, truth = make(seed)
        try:
            log = read_log(data, timezone="UTC", file_name="x.csv")
        except LogFileError:
            continue
        asked = {doubt.field for doubt in log.questions}
        readings += len(log.readings)
        if asked & {"unit", "date_order", "start", "temperature_column"}:
            continue
        for second, kelvin in zip(log.readings.time, log.readings.temperature, strict=True):
            assert truth.allows(round(second), kelvin), (seed, second, kelvin)
    assert readings > 20 * FILES
