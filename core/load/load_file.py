"""Load files: tonight's load as a TOML text that a person can write and keep.

Keys carry their unit in the name (``base_mm``, ``room_C``). See ``schedules/`` for examples and
README.md for the list of keys.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta, tzinfo
from functools import partial
from pathlib import Path
from typing import Any

from core.errors import LoadError
from core.glass.glass import Glass
from core.load.glass_table import glass_from_table, read_glass, shipped_glass
from core.load.lehr_table import lehr_from_table
from core.load.load import Load, StressLimits
from core.load.local_time import instant, next_time, zone_named
from core.load.piece_table import (
    gatherings,
    piece_from_table,
    piece_limits,
    placings,
    strengths,
)
from core.load.reheating import Reheating, ReheatKind
from core.load.table_reader import TableReader, joined, shown
from core.load.toml_page import page_of_text, toml_table
from core.piece.piece import Piece
from core.units import SECONDS_PER_MINUTE, kelvin_from

__all__ = [
    "glass_from_table",
    "page_of_text",
    "parse_load",
    "read_glass",
    "read_load",
    "toml_table",
]


def read_load(path: Path, now: datetime | None = None) -> Load:
    """Read a load file.

    Parameters
    ----------
    path : Path
    now : datetime, optional
        Aware; the moment from which a button time without a date is counted (default: now).

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    return parse_load(page_of_text(path), file=str(path), now=now)


def parse_load(text: str, *, file: str | None = None, now: datetime | None = None) -> Load:
    """Read a load from TOML text; see :func:`read_load`."""
    moment = (now or datetime.now(UTC)).astimezone(UTC)
    return _LoadReader(TableReader(text, file)).load(toml_table(text, file), moment)


_LIMIT_KEYS = (
    "permanent_tension",
    "permanent_wall_base",
    "temporary_tension",
    "temporary_wall_base",
)


_SI_OF_UNIT: Mapping[str, Callable[[float], float]] = {
    "MPa": lambda value: value * 1e6,
    "mm": lambda value: value / 1000.0,
    "C": kelvin_from,
    "min": lambda value: value * SECONDS_PER_MINUTE,
}
"""What stands behind a key's last part, in SI."""


