"""Lists of raw materials as TOML files that a person can write and keep.

Keys carry their unit in the name. A material has a ``formula`` (a pure compound) or ``oxides``
(its analysis, wt% of the dry material) with ``loss_on_ignition_percent``::

    currency = "EUR"

    [[material]]
    name = "soda ash"
    formula = "Na2CO3"
    moisture_percent = 0.3
    price_per_kg = 1.10
    stock_kg = 42
    hazards = ["alkali"]

    [[material]]
    name = "dune sand"
    oxides = { SiO2 = 99.4, Al2O3 = 0.25, Fe2O3 = 0.03 }
    loss_on_ignition_percent = 0.2
    gases = { H2O = 100 }
"""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.batch.formula import GAS_MOLAR_MASS
from core.batch.material import Hazard, Material, MaterialList, Use
from core.batch.material_analysis import NOT_STATED
from core.errors import BatchError
from core.load.load_file import page_of_text, toml_table
from core.load.load_writer import write_toml
from core.load.table_reader import TableReader, joined

SHIPPED = Path(__file__).with_name("shipped_materials.toml")

_KEYS = (
    "name formula oxides loss_on_ignition_percent gases moisture_percent use price_per_kg "
    "stock_kg hazards hazard note source"
)
_FIELDS = {
    "moisture": "moisture_percent",
    "price": "price_per_kg",
    "stock": "stock_kg",
    "loss": "loss_on_ignition_percent",
}


@functools.cache
def shipped_materials() -> MaterialList:
    """The list shipped with the program: pure compounds, without prices or stock."""
    return read_materials(SHIPPED)


def read_materials(path: Path) -> MaterialList:
    """Read a list of materials.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    return parse_materials(page_of_text(path), file=str(path))


def parse_materials(text: str, *, file: str | None = None) -> MaterialList:
    """Read a list of materials from TOML text; see :func:`read_materials`."""
    table = toml_table(text, file)
    reader = _MaterialReader(TableReader(text, file))
    return reader.materials(table)


@dataclass(frozen=True)
class _MaterialReader:
    read: TableReader

    def materials(self, table: Mapping[str, Any]) -> MaterialList:
        self.read.only(table, "", "name currency material")
        entries = self.read.tables(table, "material")
        made = tuple(self.material(entry, f"material[{i}]") for i, entry in enumerate(entries))
        default = Path(self.read.file).stem if self.read.file else "materials"
        name = self.read.text(table, "name", "", default=default)
        currency = self.read.text(table, "currency", "", default="")
        return self.read.guarded("material", lambda: MaterialList(made, currency, name))

    def material(self, table: Mapping[str, Any], path: str) -> Material:
        self.read.only(table, path, _KEYS)
        name = self.read.text(table, "name", path)
        shared: dict[str, Any] = {
            "moisture": self.read.number(table, "moisture_percent", path, 0.0) / 100.0,
            "use": self.read.choice(table, "use", path, Use, Use.BASE),
            "price": self.read.number(table, "price_per_kg", path),
            "stock": self.read.number(table, "stock_kg", path),
            "hazards": self.hazards(table, path),
        }
        for key in ("hazard", "note", "source"):
            shared[key] = self.read.text(table, key, path, default="")
        if "formula" in table:
            for key in ("oxides", "loss_on_ignition_percent", "gases"):
                if key in table:
                    raise self.read.fault(
                        f"“{name}” has both a formula and {key}.",
                        joined(path, key),
                        "Leave the formula out to use the analysis.",
                    )
            formula = self.read.text(table, "formula", path)
            return self.read.guarded(
                path, lambda: Material.from_formula(name, formula, **shared), _FIELDS
            )
        if "oxides" not in table:
            raise self.read.fault(
                f"“{name}” has neither a formula nor oxides.",
                path,
                "Write formula = 'Na2CO3' or oxides = { SiO2 = 99.4, ... }.",
            )
        percent = self.amounts(table, "oxides", path)
        loss = self.read.number(table, "loss_on_ignition_percent", path, 0.0)
        gases = self.amounts(table, "gases", path)
        return self.read.guarded(
            path,
            lambda: Material.from_analysis(name, percent, loss, gases, **shared),
            _FIELDS
            | {oxide: f"oxides.{oxide}" for oxide in percent}
            | {gas: f"gases.{gas}" for gas in gases},
        )

    def amounts(self, table: Mapping[str, Any], key: str, path: str) -> dict[str, float]:
        inner = self.read.table(table, key, path)
        at = joined(path, key)
        return {name: self.read.number(inner, name, at, 0.0) for name in inner}

    def hazards(self, table: Mapping[str, Any], path: str) -> tuple[Hazard, ...]:
        value = table.get("hazards", [])
        if not isinstance(value, list):
            raise self.read.fault(
                "The hazards should be a list.",
                joined(path, "hazards"),
                'Write hazards = ["silica"].',
            )
        return tuple(
            self.read.choice({"hazards": one}, "hazards", path, Hazard, Hazard.DUST)
            for one in value
        )


def materials_to_toml(materials: MaterialList) -> str:
    """Write a list as the text of a file, which :func:`parse_materials` reads back.

    A material given by formula stays one; others are written as their analysis, scaled to 100.
    """
    lines = [f"name = {_text(materials.name)}"]
    if materials.currency:
        lines.append(f"currency = {_text(materials.currency)}")
    for material in materials:
        lines.extend(["", "[[material]]", *_material(material)])
    return "\n".join(lines) + "\n"


def write_materials(path: Path, materials: MaterialList) -> None:
    """Write a list; what stood there is replaced only by a whole file.

    Raises
    ------
    BatchError
        If it cannot be written.
    """
    write_toml(path, materials_to_toml(materials), "list of materials", BatchError)


def _material(material: Material) -> Iterator[str]:
    yield f"name = {_text(material.name)}"
    if material.formula:
        yield f"formula = {_text(material.formula)}"
    else:
        oxides = ", ".join(f"{o} = {_percent(share)}" for o, share in material.oxides.items())
        yield f"oxides = {{ {oxides} }}"
        loss = material.loss
        if loss > 0:
            yield f"loss_on_ignition_percent = {_percent(loss)}"
        known = {g: m for g, m in material.gases.items() if g in GAS_MOLAR_MASS and g != NOT_STATED}
        if known:
            gases = ", ".join(f"{gas} = {_percent(mass / loss)}" for gas, mass in known.items())
            yield f"gases = {{ {gases} }}"
    if material.moisture:
        yield f"moisture_percent = {_percent(material.moisture)}"
    if material.use is not Use.BASE:
        yield f"use = {_text(material.use.value)}"
    if material.price is not None:
        yield f"price_per_kg = {material.price:.12g}"
    if material.stock is not None:
        yield f"stock_kg = {material.stock:.12g}"
    if material.hazards:
        yield f"hazards = [{', '.join(_text(hazard.value) for hazard in material.hazards)}]"
    for key in ("hazard", "note", "source"):
        value = getattr(material, key)
        if value:
            yield f"{key} = {_text(value)}"


def _percent(share: float) -> str:
    return f"{100.0 * share:.12g}"


def _text(value: str) -> str:
    """A TOML basic string; its escapes are those of JSON, and DEL must be escaped as well."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
