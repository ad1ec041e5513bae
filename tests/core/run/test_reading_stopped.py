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
    assert len(told) == 3
    assert 0 < told[0] < told[-1] <= 1


def test_a_stopped_reading_gives_no_log():
    with pytest.raises(StoppedError):
        read_log(LONG.encode(), cancelled=lambda: True)
