"""Load files: tonight's load as a TOML text that a person can write and keep.

Keys carry their unit in the name (``base_mm``, ``room_C``). See ``schedules/`` for examples and
README.md for the list of keys.
"""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, tzinfo
from pathlib import Path
from typing import Any, NoReturn

from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import LehrkeeperError, LoadError, Place
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.load.load import Load, StressLimits
from core.load.local_time import instant, next_time, zone_named
from core.piece.piece import CooledFrom, Piece, Shape
from core.units import SECONDS_PER_HOUR, TemperatureUnit, kelvin_from, rate_from

LARGEST_FILE = 1_000_000
"""Bytes; a load file is a page of text."""


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
    try:
        if path.is_dir():
            raise LoadError(
                "This is a folder, not a load file.",
                place=Place(str(path)),
                remedy="Name the file inside it.",
            )
        if path.stat().st_size > LARGEST_FILE:
            raise LoadError(
                "This file is too large to be a load file.",
                place=Place(str(path)),
                remedy="Choose a load file such as those in schedules.",
            )
        text = path.read_text(encoding="utf-8-sig")
    except FileNotFoundError as error:
        raise LoadError(
            "There is no such file.", place=Place(str(path)), remedy="Check the name."
        ) from error
    except UnicodeDecodeError as error:
        raise LoadError(
            "This is not a text file.", place=Place(str(path)), remedy="Save it as UTF-8 text."
        ) from error
    except OSError as error:
        raise LoadError(
            f"The file cannot be read ({error.strerror}).", place=Place(str(path))
        ) from error
    return parse_load(text, file=str(path), now=now)


