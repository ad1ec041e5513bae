"""Following a file that grows, is replaced, emptied, vanishes and comes back."""

import os
import time
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.errors import LogFileError
from core.live.events import EventKind, SignalKind
from core.live.followed_file import FollowedFile
from core.run.log_file import read_log
from core.run.log_format import LogFormat, TimeKind
from core.units import kelvin_from

START = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
FORMAT = LogFormat(timezone="UTC", column_names=("time", "lehr °C"))
HEADER = "time,lehr °C\n"


class Still:
    def now(self):
        return START


def row(i, celsius=None, every=10.0):
    moment = START + timedelta(seconds=every * i)
    return f"{moment:%Y-%m-%d %H:%M:%S},{520 + i / 10 if celsius is None else celsius}\n"


def rows(first, last):
    return "".join(row(i) for i in range(first, last))


def numbers(poll):
    return [round((one.time - START).total_seconds() / 10) for one in poll.readings]


def kinds(poll):
    return [event.kind for event in poll.events]


@pytest.fixture
def path(tmp_path):
    return tmp_path / "lehr.csv"


def add(path, text, encoding="utf-8"):
    with path.open("ab") as stream:
        stream.write(text.encode(encoding))


def test_only_whole_new_rows_come(path):
    add(path, HEADER + rows(0, 3) + "2026-11-24 17:30:30,52")
    follower = FollowedFile(path, FORMAT)
    first = follower.poll(Still())
    assert numbers(first) == [0, 1, 2]
    assert kinds(first) == [EventKind.CONNECTED]
    assert first.readings[1].temperature == pytest.approx(kelvin_from(520.1))
    assert follower.poll(Still()).readings == ()
    add(path, "0.3\n" + row(4))
    assert numbers(follower.poll(Still())) == [3, 4]
    add(path, row(5)[:-1])
    assert numbers(follower.poll(Still())) == []
    add(path, "\n")
    assert numbers(follower.poll(Still())) == [5]
    follower.close()


def test_readings_known_already_do_not_come_again(path):
    add(path, HEADER + rows(0, 10))
    follower = FollowedFile(path, FORMAT, after=START + timedelta(seconds=45))
    assert numbers(follower.poll(Still())) == [5, 6, 7, 8, 9]
    follower.close()


def test_a_replaced_file_is_read_from_its_beginning_and_the_old_one_to_its_end(path):
    add(path, HEADER + rows(0, 5))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    add(path, rows(5, 8))
    path.rename(path.with_suffix(".old"))
    add(path, HEADER + rows(8, 10))
    poll = follower.poll(Still())
    expected = [5, 6, 7, 8, 9] if os.name == "posix" else [8, 9]
    assert numbers(poll) == expected
    assert EventKind.REPLACED in kinds(poll)
    assert EventKind.BAD_ROWS not in kinds(poll)
    add(path, rows(10, 12))
    assert numbers(follower.poll(Still())) == [10, 11]
    follower.close()


def test_a_new_file_without_header_loses_no_row(path):
    add(path, HEADER + rows(0, 5))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    path.unlink()
    add(path, rows(5, 7))
    assert numbers(follower.poll(Still())) == [5, 6]
    follower.close()


def test_an_emptied_file(path):
    add(path, HEADER + rows(0, 50))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    path.write_text("")
    assert kinds(follower.poll(Still())) == [EventKind.REPLACED]
    add(path, HEADER)
    assert follower.poll(Still()).events == ()
    add(path, rows(50, 52))
    assert numbers(follower.poll(Still())) == [50, 51]
    follower.close()


def test_a_logger_that_writes_the_whole_file_again_each_time(path):
    follower = FollowedFile(path, FORMAT)
    seen = []
    for count in range(1, 40):
        part = path.with_suffix(".part")
        part.write_text(HEADER + rows(0, count), encoding="utf-8")
        part.replace(path)
        poll = follower.poll(Still())
        seen += numbers(poll)
        assert EventKind.REPLACED not in kinds(poll)
    assert seen == list(range(39))
    follower.close()


