"""Sums of charges by local day, and doubtful entries."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.errors import FurnaceError
from core.furnace.charged import charged_by_day, charged_on, overfills, require_happened
from core.furnace.ledger import Charge, Pot

NOON = datetime(2026, 6, 10, 12, 0, tzinfo=UTC)


def test_a_day_begins_at_local_midnight() -> None:
    # 22:30 UTC is half past midnight of the next day in summer time.
    late = Charge(datetime(2026, 6, 10, 22, 30, tzinfo=UTC), "left", "cullet", 4.0)
    noon = Charge(NOON, "left", "batch", 6.0)
    there = ZoneInfo("Europe/Berlin")
    assert [(one.day, one.mass) for one in charged_by_day([late, noon], there)] == [
        (date(2026, 6, 10), 6.0),
        (date(2026, 6, 11), 4.0),
    ]
    (whole,) = charged_by_day([late, noon], ZoneInfo("UTC"))
    assert (whole.mass, whole.first) == (10.0, NOON)
    assert charged_on(date(2026, 6, 11), [late, noon], there)[0].mass == 4.0
    assert charged_on(date(2026, 6, 12), [late, noon], there) == ()


@given(
    st.lists(
        st.tuples(
            st.integers(-200, 200), st.sampled_from(("left", "right")), st.floats(0.001, 10_000)
        )
    )
)
def test_nothing_is_lost_or_counted_twice(entries: list[tuple[int, str, float]]) -> None:
    charges = [Charge(NOON + timedelta(hours=h), pot, "cullet", kg) for h, pot, kg in entries]
    days = charged_by_day(charges, ZoneInfo("Europe/London"))
    assert sum(one.mass for one in days) == pytest.approx(sum(kg for *_, kg in entries))
    assert len({(one.day, one.pot) for one in days}) == len(days)
    assert list(days) == sorted(days, key=lambda one: (one.day, one.pot))


def test_a_charge_is_compared_with_a_known_capacity_only() -> None:
    assert overfills(60.1, Pot("left", "shore", 60.0))
    assert not overfills(60.0, Pot("left", "shore", 60.0))
    assert not overfills(9_000.0, Pot("left", "shore"))


def test_tomorrow_cannot_be_written_down_today() -> None:
    require_happened(NOON, NOON)
    require_happened(NOON + timedelta(seconds=59), NOON)
    with pytest.raises(FurnaceError, match="not come yet") as caught:
        require_happened(NOON + timedelta(minutes=2), NOON)
    assert caught.value.field == "time"
