"""Load files: the shipped examples, every key, and faults placed at their line."""

from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.equipment.lehr import Entry
from core.errors import LehrkeeperError, LoadError
from core.load.load_file import parse_load, read_load
from core.piece.piece import CooledFrom, Shape
from core.plan.planner import make_plan
from core.units import TemperatureUnit

SCHEDULES = Path(__file__).parents[3] / "schedules"
NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)

GOOD = """\
name = "One evening"
button_pressed = 2026-11-24T17:30:00
out_by = 2026-11-25T08:00:00
timezone = "Europe/Lisbon"

[lehr]
name = "Test lehr"
cooling_time_constant_h = 3
room_C = 18

[lehr.controller]
entry = "time"
degrees = "F"
max_segments = 6

[limits]
permanent_tension_MPa = 0.3
safety_factor = 1.5

[glasses."sheet glass"]
[glasses."sheet glass".measured]
strain_point_C = 471
annealing_point_C = 507
expansion_per_K = 9.6e-6

[[pieces]]
name = "Float"
shape = "plate"
glass = "sheet glass"
wall_mm = 3
cooled_from = "one"

[[pieces]]
name = "Decanter"
count = 2
shape = "vessel"
glass = "sheet glass"
wall_mm = 4
base_mm = 20
"""


def test_every_value_arrives_in_si():
    load = parse_load(GOOD)
    assert load.name == "One evening"
    assert load.button_time == datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
    assert load.lehr.cooling_time_constant == pytest.approx(3 * 3600)
    assert load.lehr.ambient == pytest.approx(291.15)
    assert load.lehr.controller.entry is Entry.TIME
    assert load.lehr.controller.unit is TemperatureUnit.FAHRENHEIT
    assert load.limits.permanent_tension == pytest.approx(0.3e6)
    assert load.limits.safety_factor == pytest.approx(1.5)
    first, second = load.pieces
    assert first.cooled_from is CooledFrom.ONE
    assert first.wall_thickness == pytest.approx(0.003)
    assert (second.shape, second.count) == (Shape.VESSEL, 2)
    assert load.glasses["sheet glass"].measured.annealing_point == pytest.approx(780.15)


@pytest.mark.parametrize("path", sorted(SCHEDULES.glob("*.toml")), ids=lambda p: p.stem)
def test_shipped_examples_plan(path):
    plan = make_plan(read_load(path, now=NOW))
    assert plan.governing_piece
    assert plan.ready_at > plan.start


def test_shipped_examples_are_enough_and_varied():
    loads = [read_load(path, now=NOW) for path in SCHEDULES.glob("*.toml")]
    assert len(loads) >= 6
    glasses = {name for load in loads for name in load.glasses}
    assert {"harbour lead crystal", "bottle green potash"} <= glasses
    assert {piece.shape for load in loads for piece in load.pieces} == set(Shape)


def test_a_time_without_a_date_is_the_next_one():
    text = GOOD.replace("2026-11-24T17:30:00", "17:30:00").replace("2026-11-25T08:00:00", '"08:00"')
    load = parse_load(text, now=NOW)
    assert load.button_time == datetime(2026, 11, 24, 17, 30, tzinfo=UTC)
    assert load.out_by == datetime(2026, 11, 25, 8, 0, tzinfo=UTC)


def test_a_night_over_the_autumn_change_of_clocks_has_its_extra_hour():
    text = GOOD.replace("2026-11-24", "2026-10-24").replace("2026-11-25", "2026-10-25")
    load = parse_load(text)
    assert load.out_by is not None
    assert (load.out_by - load.button_time).total_seconds() == 15.5 * 3600