def test_a_file_that_vanishes_and_returns(path):
    follower = FollowedFile(path, FORMAT)
    gone = follower.poll(Still())
    assert kinds(gone) == [EventKind.LOST]
    assert gone.signal.kind is SignalKind.SILENT
    assert follower.poll(Still()).events == ()  # told once
    add(path, HEADER + rows(0, 3))
    poll = follower.poll(Still())
    assert numbers(poll) == [0, 1, 2]
    assert kinds(poll) == [EventKind.CONNECTED]
    path.rename(path.with_suffix(".away"))
    assert kinds(follower.poll(Still())) == [EventKind.LOST]
    path.with_suffix(".away").rename(path)
    add(path, rows(3, 5))
    poll = follower.poll(Still())
    assert numbers(poll) == [3, 4]
    assert EventKind.REPLACED not in kinds(poll)
    follower.close()


def test_a_network_folder_that_stalls(path, monkeypatch):
    add(path, HEADER + rows(0, 3))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())

    def stalled(self, **more):
        raise TimeoutError(110, "Connection timed out")

    with monkeypatch.context() as patch:
        patch.setattr(type(path), "stat", stalled)
        poll = follower.poll(Still())
        assert kinds(poll) == [EventKind.LOST]
        assert "timed out" in poll.signal.sentence
        assert follower.poll(Still()).events == ()
    add(path, rows(3, 4))
    poll = follower.poll(Still())
    assert numbers(poll) == [3]
    assert kinds(poll) == [EventKind.CONNECTED]
    follower.close()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_file_that_hangs_whoever_opens_it_does_not_hang_the_recording(tmp_path):
    # A named pipe that nobody writes to holds up its reader for ever, as a dead network does.
    path = tmp_path / "pipe"
    os.mkfifo(path)
    follower = FollowedFile(path, FORMAT, patience=0.05)
    begun = time.monotonic()
    poll = follower.poll(Still())
    assert time.monotonic() - begun < 2.0
    assert kinds(poll) == [EventKind.LOST]
    assert "does not answer" in poll.signal.sentence
    assert follower.poll(Still()).events == ()
    os.close(os.open(path, os.O_WRONLY))  # lets the thread go
    until = time.monotonic() + 5.0
    while follower._file._thread.is_alive() and time.monotonic() < until:
        time.sleep(0.005)
    follower.close()


def test_zeros_left_by_a_power_cut_and_the_header_again(path):
    add(path, HEADER + rows(0, 3))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    add(path, "\0" * 300 + "\n" + HEADER + rows(3, 5))
    poll = follower.poll(Still())
    assert numbers(poll) == [3, 4]
    assert poll.events == ()
    follower.close()


def test_a_row_with_a_wild_date_costs_itself_and_not_the_night(path):
    add(path, HEADER + rows(0, 30))
    follower = FollowedFile(path, FORMAT)
    seen = numbers(follower.poll(Still()))
    bad = []
    for i in range(30, 40):
        if i == 33:
            add(path, "2062-11-24 17:35:30,523.3\n")
        add(path, row(i))
        poll = follower.poll(Still())
        seen += numbers(poll)
        bad += poll.events
    assert seen == list(range(40))
    assert [event.kind for event in bad] == [EventKind.BAD_ROWS]
    assert "runs ahead" in bad[0].sentence
    assert "line 35" in bad[0].sentence
    follower.close()


def test_a_pause_of_the_logger_is_borne_out_by_two_more_rows(path):
    add(path, HEADER + rows(0, 30))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    seen = []
    for i in (400, 401, 402, 403):
        add(path, row(i))
        seen.append(numbers(follower.poll(Still())))
    assert seen == [[], [], [400, 401, 402], [403]]
    follower.close()


