"""What a class gains is kept: every field of every class in a snapshot stands in it by name."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

import pytest

from core.composition.composition import Composition
from core.equipment.lehr import Controller, Lehr
from core.errors import BookDamagedError, BookTooNewError
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.load.gathering import Gathering
from core.load.load import Load, Strength, StressLimits
from core.load.placing import Placing
from core.load.reheating import Reheating, ReheatKind
from core.melt.fitted import Fitted
from core.piece.piece import Piece
from core.plan.plan import Plan, Segment, Zone
from core.plan.stress_check import Replay, StressCheck
from core.run.equipment_fit import EquipmentFit
from core.run.live_source import EquipmentKind
from core.run.log_format import LogFormat
from core.store import envelope, records
from core.store.fields import Fields
from core.store.plan_record import put_plan, take_plan
from core.store.snapshot import plain, read_snapshot, taken, write_snapshot

HOUR = timedelta(hours=1)


@pytest.fixture
def full(load: Load, evening: datetime) -> Load:
    """A load with nothing left at its default."""
    return replace(
        load,
        start_temperature=800.0,
        hand_warm=320.0,
        soak_above_annealing=6.0,
        piece_limits={"decanter": 0.3e6, "deck prism": "0/5"},
        gathered={"decanter": Gathering("left", evening - HOUR)},
        placings={
            "decanter": Placing(-4.0, 2.0, evening - HOUR, 1000.0, 900.0, 0.03),
            "deck prism": Placing(hotter=1.5),
        },
        reheating=Reheating(ReheatKind.CASTING, 1e5, 0.03, 900.0, 1800.0, 1100.0, 7200.0),
        strengths={"decanter": Strength(5e6, None), "deck prism": Strength(None, 3.0)},
        limits=StressLimits(0.5e6, 2.2e6, 6e6, 18e6, 2.5),
    )


def test_a_load_with_everything_comes_back(full: Load) -> None:
    assert records.load_from_json(records.load_to_json(full)) == full
    defaults = {
        field.name: field.default
        for field in dataclasses.fields(Load)
        if field.default is not dataclasses.MISSING
    }
    defaults |= {
        field.name: field.default_factory()
        for field in dataclasses.fields(Load)
        if field.default_factory is not dataclasses.MISSING
    }
    same = {name for name, default in defaults.items() if getattr(full, name) == default}
    assert same == set(), "give these another value in the fixture"


@pytest.mark.parametrize(
    ("wanted", "write"),
    [
        (Load, lambda load, plan: json.loads(records.load_to_json(load))["load"]),
        (Piece, lambda load, plan: json.loads(records.piece_to_json(load.pieces[0]))["piece"]),
        (Lehr, lambda load, plan: json.loads(records.lehr_to_json(load.lehr))["lehr"]),
        (
            Controller,
            lambda load, plan: json.loads(records.lehr_to_json(load.lehr))["lehr"]["controller"],
        ),
        (StressLimits, lambda load, plan: json.loads(records.load_to_json(load))["load"]["limits"]),
        (Glass, lambda load, plan: glass_of(load)),
        (Composition, lambda load, plan: glass_of(load)["composition"]),
        (MeasuredPoints, lambda load, plan: glass_of(load)["measured"]),
        (MeasuredViscosity, lambda load, plan: glass_of(load)["measured"]["viscosities"][0]),
        (Plan, lambda load, plan: put_plan(plan)),
        (Segment, lambda load, plan: put_plan(plan)["segments"][0]),
        (Zone, lambda load, plan: put_plan(plan)["zones"][0]),
        (Replay, lambda load, plan: put_plan(plan)["replay"]),
        (StressCheck, lambda load, plan: put_plan(plan)["replay"]["checks"][0]),
    ],
)
def test_every_field_stands_in_the_snapshot(
    wanted: type, write: Callable[[Load, Plan], dict[str, Any]], full: Load, plan: Plan
) -> None:
    from core.plan.corners import Corner
    from core.plan.stress_check import Limit

    check = StressCheck("decanter", Limit.PERMANENT, 0, 1e5, 4e5, Corner.SOFT)
    replayed = replace(plan, replay=Replay((check,), (Corner.SOFT,)))
    assert take_plan(Fields(put_plan(replayed), "plan")) == replayed
    names = {field.name for field in dataclasses.fields(wanted) if field.init}
    assert names - set(write(full, replayed)) == set()


def glass_of(load: Load) -> dict[str, Any]:
    glass = next(iter(load.glasses.values()))
    tried = replace(
        glass, measured=replace(glass.measured, viscosities=(MeasuredViscosity(12.0, 800.0, 3.0),))
    )
    found: dict[str, Any] = json.loads(records.glass_to_json(tried))["glass"]
    return found


def fit(evening: datetime) -> EquipmentFit:
    parameters = (Fitted("time constant", 1e4, 9e3, 1.2e4, False),)
    return EquipmentFit(
        "pier lehr", EquipmentKind.LEHR, evening, parameters, None, 3, ("Nothing.", "Else.")
    )


def test_snapshots_by_annotation_come_back(evening: datetime) -> None:
    own = LogFormat(time_columns=(0, 3), temperature_column=2, column_names=("a", "b"))
    assert read_snapshot("format", write_snapshot("format", own), LogFormat) == own
    kept = fit(evening)
    assert read_snapshot("fit", write_snapshot("fit", kept), EquipmentFit) == kept


def test_a_field_an_older_snapshot_lacks_takes_its_default(evening: datetime) -> None:
    content = plain(fit(evening))
    assert isinstance(content, dict)
    del content["remarks"], content["run_id"]
    read = taken(EquipmentFit, content, "fit")
    assert (read.remarks, read.run_id, read.equipment) == ((), None, "pier lehr")


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("equipment", 7),
        ("equipment_kind", "oven"),
        ("fitted_at", "yesterday"),
        ("fitted_at", "2026-03-14T21:30:00"),
        ("parameters", {}),
        ("parameters", [7]),
        ("parameters", [{"name": "time constant"}]),
        ("scatter", "much"),
        ("scatter", True),
        ("run_id", 1.5),
        ("remarks", [None]),
        ("equipment", None),
    ],
)
def test_a_spoilt_snapshot_is_named(evening: datetime, key: str, value: object) -> None:
    text = write_snapshot("fit", fit(evening))
    spoilt = json.loads(text)
    spoilt["fit"][key] = value
    with pytest.raises(BookDamagedError, match=rf"fit\.{key}"):
        read_snapshot("fit", json.dumps(spoilt), EquipmentFit)
    del spoilt["fit"]["equipment"]
    with pytest.raises(BookDamagedError):
        read_snapshot("fit", json.dumps(spoilt), EquipmentFit)


def test_a_newer_snapshot_and_another_are_refused(evening: datetime) -> None:
    text = write_snapshot("fit", fit(evening))
    with pytest.raises(BookDamagedError, match="something else"):
        read_snapshot("format", text, LogFormat)
    newer = json.loads(text) | {"format_version": envelope.FORMAT_VERSION + 1}
    with pytest.raises(BookTooNewError):
        read_snapshot("fit", json.dumps(newer), EquipmentFit)
    with pytest.raises(TypeError):
        plain(object())
