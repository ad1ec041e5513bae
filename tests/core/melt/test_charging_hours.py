"""Hours in which nobody charges, over midnight and over a change of the clocks."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import FurnaceError
from core.melt.charging_hours import ClosedHours, first_open

LISBON = ZoneInfo("Europe/Lisbon")
NIGHT = ClosedHours(time(23, 30), time(6), LISBON)


@pytest.mark.parametrize(
    ("clock", "opens"),
    [
        ("2026-11-27T22:00", "2026-11-27T22:00"),
        ("2026-11-27T23:30", "2026-11-28T06:00"),
        ("2026-11-28T03:00", "2026-11-28T06:00"),
        ("2026-11-28T06:00", "2026-11-28T06:00"),
        # The clocks go back at 02:00 on that night: it has an hour more.
        ("2026-10-24T23:30", "2026-10-25T06:00"),
    ],
)
def test_the_night_is_waited_out(clock, opens):
    moment = datetime.fromisoformat(clock).replace(tzinfo=LISBON)
    wanted = datetime.fromisoformat(opens).replace(tzinfo=LISBON).astimezone(UTC)
    assert first_open(moment, [NIGHT]) == wanted


def test_hours_that_follow_each_other_are_waited_out_together():
    noon = ClosedHours(time(6), time(7, 15), LISBON)
    moment = datetime(2026, 11, 28, 1, tzinfo=LISBON)
    assert first_open(moment, [noon, NIGHT]) == datetime(2026, 11, 28, 7, 15, tzinfo=UTC)


def test_a_day_closed_throughout_never_opens():
    day = [ClosedHours(time(0), time(12), UTC), ClosedHours(time(12), time(0), UTC)]
    assert first_open(datetime(2026, 11, 28, 1, tzinfo=UTC), day) is None


def test_no_hours_at_all_are_refused():
    with pytest.raises(FurnaceError) as caught:
        ClosedHours(time(6), time(6))
    assert caught.value.field == "closed"


@given(
    st.integers(0, 365 * 86_400),
    st.times(),
    st.times(),
)
def test_what_opens_is_never_closed_nor_early(seconds, start, end):
    if start == end:
        return
    hours = ClosedHours(start, end, UTC)
    aware = datetime(2026, 1, 1, tzinfo=UTC) + timedelta(seconds=seconds)
    opens = first_open(aware, [hours])
    assert opens is not None
    assert not hours.holds(opens)
    assert aware <= opens <= aware + timedelta(days=1)
