"""A glass in a TOML file: a ``[glasses."name"]`` table, or a file of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.glass.glass import Glass, MeasuredPoints
from core.glass.library import find_glass
from core.glass.measured_points import check_measured
from core.load.measured_table import MEASURED_KEYS, read_measured
from core.load.table_reader import TableReader, joined
from core.load.toml_page import page_of_text, toml_table


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
    return glass_from_table(reader, name, table, "")


def glass_from_table(reader: TableReader, name: str, table: Any, path: str) -> Glass:
    """Read a glass from a ``[glasses."name"]`` table of any TOML file.

    Raises
    ------
    LoadError
        With the file, line and key at fault.
    """
    if not isinstance(table, dict):
        raise reader.fault(f"“{name}” needs keys of its own.", path, "Write composition = '...'.")
    reader.only(table, path, "library composition basis measured note source")
    shipped = None
    if "library" in table:
        library_name = reader.text(table, "library", path)
        shipped = shipped_glass(reader, library_name, path, "library")
    composition = shipped.composition if shipped else None
    if "composition" in table:
        basis = reader.choice(table, "basis", path, Basis, None)
        amounts = reader.text(table, "composition", path)
        composition = reader.guarded(
            joined(path, "composition"), lambda: parse_composition(amounts, basis)
        )
    measured = shipped.measured if shipped else MeasuredPoints()
    if "measured" in table:
        measured = read_measured(
            reader, reader.table(table, "measured", path), joined(path, "measured")
        )
    glass = reader.guarded(
        path,
        lambda: Glass(
            name=name,
            composition=composition,
            measured=measured,
            note=reader.text(table, "note", path, default=""),
            source=reader.text(table, "source", path, default=""),
        ),
    )
    reader.guarded(joined(path, "measured"), lambda: check_measured(glass), MEASURED_KEYS)
    return glass


def shipped_glass(reader: TableReader, name: str, path: str, key: str) -> Glass:
    """A glass of the library, a fault placed at a key of the file."""
    return reader.guarded(path, lambda: find_glass(name), {"name": key})
