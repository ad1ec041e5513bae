"""Where a planned charge stands."""

from datetime import UTC, datetime, timedelta

import pytest

from core.furnace.charge_due import Due, charge_due

PLANNED = datetime(2026, 11, 25, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("minutes", "due"), [(-60, Due.TO_COME), (-10, Due.DUE), (4, Due.DUE), (30, Due.LATE)]
)
def test_the_clock_decides_until_it_is_made(minutes, due):
    found = charge_due(PLANNED, PLANNED + timedelta(minutes=minutes))
    assert found.due is due
    assert found.late == 60.0 * minutes


def test_once_made_it_is_done_however_late():
    found = charge_due(PLANNED, PLANNED + timedelta(days=1), PLANNED + timedelta(minutes=12))
    assert (found.due, found.late) == (Due.DONE, 720.0)
