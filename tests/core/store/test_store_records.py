"""Frozen dataclasses go to JSON and come back equal, down to the last bit."""

from __future__ import annotations

import dataclasses
import json
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.composition.composition import Basis, Composition
from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import BookDamagedError, BookError, BookTooNewError, LehrkeeperError
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.load.load import Load, StressLimits
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.corners import Corner
from core.plan.plan import Plan, Segment, SegmentKind, Zone
from core.plan.stress_check import Limit, Replay, StressCheck
from core.store import envelope, records
from core.units import TemperatureUnit

OXIDES = ("SiO2", "PbO", "K2O")

words = st.text(st.characters(exclude_categories=["Cs"]), max_size=20)
names = words.filter(str.strip)
numbers = st.floats(allow_nan=False, allow_infinity=False)
maybe_numbers = st.none() | numbers
zones = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
times = st.datetimes(datetime(1990, 1, 1), datetime(2090, 1, 1), timezones=zones)  # noqa: DTZ001
lengths = st.floats(0.0003, 0.3)
texts = st.lists(words, max_size=3).map(tuple)

compositions = st.builds(
    lambda parts, basis, errors, notes: dataclasses.replace(
        Composition.from_percent(
            {oxide: 100 * part / sum(parts) for oxide, part in zip(OXIDES, parts, strict=True)},
            basis,
        ),
        uncertainty=errors,
        notes=notes,
    ),
    st.tuples(*(st.floats(0.01, 1.0) for _ in range(3))),
    st.sampled_from(Basis),
    st.dictionaries(st.sampled_from(OXIDES), st.floats(1e-9, 10.0)),
    texts,
)
trials = st.builds(MeasuredViscosity, numbers, numbers, numbers, numbers, words)
measured = st.builds(
    MeasuredPoints,
    *(maybe_numbers for _ in range(8)),
    words,
    st.lists(trials, max_size=2).map(tuple),
    *(maybe_numbers for _ in range(8)),
)
glasses = st.builds(Glass, names, compositions, measured, words, words)
vessels = st.builds(
    Piece,
    names,
    st.integers(1, 500),
    st.just(Shape.VESSEL),
    st.just("g"),
    lengths,
    lengths,
    st.none() | lengths,
    st.none() | lengths,
    st.sampled_from(CooledFrom),
    st.sampled_from(CooledFrom),
)
lehrs = st.builds(
    Lehr,
    names,
    st.floats(300.0, 720_000.0),
    st.floats(260.0, 300.0),
    st.floats(0.001, 0.5),
    st.floats(400.0, 1500.0),
    st.floats(-60.0, 60.0),
    st.builds(
        Controller,
        st.sampled_from(Entry),
        st.sampled_from(TemperatureUnit),
        st.integers(1, 99),
        st.floats(0.01, 100.0),
    ),
)
limits = st.builds(StressLimits, *(st.floats(0.01e6, 100e6) for _ in range(4)), st.floats(1, 20))
loads = st.builds(
    lambda name, pieces, glass, lehr, start, hours, warm, limits, above, zone: Load(
        name,
        tuple(pieces),
        {"g": glass},
        lehr,
        start,
        None if hours is None else start + timedelta(hours=hours),
        warm,
        318.15,
        limits,
        above,
        zone,
    ),
    words,
    st.lists(vessels, min_size=1, max_size=4),
    glasses,
    lehrs,
    times,
    st.none() | st.floats(0.1, 1000.0),
    st.none() | st.floats(273.15, 400.0),
    limits,
    st.floats(0.0, 40.0),
    words,
)
segments = st.builds(
    Segment,
    st.sampled_from(SegmentKind),
    *(numbers for _ in range(5)),
    times,
    times,
    words,
    words,
    st.lists(numbers, max_size=4).map(tuple),
    st.lists(numbers, max_size=4).map(tuple),
    st.sampled_from(["", *Limit]).map(str),
)
corners = st.sampled_from(Corner)
checks = st.builds(
    StressCheck,
    words,
    st.sampled_from(Limit),
    st.none() | st.integers(0, 99),
    numbers,
    numbers,
    corners,
)
replays = st.builds(
    Replay, st.lists(checks, max_size=3).map(tuple), st.lists(corners, max_size=3).map(tuple)
)
plans = st.builds(
    Plan,
    words,
    words,
    st.lists(segments, max_size=3).map(tuple),
    *(numbers for _ in range(5)),
    words,
    words,
    times,
    times,
    st.none() | times,
    texts,
    st.lists(st.builds(Zone, words, numbers, numbers), max_size=3).map(tuple),
    words,
    st.none() | replays,
)


@given(glasses)
def test_glass_round_trip(glass: Glass) -> None:
    assert records.glass_from_json(records.glass_to_json(glass)) == glass


@given(vessels)
def test_piece_round_trip(piece: Piece) -> None:
    assert records.piece_from_json(records.piece_to_json(piece)) == piece


@given(lehrs)
def test_lehr_round_trip(lehr: Lehr) -> None:
    assert records.lehr_from_json(records.lehr_to_json(lehr)) == lehr