def test_a_broken_thermocouple_in_the_file(path):
    add(path, HEADER + rows(0, 3))
    follower = FollowedFile(path, FORMAT)
    follower.poll(Still())
    add(path, row(3, "OPEN") + row(4, 1372))
    poll = follower.poll(Still())
    assert kinds(poll) == [EventKind.BROKEN]
    assert poll.signal.kind is SignalKind.BROKEN
    add(path, row(5))
    poll = follower.poll(Still())
    assert kinds(poll) == [EventKind.MENDED]
    assert numbers(poll) == [5]
    follower.close()


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_encodings_and_characters_cut_in_two(path, encoding):
    data = (HEADER + rows(0, 6)).encode(encoding)
    follower = FollowedFile(path, LogFormat(encoding=encoding, timezone="UTC"))
    seen = []
    for i in range(0, len(data), 7):
        with path.open("ab") as stream:
            stream.write(data[i : i + 7])
        poll = follower.poll(Still())
        seen += numbers(poll)
        assert set(kinds(poll)) <= {EventKind.CONNECTED}
    assert seen == [0, 1, 2, 3, 4, 5]
    follower.close()


def test_times_of_day_go_over_midnight(path):
    log_format = LogFormat(time_kind=TimeKind.CLOCK, timezone="UTC", column_names=("t", "T"))
    follower = FollowedFile(path, log_format, start=START)
    add(path, "t,T\n")
    seen = []
    for i in range(40):
        moment = START + timedelta(minutes=30 * i)
        add(path, f"{moment:%H:%M:%S},500\n")
        seen += [one.time for one in follower.poll(Still()).readings]
    assert seen == [START + timedelta(minutes=30 * i) for i in range(40)]
    follower.close()


def test_the_hour_that_comes_twice_in_autumn(path):
    # Lisbon: 2026-10-25 02:00 summer time becomes 01:00 (EU rule, last Sunday in October).
    log_format = LogFormat(timezone="Europe/Lisbon", column_names=("t", "T"))
    begin = datetime(2026, 10, 24, 22, 0, tzinfo=UTC)
    zone = ZoneInfo("Europe/Lisbon")
    follower = FollowedFile(path, log_format)
    add(path, "t,T\n")
    seen = []
    for i in range(180):
        local = (begin + timedelta(minutes=2 * i)).astimezone(zone)
        add(path, f"{local:%Y-%m-%d %H:%M:%S},500\n")
        seen += [one.time for one in follower.poll(Still()).readings]
    assert seen == [begin + timedelta(minutes=2 * i) for i in range(180)]
    follower.close()


@settings(max_examples=30, deadline=None)
@given(
    cuts=st.lists(st.integers(1, 2400), max_size=25, unique=True),
    fault=st.sampled_from(["", "2026-11-24 17:31:00,OPEN\n", "x\n", "\n", "# note\n", '"\n']),
    ending=st.sampled_from(["\n", "\r\n", "\r"]),
)
def test_however_it_is_written_the_outcome_is_that_of_the_whole_file(
    tmp_path_factory, cuts, fault, ending
):
    path = tmp_path_factory.mktemp("follow") / "lehr.csv"
    data = (HEADER + rows(0, 30) + fault + rows(30, 80)).replace("\n", ending).encode()
    follower = FollowedFile(path, FORMAT)
    seen = []
    for begin, end in zip([0, *sorted(cuts)], [*sorted(cuts), len(data)], strict=True):
        with path.open("ab") as stream:
            stream.write(data[begin:end])
        seen += follower.poll(Still()).readings
    add(path, ending + "#")  # a last line's end may be half of a pair
    seen += follower.poll(Still()).readings
    follower.close()
    whole = read_log(data, FORMAT).readings
    assert np.array_equal([one.time.timestamp() for one in seen], whole.time)
    assert np.array_equal([one.temperature for one in seen], whole.temperature)


def test_what_cannot_be_followed_is_refused(path):
    with pytest.raises(LogFileError, match="no dates"):
        FollowedFile(path, LogFormat(time_kind=TimeKind.CLOCK))
    with pytest.raises(LogFileError, match="time zone"):
        FollowedFile(path, LogFormat(timezone="Nowhere"))
    with pytest.raises(LogFileError):
        FollowedFile(path, FORMAT, after=START.replace(tzinfo=None))
    with pytest.raises(LogFileError):
        FollowedFile(path, FORMAT, interval=0.0)
