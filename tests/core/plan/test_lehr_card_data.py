"""What the lehr card says of a plan, before anything is laid out."""

from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from studio_loads import SOFT, ball, decanter, lehr, load, plate

from core.equipment.lehr import Controller, Entry
from core.plan.card import card_of
from core.plan.plan import SegmentKind
from core.plan.planner import make_plan
from core.plan.program import rate_lines, time_lines
from core.units import TemperatureUnit


def test_the_piece_that_needs_the_slowest_cooling_is_the_only_one_marked():
    night = load(decanter(), plate(3.0, name="float"), ball(50.0))
    plan = make_plan(night)
    card = card_of(plan, night)
    assert [piece.name for piece in card.pieces if piece.governs] == [plan.governing_piece]
    assert [piece.name for piece in card.pieces] == ["decanter", "float", "ball"]


def test_dimensions_are_those_that_were_measured():
    night = load(decanter(wall=4.0, base=22.0), ball(50.0))
    first, second = card_of(make_plan(night), night).pieces
    assert dict(first.dimensions) == pytest.approx({"wall": 0.004, "base": 0.022})
    assert dict(second.dimensions) == pytest.approx({"diameter": 0.050})


def test_segments_follow_each_other_from_button_to_ready():
    night = load(decanter())
    plan = make_plan(night)
    card = card_of(plan, night)
    assert card.segments[0].start == plan.start
    assert card.segments[-1].end == plan.ready_at
    for before, after in zip(card.segments, card.segments[1:], strict=False):
        assert before.end == after.start
    assert [s.number for s in card.segments] == list(range(1, len(plan.segments) + 1))


def test_nothing_is_set_for_coasting_nor_for_a_soak_already_reached():
    night = load(decanter())
    segments = card_of(make_plan(night), night).segments
    assert segments[0].kind is SegmentKind.SOAK
    assert segments[0].rate is None
    assert segments[-1].kind is SegmentKind.COAST
    assert segments[-1].rate is None
    assert all(s.rate is not None and s.rate < 0 for s in segments[1:-1])


@pytest.mark.parametrize(("entry", "lines"), [(Entry.RATE, rate_lines), (Entry.TIME, time_lines)])
def test_program_is_in_the_controllers_own_way_and_degrees(entry, lines):
    controller = Controller(entry=entry, unit=TemperatureUnit.FAHRENHEIT, max_segments=12)
    night = load(decanter(), oven=lehr(controller=controller))
    plan = make_plan(night)
    card = card_of(plan, night)
    assert card.controller_unit is TemperatureUnit.FAHRENHEIT
    assert len(card.key_in) == len(lines(plan, controller))
    assert all("°F" in line for line in card.key_in)
    assert card.coasts


def test_glass_points_are_true_though_the_plan_is_in_controller_readings():
    plain, offset = load(decanter()), load(decanter(), oven=lehr(thermocouple_offset=8.0))
    shown = card_of(make_plan(offset), offset)
    assert shown.glasses[0].annealing_point == pytest.approx(
        card_of(make_plan(plain), plain).glasses[0].annealing_point
    )
    assert shown.thermocouple_offset == 8.0


def test_every_glass_of_the_load_is_listed():
    night = load(decanter(), plate(3.0, name="soft float", glass=SOFT))
    assert [g.name for g in card_of(make_plan(night), night).glasses] == [
        "harbour test glass",
        "soft test glass",
    ]


def test_late_plan_says_so_in_the_zone_asked_for():
    night = load(decanter(base=60.0), hours=6.0)
    night = replace(night, out_by=night.button_time + timedelta(hours=6))
    card = card_of(make_plan(night), night, ZoneInfo("Asia/Kolkata"))  # +5:30: 23:30 is 05:00
    assert not card.in_time
    assert "Will not be ready by" in card.verdict
    assert "05:00" in card.verdict


def test_cautions_and_warnings_are_all_there():
    night = load(decanter(), plate(3.0, name="soft float", glass=SOFT))
    plan = make_plan(night)
    card = card_of(plan, night)
    assert card.warnings == plan.warnings
    assert card.warnings
    assert any("polariscope" in text for text in card.cautions)
