"""The time axis follows the clock on the wall, also in the nights when it changes.

Berlin 2026: clocks go forward on 29 March and back on 25 October at 01:00 UTC (Directive
2000/84/EC). Times are checked against the IANA data in ``zoneinfo``.
"""

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytestqt.qtbot import QtBot

from app.plots.clock_axis import ClockAxis, clock_label, clock_step, clock_ticks, span_in_words

BERLIN = ZoneInfo("Europe/Berlin")
KATHMANDU = ZoneInfo("Asia/Kathmandu")  # UTC+05:45


def at(*parts: int) -> float:
    return datetime(*parts, tzinfo=UTC).timestamp()


def labels(start: float, end: float, step: int, zone: ZoneInfo) -> list[str]:
    return [clock_label(tick, step, zone) for tick in clock_ticks(start, end, step, zone)]


def test_an_ordinary_night() -> None:
    shown = labels(at(2026, 11, 25, 16), at(2026, 11, 26, 8), 3 * 3600, BERLIN)
    assert shown == ["18:00", "21:00", "Thu 26 Nov", "03:00", "06:00", "09:00"]


def test_the_short_night_skips_an_hour() -> None:
    start, end = at(2026, 3, 28, 22), at(2026, 3, 29, 4)
    assert labels(start, end, 3600, BERLIN) == [
        "23:00", "Sun 29 Mar", "01:00", "03:00", "04:00", "05:00", "06:00"
    ]  # fmt: skip
    ticks = clock_ticks(start, end, 3 * 3600, BERLIN)
    assert [clock_label(t, 1e4, BERLIN) for t in ticks] == ["Sun 29 Mar", "03:00", "06:00"]
    assert ticks[1] - ticks[0] == 2 * 3600


def test_the_long_night_has_an_hour_twice() -> None:
    start, end = at(2026, 10, 24, 22), at(2026, 10, 25, 5)
    assert labels(start, end, 3600, BERLIN) == [
        "Sun 25 Oct", "01:00", "02:00", "02:00", "03:00", "04:00", "05:00", "06:00"
    ]  # fmt: skip
    ticks = clock_ticks(start, end, 3 * 3600, BERLIN)
    assert ticks[1] - ticks[0] == 4 * 3600


def test_minutes_in_a_zone_of_odd_quarters() -> None:
    shown = labels(at(2026, 5, 1, 0), at(2026, 5, 1, 2), 1800, KATHMANDU)
    assert shown == ["06:00", "06:30", "07:00", "07:30"]


@given(
    st.floats(min_value=at(2020, 1, 1), max_value=at(2035, 1, 1)),
    st.floats(min_value=120.0, max_value=40 * 86400.0),
    st.floats(min_value=200.0, max_value=4000.0),
    st.sampled_from([BERLIN, KATHMANDU, ZoneInfo("America/St_Johns"), ZoneInfo("UTC")]),
)
def test_labels_are_round_ordered_and_do_not_crowd(
    start: float, span: float, width: float, zone: ZoneInfo
) -> None:
    step = clock_step(span, width)
    ticks = clock_ticks(start, start + span, step, zone)
    assert ticks == sorted(set(ticks))
    assert all(start <= tick <= start + span for tick in ticks)
    assert len(ticks) <= width / 78.0 + 3
    for tick in ticks:
        local = datetime.fromtimestamp(tick, zone)
        assert local.second == 0
        if step >= 3600:
            assert local.minute == 0
        else:
            assert local.minute % (step // 60) == 0


def test_absurd_spans_give_no_ticks() -> None:
    assert clock_ticks(0.0, 0.0, 3600) == []
    assert clock_ticks(0.0, 1e12, 60) == []


def test_the_axis_item_never_scales_its_numbers(qtbot: QtBot) -> None:
    axis = ClockAxis(BERLIN)
    assert axis.autoSIPrefix is False
    start = at(2026, 11, 25, 16)
    levels = axis.tickValues(start, start + 16 * 3600, 900)
    assert levels[0][0] == 2 * 3600
    assert axis.tickStrings(levels[0][1], 1.0, levels[0][0])[0] == "18:00"
    assert not set(levels[0][1]) & set(levels[1][1])
    axis.set_zone(ZoneInfo("UTC"))
    assert axis.tickStrings([start], 1.0, 3600.0) == ["16:00"]


@pytest.mark.parametrize(
    ("end", "words"),
    [(at(2026, 11, 25, 20), "Wed 25 Nov"), (at(2026, 11, 26, 8), "Wed 25 Nov – Thu 26 Nov")],
)
def test_the_days_in_words(end: float, words: str) -> None:
    assert span_in_words(at(2026, 11, 25, 16), end, BERLIN) == words
