"""Load files written by the program: the reader makes the same load of them."""

import os
import stat
from dataclasses import fields, is_dataclass
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import LoadError
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.load.load import Load, StressLimits
from core.load.load_file import parse_load, read_load
from core.load.load_writer import load_to_toml, write_load, write_whole
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.planner import make_plan
from core.units import TemperatureUnit

SCHEDULES = Path(__file__).parents[3] / "schedules"
NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)

TEXT = st.text(min_size=1, max_size=20).filter(str.strip)
GLASSES = {
    "sheet": Glass(
        "sheet",
        measured=MeasuredPoints(
            strain_point=744.15, annealing_point=780.15, expansion=9.6e-6, density=2480.0,
            youngs_modulus=71.3e9, source="a sheet, page 2",
        ),
        note='said "keep dry"\nand meant it',
    ),
    "tried": Glass(
        "tried",
        Composition.from_percent({"SiO2": 72.0, "Na2O": 15.0, "CaO": 13.0}),
        MeasuredPoints(
            annealing_point=815.15, annealing_point_error=2.5, expansion=9.1e-6,
            expansion_error=1.5e-7, youngs_modulus_error=2e9,
            viscosities=(
                MeasuredViscosity(9.21, 903.15, 4.0, 0.08, "sag test of a “strip”"),
                MeasuredViscosity(12.0, 813.0, 8.0, 0.0, "observed annealing point"),
            ),
        ),
    ),
    "analysed": Glass(
        "analysed",
        Composition.from_percent({"SiO2": 70.0, "Na2O": 16.0, "CaO": 13.5}, Basis.MOLE),
        source="own trial",
    ),
}  # fmt: skip


def same(one: object, other: object) -> None:
    """Equal, numbers to nine figures (analyses to six, as they are written)."""
    if isinstance(one, Composition):
        assert isinstance(other, Composition)
        assert dict(one.weight_percent) == pytest.approx(dict(other.weight_percent), rel=1e-5)
        assert (one.basis, one.original_total) == (
            other.basis,
            pytest.approx(other.original_total, rel=1e-5),
        )
    elif is_dataclass(one):
        assert type(one) is type(other)
        for field in fields(one):
            same(getattr(one, field.name), getattr(other, field.name))
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-9)
    elif isinstance(one, tuple):
        assert isinstance(other, tuple)
        assert len(one) == len(other)
        for left, right in zip(one, other, strict=True):
            same(left, right)
    elif isinstance(one, dict):
        assert isinstance(other, dict)
        assert one.keys() == other.keys()
        for key in one:
            same(one[key], other[key])
    else:
        assert one == other


@st.composite
def pieces(draw: st.DrawFn) -> Piece:
    length = st.floats(0.0005, 0.29)
    return Piece(
        name=draw(TEXT),
        count=draw(st.integers(1, 500)),
        shape=draw(st.sampled_from(Shape)),
        glass=draw(st.sampled_from(sorted(GLASSES))),
        wall_thickness=draw(length),
        base_thickness=draw(length),
        diameter=draw(length),
        height=draw(st.none() | length),
        cooled_from=draw(st.sampled_from(CooledFrom)),
        base_cooled_from=draw(st.sampled_from(CooledFrom)),
    )


@st.composite
def loads(draw: st.DrawFn) -> Load:
    controller = Controller(
        draw(st.sampled_from(Entry)),
        draw(st.sampled_from(TemperatureUnit)),
        draw(st.integers(1, 99)),
        draw(st.floats(0.01, 100)),
    )
    lehr = Lehr(
        draw(TEXT),
        cooling_time_constant=draw(st.floats(400, 700_000)),
        ambient=draw(st.floats(260.0, 300.0)),
        max_heating_rate=draw(st.floats(0.01, 0.8)),
        max_temperature=draw(st.floats(800.0, 1500.0)),
        thermocouple_offset=draw(st.floats(-59.0, 59.0)),
        controller=controller,
    )
    zone = draw(st.sampled_from(["", "Europe/Lisbon", "America/St_Johns"]))
    offset = timezone(timedelta(minutes=draw(st.integers(-720, 720))))
    button = datetime.fromtimestamp(draw(st.integers(631_152_000, 3_786_912_000)), UTC)
    days = draw(st.none() | st.floats(0.01, 59.0))
    return Load(
        name=draw(TEXT),
        pieces=tuple(draw(st.lists(pieces(), min_size=1, max_size=3))),
        glasses=GLASSES,
        lehr=lehr,
        button_time=button.astimezone(offset),
        out_by=None if days is None else button + timedelta(days=days),
        start_temperature=draw(st.none() | st.floats(274.0, 790.0)),
        hand_warm=draw(st.floats(305.0, 350.0)),
        limits=StressLimits(
            *(draw(st.floats(0.02e6, 99e6)) for _ in range(4)), draw(st.floats(1.0, 20.0))
        ),
        soak_above_annealing=draw(st.floats(0.0, 39.0)),
        timezone=zone,
    )