@dataclass(frozen=True)
class _LoadReader:
    """Reads the tables of a load into the frozen types."""

    read: TableReader

    def load(self, table: Mapping[str, Any], now: datetime) -> Load:
        self.read.only(
            table,
            "",
            "name button_pressed out_by timezone lehr_at_C hand_warm_C soak_above_annealing_C "
            "lehr limits glasses pieces reheating",
        )
        zone_name = self.read.text(table, "timezone", "", default="")
        zone = self.read.guarded("timezone", lambda: zone_named(zone_name))
        button = self._time(table, "button_pressed", zone, now)
        if button is None:
            raise self.read.fault(
                "The time the button is pressed is missing.", "button_pressed", "Give it."
            )
        out_by = self._time(table, "out_by", zone, button)
        entries = self.read.tables(table, "pieces")
        pieces = tuple(
            piece_from_table(self.read, entry, f"pieces[{i}]") for i, entry in enumerate(entries)
        )
        own_limits = piece_limits(self.read, entries)
        own_strengths = strengths(self.read, entries)
        # A piece went in before the button was pressed, on that day or the evening before.
        before = button - timedelta(hours=24)

        def clock(one: Mapping[str, Any], key: str, path: str) -> datetime | None:
            return self._time(one, key, zone, before, path)

        placed = placings(self.read, entries, clock)
        gathered = gatherings(self.read, entries, clock)
        reheating = self.reheating(table)
        glasses = self.glasses(self.read.table(table, "glasses", ""), pieces)
        start = self.read.number(table, "lehr_at_C", "")
        hand_warm = self.read.number(table, "hand_warm_C", "", default=45.0)
        above = self.read.number(table, "soak_above_annealing_C", "", default=5.0)
        default_name = Path(self.read.file).stem if self.read.file else "load"
        fields = {
            "button_time": "button_pressed",
            "start_temperature": "lehr_at_C",
            "hand_warm": "hand_warm_C",
            "soak_above_annealing": "soak_above_annealing_C",
        }
        return self.read.guarded(
            "",
            lambda: Load(
                name=self.read.text(table, "name", "", default=default_name),
                pieces=pieces,
                glasses=glasses,
                lehr=lehr_from_table(self.read, self.read.table(table, "lehr", "")),
                button_time=button,
                out_by=out_by,
                start_temperature=None if start is None else kelvin_from(start),
                hand_warm=kelvin_from(hand_warm),
                limits=self.limits(self.read.table(table, "limits", "")),
                soak_above_annealing=above,
                timezone=zone_name,
                piece_limits=own_limits,
                gathered=gathered,
                placings=placed,
                reheating=reheating,
                strengths=own_strengths,
            ),
            fields,
        )

    def glasses(self, table: Mapping[str, Any], pieces: tuple[Piece, ...]) -> dict[str, Glass]:
        glasses = {
            name: glass_from_table(self.read, name, entry, f"glasses.{name}")
            for name, entry in table.items()
        }
        for i, piece in enumerate(pieces):
            if piece.glass not in glasses:
                glasses[piece.glass] = shipped_glass(
                    self.read, piece.glass, f"pieces[{i}]", "glass"
                )
        return glasses

    def limits(self, table: Mapping[str, Any]) -> StressLimits:
        self.read.only(
            table, "limits", " ".join(f"{k}_MPa" for k in _LIMIT_KEYS) + " safety_factor"
        )
        values = {}
        for key in _LIMIT_KEYS:
            number = self.read.number(table, f"{key}_MPa", "limits")
            if number is not None:
                values[key] = number * 1e6
        factor = self.read.number(table, "safety_factor", "limits")
        if factor is not None:
            values["safety_factor"] = factor
        fields = {key: f"{key}_MPa" for key in _LIMIT_KEYS}
        return self.read.guarded("limits", lambda: StressLimits(**values), fields)

    def reheating(self, top: Mapping[str, Any]) -> Reheating | None:
        if "reheating" not in top:
            return None
        path = "reheating"
        table = self.read.table(top, path, "")
        keys = {
            "strain": "strain_MPa",
            "lump": "lump_mm",
            "squeeze_temperature": "squeeze_C",
            "squeeze_time": "squeeze_min",
            "process_temperature": "process_C",
            "process_time": "process_min",
        }
        self.read.only(table, path, "kind " + " ".join(keys.values()))
        kind = self.read.choice(table, "kind", path, ReheatKind, None)
        if kind is None:
            raise self.read.fault("The kind is missing.", f"{path}.kind", "Add it.")
        values: dict[str, float] = {}
        for field, key in keys.items():
            number = self.read.number(table, key, path)
            if number is not None:
                values[field] = _SI_OF_UNIT[key.rsplit("_", 1)[1]](number)
        return self.read.guarded(path, partial(Reheating, kind, **values), keys)

    def _time(
        self,
        table: Mapping[str, Any],
        key: str,
        zone: tzinfo | None,
        after: datetime,
        path: str = "",
    ) -> datetime | None:
        value = table.get(key)
        if value is None:
            return None
        if isinstance(value, str):
            if ":" not in value:  # a day alone would quietly mean its midnight
                raise self._not_a_time(value, joined(path, key))
            try:
                value = (
                    time.fromisoformat(value) if ":" in value[:3] else datetime.fromisoformat(value)
                )
            except ValueError as error:
                raise self._not_a_time(value, joined(path, key)) from error
        if isinstance(value, datetime):
            return self.read.guarded(path, lambda: instant(value, zone, key))
        if isinstance(value, time):
            return self.read.guarded(path, lambda: next_time(value, after, zone, key))
        raise self._not_a_time(value, joined(path, key))

    def _not_a_time(self, value: object, key: str) -> LoadError:
        return self.read.fault(
            f"“{shown(value)}” is not a time.",
            key,
            "Write 2026-11-24T17:30:00, or 17:30:00 for the next.",
        )
