"""An empty book, and invented entries to put into it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from core.composition.composition import Composition
from core.equipment.lehr import Controller, Entry, Lehr
from core.glass.glass import Glass, MeasuredPoints
from core.load.load import Load
from core.piece.piece import Piece, Shape
from core.plan.plan import Plan, Segment, SegmentKind, Zone
from core.store.book import Book
from core.units import TemperatureUnit

EVENING = datetime(2026, 3, 14, 21, 30, tzinfo=UTC)


@pytest.fixture(scope="session")
def empty_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A book as the migrations make it, made once."""
    path = tmp_path_factory.mktemp("empty") / "book.sqlite"
    Book.open(path).close()
    return path


@pytest.fixture
def book(tmp_path: Path, empty_book: Path) -> Iterator[Book]:
    with Book.open(shutil.copyfile(empty_book, tmp_path / "book.sqlite")) as opened:
        yield opened


@pytest.fixture
def evening() -> datetime:
    return EVENING


@pytest.fixture
def glass() -> Glass:
    return Glass(
        "quay clear",
        composition=Composition.from_percent({"SiO2": 72.0, "Na2O": 16.0, "CaO": 11.0}),
        measured=MeasuredPoints(expansion=9.3e-6, source="own trial"),
        note="for prisms",
        source="batch book",
    )


@pytest.fixture
def lehr() -> Lehr:
    return Lehr(
        "net loft lehr",
        cooling_time_constant=4.5 * 3600,
        controller=Controller(Entry.TIME, TemperatureUnit.FAHRENHEIT, 12, 0.1),
    )


@pytest.fixture
def load(glass: Glass, lehr: Lehr) -> Load:
    return Load(
        name="decanters",
        pieces=(
            Piece("decanter", 6, Shape.VESSEL, glass.name, 0.004, 0.022),
            Piece("deck prism", 2, Shape.CYLINDER, glass.name, diameter=0.06, height=0.1),
        ),
        glasses={glass.name: glass},
        lehr=lehr,
        button_time=EVENING,
        out_by=EVENING + timedelta(hours=11),
        timezone="Europe/Lisbon",
    )


@pytest.fixture
def plan(load: Load) -> Plan:
    half = EVENING + timedelta(hours=3)
    ready = EVENING + timedelta(hours=9.5)
    return Plan(
        load_name=load.name,
        lehr_name=load.lehr.name,
        segments=(
            Segment(
                SegmentKind.SOAK,
                820.0,
                820.0,
                0.0,
                0.0,
                10800.0,
                EVENING,
                half,
                "decanter",
                "The base must be warm through.",
                (0.0, 10800.0),
                (820.0, 820.0),
            ),
            Segment(
                SegmentKind.COAST,
                820.0,
                313.15,
                -0.1 / 3.0,
                23400.0,
                0.0,
                half,
                ready,
                "",
                "The lehr cools by itself.",
                (0.0, 1000.1, 23400.0),
                (820.0, 700.7, 313.15),
            ),
        ),
        soak_temperature=820.0,
        soak_time=10800.0,
        transformation_top=815.0,
        transformation_bottom=770.0,
        slow_rate=0.1 / 3.0,
        governing_piece="decanter",
        governing_reason="It has the thickest base.",
        start=EVENING,
        ready_at=ready,
        out_by=EVENING + timedelta(hours=11),
        warnings=("An invented plan.",),
        zones=(Zone("quay clear", 815.0, 770.0),),
        program_version="0.1.0",
    )


@pytest.fixture
def plan_id(book: Book, load: Load, plan: Plan) -> int:
    return book.save_plan(plan, book.save_load(load))


@pytest.fixture
def run_id(book: Book, plan_id: int) -> int:
    return book.start_run(plan_id, EVENING).id
