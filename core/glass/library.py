"""Glasses shipped with the program: ``library/*.toml``, one file a group, a source for each."""

from __future__ import annotations

import difflib
import functools
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from core.composition.parse import parse_composition
from core.errors import GlassError, LehrkeeperError, Place
from core.glass.glass import Glass, MeasuredPoints
from core.units import ZERO_CELSIUS

FOLDER = Path(__file__).with_name("library")

_MEASURED = {
    # key in the file: (field, factor to SI, added after)
    "strain_point_C": ("strain_point", 1.0, ZERO_CELSIUS),
    "annealing_point_C": ("annealing_point", 1.0, ZERO_CELSIUS),
    "softening_point_C": ("softening_point", 1.0, ZERO_CELSIUS),
    "working_point_C": ("working_point", 1.0, ZERO_CELSIUS),
    "melting_point_C": ("melting_point", 1.0, ZERO_CELSIUS),
    "expansion_per_K": ("expansion", 1.0, 0.0),
    "density_kg_m3": ("density", 1.0, 0.0),
    "youngs_modulus_GPa": ("youngs_modulus", 1e9, 0.0),
}
_KEYS = {"key", "version", "name", "composition", "source", "note", "measured"}
_KEY = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")


@dataclass(frozen=True)
class LibraryEntry:
    """A glass of the shipped library.

    Attributes
    ----------
    key : str
        Stays the same whatever becomes of the name or the numbers, e.g. ``"nist-710a"``.
    version : int
        From 1; one more whenever a number of the entry changes.
    glass : Glass
        ``glass.source`` is where it is from.
    """

    key: str
    version: int
    glass: Glass

    @property
    def is_verified(self) -> bool:
        """False where the source was not at hand when the entry was written."""
        return "from memory, unverified" not in f"{self.glass.source} {self.glass.measured.source}"


@functools.cache
def library_entries() -> Mapping[str, LibraryEntry]:
    """Every entry of the shipped library by key, in the order of the files.

    Raises
    ------
    GlassError
        If a file of the installed library is damaged.
    """
    entries: dict[str, LibraryEntry] = {}
    names: set[str] = set()
    for path in sorted(FOLDER.glob("*.toml")):
        for entry in read_entries(path):
            name = entry.glass.name
            if entry.key in entries or name.casefold() in names:
                raise GlassError(
                    f"The glass “{name}” ({entry.key}) is in the library twice.",
                    place=Place(path.name),
                )
            entries[entry.key] = entry
            names.add(name.casefold())
    return MappingProxyType(entries)


@functools.cache
def shipped_glasses() -> Mapping[str, Glass]:
    """Every glass of the shipped library by name, in the order of the files.

    Raises
    ------
    GlassError
        If a file of the installed library is damaged.
    """
    return MappingProxyType({e.glass.name: e.glass for e in library_entries().values()})


def find_entry(glass: Glass) -> LibraryEntry | None:
    """The entry a glass was taken from unchanged: the same analysis and measured points."""
    for entry in library_entries().values():
        ours = entry.glass
        if (ours.composition, ours.measured) == (glass.composition, glass.measured):
            return entry
    return None


def find_glass(name: str) -> Glass:
    """Find a shipped glass by name or key; capitals and surrounding spaces do not matter.

    Raises
    ------
    GlassError
        If there is none of that name; the remedy lists near ones.
    """
    by_folded = {known.casefold(): known for known in shipped_glasses()}
    wanted = name.strip().casefold()
    if wanted in library_entries():
        return library_entries()[wanted].glass
    if wanted in by_folded:
        return shipped_glasses()[by_folded[wanted]]
    near = [by_folded[key] for key in difflib.get_close_matches(wanted, by_folded, n=4)]
    near += [known for key, known in by_folded.items() if wanted and wanted in key]
    listed = "; ".join(list(dict.fromkeys(near))[:6] or by_folded.values())  # names have commas
    raise GlassError(
        f"There is no glass called “{name.strip()}” in the library.",
        field="name",
        remedy=f"{'Near it' if near else 'There'} are: {listed}.",
    )


def read_entries(path: Path) -> list[LibraryEntry]:
    """Read the entries of one library file.

    Raises
    ------
    GlassError
        If the file is not TOML or a glass in it is incomplete; the place names the file.
    """
    try:
        table = tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise GlassError(
            f"The glass file cannot be read: {error}.", place=Place(path.name)
        ) from error
    entries = table.get("glass")
    if not isinstance(entries, list) or set(table) != {"glass"}:
        raise GlassError("A glass file holds [[glass]] tables only.", place=Place(path.name))
    return [_entry(entry, path.name) for entry in entries]


def _entry(entry: Mapping[str, Any], file: str) -> LibraryEntry:
    name = str(entry.get("name", ""))
    unknown = set(entry) - _KEYS
    if unknown:
        raise GlassError(f"“{name}”: unknown key {min(unknown)}.", place=Place(file))
    key, version = entry.get("key"), entry.get("version")
    if not isinstance(key, str) or not _KEY.fullmatch(key):
        raise GlassError(
            f"“{name}”: its key {key!r} is not words of small letters and digits with hyphens "
            "between them.",
            field="key",
            place=Place(file),
        )
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise GlassError(
            f"“{name}”: its version {version!r} is not a whole number from 1.",
            field="version",
            place=Place(file),
        )
    return LibraryEntry(key, version, _glass(entry, name, file))


def _glass(entry: Mapping[str, Any], name: str, file: str) -> Glass:
    try:
        text = entry.get("composition")
        return Glass(
            name=name,
            composition=None if text is None else parse_composition(str(text)),
            measured=_measured(entry.get("measured", {})),
            note=str(entry.get("note", "")),
            source=str(entry.get("source", "")),
        )
    except LehrkeeperError as error:
        raise GlassError(
            f"“{name}”: {error.message}", field=error.field, place=Place(file)
        ) from error


def _measured(entry: Mapping[str, Any]) -> MeasuredPoints:
    values: dict[str, Any] = {}
    for key, value in entry.items():
        if key == "source":
            values["source"] = str(value)
            continue
        if key not in _MEASURED or isinstance(value, bool) or not isinstance(value, int | float):
            raise GlassError(f"measured {key} = {value!r} is not a value we know.", field=key)
        field, factor, offset = _MEASURED[key]
        values[field] = float(value) * factor + offset
    return MeasuredPoints(**values)