@pytest.mark.parametrize(
    ("old", "new", "line", "words"),
    [
        ("wall_mm = 4", "wall_mm = 400", 38, "400 mm is outside"),
        ("wall_mm = 3", "wall_mm = 0", 30, "0 mm is outside"),
        ("wall_mm = 3", 'wall_mm = "3"', 30, "not a number"),
        ("wall_mm = 3", "wall_mm = nan", 30, "not a number"),
        ("wall_mm = 3", "wal_mm = 3", 30, "Did you mean wall_mm?"),
        ("base_mm = 20\n", "", 33, "needs a base thickness"),
        ('shape = "vessel"', 'shape = "bottle"', 36, "Use one of"),
        ("count = 2", "count = 2.5", 35, "whole number"),
        ('glass = "sheet glass"\nwall_mm = 4', 'glass = "no such"\nwall_mm = 4', 37, "no such"),
        ("strain_point_C = 471", "strain_point_C = 571", 22, "strain"),
        ("annealing_point_C = 507", "annealing_point_C = 5070", 23, "is not that of a glass"),
        ("expansion_per_K = 9.6e-6", "expansion_per_K = 1e-308", 24, "is not that of a glass"),
        ("wall_mm = 3", f"wall_mm = {'9' * 400}", 30, "beyond all bounds"),
        ("wall_mm = 3", f"wall_mm = {'9' * 5000}", None, "thousands of digits"),
        ("wall_mm = 3", f"wall_mm = 0x{'f' * 5000}", 30, "beyond all bounds"),
        ("wall_mm = 3", f"wall_mm = [0x{'f' * 5000}]", 30, "very long number"),
        ("wall_mm = 3", f"wall_mm = {'[' * 3000}{']' * 3000}", None, "too deep"),
        ("count = 2", "count = 10000", 35, "Use 1 to 9999"),
        ("2026-11-24T17:30:00", "9999-12-31T23:59:59", 2, "year 9999"),
        ("2026-11-24T17:30:00", "0001-01-01T00:00:00+14:00", 2, "year 1 "),
        ("2026-11-24T17:30:00", '"2026-11-24"', 2, "is not a time"),
        ('[glasses."sheet glass"]', '[glasses]\n"sheet" = {library = 5}\n', 21, "not text"),
        ("cooling_time_constant_h = 3", "cooling_time_constant_h = 0", 8, "not possible"),
        ("cooling_time_constant_h = 3\n", "", 6, "time constant is missing"),
        ("out_by = 2026-11-25T08:00:00", "out_by = 2026-11-23T08:00:00", 3, "not after"),
        ("out_by = 2026-11-25T08:00:00", 'out_by = "soon"', 3, "is not a time"),
        ("button_pressed = 2026-11-24T17:30:00\n", "", None, "button is pressed is missing"),
        ("Europe/Lisbon", "Europe/Atlantis", 4, "not a known time zone"),
        ("safety_factor = 1.5", "safety_factor = 0", 18, "not possible"),
        ('entry = "time"', 'entry = "magic"', 12, "Use one of"),
        ('name = "One evening"', "name = One evening", 1, "not valid TOML"),
    ],
)
def test_faults_are_placed_and_plain(old, new, line, words):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    with pytest.raises(LehrkeeperError) as caught:
        make_plan(parse_load(text, file="evening.toml"))
    assert words in str(caught.value)
    if line is not None:
        assert caught.value.place is not None
        assert caught.value.place.file == "evening.toml"
        assert caught.value.place.line == line


def test_the_hour_that_spring_skips_is_refused():
    text = GOOD.replace("2026-11-24T17:30:00", "2027-03-28T01:30:00").replace(
        "2026-11-25", "2027-03-29"
    )
    with pytest.raises(LoadError, match="never shows 01:30"):
        parse_load(text)


def test_no_file_a_folder_and_no_text(tmp_path):
    with pytest.raises(LoadError, match="no such file"):
        read_load(tmp_path / "missing.toml")
    with pytest.raises(LoadError, match="folder"):
        read_load(tmp_path)
    binary = tmp_path / "binary.toml"
    binary.write_bytes(b"\xff\xfe\x00\x81")
    with pytest.raises(LoadError, match="not a text file"):
        read_load(binary)


@settings(max_examples=150, deadline=None)
@given(
    start=st.integers(0, len(GOOD) - 1),
    length=st.integers(0, 12),
    new=st.text("0123456789.-=\"[]'abcxyz_\n #{},T:", max_size=8),
)
def test_mangled_files_give_a_load_or_an_error_of_ours(start, length, new):
    text = GOOD[:start] + new + GOOD[start + length :]
    try:
        parse_load(text, now=NOW)
    except LehrkeeperError as error:
        assert error.message  # noqa: PT017 - any other exception fails the test