def parse_load(text: str, *, file: str | None = None, now: datetime | None = None) -> Load:
    """Read a load from TOML text; see :func:`read_load`."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        message = re.sub(r"\s*\(at .*\)$", "", str(error))
        place = Place(file, int(found[1]), found[2]) if found else Place(file)
        raise LoadError(f"The text is not valid TOML: {message}.", place=place) from error
    reader = _Reader(text, file)
    moment = (now or datetime.now(UTC)).astimezone(UTC)
    return reader.load(table, moment)


_TEMPERATURES = ("strain_point", "annealing_point", "softening_point", "working_point")
_MEASURED_KEYS = {
    **{f"{name}_C": (name, "temperature") for name in (*_TEMPERATURES, "melting_point")},
    "expansion_per_K": ("expansion", "plain"),
    "density_kg_m3": ("density", "plain"),
    "youngs_modulus_GPa": ("youngs_modulus", "giga"),
}
_LIMIT_KEYS = (
    "permanent_tension",
    "permanent_wall_base",
    "temporary_tension",
    "temporary_wall_base",
)


@dataclass(frozen=True)
class _Reader:
    """Reads tables into the frozen types, and knows where in the text each key stands."""

    text: str
    file: str | None

    # -- the parts of a load ---------------------------------------------------------------

    def load(self, table: Mapping[str, Any], now: datetime) -> Load:
        self._only(
            table,
            "",
            "name button_pressed out_by timezone lehr_at_C hand_warm_C soak_above_annealing_C "
            "lehr limits glasses pieces",
        )
        zone_name = self._text(table, "timezone", "", default="")
        zone = self._guarded("timezone", lambda: zone_named(zone_name))
        button = self._time(table, "button_pressed", zone, now)
        if button is None:
            self._fail("The time the button is pressed is missing.", "button_pressed", "Give it.")
        out_by = self._time(table, "out_by", zone, button)
        pieces = tuple(
            self.piece(entry, f"pieces[{i}]") for i, entry in enumerate(self._tables(table))
        )
        glasses = self.glasses(self._table(table, "glasses", ""), pieces)
        start = self._number(table, "lehr_at_C", "")
        hand_warm = self._number(table, "hand_warm_C", "", default=45.0)
        above = self._number(table, "soak_above_annealing_C", "", default=5.0)
        assert hand_warm is not None and above is not None  # noqa: S101, PT018 - defaults given
        default_name = Path(self.file).stem if self.file else "load"
        fields = {
            "button_time": "button_pressed",
            "start_temperature": "lehr_at_C",
            "hand_warm": "hand_warm_C",
            "soak_above_annealing": "soak_above_annealing_C",
        }
        return self._guarded(
            "",
            lambda: Load(
                name=self._text(table, "name", "", default=default_name),
                pieces=pieces,
                glasses=glasses,
                lehr=self.lehr(self._table(table, "lehr", "")),
                button_time=button,
                out_by=out_by,
                start_temperature=None if start is None else kelvin_from(start),
                hand_warm=kelvin_from(hand_warm),
                limits=self.limits(self._table(table, "limits", "")),
                soak_above_annealing=above,
                timezone=zone_name,
            ),
            fields,
        )

    def piece(self, table: Mapping[str, Any], path: str) -> Piece:
        self._only(
            table,
            path,
            "name count shape glass wall_mm base_mm diameter_mm height_mm cooled_from "
            "base_cooled_from",
        )
        count = self._number(table, "count", path, default=1)
        assert count is not None  # noqa: S101 - default given
        if count != int(count):
            self._fail("A count is a whole number.", f"{path}.count", "Use 1, 2, 3 ...")
        lengths = {
            name: self._number(table, f"{name}_mm", path)
            for name in ("wall", "base", "diameter", "height")
        }
        metres = {k: None if v is None else v / 1000.0 for k, v in lengths.items()}
        fields = {
            "wall_thickness": "wall_mm",
            "base_thickness": "base_mm",
            "diameter": "diameter_mm",
            "height": "height_mm",
        }
        return self._guarded(
            path,
            lambda: Piece(
                name=self._text(table, "name", path),
                count=int(count),
                shape=self._choice(table, "shape", path, Shape, Shape.PLATE),
                glass=self._text(table, "glass", path),
                wall_thickness=metres["wall"],
                base_thickness=metres["base"],
                diameter=metres["diameter"],
                height=metres["height"],
                cooled_from=self._choice(table, "cooled_from", path, CooledFrom, CooledFrom.BOTH),
                base_cooled_from=self._choice(
                    table, "base_cooled_from", path, CooledFrom, CooledFrom.ONE
                ),
            ),
            fields,
        )

    def glasses(self, table: Mapping[str, Any], pieces: tuple[Piece, ...]) -> dict[str, Glass]:
        glasses = {name: self.glass(name, entry) for name, entry in table.items()}
        for i, piece in enumerate(pieces):
            if piece.glass not in glasses:
                glasses[piece.glass] = self._guarded(
                    f"pieces[{i}]", lambda p=piece: find_glass(p.glass), {"name": "glass"}
                )
        return glasses

    def glass(self, name: str, table: Any) -> Glass:
        path = f"glasses.{name}"
        if not isinstance(table, dict):
            self._fail(f"“{name}” needs keys of its own.", path, "Write composition = '...'.")
        self._only(table, path, "library composition basis measured note source")
        shipped = None
        if "library" in table:
            library_name = self._text(table, "library", path)
            shipped = self._guarded(
                path, lambda: find_glass(library_name), {"name": "library"}
            )
        composition = shipped.composition if shipped else None
        if "composition" in table:
            basis = self._choice(table, "basis", path, Basis, None)
            amounts = self._text(table, "composition", path)
            composition = self._guarded(
                f"{path}.composition", lambda: parse_composition(amounts, basis)
            )
        measured = shipped.measured if shipped else MeasuredPoints()
        if "measured" in table:
            measured = self.measured(self._table(table, "measured", path), f"{path}.measured")
        return self._guarded(
            path,
            lambda: Glass(
                name=name,
                composition=composition,
                measured=measured,
                note=self._text(table, "note", path, default=""),
                source=self._text(table, "source", path, default=""),
            ),
        )

    def measured(self, table: Mapping[str, Any], path: str) -> MeasuredPoints:
        self._only(table, path, " ".join(_MEASURED_KEYS) + " source")
        values: dict[str, Any] = {"source": self._text(table, "source", path, default="")}
        for key, (name, kind) in _MEASURED_KEYS.items():
            number = self._number(table, key, path)
            if number is None:
                continue
            factor = 1e9 if kind == "giga" else 1.0
            values[name] = kelvin_from(number) if kind == "temperature" else number * factor
        return MeasuredPoints(**values)

    def lehr(self, table: Mapping[str, Any]) -> Lehr:
        path = "lehr"
        if not table:
            self._fail("The load has no lehr.", path, "Add a [lehr] table.")
        self._only(
            table,
            path,
            "name cooling_time_constant_h room_C max_heating_rate_C_per_h max_temperature_C "
            "thermocouple_offset_C controller",
        )
        hours = self._number(table, "cooling_time_constant_h", path)
        if hours is None:
            self._fail(
                "The lehr's cooling time constant is missing.",
                f"{path}.cooling_time_constant_h",
                "Measure it: hours in which, power off, its excess over the room falls to 37 %.",
            )
        room = self._number(table, "room_C", path, default=20.0)
        heating = self._number(table, "max_heating_rate_C_per_h", path, default=200.0)
        highest = self._number(table, "max_temperature_C", path, default=650.0)
        offset = self._number(table, "thermocouple_offset_C", path, default=0.0)
        assert None not in (room, heating, highest, offset)  # noqa: S101 - defaults given
        fields = {
            "cooling_time_constant": "cooling_time_constant_h",
            "ambient": "room_C",
            "max_heating_rate": "max_heating_rate_C_per_h",
            "max_temperature": "max_temperature_C",
            "thermocouple_offset": "thermocouple_offset_C",
        }
        return self._guarded(
            path,
            lambda: Lehr(
                name=self._text(table, "name", path, default="Lehr"),
                cooling_time_constant=hours * SECONDS_PER_HOUR,
                ambient=kelvin_from(room or 0.0),
                max_heating_rate=rate_from(heating or 0.0),
                max_temperature=kelvin_from(highest or 0.0),
                thermocouple_offset=offset or 0.0,
                controller=self.controller(self._table(table, "controller", path)),
            ),
            fields,
        )

    def controller(self, table: Mapping[str, Any]) -> Controller:
        path = "lehr.controller"
        self._only(table, path, "entry degrees max_segments rate_step")
        segments = self._number(table, "max_segments", path, default=8)
        step = self._number(table, "rate_step", path, default=1.0)
        assert segments is not None and step is not None  # noqa: S101, PT018 - defaults given
        if segments != int(segments):
            self._fail("Segments are whole.", f"{path}.max_segments", "Use 1 to 99.")
        return self._guarded(
            path,
            lambda: Controller(
                entry=self._choice(table, "entry", path, Entry, Entry.RATE),
                unit=self._choice(
                    table, "degrees", path, TemperatureUnit, TemperatureUnit.CELSIUS
                ),
                max_segments=int(segments),
                rate_step=step,
            ),
        )

    def limits(self, table: Mapping[str, Any]) -> StressLimits:
        self._only(
            table, "limits", " ".join(f"{k}_MPa" for k in _LIMIT_KEYS) + " safety_factor"
        )
        values = {}
        for key in _LIMIT_KEYS:
            number = self._number(table, f"{key}_MPa", "limits")
            if number is not None:
                values[key] = number * 1e6
        factor = self._number(table, "safety_factor", "limits")
        if factor is not None:
            values["safety_factor"] = factor
        fields = {key: f"{key}_MPa" for key in _LIMIT_KEYS}
        return self._guarded("limits", lambda: StressLimits(**values), fields)

    # -- single values ---------------------------------------------------------------------

    def _number(
        self, table: Mapping[str, Any], key: str, path: str, default: float | None = None
    ) -> float | None:
        value = table.get(key, default)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float) or value != value:  # noqa: PLR0124 - NaN
            self._fail(f"“{value}” is not a number.", _joined(path, key), "Write it without quotes.")
        return float(value)

    def _text(
        self, table: Mapping[str, Any], key: str, path: str, default: str | None = None
    ) -> str:
        value = table.get(key, default)
        if value is None:
            self._fail(f"The {key} is missing.", _joined(path, key), "Add it.")
        if not isinstance(value, str):
            self._fail(f"“{value}” is not text.", _joined(path, key), "Put it in quotes.")
        return value

    def _choice(
        self, table: Mapping[str, Any], key: str, path: str, kind: Any, default: Any
    ) -> Any:
        if key not in table:
            return default
        value = table[key]
        for option in kind:
            if isinstance(value, str) and value.strip().lower() == option.value.lower():
                return option
        options = ", ".join(f'"{option.value}"' for option in kind)
        self._fail(f"“{value}” is not possible here.", _joined(path, key), f"Use one of {options}.")

    def _time(
        self, table: Mapping[str, Any], key: str, zone: tzinfo | None, after: datetime
    ) -> datetime | None:
        value = table.get(key)
        if value is None:
            return None
        if isinstance(value, str):
            try:
                value = time.fromisoformat(value) if ":" in value[:3] else datetime.fromisoformat(value)
            except ValueError:
                self._fail_time(value, key)
        if isinstance(value, datetime):
            return self._guarded(key, lambda: instant(value, zone, key))
        if isinstance(value, time):
            return self._guarded(key, lambda: next_time(value, after, zone, key))
        self._fail_time(value, key)

    def _fail_time(self, value: object, key: str) -> NoReturn:
        self._fail(
            f"“{value}” is not a time.", key, "Write 2026-11-24T17:30:00, or 17:30:00 for the next."
        )

    def _table(self, table: Mapping[str, Any], key: str, path: str) -> Mapping[str, Any]:
        value = table.get(key, {})
        if not isinstance(value, dict):
            self._fail(f"“{key}” should be a table.", _joined(path, key), f"Write [{key}].")
        return value

    def _tables(self, table: Mapping[str, Any]) -> list[Mapping[str, Any]]:
        value = table.get("pieces", [])
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            self._fail("“pieces” should be tables.", "pieces", "Write [[pieces]] before each.")
        return value

    def _only(self, table: Mapping[str, Any], path: str, keys: str) -> None:
        known = keys.split()
        for key in table:
            if key not in known:
                near = difflib.get_close_matches(key, known, 1)
                remedy = f"Did you mean {near[0]}?" if near else "Known: " + ", ".join(known) + "."
                self._fail(f"“{key}” is not a known key.", _joined(path, key), remedy)

    # -- errors ----------------------------------------------------------------------------

    def _fail(self, message: str, path: str, remedy: str) -> NoReturn:
        raise LoadError(
            message, field=path.rsplit(".", 1)[-1], place=self._place(path), remedy=remedy
        )

    def _guarded(self, path: str, make: Any, fields: Mapping[str, str] | None = None) -> Any:
        """Call ``make``; an error of the core gains the place in this file."""
        try:
            return make()
        except LehrkeeperError as error:
            if error.place is not None and error.place.file == self.file and error.place.line:
                raise
            key = (fields or {}).get(error.field or "", error.field or "")
            where = _joined(path, key) if key else path
            place = self._place(where)
            if place.line is None:
                place = self._place(path)
            raise LoadError(
                error.message, field=error.field, place=place, remedy=error.remedy
            ) from error

    def _place(self, path: str) -> Place:
        return Place(self.file, _line_of(self.text, path), path or None)


def _joined(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _line_of(text: str, path: str) -> int | None:
    """Line on which a key path such as ``pieces[1].wall_mm`` or ``lehr.name`` stands."""
    wanted = [re.sub(r"\[\d+\]", "", part) for part in path.split(".")]
    index = re.search(r"\[(\d+)\]", path)
    number = int(index[1]) if index else 0
    table: list[str] = []
    seen: dict[str, int] = {}
    table_line: int | None = None
    for count, line in enumerate(text.splitlines(), start=1):
        header = re.match(r"\s*\[\[?\s*(.+?)\s*\]\]?\s*(#.*)?$", line)
        if header:
            name = header[1].replace('"', "").replace("'", "")
            seen[name] = seen.get(name, -1) + 1
            table = name.split(".")
            here = not index or seen[name] == number or table != wanted[: len(table)]
            if table == wanted[: len(table)] and here and table_line is None:
                table_line = count
            continue
        key = re.match(r"""\s*["']?([^"'=]+?)["']?\s*=""", line)
        in_item = not index or seen.get(".".join(table), -1) == number
        if key and in_item and [*table, *key[1].split(".")] == wanted:
            return count
    return table_line
