"""``lehrkeeper glass``: what a glass does, from its analysis or its name."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from core.command_line.table import as_json, columns
from core.command_line.terminal import faults_placed_in
from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.errors import GlassError
from core.glass.fixed_points import FIXED_POINTS
from core.glass.glass import Estimate, Glass, GlassProperties
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.load.load_file import page_of_text, read_glass
from core.units import kelvin_to

_FILE_ENDINGS = {".csv", ".toml", ".tsv", ".txt"}


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "glass",
        help="properties of a glass from its analysis or name",
        description="Strain, annealing, softening, working and melting temperatures, expansion and "
        "density of a glass.",
    )
    parser.add_argument(
        "text",
        nargs="+",
        help="an analysis such as 'SiO2 70.1, Na2O 16.2, CaO 9', a file with "
        "one (or a TOML file with measured points), or the name of a glass in the library",
    )
    parser.add_argument("--basis", choices=[b.value for b in Basis], help="unit of the analysis")
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Compute and format."""
    text = " ".join(arguments.text)
    path = Path(text)
    basis = Basis(arguments.basis) if arguments.basis else None
    if _names_a_file(path):
        glass = _from_file(path, basis)
        with faults_placed_in(path):
            properties = properties_of(glass)
    else:
        glass = _from_words(text, basis)
        properties = properties_of(glass)
    if arguments.json:
        return as_json(to_json(glass, properties))
    return _as_table(glass, properties)


def _from_file(path: Path, basis: Basis | None) -> Glass:
    if path.suffix.lower() == ".toml":
        return read_glass(path)
    content = page_of_text(path)
    return Glass(path.stem, parse_composition(content, basis, file=str(path)))


def _from_words(text: str, basis: Basis | None) -> Glass:
    if not text.strip():
        raise GlassError(
            "No glass was named.",
            field="text",
            remedy="Give an analysis such as 'SiO2 72, Na2O 14, CaO 14', a file, or a name.",
        )
    if not any(character.isdigit() for character in text):
        return find_glass(text)
    try:
        return find_glass(text)
    except GlassError:
        return Glass("as entered", parse_composition(text, basis))


def _names_a_file(path: Path) -> bool:
    """Tell a path, there or not, from an analysis or a glass's name."""
    if not path.name:
        return False
    try:
        return path.exists() or path.suffix.lower() in _FILE_ENDINGS
    except (OSError, ValueError):
        return False


def _celsius(estimate: Estimate | None) -> float | None:
    return None if estimate is None else round(kelvin_to(estimate.value), 1)


def to_json(glass: Glass, properties: GlassProperties) -> dict[str, Any]:
    """The glass as plain values; temperatures in °C, the rest SI."""
    points = {f"{p.key}_C": _celsius(getattr(properties, p.key)) for p in FIXED_POINTS}
    composition = glass.composition
    return {
        "name": glass.name,
        **points,
        "expansion_per_K": properties.expansion.value,
        "density_kg_m3": round(properties.density.value, 1),
        "youngs_modulus_Pa": properties.youngs_modulus.value,
        "poissons_ratio": round(properties.poissons_ratio.value, 4),
        "stress_optical_coefficient_per_Pa": properties.stress_optical_coefficient.value,
        "composition_weight_percent": dict(composition.weight_percent) if composition else None,
        "original_total": composition.original_total if composition else None,
        "models": [
            {
                "model": model.model,
                **{f"{p.key}_C": round(kelvin_to(getattr(model, p.key)), 1) for p in FIXED_POINTS},
                "in_range": model.in_range,
                "outside": list(model.outside),
                "extrapolated": list(model.extrapolated),
                "stated_error_C": model.stated_error,
            }
            for model in properties.models
        ],
        "warnings": list(properties.warnings),
    }


def _as_table(glass: Glass, properties: GlassProperties) -> str:
    lines = [glass.name]
    if glass.composition:
        lines.append(
            f"{glass.composition.to_text()}  (as given: total "
            f"{glass.composition.original_total:.2f} {glass.composition.basis.value})"
        )
    rows = [("", "°C", "±", "log10 Pa s", "from")]
    for point in FIXED_POINTS:
        estimate: Estimate | None = getattr(properties, point.key)
        if estimate is None:
            rows.append((point.name, "not known", "", f"{point.log_viscosity:g}", ""))
            continue
        spread = "" if estimate.plus_minus is None else f"{estimate.plus_minus:.0f}"
        rows.append(
            (
                point.name,
                f"{kelvin_to(estimate.value):.0f}",
                spread,
                f"{point.log_viscosity:g}",
                estimate.source,
            )
        )
    lines += ["", columns(rows, right=(1, 2, 3)), ""]
    others = (
        ("expansion 20-300 °C", properties.expansion, 1e7, "1e-7/K", 0),
        ("density", properties.density, 1e-3, "g/cm3", 3),
        ("Young's modulus", properties.youngs_modulus, 1e-9, "GPa", 1),
        ("Poisson's ratio", properties.poissons_ratio, 1.0, "", 3),
        ("stress-optical", properties.stress_optical_coefficient, 1e12, "1e-12/Pa", 2),
    )
    rows = []
    for name, value, factor, unit, digits in others:
        error = value.plus_minus
        shown = "" if error is None else f"± {error * factor:.{digits}f}"
        rows.append((name, f"{value.value * factor:.{digits}f}", shown, unit, value.source))
    lines.append(columns(rows, right=(1,)))
    if properties.warnings:
        lines.append("")
        lines += [f"! {warning}" for warning in properties.warnings]
    return "\n".join(lines)
