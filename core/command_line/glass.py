"""``lehrkeeper glass``: what a glass does, from its analysis or its name."""

from __future__ import annotations

import argparse
from contextlib import nullcontext
from pathlib import Path
from typing import Any

from core.command_line.glass_table import convert
from core.command_line.glass_text import as_text, to_json
from core.command_line.named_glass import glass_named, names_a_file
from core.command_line.table import as_json
from core.command_line.terminal import faults_placed_in
from core.command_line.working import working_json, working_table
from core.composition.composition import Basis
from core.errors import CompositionError, GlassError
from core.glass.properties import properties_of
from core.working.working_properties import working_properties_of

_SEVERAL = "If each row is a glass, use --table IN.csv --out OUT.csv."


def add_arguments(commands: Any) -> None:
    """Add the command to the parser's commands."""
    parser: argparse.ArgumentParser = commands.add_parser(
        "glass",
        help="properties of a glass from its analysis or name, or of a table of glasses",
        description="Strain, annealing, softening, working and melting temperatures, expansion, "
        "density, how it works and more, each with the interval that holds it nine times in ten. "
        "Reckoned by a model fitted to open data, with published models as a second opinion.",
    )
    parser.add_argument(
        "text",
        nargs="*",
        help="an analysis such as 'SiO2 70.1, Na2O 16.2, CaO 9', a file with "
        "one (or a TOML file with measured points), or the name of a glass in the library",
    )
    parser.add_argument("--basis", choices=[b.value for b in Basis], help="unit of the analysis")
    parser.add_argument("--json", action="store_true", help="print JSON for machines")
    parser.add_argument(
        "--table",
        type=Path,
        metavar="IN.csv",
        help="a table of glasses instead: one a row, columns named by oxide, wt%%, blank = 0; "
        "other columns are carried through",
    )
    parser.add_argument(
        "--out",
        type=Path,
        metavar="OUT.csv",
        help="where the table goes with its properties: UTF-8, commas, decimal points",
    )
    parser.set_defaults(execute=execute)


def execute(arguments: argparse.Namespace) -> str:
    """Compute and format."""
    basis = Basis(arguments.basis) if arguments.basis else None
    if arguments.table is not None or arguments.out is not None:
        return _table(arguments, basis)
    text = " ".join(arguments.text)
    path = Path(text)
    try:
        glass = glass_named(text, basis, entered="as entered")
    except CompositionError as error:
        if names_a_file(path) and path.suffix.lower() in {".csv", ".tsv"}:
            error.remedy = f"{error.remedy or ''} {_SEVERAL}".strip()
        raise
    with faults_placed_in(path) if names_a_file(path) else nullcontext():
        properties = properties_of(glass)
        working = working_properties_of(glass, properties)
    if arguments.json:
        return as_json(to_json(glass, properties) | {"working": working_json(working)})
    return as_text(glass, properties, working_table(working))


def _table(arguments: argparse.Namespace, basis: Basis | None) -> str:
    if arguments.table is None or arguments.out is None:
        raise GlassError(
            "A table needs both --table and --out.",
            field="out" if arguments.out is None else "table",
            remedy="Write --table IN.csv --out OUT.csv.",
        )
    if arguments.text or arguments.json:
        extra = "--json" if arguments.json else f"“{' '.join(arguments.text)}”"
        raise GlassError(
            f"{extra} does not go with --table.",
            field="table",
            remedy="Ask for one glass, or for a table.",
        )
    return convert(arguments.table, arguments.out, basis)
