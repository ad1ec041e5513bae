"""A batch asked for in a TOML file that a person can write and keep.

Keys carry their unit in the name::

    name = "harbour clear, Friday"
    library = "harbour clear"              # or composition = "SiO2 70, Na2O 16, CaO 14 wt%"
    glass_kg = 40                          # or batch_kg
    materials = "harbour_materials.toml"   # beside this file; the shipped list when left out
    division_g = 10
    fine_division_g = 0.1
    prefer = "cheapest"                    # or "fewest"

    [cullet]
    library = "harbour clear"
    share_percent = 30

    [weights]
    Fe2O3 = 20

    [volatilises_percent]
    Na2O = 1.5

    [bounds."soda nitre"]
    fixed_kg = 0.2                         # or at_least_kg, at_most_kg

    [[additions]]
    material = "cobalt oxide"              # or an oxide
    ppm = 150                              # or percent
    counted = "on top"                     # or "in the target"

    [property]
    expansion_1e7_per_K = 95
    annealing_point_rise_C = 5
    change = "Na2O, CaO, SiO2"
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.batch.columns import material_for
from core.batch.material import MaterialList
from core.batch.material_file import read_materials, shipped_materials
from core.batch.property_target import PropertyWish, nearest_with, oxides_in
from core.batch.request import (
    Addition,
    BatchRequest,
    Bound,
    Counted,
    Cullet,
    MeltSize,
    Prefer,
)
from core.composition.composition import Basis, Composition
from core.composition.oxides import canonical_oxide
from core.composition.parse import parse_composition
from core.errors import BatchError
from core.glass.library import find_glass
from core.load.load_file import page_of_text, toml_table
from core.load.table_reader import TableReader, joined

DEFAULT_SIZE = 10.0
"""[kg] of glass, where nobody says."""
_KEYS = (
    "name library composition basis glass_kg batch_kg materials division_g fine_division_g prefer "
    "cullet weights volatilises_percent bounds additions property"
)
_FIELDS = {
    "size": "glass_kg",
    "division": "division_g",
    "fine_division": "fine_division_g",
    "share": "cullet.share_percent",
}


@dataclass(frozen=True)
class BatchFile:
    """A request as a file gives it.

    Attributes
    ----------
    request : BatchRequest
        Its target is what was asked for after any wish for a property.
    start : Composition
        The analysis as given.
    wish : PropertyWish or None
    """

    request: BatchRequest
    start: Composition
    wish: PropertyWish | None = None


def read_batch(path: Path) -> BatchFile:
    """Read a batch file.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    text = page_of_text(path)
    return _BatchReader(TableReader(text, str(path)), path.parent).batch(
        toml_table(text, str(path))
    )


def parse_batch(text: str, folder: Path = Path()) -> BatchFile:
    """Read a batch from TOML text; lists it names are looked for in ``folder``."""
    return _BatchReader(TableReader(text, None), folder).batch(toml_table(text, None))


