"""Keys for where pieces stand and how they came, for cold loads, for what a controller takes."""

from datetime import UTC, datetime

import pytest

from core.errors import EquipmentError, LoadError
from core.load.load import Strength
from core.load.load_file import parse_load
from core.load.load_writer import load_to_toml
from core.load.placing import Placing
from core.load.reheating import Reheating, ReheatKind

TEXT = """
button_pressed = 2026-11-24T17:30:00
timezone = "UTC"
[lehr]
cooling_time_constant_h = 3.0
[lehr.controller]
smallest_rate = 4
greatest_rate = 900
longest_segment_h = 9.5
[[pieces]]
name = "Deck prism"
glass = "harbour clear"
shape = "vessel"
wall_mm = 4
base_mm = 20
place_hotter_C = -6
place_within_C = 2
put_in = 15:10:00
core_in_C = 900
skin_in_C = 700
shelf_mm = 30
temporary_MPa = 5
safety_factor = 3
[[pieces]]
name = "Float"
glass = "harbour clear"
wall_mm = 3
"""
NOW = datetime(2026, 11, 24, 9, 0, tzinfo=UTC)


def test_all_keys_are_read_and_written_back():
    load = parse_load(TEXT, now=NOW)
    assert load.placings == {
        "Deck prism": Placing(
            hotter=-6.0,
            within=2.0,
            put_in=datetime(2026, 11, 24, 15, 10, tzinfo=UTC),
            core=1173.15,
            skin=973.15,
            shelf=0.03,
        )
    }
    assert load.strengths == {"Deck prism": Strength(5e6, 3.0)}
    ground = load.limits_of(load.pieces[0], 2.7e-12)
    assert (ground.temporary_tension, ground.safety_factor) == (5e6, 3.0)
    assert load.limits_of(load.pieces[1], 2.7e-12) == load.limits
    controller = load.lehr.controller
    assert (controller.smallest_rate, controller.greatest_rate) == (4.0, 900.0)
    assert controller.longest_segment == 9.5 * 3600
    again = parse_load(load_to_toml(load), now=NOW)
    assert again.placings == load.placings
    assert again.strengths == load.strengths
    assert again.lehr == load.lehr
    assert again.first_temperature is None


def test_a_cold_load_begins_at_room_temperature():
    cold = TEXT + '[reheating]\nkind = "casting"\nlump_mm = 15\nsqueeze_C = 660\nprocess_min = 40\n'
    load = parse_load(cold, now=NOW)
    assert load.reheating == Reheating(
        ReheatKind.CASTING, lump=0.015, squeeze_temperature=933.15, process_time=2400.0
    )
    assert load.first_temperature == load.lehr.ambient
    assert parse_load(load_to_toml(load), now=NOW).reheating == load.reheating


@pytest.mark.parametrize(
    ("old", "new", "message", "line"),
    [
        ("put_in = 15:10:00", "put_in = 2026-11-24T18:00:00", "after the button", 2),
        ("put_in = 15:10:00", "put_in = 2026-11-20T18:00:00", "days before", 2),
        ("put_in = 15:10:00", 'put_in = "soon"', "not a time", 18),
        ("shelf_mm = 30", "shelf_mm = 3000", "3 to 300 mm", 21),
        ("place_hotter_C = -6", "place_hotter_C = 80", "-60 to 60", 16),
        ("temporary_MPa = 5", "temporary_MPa = 5000", "0.01 to 100", 22),
        ("smallest_rate = 4", "smallest_rate = 1000", "above its greatest", 7),
        ("longest_segment_h = 9.5", "longest_segment_h = 0.1", "half an hour", 9),
        ("wall_mm = 3\n", 'wall_mm = 3\n[reheating]\nkind = "sing"', "not possible here", 29),
        ("wall_mm = 3\n", "wall_mm = 3\n[reheating]\n", "kind is missing", 28),
        (
            "wall_mm = 3\n",
            'wall_mm = 3\n[reheating]\nkind = "casting"\nsqueeze_C = 900\nprocess_C = 800',
            "settle",
            30,
        ),
    ],
)
def test_what_is_impossible_is_placed(old, new, message, line):
    with pytest.raises(LoadError, match=message) as caught:
        parse_load(TEXT.replace(old, new), file="night.toml", now=NOW)
    assert caught.value.place.file == "night.toml"
    assert caught.value.place.line in {line, None} if line == 2 else caught.value.place.line == line


def test_a_place_is_checked_where_it_is_made():
    with pytest.raises(LoadError, match="no time zone"):
        Placing(put_in=datetime(2026, 11, 24, 15, 10))  # noqa: DTZ001 -- that is the fault
    with pytest.raises(LoadError):
        Reheating(ReheatKind.AGAIN, strain=-1.0)
    from core.equipment.lehr import Controller

    with pytest.raises(EquipmentError, match="greatest rate"):
        Controller(greatest_rate=1e6)
