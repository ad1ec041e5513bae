"""Pieces in a load file: the ``[[pieces]]`` tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from typing import Any

from core.load.gathering import Gathering
from core.load.grades import grade_named
from core.load.load import Strength, StressLimits
from core.load.placing import Placing
from core.load.table_reader import TableReader
from core.piece.piece import CooledFrom, Piece, Shape
from core.units import kelvin_from

PLACING_KEYS = {
    "hotter": "place_hotter_C",
    "within": "place_within_C",
    "put_in": "put_in",
    "core": "core_in_C",
    "skin": "skin_in_C",
    "shelf": "shelf_mm",
}
"""Keys of what is known of a piece's place, by the names of :class:`core.load.placing.Placing`."""
Clock = Callable[[Mapping[str, Any], str, str], datetime | None]
"""Reads a clock time: table, key and path."""


def placings(
    reader: TableReader, tables: Sequence[Mapping[str, Any]], clock: Clock
) -> dict[str, Placing]:
    """Where pieces stand and how they came there, by their name; only what is out of the usual."""
    found: dict[str, Placing] = {}
    for i, table in enumerate(tables):
        path = f"pieces[{i}]"
        numbers = {
            field: reader.number(table, key, path)
            for field, key in PLACING_KEYS.items()
            if field != "put_in"
        }
        core, skin = (
            None if numbers[field] is None else kelvin_from(numbers[field] or 0.0)
            for field in ("core", "skin")
        )
        make = partial(
            Placing,
            hotter=numbers["hotter"] or 0.0,
            within=numbers["within"],
            put_in=clock(table, PLACING_KEYS["put_in"], path),
            core=core,
            skin=skin,
            shelf=None if numbers["shelf"] is None else numbers["shelf"] / 1000.0,
        )
        placing = reader.guarded(path, make, PLACING_KEYS)
        if not placing.usual:
            found[reader.text(table, "name", path)] = placing
    return found


def gatherings(
    reader: TableReader, tables: Sequence[Mapping[str, Any]], clock: Clock
) -> dict[str, Gathering]:
    """Which pot pieces were gathered from, and when, by their name."""
    found: dict[str, Gathering] = {}
    for i, table in enumerate(tables):
        path = f"pieces[{i}]"
        pot = reader.text(table, "pot", path, default="")
        time = clock(table, "gathered_at", path)
        if not pot and time is None:
            continue
        if not pot or time is None:
            missing = "gathered_at" if pot else "pot"
            raise reader.fault(
                f"“{reader.text(table, 'name', path)}” has only one of pot and gathered_at.",
                f"{path}.{missing}",
                "Give both: the pot's ledger says what glass was in it then.",
            )
        found[reader.text(table, "name", path)] = Gathering(pot, time)
    return found


def strengths(reader: TableReader, tables: Sequence[Mapping[str, Any]]) -> dict[str, Strength]:
    """What pieces stand on the way by themselves, by their name."""
    found: dict[str, Strength] = {}
    keys = {"temporary_tension": "temporary_MPa", "safety_factor": "safety_factor"}
    for i, table in enumerate(tables):
        path = f"pieces[{i}]"
        tension = reader.number(table, "temporary_MPa", path)
        factor = reader.number(table, "safety_factor", path)
        if tension is None and factor is None:
            continue
        strength = Strength(None if tension is None else tension * 1e6, factor)
        reader.guarded(path, partial(strength.of, StressLimits()), keys)
        found[reader.text(table, "name", path)] = strength
    return found


def piece_limits(
    reader: TableReader, tables: Sequence[Mapping[str, Any]]
) -> dict[str, float | str]:
    """What pieces are held to by themselves, by their name: [Pa], or a grade."""
    found: dict[str, float | str] = {}
    for i, table in enumerate(tables):
        path = f"pieces[{i}]"
        name = reader.text(table, "name", path)
        own = reader.number(table, "permanent_MPa", path)
        if "grade" in table:
            if own is not None:
                raise reader.fault(
                    f"“{name}” has both a grade and a limit.",
                    f"{path}.grade",
                    "Leave one of them out.",
                )
            code = reader.text(table, "grade", path)
            found[name] = reader.guarded(path, partial(grade_named, code), {"grade": "grade"}).code
        elif own is not None:
            limit = own * 1e6
            reader.guarded(
                path,
                partial(StressLimits, permanent_tension=limit),
                {"permanent_tension": "permanent_MPa"},
            )
            found[name] = limit
    return found


def piece_from_table(reader: TableReader, table: Mapping[str, Any], path: str) -> Piece:
    """Read one ``[[pieces]]`` table.

    Raises
    ------
    LoadError
        With the line and key at fault.
    """
    reader.only(
        table,
        path,
        "name count shape glass wall_mm base_mm diameter_mm height_mm cooled_from "
        "base_cooled_from permanent_MPa grade temporary_MPa safety_factor pot gathered_at "
        + " ".join(PLACING_KEYS.values()),
    )
    count = reader.whole(table, "count", path, default=1)
    lengths = {
        name: reader.number(table, f"{name}_mm", path)
        for name in ("wall", "base", "diameter", "height")
    }
    metres = {k: None if v is None else v / 1000.0 for k, v in lengths.items()}
    fields = {
        "wall_thickness": "wall_mm",
        "base_thickness": "base_mm",
        "diameter": "diameter_mm",
        "height": "height_mm",
    }
    return reader.guarded(
        path,
        lambda: Piece(
            name=reader.text(table, "name", path),
            count=count,
            shape=reader.choice(table, "shape", path, Shape, Shape.PLATE),
            glass=reader.text(table, "glass", path),
            wall_thickness=metres["wall"],
            base_thickness=metres["base"],
            diameter=metres["diameter"],
            height=metres["height"],
            cooled_from=reader.choice(table, "cooled_from", path, CooledFrom, CooledFrom.BOTH),
            base_cooled_from=reader.choice(
                table, "base_cooled_from", path, CooledFrom, CooledFrom.ONE
            ),
        ),
        fields,
    )