@dataclass(frozen=True)
class _BatchReader:
    read: TableReader
    folder: Path

    def batch(self, table: Mapping[str, Any]) -> BatchFile:
        self.read.only(table, "", _KEYS)
        start = self.glass(table, "")
        if start is None:
            raise self.read.fault(
                "The batch has no target.",
                "composition",
                "Write composition = 'SiO2 70, ...' or library = 'name of a glass'.",
            )
        default = self.read.text(table, "library", "", default="")
        if not default and self.read.file:
            default = Path(self.read.file).stem
        name = self.read.text(table, "name", "", default=default or "batch")
        wish = self.wish(self.read.table(table, "property", ""))
        target = start
        if wish is not None:
            asked = wish
            target = self.read.guarded("property", lambda: nearest_with(start, asked))
        size, size_of = self.size(table)
        materials = self.materials(table)
        fields: dict[str, Any] = {
            "cullet": self.cullet(self.read.table(table, "cullet", "")),
            "bounds": self.bounds(self.read.table(table, "bounds", ""), materials),
            "weights": self.amounts(table, "weights", 1.0),
            "volatilises": self.amounts(table, "volatilises_percent", 0.01),
            "additions": tuple(
                self.addition(entry, f"additions[{i}]", materials)
                for i, entry in enumerate(self.read.tables(table, "additions"))
            ),
            "division": self.read.number(table, "division_g", "", 10.0) / 1000.0,
            "fine_division": self.read.number(table, "fine_division_g", "", 0.1) / 1000.0,
            "prefer": self.read.choice(table, "prefer", "", Prefer, None),
            "wished_from": start if wish is not None else None,
        }
        keys = _FIELDS | {"size": "batch_kg" if size_of is MeltSize.BATCH else "glass_kg"}
        for oxide in fields["volatilises"]:
            keys[f"volatilises.{oxide}"] = f"volatilises_percent.{oxide}"
        request = self.read.guarded(
            "", lambda: BatchRequest(name, target, materials, size, size_of, **fields), keys
        )
        return BatchFile(request, start, wish)

    def glass(self, table: Mapping[str, Any], path: str) -> Composition | None:
        """The analysis of a table's ``composition`` or ``library`` glass."""
        if "composition" in table and "library" in table:
            raise self.read.fault(
                "There is both an analysis and a glass of the library.",
                joined(path, "library"),
                "Leave one of the two.",
            )
        if "library" in table:
            name = self.read.text(table, "library", path)
            return self.read.guarded(path, lambda: library_composition(name), {"name": "library"})
        if "composition" not in table:
            return None
        basis = self.read.choice(table, "basis", path, Basis, None)
        text = self.read.text(table, "composition", path)
        return self.read.guarded(
            joined(path, "composition"), lambda: parse_composition(text, basis)
        )

    def size(self, table: Mapping[str, Any]) -> tuple[float, MeltSize]:
        if "glass_kg" in table and "batch_kg" in table:
            raise self.read.fault(
                "There is both a size of glass and of batch.", "batch_kg", "Leave one of the two."
            )
        if "batch_kg" in table:
            return self.read.number(table, "batch_kg", "", DEFAULT_SIZE), MeltSize.BATCH
        return self.read.number(table, "glass_kg", "", DEFAULT_SIZE), MeltSize.GLASS

    def materials(self, table: Mapping[str, Any]) -> MaterialList:
        if "materials" not in table:
            return shipped_materials()
        return read_materials(self.folder / self.read.text(table, "materials", ""))

    def cullet(self, table: Mapping[str, Any]) -> Cullet | None:
        if not table:
            return None
        path = "cullet"
        self.read.only(table, path, "name library composition basis share_percent price_per_kg")
        composition = self.glass(table, path)
        if composition is None:
            raise self.read.fault(
                "The cullet has no analysis.", path, "Write library = '...' or composition = '...'."
            )
        share = self.read.number(table, "share_percent", path)
        if share is None:
            raise self.read.fault(
                "The cullet's share of the glass is missing.",
                joined(path, "share_percent"),
                "Write share_percent = 30.",
            )
        name = self.read.text(
            table, "name", path, default=self.read.text(table, "library", path, default="cullet")
        )
        price = self.read.number(table, "price_per_kg", path)
        return self.read.guarded(
            path,
            lambda: Cullet(name, composition, share / 100.0, price),
            {"share": "share_percent", "price": "price_per_kg"},
        )

    def bounds(self, table: Mapping[str, Any], materials: MaterialList) -> dict[str, Bound]:
        bounds = {}
        for name in table:
            path = f"bounds.{name}"
            entry = self.read.table(table, name, "bounds")
            self.read.only(entry, path, "at_least_kg at_most_kg fixed_kg")
            self.read.guarded(path, lambda name=name: materials.find(name))  # type: ignore[misc]
            fixed = self.read.number(entry, "fixed_kg", path)
            low = self.read.number(entry, "at_least_kg", path, 0.0)
            high = self.read.number(entry, "at_most_kg", path)
            if fixed is not None and len(entry) > 1:
                raise self.read.fault(
                    f"“{name}” is fixed and bounded at once.",
                    joined(path, "fixed_kg"),
                    "Leave one of the two.",
                )
            if fixed is not None:
                low, high = fixed, fixed
            bounds[name] = self._bound(path, low, high, fixed=fixed is not None)
        return bounds

    def _bound(self, path: str, low: float, high: float | None, *, fixed: bool) -> Bound:
        keys = {"at_least": "at_least_kg", "at_most": "at_most_kg"}
        if fixed:
            keys = {"at_least": "fixed_kg", "at_most": "fixed_kg"}
        return self.read.guarded(path, lambda: Bound(low, high), keys)

    def amounts(self, table: Mapping[str, Any], key: str, factor: float) -> dict[str, float]:
        inner = self.read.table(table, key, "")
        amounts: dict[str, float] = {}
        for text in inner:
            oxide = self._oxide(text, f"{key}.{text}")
            amounts[oxide] = factor * self.read.number(inner, text, key, 0.0)
        return amounts

    def _oxide(self, text: str, path: str) -> str:
        return self.read.guarded(path, lambda: canonical_oxide(text), {text: ""})

    def addition(self, table: Mapping[str, Any], path: str, materials: MaterialList) -> Addition:
        self.read.only(table, path, "material percent ppm counted")
        name = self.read.text(table, "material", path)
        self.read.guarded(path, lambda: material_for(name, materials))
        percent = self.read.number(table, "percent", path)
        ppm = self.read.number(table, "ppm", path)
        if (percent is None) == (ppm is None):
            raise self.read.fault(
                f"“{name}” needs its amount in percent or in ppm of the glass.",
                path,
                "Write percent = 0.3 or ppm = 200.",
            )
        share = 0.0 if percent is None else percent / 100.0
        share = share if ppm is None else ppm * 1e-6
        counted = self.read.choice(table, "counted", path, Counted, None)
        key = "percent" if ppm is None else "ppm"
        return self.read.guarded(
            path, lambda: Addition(name, share, counted), {"percent": key, "material": "material"}
        )

    def wish(self, table: Mapping[str, Any]) -> PropertyWish | None:
        if not table:
            return None
        path = "property"
        self.read.only(table, path, "expansion_1e7_per_K annealing_point_rise_C change")
        expansion = self.read.number(table, "expansion_1e7_per_K", path)
        rise = self.read.number(table, "annealing_point_rise_C", path)
        change = self.read.text(table, "change", path, default="")
        oxides = self.read.guarded(joined(path, "change"), lambda: oxides_in(change))
        return self.read.guarded(
            path,
            lambda: PropertyWish(None if expansion is None else expansion * 1e-7, rise, oxides),
            {"expansion": "expansion_1e7_per_K", "annealing_rise": "annealing_point_rise_C"},
        )


def library_composition(name: str) -> Composition:
    """The analysis of a glass of the library.

    Raises
    ------
    GlassError
        If there is none of that name.
    BatchError
        If it has no analysis.
    """
    glass = find_glass(name)
    if glass.composition is None:
        raise BatchError(
            f"“{glass.name}” is known by its measured points only: it has no analysis.",
            field="name",
            remedy="Give its oxides.",
        )
    return glass.composition
