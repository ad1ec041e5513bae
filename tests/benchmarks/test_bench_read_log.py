"""How long a night's log takes: a reading every second for twelve hours."""

from datetime import UTC, datetime, timedelta

import pytest

from core.run.log_file import read_log


@pytest.fixture(scope="module")
def night():
    start = datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
    rows = [
        f"{start + timedelta(seconds=i):%d.%m.%Y %H:%M:%S};{520 - i / 100:.1f}".replace(".", ",")
        for i in range(12 * 3600)
    ]
    return ("time;lehr °C\n" + "\n".join(row.replace(",", ".", 2) for row in rows)).encode()


def test_read_a_night_of_seconds(benchmark, night):
    log = benchmark(read_log, night, timezone="Europe/Lisbon")
    assert len(log.readings) == 12 * 3600
