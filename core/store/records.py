"""Frozen dataclasses to JSON and back, exactly, written out by hand.

Numbers come back bit for bit (JSON's shortest form of a double is exact), times in UTC to the
microsecond, tuples as tuples. The classes may gain fields and names without old snapshots becoming
unreadable: what a snapshot looks like is decided here alone. When its shape changes, raise
``FORMAT_VERSION`` in :mod:`core.store.envelope` and keep reading the old one.
"""

from __future__ import annotations

import dataclasses
from typing import TypeVar

from core.equipment.lehr import Controller, Lehr
from core.glass.glass import Glass
from core.load.gathering import Gathering
from core.load.load import Load, Strength, StressLimits
from core.load.placing import Placing
from core.load.reheating import Reheating
from core.piece.piece import CooledFrom, Piece, Shape
from core.plan.plan import Plan
from core.store.envelope import read_enveloped, write_enveloped
from core.store.fields import Fields, Json, put_maybe_time, put_time
from core.store.glass_record import put_glass, take_glass
from core.store.plan_record import put_plan, take_plan
from core.store.snapshot import plain, taken

T = TypeVar("T")


def glass_to_json(glass: Glass) -> str:
    """Write a glass."""
    return write_enveloped("glass", put_glass(glass))


def glass_from_json(text: str) -> Glass:
    """Read a glass; raises BookTooNewError or BookDamagedError."""
    return read_enveloped("glass", text, take_glass)


def piece_to_json(piece: Piece) -> str:
    """Write a piece."""
    return write_enveloped("piece", _put_piece(piece))


def piece_from_json(text: str) -> Piece:
    """Read a piece; raises BookTooNewError or BookDamagedError."""
    return read_enveloped("piece", text, _take_piece)


def lehr_to_json(lehr: Lehr) -> str:
    """Write a lehr."""
    return write_enveloped("lehr", _put_lehr(lehr))


def lehr_from_json(text: str) -> Lehr:
    """Read a lehr; raises BookTooNewError or BookDamagedError."""
    return read_enveloped("lehr", text, _take_lehr)


def load_to_json(load: Load) -> str:
    """Write a load with its pieces, glasses and lehr."""
    return write_enveloped("load", _put_load(load))


def load_from_json(text: str) -> Load:
    """Read a load; raises BookTooNewError or BookDamagedError."""
    return read_enveloped("load", text, _take_load)


def plan_to_json(plan: Plan) -> str:
    """Write a plan."""
    return write_enveloped("plan", put_plan(plan))


def plan_from_json(text: str) -> Plan:
    """Read a plan; raises BookTooNewError or BookDamagedError."""
    return read_enveloped("plan", text, take_plan)


def _put_piece(piece: Piece) -> Json:
    return {
        "name": piece.name,
        "count": piece.count,
        "shape": piece.shape.value,
        "glass": piece.glass,
        "wall_thickness": piece.wall_thickness,
        "base_thickness": piece.base_thickness,
        "diameter": piece.diameter,
        "height": piece.height,
        "cooled_from": piece.cooled_from.value,
        "base_cooled_from": piece.base_cooled_from.value,
    }


def _take_piece(fields: Fields) -> Piece:
    return Piece(
        name=fields.text("name"),
        count=fields.whole("count"),
        shape=fields.choice("shape", Shape),
        glass=fields.text("glass"),
        wall_thickness=fields.maybe_number("wall_thickness"),
        base_thickness=fields.maybe_number("base_thickness"),
        diameter=fields.maybe_number("diameter"),
        height=fields.maybe_number("height"),
        cooled_from=fields.choice("cooled_from", CooledFrom),
        base_cooled_from=fields.choice("base_cooled_from", CooledFrom),
    )


_LEHR_FORMAT_1 = {"cooling_time_constant", "ambient", "max_heating_rate", "max_temperature"}
_LEHR_FORMAT_1 |= {"thermocouple_offset"}
_LEHR_NUMBERS = tuple(f.name for f in dataclasses.fields(Lehr) if f.type == "float")
"""Taken from the class, so that no setting a lehr gains later is left out."""


def _put_lehr(lehr: Lehr) -> Json:
    return {
        "name": lehr.name,
        **{name: getattr(lehr, name) for name in _LEHR_NUMBERS},
        "controller": plain(lehr.controller),
    }


def _take_lehr(fields: Fields) -> Lehr:
    given = set(fields.names())
    # A setting that an older snapshot does not have takes its default.
    wanted = [name for name in _LEHR_NUMBERS if name in _LEHR_FORMAT_1 or name in given]
    numbers = {name: fields.number(name) for name in wanted}
    return Lehr(
        name=fields.text("name"),
        **numbers,
        controller=taken(Controller, fields.inner("controller").content, "lehr.controller"),
    )


def _maybe_all(fields: Fields, key: str, wanted: type[T]) -> dict[str, T]:
    """Things by the names of pieces, none where none were given."""
    return fields.maybe(key, lambda all_: taken(dict[str, wanted], all_.content, key)) or {}  # type: ignore[valid-type]


def _put_load(load: Load) -> Json:
    return {
        "name": load.name,
        "pieces": [_put_piece(piece) for piece in load.pieces],
        # A list of pairs: the name a piece uses need not be the glass's own.
        "glasses": [
            {"name": name, "glass": put_glass(glass)} for name, glass in load.glasses.items()
        ],
        "lehr": _put_lehr(load.lehr),
        "button_time": put_time(load.button_time),
        "out_by": put_maybe_time(load.out_by),
        "start_temperature": load.start_temperature,
        "hand_warm": load.hand_warm,
        "limits": plain(load.limits),
        "soak_above_annealing": load.soak_above_annealing,
        "timezone": load.timezone,
        "piece_limits": [
            {
                "name": name,
                "permanent_tension": None if isinstance(own, str) else own,
                "grade": own if isinstance(own, str) else "",
            }
            for name, own in load.piece_limits.items()
        ],
        "gathered": [
            {"name": name, "pot": gather.pot, "time": put_time(gather.time)}
            for name, gather in load.gathered.items()
        ],
        "placings": plain(load.placings),
        "strengths": plain(load.strengths),
        "reheating": plain(load.reheating),
    }


def _take_load(fields: Fields) -> Load:
    return Load(
        name=fields.text("name"),
        pieces=tuple(_take_piece(piece) for piece in fields.inners("pieces")),
        glasses={
            entry.text("name"): take_glass(entry.inner("glass"))
            for entry in fields.inners("glasses")
        },
        lehr=_take_lehr(fields.inner("lehr")),
        button_time=fields.time("button_time"),
        out_by=fields.maybe_time("out_by"),
        start_temperature=fields.maybe_number("start_temperature"),
        hand_warm=fields.number("hand_warm"),
        limits=taken(StressLimits, fields.inner("limits").content, "load.limits"),
        soak_above_annealing=fields.number("soak_above_annealing"),
        timezone=fields.text("timezone"),
        piece_limits={
            own.text("name"): own.text("grade") or own.number("permanent_tension")
            for own in fields.maybe_inners("piece_limits")
        },
        gathered={
            gather.text("name"): Gathering(gather.text("pot"), gather.time("time"))
            for gather in fields.maybe_inners("gathered")
        },
        placings=_maybe_all(fields, "placings", Placing),
        strengths=_maybe_all(fields, "strengths", Strength),
        reheating=fields.maybe("reheating", lambda one: taken(Reheating, one.content, "reheating")),
    )