@settings(max_examples=50, deadline=None)
@given(loads)
def test_load_round_trip(load: Load) -> None:
    found = records.load_from_json(records.load_to_json(load))
    assert found == load
    assert found.button_time.tzinfo is UTC
    assert list(found.glasses) == list(load.glasses)


@settings(deadline=None)
@given(plans)
def test_plan_round_trip(plan: Plan) -> None:
    found = records.plan_from_json(records.plan_to_json(plan))
    assert found == plan
    assert found.start.tzinfo is UTC


def test_a_glass_without_analysis_keeps_having_none() -> None:
    glass = Glass("sheet", measured=MeasuredPoints(strain_point=780.0, annealing_point=820.0))
    assert records.glass_from_json(records.glass_to_json(glass)) == glass


def test_what_is_no_number_is_not_written() -> None:
    glass = Glass(
        "sheet",
        measured=MeasuredPoints(strain_point=780.0, annealing_point=820.0, density=float("nan")),
    )
    with pytest.raises(BookError, match="not a number"):
        records.glass_to_json(glass)


def changed(text: str, *path: str | int, value: Any) -> str:
    content = json.loads(text)
    place = content
    for step in path[:-1]:
        place = place[step]
    if value is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return json.dumps(content)


@pytest.mark.parametrize(
    ("path", "value", "named"),
    [
        (("load", "pieces", 1, "count"), "two", "load.load.pieces[1].count"),
        (("load", "pieces", 0, "count"), True, "load.load.pieces[0].count"),
        (("load", "lehr", "ambient"), ..., "load.load.lehr.ambient"),
        (("load", "button_time"), "2026-03-14T21:30:00", "load.load.button_time"),
        (("load", "pieces", 0, "shape"), "teapot", "load.load.pieces[0].shape"),
        (("load", "limits"), [], "load.load.limits"),
        (("load", "pieces"), {}, "load.load.pieces"),
        (("load", "name"), 7, "load.load.name"),
        (("load", "hand_warm"), None, "load.load.hand_warm"),
    ],
)
def test_damage_is_named_by_its_place(
    load: Load, path: tuple[str | int, ...], value: Any, named: str
) -> None:
    text = changed(records.load_to_json(load), *path, value=value)
    with pytest.raises(BookDamagedError) as caught:
        records.load_from_json(text)
    assert f"“{named}”" in caught.value.message


def test_an_impossible_value_is_damage_and_says_which(load: Load) -> None:
    text = changed(records.load_to_json(load), "load", "pieces", 0, "count", value=-1)
    with pytest.raises(BookDamagedError, match="count of -1"):
        records.load_from_json(text)


def test_a_newer_format_is_refused(load: Load) -> None:
    newer = envelope.FORMAT_VERSION + 1
    text = changed(records.load_to_json(load), "format_version", value=newer)
    with pytest.raises(BookTooNewError):
        records.load_from_json(text)


def test_format_1_knew_no_errors_of_an_analysis() -> None:
    glass = Glass("quay clear", Composition({"SiO2": 75.0, "Na2O": 25.0}))
    content = json.loads(records.glass_to_json(glass))
    del content["glass"]["composition"]["uncertainty"], content["glass"]["composition"]["notes"]
    content["format_version"] = 1
    assert records.glass_from_json(json.dumps(content)) == glass


def test_notes_on_the_reading_come_back() -> None:
    glass = Glass("g", Composition({"SiO2": 100.0}, uncertainty={"SiO2": 0.5}, notes=("Said.",)))
    read = records.glass_from_json(records.glass_to_json(glass))
    assert read.composition is not None
    assert read.composition.notes == ("Said.",)
    assert dict(read.composition.uncertainty) == {"SiO2": 0.5}


def test_a_plan_of_format_1_was_not_replayed(plan: Plan) -> None:
    content = json.loads(records.plan_to_json(plan))
    del content["plan"]["replay"]
    for segment in content["plan"]["segments"]:
        del segment["limit"]
    content["format_version"] = 1
    read = records.plan_from_json(json.dumps(content))
    assert read == plan
    assert not read.safe


def test_every_number_of_a_lehr_comes_back(lehr: Lehr) -> None:
    numbers = [f.name for f in dataclasses.fields(Lehr) if isinstance(getattr(lehr, f.name), float)]
    assert len(numbers) >= 5
    other = dataclasses.replace(
        lehr, **{name: getattr(lehr, name) * 1.01 + 1e-3 for name in numbers}
    )
    assert records.lehr_from_json(records.lehr_to_json(other)) == other


def test_an_older_lehr_takes_the_default_of_a_later_setting(lehr: Lehr) -> None:
    content = json.loads(records.lehr_to_json(lehr))
    later = {f.name for f in dataclasses.fields(Lehr)[7:]}
    content["lehr"] = {key: value for key, value in content["lehr"].items() if key not in later}
    assert records.lehr_from_json(json.dumps(content)) == lehr


def test_another_kind_is_refused(load: Load) -> None:
    with pytest.raises(BookDamagedError):
        records.glass_from_json(records.load_to_json(load))


@given(st.text() | st.recursive(st.none() | numbers | words, st.lists).map(json.dumps))
def test_nonsense_never_raises_anything_else(text: str) -> None:
    with pytest.raises(LehrkeeperError):
        records.plan_from_json(text)
