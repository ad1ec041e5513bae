"""The usual hours of a night; clock times of Lisbon (UTC in winter) and its clock changes."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from core.load.evening import is_on_time, is_past, moved_to, moved_to_tonight, usual_button_time
from core.load.gathering import Gathering
from core.load.load import Load
from core.load.load_file import read_load
from core.load.placing import Placing

LISBON = ZoneInfo("Europe/Lisbon")
SCHEDULES = Path(__file__).parents[3] / "schedules"
NOON = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)


@pytest.fixture
def chimneys() -> Load:
    return read_load(SCHEDULES / "lamp_chimneys.toml", now=NOON)


def test_the_usual_button_is_half_past_five_on_the_wall() -> None:
    assert usual_button_time(NOON, LISBON) == datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
    summer = datetime(2026, 7, 1, 12, 0, tzinfo=UTC)
    assert usual_button_time(summer, LISBON) == datetime(2026, 7, 1, 16, 30, tzinfo=UTC)


def test_after_half_past_five_it_is_now_in_whole_minutes() -> None:
    late = datetime(2026, 11, 24, 19, 12, 44, tzinfo=UTC)
    assert usual_button_time(late, LISBON) == datetime(2026, 11, 24, 19, 12, tzinfo=UTC)


def test_a_load_is_past_only_when_its_pieces_were_to_be_out(chimneys: Load) -> None:
    load = replace(chimneys, button_time=NOON, out_by=NOON + timedelta(days=3))
    assert not is_past(load, NOON + timedelta(days=2))
    assert is_past(load, NOON + timedelta(days=3, minutes=1))
    assert is_past(replace(load, out_by=None), NOON + timedelta(hours=17))
    assert not is_past(replace(load, out_by=None), NOON + timedelta(hours=15))


def test_moving_to_tonight_keeps_the_clock_times(chimneys: Load) -> None:
    week_later = NOON + timedelta(days=7)
    load = replace(
        chimneys,
        button_time=datetime(2026, 11, 24, 17, 30, tzinfo=UTC),
        out_by=datetime(2026, 11, 26, 8, 0, tzinfo=UTC),
    )
    moved = moved_to_tonight(load, week_later, LISBON)
    assert moved.button_time == datetime(2026, 12, 1, 17, 30, tzinfo=UTC)
    assert moved.out_by == datetime(2026, 12, 3, 8, 0, tzinfo=UTC)


def test_moving_over_a_clock_change_keeps_the_hour_on_the_wall(chimneys: Load) -> None:
    load = replace(
        chimneys,
        button_time=datetime(2026, 10, 20, 16, 30, tzinfo=UTC),
        out_by=datetime(2026, 10, 21, 7, 0, tzinfo=UTC),
    )
    moved = moved_to_tonight(load, datetime(2026, 10, 24, 9, 0, tzinfo=UTC), LISBON)
    assert moved.button_time == datetime(2026, 10, 24, 16, 30, tzinfo=UTC)
    assert moved.out_by == datetime(2026, 10, 25, 8, 0, tzinfo=UTC)  # the clocks went back


def test_an_hour_the_clocks_skip_keeps_the_span(chimneys: Load) -> None:
    load = replace(
        chimneys,
        button_time=datetime(2026, 3, 20, 17, 30, tzinfo=UTC),
        out_by=datetime(2026, 3, 21, 1, 30, tzinfo=UTC),
    )
    moved = moved_to_tonight(load, datetime(2026, 3, 28, 9, 0, tzinfo=UTC), LISBON)
    assert moved.out_by == moved.button_time + timedelta(hours=8)


def test_a_past_clock_time_means_now(chimneys: Load) -> None:
    load = replace(chimneys, button_time=NOON - timedelta(days=3, hours=2), out_by=None)
    assert moved_to_tonight(load, NOON, LISBON).button_time == NOON


def test_moving_the_button_past_the_last_hour_drops_that_hour(chimneys: Load) -> None:
    load = replace(chimneys, button_time=NOON, out_by=NOON + timedelta(hours=14))
    assert moved_to(load, NOON + timedelta(hours=1)).out_by == load.out_by
    assert moved_to(load, NOON + timedelta(hours=14)).out_by is None


def test_ten_minutes_either_way_is_on_time() -> None:
    assert is_on_time(NOON, NOON + timedelta(minutes=10))
    assert is_on_time(NOON, NOON - timedelta(minutes=10))
    assert not is_on_time(NOON, NOON + timedelta(minutes=11))


def test_what_was_gathered_and_put_in_by_the_clock_is_so_tonight(chimneys: Load) -> None:
    # The button at 17:30 in Lisbon before the clocks go back; put in at 16:00, gathered at 15:40.
    button = datetime(2026, 10, 20, 16, 30, tzinfo=UTC)
    name = chimneys.pieces[0].name
    load = replace(
        chimneys,
        button_time=button,
        out_by=None,
        gathered={name: Gathering("Quay pot", button - timedelta(minutes=110))},
        placings={name: Placing(hotter=3.0, put_in=button - timedelta(minutes=90))},
    )
    moved = moved_to_tonight(load, datetime(2026, 11, 3, 12, tzinfo=UTC), LISBON)
    assert moved.gathered == {
        name: Gathering("Quay pot", datetime(2026, 11, 3, 15, 40, tzinfo=UTC))
    }
    put_in = datetime(2026, 11, 3, 16, 0, tzinfo=UTC)
    assert moved.placings == {name: Placing(hotter=3.0, put_in=put_in)}


def test_what_was_to_go_in_later_is_in_when_the_button_is_pressed_early(chimneys: Load) -> None:
    name = chimneys.pieces[0].name
    put_in = chimneys.button_time - timedelta(minutes=20)
    load = replace(chimneys, placings={name: Placing(put_in=put_in)})
    early = chimneys.button_time - timedelta(hours=1)
    assert moved_to(load, early).placings[name].put_in == early
    assert moved_to(load, chimneys.button_time).placings[name].put_in == put_in
