"""Melt files: a night at the furnace as a TOML text that a person can write and keep.

Keys carry their unit in the name. Walls are written as they are built, from the hot face outward:
``layers = ["114 mm insulating firebrick 28", "25 mm ceramic fibre blanket"]``. See ``demo_data/``
for examples.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time, tzinfo
from pathlib import Path
from typing import Any

from core.glass.glass import Glass
from core.glass.library import find_glass
from core.load.load_file import glass_from_table, page_of_text, toml_table
from core.load.local_time import instant, next_time, zone_named
from core.load.table_reader import TableReader, joined, shown
from core.melt.charge_material import REACTION_HEAT_OF_GLASS, ChargeKind, ChargeMaterial
from core.melt.charging_hours import ClosedHours
from core.melt.fining import BubbleSurface, Fining
from core.melt.furnace_tables import FurnaceTables, needed
from core.melt.glass_melt import Tint
from core.melt.heating_curve import PotCare
from core.melt.melt_task import Fill, MeltProgramme, MeltTask, SetCharge
from core.melt.refractory import Refractory
from core.melt.standing_pot import StandingPot
from core.units import kelvin_from


def read_melt(path: Path, now: datetime | None = None) -> MeltTask:
    """Read a melt file.

    Parameters
    ----------
    path : Path
    now : datetime, optional
        Aware; the moment from which a start without a date is counted (default: now).

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    return parse_melt(page_of_text(path), file=str(path), now=now)


def parse_melt(text: str, *, file: str | None = None, now: datetime | None = None) -> MeltTask:
    """Read a melt from TOML text; see :func:`read_melt`."""
    moment = (now or datetime.now(UTC)).astimezone(UTC)
    return _MeltReader(TableReader(text, file)).task(toml_table(text, file), moment)


