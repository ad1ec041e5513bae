"""The furnace and the pot of a melt file, table by table."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from core.load.table_reader import TableReader, joined, shown
from core.melt.combustion import FuelGas
from core.melt.heat_source import Control, ElectricElements, GasBurner, HeatSource
from core.melt.melting_furnace import EnergyTerms, Layer, MeltingFurnace, Opening, WallSection
from core.melt.pot_vessel import PotVessel
from core.melt.refractory import Refractory, find_refractory
from core.melt.wall_text import layer_from_text
from core.units import SECONDS_PER_MINUTE, kelvin_from


def needed(read: TableReader, table: Mapping[str, Any], key: str, path: str, remedy: str) -> float:
    """A number that must be there; the remedy says what it is."""
    value = read.number(table, key, path)
    if value is None:
        raise read.fault(f"The {key} is missing.", joined(path, key), remedy)
    return value


@dataclass(frozen=True)
class FurnaceTables:
    """Reads furnace, pot, refractories and energy terms into the frozen types."""

    read: TableReader

    def furnace(self, whole: Mapping[str, Any], own: Mapping[str, Refractory]) -> MeltingFurnace:
        """The furnace of a whole file, with the studio's own refractories."""
        read = self.read
        table = read.table(whole, "furnace", "")
        if not table:
            raise read.fault("The melt has no furnace.", "furnace", "Add a [furnace] table.")
        read.only(table, "furnace", "name room_C elements burner sections opening")
        room = kelvin_from(read.number(table, "room_C", "furnace", 20.0))
        sections = tuple(
            self._section(entry, f"furnace.sections[{i}]", own)
            for i, entry in enumerate(self._tables(table, "sections", "furnace"))
        )
        return read.guarded(
            "furnace",
            lambda: MeltingFurnace(
                name=read.text(table, "name", "furnace", default="Furnace"),
                source=self._source(table, room),
                sections=sections,
                opening=self._opening(read.table(table, "opening", "furnace")),
                ambient=room,
                energy=self._energy(read.table(whole, "energy", "")),
            ),
            {"ambient": "room_C"},
        )

    def _source(self, table: Mapping[str, Any], room: float) -> HeatSource:
        read = self.read
        if ("elements" in table) == ("burner" in table):
            raise read.fault(
                "A furnace has either elements or a burner.",
                "furnace",
                "Add [furnace.elements] or [furnace.burner], not both.",
            )
        if "elements" in table:
            return self._elements(read.table(table, "elements", "furnace"))
        return self._burner(read.table(table, "burner", "furnace"), room)

    def _elements(self, table: Mapping[str, Any]) -> ElectricElements:
        read, path = self.read, "furnace.elements"
        read.only(
            table,
            path,
            "power_kW area_m2 emissivity heat_capacity_kJ_K max_C band_C integral_min",
        )
        power = needed(self.read, table, "power_kW", path, "Give its power, as on the plate.")
        return read.guarded(
            path,
            lambda: ElectricElements(
                power=1000.0 * power,
                area=read.number(table, "area_m2", path, 0.1),
                emissivity=read.number(table, "emissivity", path, 0.8),
                heat_capacity=1000.0 * read.number(table, "heat_capacity_kJ_K", path, 3.0),
                max_temperature=kelvin_from(read.number(table, "max_C", path, 1500.0)),
                control=self._control(table, path),
            ),
            {
                "power": "power_kW",
                "area": "area_m2",
                "heat_capacity": "heat_capacity_kJ_K",
                "max_temperature": "max_C",
            },
        )

    def _burner(self, table: Mapping[str, Any], room: float) -> GasBurner:
        read, path = self.read, "furnace.burner"
        read.only(
            table,
            path,
            "power_kW fuel air_ratio air_C gas_emissivity film_W_m2K heat_capacity_kJ_K band_C "
            "integral_min",
        )
        power = needed(self.read, table, "power_kW", path, "Give its power, net, as on the plate.")
        air = read.number(table, "air_C", path)
        return read.guarded(
            path,
            lambda: GasBurner(
                power=1000.0 * power,
                fuel=read.choice(table, "fuel", path, FuelGas, FuelGas.NATURAL_GAS),
                air_ratio=read.number(table, "air_ratio", path, 1.1),
                air_temperature=room if air is None else kelvin_from(air),
                gas_emissivity=read.number(table, "gas_emissivity", path, 0.2),
                film=read.number(table, "film_W_m2K", path, 15.0),
                heat_capacity=1000.0 * read.number(table, "heat_capacity_kJ_K", path, 1.0),
                control=self._control(table, path),
            ),
            {
                "power": "power_kW",
                "air_temperature": "air_C",
                "film": "film_W_m2K",
                "heat_capacity": "heat_capacity_kJ_K",
            },
        )

    def _control(self, table: Mapping[str, Any], path: str) -> Control:
        band = self.read.number(table, "band_C", path, 25.0)
        minutes = self.read.number(table, "integral_min", path, 15.0)
        return self.read.guarded(
            path,
            lambda: Control(band, minutes * SECONDS_PER_MINUTE),
            {"band": "band_C", "integral_time": "integral_min"},
        )

    def _section(
        self, table: Mapping[str, Any], path: str, own: Mapping[str, Refractory]
    ) -> WallSection:
        read = self.read
        read.only(table, path, "name area_m2 outer_area_m2 layers emissivity outer_film_W_m2K")
        area = needed(self.read, table, "area_m2", path, "Give the area of the hot face.")
        return read.guarded(
            path,
            lambda: WallSection(
                name=read.text(table, "name", path),
                area=area,
                layers=self._layers(table, path, own),
                outer_area=read.number(table, "outer_area_m2", path),
                emissivity=read.number(table, "emissivity", path, 0.85),
                outer_film=read.number(table, "outer_film_W_m2K", path),
            ),
            {"area": "area_m2", "outer_area": "outer_area_m2", "outer_film": "outer_film_W_m2K"},
        )

    def _layers(
        self, table: Mapping[str, Any], path: str, own: Mapping[str, Refractory]
    ) -> tuple[Layer, ...]:
        where = joined(path, "layers")
        remedy = 'Write such as ["114 mm dense firebrick", "25 mm ceramic fibre blanket"].'
        given = table.get("layers", [])
        if not isinstance(given, list):
            raise self.read.fault("The layers are not a list.", where, remedy)
        found = []
        for entry in given:
            if not isinstance(entry, str):
                raise self.read.fault(f"“{shown(entry)}” is not a layer.", where, remedy)
            found.append(
                self.read.guarded(
                    path,
                    lambda entry=entry: layer_from_text(entry, own),  # type: ignore[misc]
                    {"thickness": "layers"},
                )
            )
        return tuple(found)

    def _opening(self, table: Mapping[str, Any]) -> Opening:
        read, path = self.read, "furnace.opening"
        read.only(
            table,
            path,
            "diameter_mm width_mm height_mm wall_mm open_at_night open_at_work charging_min",
        )
        diameter = read.number(table, "diameter_mm", path)
        width = read.number(table, "width_mm", path)
        height = read.number(table, "height_mm", path)
        if diameter is not None and (width is not None or height is not None):
            raise read.fault(
                "An opening is either round or has width and height.",
                joined(path, "diameter_mm"),
                "Leave out the one or the other.",
            )
        if (width is None) != (height is None):
            raise read.fault("An opening needs both its width and its height.", path, "Give both.")
        if width is not None and height is not None:
            area = width * height / 1e6
        else:
            height = 150.0 if diameter is None else diameter
            area = math.pi / 4.0 * height**2 / 1e6
        high = height / 1000.0
        return read.guarded(
            path,
            lambda: Opening(
                area=area,
                height=high,
                wall_thickness=read.number(table, "wall_mm", path, 115.0) / 1000.0,
                open_at_night=read.number(table, "open_at_night", path, 0.02),
                open_at_work=read.number(table, "open_at_work", path, 0.4),
                charging_time=read.number(table, "charging_min", path, 2.0) * SECONDS_PER_MINUTE,
            ),
            {
                "area": "width_mm" if diameter is None else "diameter_mm",
                "height": "height_mm" if diameter is None else "diameter_mm",
                "wall_thickness": "wall_mm",
                "charging_time": "charging_min",
            },
        )

    def _energy(self, table: Mapping[str, Any]) -> EnergyTerms:
        read = self.read
        read.only(table, "energy", "price_per_kWh currency CO2_kg_per_kWh")
        return read.guarded(
            "energy",
            lambda: EnergyTerms(
                price=read.number(table, "price_per_kWh", "energy"),
                currency=read.text(table, "currency", "energy", default="EUR"),
                carbon_dioxide=read.number(table, "CO2_kg_per_kWh", "energy"),
            ),
            {"price": "price_per_kWh", "carbon_dioxide": "CO2_kg_per_kWh"},
        )

    def pot(
        self, table: Mapping[str, Any], own: Mapping[str, Refractory], path: str = "pot"
    ) -> PotVessel:
        """The pot of a ``[pot]`` table, or of another one."""
        read = self.read
        if not table:
            raise read.fault("The melt has no pot.", path, "Add a [pot] table.")
        read.only(
            table,
            path,
            "name diameter_mm bottom_diameter_mm depth_mm wall_mm base_mm freeboard_mm "
            "exposed_share material glass_kg",
        )
        top = needed(self.read, table, "diameter_mm", path, "Give the inside diameter at the rim.")
        depth = needed(self.read, table, "depth_mm", path, "Give the inside depth.")
        name = read.text(table, "material", path, default="clay-alumina pot")
        return read.guarded(
            path,
            lambda: PotVessel(
                name=read.text(table, "name", path, default="Pot"),
                top_diameter=top / 1000.0,
                bottom_diameter=read.number(table, "bottom_diameter_mm", path, top) / 1000.0,
                depth=depth / 1000.0,
                wall_thickness=read.number(table, "wall_mm", path, 25.0) / 1000.0,
                base_thickness=read.number(table, "base_mm", path, 30.0) / 1000.0,
                freeboard=read.number(table, "freeboard_mm", path, 30.0) / 1000.0,
                exposed_share=read.number(table, "exposed_share", path, 1.0),
                material=find_refractory(name, own),
            ),
            {
                "top_diameter": "diameter_mm",
                "bottom_diameter": "bottom_diameter_mm",
                "depth": "depth_mm",
                "wall_thickness": "wall_mm",
                "base_thickness": "base_mm",
                "freeboard": "freeboard_mm",
            },
        )

    def refractories(self, table: Mapping[str, Any]) -> dict[str, Refractory]:
        """The studio's own refractories by name."""
        return {
            name: self._refractory(name, self.read.table(table, name, "refractories"))
            for name in table
        }

    def _refractory(self, name: str, table: Mapping[str, Any]) -> Refractory:
        read, path = self.read, f"refractories.{name}"
        read.only(
            table,
            path,
            "conductivity_C_W_mK density_kg_m3 heat_capacity_J_kgK heat_capacity_rise_J_kgK2 "
            "service_C source",
        )
        where = joined(path, "conductivity_C_W_mK")
        remedy = "Write such as [[200, 0.25], [1000, 0.33]]: °C, W/(m K)."
        points = table.get("conductivity_C_W_mK")
        if not isinstance(points, list):
            raise read.fault("The conductivity is missing.", where, remedy)
        pairs = []
        for point in points:
            numbers: list[Any] = point if isinstance(point, list) and len(point) == 2 else [None]
            if not all(isinstance(x, int | float) and not isinstance(x, bool) for x in numbers):
                raise read.fault(f"“{shown(point)}” is not a point.", where, remedy)
            pairs.append((float(numbers[0]), float(numbers[1])))
        density = needed(self.read, table, "density_kg_m3", path, "Give its bulk density.")
        return read.guarded(
            path,
            lambda: Refractory(
                name=name,
                conductivity=tuple(pairs),
                density=density,
                heat_capacity=(
                    read.number(table, "heat_capacity_J_kgK", path, 840.0),
                    read.number(table, "heat_capacity_rise_J_kgK2", path, 0.24),
                ),
                service_temperature=read.number(table, "service_C", path, 1700.0),
                source=read.text(table, "source", path, default="as entered"),
            ),
            {
                "conductivity": "conductivity_C_W_mK",
                "density": "density_kg_m3",
                "heat_capacity": "heat_capacity_J_kgK",
                "service_temperature": "service_C",
            },
        )

    def _tables(self, table: Mapping[str, Any], key: str, path: str) -> list[Mapping[str, Any]]:
        value = table.get(key, [])
        if not isinstance(value, list) or not all(isinstance(v, dict) for v in value):
            where = joined(path, key)
            raise self.read.fault(
                f"“{key}” should be tables.", where, f"Write [[{where}]] before each."
            )
        return value
