"""Long files tell how far they are and can be stopped."""

import pytest

from core.errors import StoppedError
from core.run.log_file import read_log

LONG = "Time,Temp C\n" + "\n".join(
    f"2026-11-24 {minute // 60 % 24:02d}:{minute % 60:02d}:{second:02d},525.0"
    for minute in range(200)
    for second in range(0, 60, 2)
)


def test_progress_rises_to_no_more_than_all():
    told: list[float] = []
    log = read_log(LONG.encode(), progress=told.append)
    assert len(log.readings) == 6000
    assert told == sorted(told)
    assert 0 < told[0] <= told[-1] == 1


def test_rows_read_one_by_one_tell_progress_too():
    told: list[float] = []
    ragged = LONG.replace(",525.0", ",5.25e2")
    assert len(read_log(ragged.encode(), progress=told.append).readings) == 6000
    assert len(told) >= 3
    assert told == sorted(told)


def test_a_stopped_reading_gives_no_log():
    with pytest.raises(StoppedError):
        read_log(LONG.encode(), cancelled=lambda: True)


def test_a_long_log_can_be_stopped_on_the_way():
    asked = []

    def cancelled():
        asked.append(1)
        return len(asked) > 2

    day = "2026-11-{:02d} {:02d}:{:02d}:{:02d},525.0\n".format
    rows = "".join(
        day(d, h, m, s) for d in (1, 2, 3) for h in range(24) for m in range(60) for s in range(60)
    )
    with pytest.raises(StoppedError):
        read_log(("Time,Temp C\n" + rows).encode(), cancelled=cancelled)
    assert len(asked) == 3