@dataclass(frozen=True)
class _MeltReader:
    """Reads the tables of a melt into the frozen types."""

    read: TableReader

    def task(self, table: Mapping[str, Any], now: datetime) -> MeltTask:
        read = self.read
        read.only(
            table,
            "",
            "name start workable_by timezone furnace_at_C glass tint glasses programme furnace pot "
            "other_pots refractories materials charges fill fining energy",
        )
        zone_name = read.text(table, "timezone", "", default="")
        zone = read.guarded("timezone", lambda: zone_named(zone_name))
        start = self.moment(table, "start", "", zone, now)
        if start is None:
            raise read.fault("The start is missing.", "start", "Give it, such as 17:30:00.")
        own = FurnaceTables(read).refractories(read.table(table, "refractories", ""))
        glass = self.glass(table)
        materials = self.materials(read.table(table, "materials", ""))
        at = read.number(table, "furnace_at_C", "")
        pot_table = read.table(table, "pot", "")
        default_name = Path(read.file).stem if read.file else "melt"
        fields = {
            "furnace_temperature": "furnace_at_C",
            "glass_mass": "pot.glass_kg",
        }
        return read.guarded(
            "",
            lambda: MeltTask(
                name=read.text(table, "name", "", default=default_name),
                furnace=FurnaceTables(read).furnace(table, own),
                pot=FurnaceTables(read).pot(pot_table, own),
                glass=glass,
                programme=self.programme(read.table(table, "programme", "")),
                start=start,
                materials=materials,
                furnace_temperature=None if at is None else kelvin_from(at),
                glass_mass=read.number(pot_table, "glass_kg", "pot", 0.0),
                charges=self.charges(table, zone, start),
                fill=self.fill(table, zone, start),
                workable_by=self.moment(table, "workable_by", "", zone, start),
                tint=read.choice(table, "tint", "", Tint, Tint.CLEAR),
                fining=self.fining(read.table(table, "fining", "")),
                pot_care=read.choice(
                    read.table(table, "programme", ""),
                    "pot_is",
                    "programme",
                    PotCare,
                    PotCare.CLAY_ALUMINA,
                ),
                timezone=zone_name,
                other_pots=self.other_pots(table, own),
            ),
            fields,
        )

    def other_pots(
        self, whole: Mapping[str, Any], own: Mapping[str, Refractory]
    ) -> tuple[StandingPot, ...]:
        read = self.read
        found = []
        for i, table in enumerate(read.tables(whole, "other_pots")):
            path = f"other_pots[{i}]"
            vessel = FurnaceTables(read).pot(table, own, path)
            mass = read.number(table, "glass_kg", path, 0.0)
            found.append(
                read.guarded(
                    path,
                    lambda vessel=vessel, mass=mass: StandingPot(vessel, mass),  # type: ignore[misc]
                    {"glass_mass": "glass_kg"},
                )
            )
        return tuple(found)

    def glass(self, table: Mapping[str, Any]) -> Glass:
        name = self.read.text(table, "glass", "")
        own = self.read.table(table, "glasses", "")
        if name in own:
            return glass_from_table(self.read, name, own[name], f"glasses.{name}")
        return self.read.guarded("", lambda: find_glass(name), {"name": "glass"})

    def materials(self, table: Mapping[str, Any]) -> dict[str, ChargeMaterial]:
        return {
            name: self.material(name, self.read.table(table, name, "materials")) for name in table
        }

    def material(self, name: str, table: Mapping[str, Any]) -> ChargeMaterial:
        read, path = self.read, f"materials.{name}"
        read.only(
            table,
            path,
            "kind heap_density_kg_m3 glass_yield reaction_kJ_per_kg_glass moisture_percent "
            "piece_mm flows_at_C",
        )
        kind = read.choice(table, "kind", path, ChargeKind, ChargeKind.CULLET)
        is_batch = kind is ChargeKind.BATCH
        share = read.number(table, "glass_yield", path, 0.83 if is_batch else 1.0)
        reaction = read.number(
            table,
            "reaction_kJ_per_kg_glass",
            path,
            REACTION_HEAT_OF_GLASS / 1000.0 if is_batch else 0.0,
        )
        flows_at = read.number(table, "flows_at_C", path)
        return read.guarded(
            path,
            lambda: ChargeMaterial(
                name=name,
                kind=kind,
                heap_density=read.number(
                    table, "heap_density_kg_m3", path, 1150.0 if is_batch else 1200.0
                ),
                glass_yield=share,
                reaction_heat=1000.0 * reaction * share,
                moisture=read.number(table, "moisture_percent", path, 0.0) / 100.0,
                piece_size=read.number(table, "piece_mm", path, 0.5 if is_batch else 20.0) / 1000.0,
                flows_at=None if flows_at is None else kelvin_from(flows_at),
            ),
            {
                "heap_density": "heap_density_kg_m3",
                "reaction_heat": "reaction_kJ_per_kg_glass",
                "moisture": "moisture_percent",
                "piece_size": "piece_mm",
                "flows_at": "flows_at_C",
            },
        )

    def programme(self, table: Mapping[str, Any]) -> MeltProgramme:
        read, path = self.read, "programme"
        read.only(table, path, "melt_C work_C within_C idle_C pot_is")
        melting = needed(
            self.read, table, "melt_C", path, "Give the furnace temperature to melt at."
        )
        working = needed(self.read, table, "work_C", path, "Give the temperature to work at.")
        idle = read.number(table, "idle_C", path)
        return read.guarded(
            path,
            lambda: MeltProgramme(
                melting=kelvin_from(melting),
                working=kelvin_from(working),
                within=read.number(table, "within_C", path, 15.0),
                idle=None if idle is None else kelvin_from(idle),
            ),
            {"melting": "melt_C", "working": "work_C", "within": "within_C", "idle": "idle_C"},
        )

    def fining(self, table: Mapping[str, Any]) -> Fining:
        read, path = self.read, "fining"
        read.only(table, path, "bubble_mm surface")
        return read.guarded(
            path,
            lambda: Fining(
                bubble=read.number(table, "bubble_mm", path, 0.5) / 1000.0,
                surface=read.choice(table, "surface", path, BubbleSurface, BubbleSurface.RIGID),
            ),
            {"bubble": "bubble_mm"},
        )

    def charges(
        self, table: Mapping[str, Any], zone: tzinfo | None, start: datetime
    ) -> tuple[SetCharge, ...]:
        read = self.read
        found: list[SetCharge] = []
        for i, entry in enumerate(read.tables(table, "charges")):
            path = f"charges[{i}]"
            read.only(entry, path, "at material kg")
            at = self.moment(entry, "at", path, zone, found[-1].time if found else start)
            if at is None:
                raise read.fault("The charge has no time.", joined(path, "at"), "Give it.")
            mass = needed(self.read, entry, "kg", path, "Give its mass.")
            material = read.text(entry, "material", path)
            if material not in read.table(table, "materials", ""):
                raise read.fault(
                    f"There is no material called “{shown(material)}”.",
                    joined(path, "material"),
                    f"Add a [materials.{shown(material)}] table.",
                )
            found.append(
                read.guarded(
                    path,
                    lambda at=at, material=material, mass=mass: SetCharge(  # type: ignore[misc]
                        at, material, mass
                    ),
                    {"time": "at", "mass": "kg"},
                )
            )
        return tuple(found)

    def fill(self, whole: Mapping[str, Any], zone: tzinfo | None, start: datetime) -> Fill | None:
        read = self.read
        table = read.table(whole, "fill", "")
        if not table:
            return None
        read.only(table, "fill", "material to_kg largest_kg attended_until closed")
        until = self.moment(table, "attended_until", "fill", zone, start)
        material = read.text(table, "material", "fill")
        if material not in read.table(whole, "materials", ""):
            raise read.fault(
                f"There is no material called “{shown(material)}”.",
                "fill.material",
                f"Add a [materials.{shown(material)}] table.",
            )
        return read.guarded(
            "fill",
            lambda: Fill(
                material=material,
                to=read.number(table, "to_kg", "fill"),
                largest=read.number(table, "largest_kg", "fill"),
                attended_until=until,
                closed=self.closed(table, zone),
            ),
            {"to": "to_kg", "largest": "largest_kg"},
        )

    def closed(self, table: Mapping[str, Any], zone: tzinfo | None) -> tuple[ClosedHours, ...]:
        remedy = "Write such as closed = [[00:30:00, 06:00:00]]: from and to, without quotes."
        given = table.get("closed", [])
        pairs = given if isinstance(given, list) else [given]
        found = []
        for pair in pairs:
            both: list[Any] = pair if isinstance(pair, list) and len(pair) == 2 else [None]
            if not all(isinstance(value, time) for value in both):
                raise self.read.fault(
                    f"“{shown(pair)}” is not a pair of times.", "fill.closed", remedy
                )
            start, end = both
            found.append(
                self.read.guarded(
                    "fill",
                    lambda start=start, end=end: ClosedHours(start, end, zone),  # type: ignore[misc]
                )
            )
        return tuple(found)

    def moment(
        self,
        table: Mapping[str, Any],
        key: str,
        path: str,
        zone: tzinfo | None,
        after: datetime,
    ) -> datetime | None:
        value = table.get(key)
        if value is None:
            return None
        where = joined(path, key)
        if isinstance(value, datetime):
            return self.read.guarded(where, lambda: instant(value, zone, key), {key: ""})
        if isinstance(value, time):
            return self.read.guarded(where, lambda: next_time(value, after, zone, key), {key: ""})
        raise self.read.fault(
            f"“{shown(value)}” is not a time.",
            where,
            "Write 2026-11-24T17:30:00, or 17:30:00 for the next, without quotes.",
        )