@given(loads())
def test_a_written_load_reads_back_the_same(load: Load) -> None:
    same(load, parse_load(load_to_toml(load), now=NOW))


@pytest.mark.parametrize("path", sorted(SCHEDULES.glob("*.toml")), ids=lambda p: p.stem)
def test_the_shipped_examples_keep_their_curve_when_written_again(path: Path) -> None:
    load = read_load(path, now=NOW)
    again = parse_load(load_to_toml(load), now=NOW)
    same(load, again)
    assert [(s.target, s.start) for s in make_plan(again).segments] == [
        (pytest.approx(s.target), s.start) for s in make_plan(load).segments
    ]


def test_clock_times_are_the_zones_own_and_carry_their_offset() -> None:
    load = read_load(SCHEDULES / "decanters_tonight.toml", now=NOW)
    assert "button_pressed = 2026-11-24T17:30:00+00:00" in load_to_toml(load)


def test_the_hour_the_clocks_repeat_stays_the_second_one() -> None:
    load = read_load(SCHEDULES / "lamp_chimneys.toml", now=NOW)
    second = datetime(2026, 10, 25, 1, 30, tzinfo=ZoneInfo("Europe/Lisbon"), fold=1)
    repeated = Load(
        load.name, load.pieces, load.glasses, load.lehr, second, timezone="Europe/Lisbon"
    )
    assert parse_load(load_to_toml(repeated)).button_time == datetime(
        2026, 10, 25, 1, 30, tzinfo=UTC
    )


def test_a_zone_nobody_knows_is_refused() -> None:
    load = read_load(SCHEDULES / "lamp_chimneys.toml", now=NOW)
    lost = Load(load.name, load.pieces, load.glasses, load.lehr, NOW, timezone="Harbour/Quay")
    with pytest.raises(LoadError, match="not a known time zone"):
        load_to_toml(lost)


def test_a_file_is_replaced_whole_and_nothing_else_is_left(tmp_path: Path) -> None:
    load = read_load(SCHEDULES / "lamp_chimneys.toml", now=NOW)
    path = tmp_path / "tonight.toml"
    path.write_text("old")
    write_load(path, load)
    same(load, read_load(path, now=NOW))
    assert [file.name for file in tmp_path.iterdir()] == ["tonight.toml"]


@pytest.mark.skipif(os.name != "posix", reason="permissions by umask are POSIX")
def test_a_new_file_is_open_as_any_other_and_one_replaced_stays_as_it_was(tmp_path: Path) -> None:
    """POSIX.1-2017, open(): the mode asked for, here 0666, less the bits of the umask."""
    before = os.umask(0o022)
    try:
        write_whole(tmp_path / "new.toml", "x")
        (tmp_path / "shared.toml").write_text("old")
        (tmp_path / "shared.toml").chmod(0o660)
        write_whole(tmp_path / "shared.toml", "y")
    finally:
        os.umask(before)
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in tmp_path.iterdir()}
    assert modes == {"new.toml": 0o644, "shared.toml": 0o660}


def test_a_folder_that_is_not_there_is_told_with_its_name(tmp_path: Path) -> None:
    load = read_load(SCHEDULES / "lamp_chimneys.toml", now=NOW)
    with pytest.raises(LoadError, match="cannot be written") as caught:
        write_load(tmp_path / "gone" / "tonight.toml", load)
    assert "gone" in str(caught.value)


def test_a_folder_in_the_files_place_stays(tmp_path: Path) -> None:
    load = read_load(SCHEDULES / "lamp_chimneys.toml", now=NOW)
    (tmp_path / "tonight.toml").mkdir()
    with pytest.raises(LoadError, match="cannot be written"):
        write_load(tmp_path / "tonight.toml", load)
    assert [file.name for file in tmp_path.iterdir()] == ["tonight.toml"]
