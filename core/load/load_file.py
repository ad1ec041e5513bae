"""Load files: tonight's load as a TOML text that a person can write and keep.

Keys carry their unit in the name (``base_mm``, ``room_C``). See ``schedules/`` for examples and
README.md for the list of keys.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, time, tzinfo
from functools import partial
from pathlib import Path
from typing import Any

from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.equipment.lehr import Controller, Entry, Lehr
from core.errors import LoadError, Place
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.glass.measured_points import check_measured
from core.load.grades import grade_named
from core.load.load import Load, StressLimits
from core.load.local_time import instant, next_time, zone_named
from core.load.measured_table import MEASURED_KEYS, read_measured
from core.load.table_reader import TableReader, joined, shown
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
    return parse_load(page_of_text(path), file=str(path), now=now)


def read_glass(path: Path) -> Glass:
    """Read a TOML file with one glass: the keys of a ``[glasses."name"]`` table, and ``name``.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    text = page_of_text(path)
    reader = TableReader(text, str(path))
    table = dict(toml_table(text, str(path)))
    name = reader.text(table, "name", "", default=path.stem)
    table.pop("name", None)
    return _LoadReader(reader).glass(name, table, "")


def glass_from_table(reader: TableReader, name: str, table: Any, path: str) -> Glass:
    """Read a glass from a ``[glasses."name"]`` table of any TOML file.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    return _LoadReader(reader).glass(name, table, path)


def page_of_text(path: Path) -> str:
    """The text of a small UTF-8 file.

    Raises
    ------
    LoadError
        If it is not there, not a file, not text, or more than a page could be.
    """
    try:
        if path.is_dir():
            raise LoadError(
                "This is a folder, not a file.",
                place=Place(str(path)),
                remedy="Name the file inside it.",
            )
        # One byte more tells a file that is too large, even one that never ends.
        with path.open("rb") as stream:
            data = stream.read(LARGEST_FILE + 1)
        if len(data) > LARGEST_FILE:
            raise LoadError(
                "This file is too large to be a page of text.",
                place=Place(str(path)),
                remedy="Choose a file such as those in schedules.",
            )
        return data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except FileNotFoundError as error:
        raise LoadError(
            "There is no such file.", place=Place(str(path)), remedy="Check the name."
        ) from error
    except UnicodeDecodeError as error:
        raise LoadError(
            "This is not a text file.", place=Place(str(path)), remedy="Save it as UTF-8 text."
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not possible"
        raise LoadError(f"The file cannot be read ({reason}).", place=Place(str(path))) from error


def toml_table(text: str, file: str | None) -> Mapping[str, Any]:
    """The table a TOML text holds.

    Raises
    ------
    LoadError
        If it is not TOML, with line and column.
    """
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise LoadError(
            "The tables or lists are nested far too deep.",
            place=Place(file),
            remedy="See schedules for what a load file looks like.",
        ) from error
    except ValueError as error:
        found = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
        message = re.sub(r"\s*\(at .*\)$", "", str(error))
        if not isinstance(error, tomllib.TOMLDecodeError):
            message = "a whole number has thousands of digits"
        place = Place(file, int(found[1]), found[2]) if found else Place(file)
        raise LoadError(f"The text is not valid TOML: {message}.", place=place) from error


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


@dataclass(frozen=True)
class _LoadReader:
    """Reads the tables of a load into the frozen types."""

    read: TableReader

    def load(self, table: Mapping[str, Any], now: datetime) -> Load:
        self.read.only(
            table,
            "",
            "name button_pressed out_by timezone lehr_at_C hand_warm_C soak_above_annealing_C "
            "lehr limits glasses pieces",
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
        pieces = tuple(self.piece(entry, f"pieces[{i}]") for i, entry in enumerate(entries))
        piece_limits = self.piece_limits(entries)
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
                lehr=self.lehr(self.read.table(table, "lehr", "")),
                button_time=button,
                out_by=out_by,
                start_temperature=None if start is None else kelvin_from(start),
                hand_warm=kelvin_from(hand_warm),
                limits=self.limits(self.read.table(table, "limits", "")),
                soak_above_annealing=above,
                timezone=zone_name,
                piece_limits=piece_limits,
            ),
            fields,
        )

    def piece_limits(self, tables: Sequence[Mapping[str, Any]]) -> dict[str, float | str]:
        """What pieces are held to by themselves, by their name: [Pa], or a grade."""
        found: dict[str, float | str] = {}
        for i, table in enumerate(tables):
            path = f"pieces[{i}]"
            name = self.read.text(table, "name", path)
            own = self.read.number(table, "permanent_MPa", path)
            if "grade" in table:
                if own is not None:
                    raise self.read.fault(
                        f"“{name}” has both a grade and a limit.",
                        f"{path}.grade",
                        "Leave one of them out.",
                    )
                code = self.read.text(table, "grade", path)
                found[name] = self.read.guarded(
                    path, partial(grade_named, code), {"grade": "grade"}
                ).code
            elif own is not None:
                limit = own * 1e6
                self.read.guarded(
                    path,
                    partial(StressLimits, permanent_tension=limit),
                    {"permanent_tension": "permanent_MPa"},
                )
                found[name] = limit
        return found

    def piece(self, table: Mapping[str, Any], path: str) -> Piece:
        self.read.only(
            table,
            path,
            "name count shape glass wall_mm base_mm diameter_mm height_mm cooled_from "
            "base_cooled_from permanent_MPa grade",
        )
        count = self.read.whole(table, "count", path, default=1)
        lengths = {
            name: self.read.number(table, f"{name}_mm", path)
            for name in ("wall", "base", "diameter", "height")
        }
        metres = {k: None if v is None else v / 1000.0 for k, v in lengths.items()}
        fields = {
            "wall_thickness": "wall_mm",
            "base_thickness": "base_mm",
            "diameter": "diameter_mm",
            "height": "height_mm",
        }
        return self.read.guarded(
            path,
            lambda: Piece(
                name=self.read.text(table, "name", path),
                count=count,
                shape=self.read.choice(table, "shape", path, Shape, Shape.PLATE),
                glass=self.read.text(table, "glass", path),
                wall_thickness=metres["wall"],
                base_thickness=metres["base"],
                diameter=metres["diameter"],
                height=metres["height"],
                cooled_from=self.read.choice(
                    table, "cooled_from", path, CooledFrom, CooledFrom.BOTH
                ),
                base_cooled_from=self.read.choice(
                    table, "base_cooled_from", path, CooledFrom, CooledFrom.ONE
                ),
            ),
            fields,
        )

    def glasses(self, table: Mapping[str, Any], pieces: tuple[Piece, ...]) -> dict[str, Glass]:
        glasses = {
            name: self.glass(name, entry, f"glasses.{name}") for name, entry in table.items()
        }
        for i, piece in enumerate(pieces):
            if piece.glass not in glasses:
                glasses[piece.glass] = self._shipped(piece.glass, f"pieces[{i}]", "glass")
        return glasses

    def glass(self, name: str, table: Any, path: str) -> Glass:
        if not isinstance(table, dict):
            raise self.read.fault(
                f"“{name}” needs keys of its own.", path, "Write composition = '...'."
            )
        self.read.only(table, path, "library composition basis measured note source")
        shipped = None
        if "library" in table:
            library_name = self.read.text(table, "library", path)
            shipped = self._shipped(library_name, path, "library")
        composition = shipped.composition if shipped else None
        if "composition" in table:
            basis = self.read.choice(table, "basis", path, Basis, None)
            amounts = self.read.text(table, "composition", path)
            composition = self.read.guarded(
                joined(path, "composition"), lambda: parse_composition(amounts, basis)
            )
        measured = shipped.measured if shipped else MeasuredPoints()
        if "measured" in table:
            measured = read_measured(
                self.read, self.read.table(table, "measured", path), joined(path, "measured")
            )
        glass = self.read.guarded(
            path,
            lambda: Glass(
                name=name,
                composition=composition,
                measured=measured,
                note=self.read.text(table, "note", path, default=""),
                source=self.read.text(table, "source", path, default=""),
            ),
        )
        self.read.guarded(joined(path, "measured"), lambda: check_measured(glass), MEASURED_KEYS)
        return glass

    def _shipped(self, name: str, path: str, key: str) -> Glass:
        return self.read.guarded(path, lambda: find_glass(name), {"name": key})

    def lehr(self, table: Mapping[str, Any]) -> Lehr:
        path = "lehr"
        if not table:
            raise self.read.fault("The load has no lehr.", path, "Add a [lehr] table.")
        self.read.only(
            table,
            path,
            "name cooling_time_constant_h room_C max_heating_rate_C_per_h max_temperature_C "
            "thermocouple_offset_C thermocouple_error_C unevenness_C controller",
        )
        hours = self.read.number(table, "cooling_time_constant_h", path)
        if hours is None:
            raise self.read.fault(
                "The lehr's cooling time constant is missing.",
                f"{path}.cooling_time_constant_h",
                "Measure it: hours in which, power off, its excess over the room falls to 37 %.",
            )
        room = self.read.number(table, "room_C", path, default=20.0)
        heating = self.read.number(table, "max_heating_rate_C_per_h", path, default=200.0)
        highest = self.read.number(table, "max_temperature_C", path, default=650.0)
        offset = self.read.number(table, "thermocouple_offset_C", path, default=0.0)
        unsure = {
            name: value
            for name in ("thermocouple_error", "unevenness")
            if (value := self.read.number(table, f"{name}_C", path)) is not None
        }
        fields = {
            "cooling_time_constant": "cooling_time_constant_h",
            "ambient": "room_C",
            "max_heating_rate": "max_heating_rate_C_per_h",
            "max_temperature": "max_temperature_C",
            "thermocouple_offset": "thermocouple_offset_C",
            "thermocouple_error": "thermocouple_error_C",
            "unevenness": "unevenness_C",
        }
        return self.read.guarded(
            path,
            lambda: Lehr(
                name=self.read.text(table, "name", path, default="Lehr"),
                cooling_time_constant=hours * SECONDS_PER_HOUR,
                ambient=kelvin_from(room),
                max_heating_rate=rate_from(heating),
                max_temperature=kelvin_from(highest),
                thermocouple_offset=offset,
                controller=self.controller(self.read.table(table, "controller", path)),
                **unsure,
            ),
            fields,
        )

    def controller(self, table: Mapping[str, Any]) -> Controller:
        path = "lehr.controller"
        self.read.only(table, path, "entry degrees max_segments rate_step")
        segments = self.read.whole(table, "max_segments", path, default=8)
        step = self.read.number(table, "rate_step", path, default=1.0)
        return self.read.guarded(
            path,
            lambda: Controller(
                entry=self.read.choice(table, "entry", path, Entry, Entry.RATE),
                unit=self.read.choice(
                    table, "degrees", path, TemperatureUnit, TemperatureUnit.CELSIUS
                ),
                max_segments=segments,
                rate_step=step,
            ),
        )

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

    def _time(
        self, table: Mapping[str, Any], key: str, zone: tzinfo | None, after: datetime
    ) -> datetime | None:
        value = table.get(key)
        if value is None:
            return None
        if isinstance(value, str):
            if ":" not in value:  # a day alone would quietly mean its midnight
                raise self._not_a_time(value, key)
            try:
                value = (
                    time.fromisoformat(value) if ":" in value[:3] else datetime.fromisoformat(value)
                )
            except ValueError as error:
                raise self._not_a_time(value, key) from error
        if isinstance(value, datetime):
            return self.read.guarded(key, lambda: instant(value, zone, key))
        if isinstance(value, time):
            return self.read.guarded(key, lambda: next_time(value, after, zone, key))
        raise self._not_a_time(value, key)

    def _not_a_time(self, value: object, key: str) -> LoadError:
        return self.read.fault(
            f"“{shown(value)}” is not a time.",
            key,
            "Write 2026-11-24T17:30:00, or 17:30:00 for the next.",
        )
