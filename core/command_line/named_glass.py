"""A glass from what somebody typed: a name of the library, an analysis, or a file with one."""

from __future__ import annotations

from pathlib import Path

from core.composition.composition import Basis
from core.composition.parse import parse_composition
from core.errors import GlassError
from core.glass.glass import Glass
from core.glass.library import find_glass
from core.load.load_file import page_of_text, read_glass

_FILE_ENDINGS = {".csv", ".toml", ".tsv", ".txt"}


def glass_named(
    text: str, basis: Basis | None = None, *, field: str = "text", entered: str | None = None
) -> Glass:
    """Find or read a glass.

    Parameters
    ----------
    text : str
        ``"harbour clear"``, ``"SiO2 70, Na2O 16, CaO 14"`` or a path.
    basis : Basis, optional
        Unit of an analysis that names none.
    field : str
        Name of the argument, for errors.
    entered : str, optional
        What to call a glass given by its analysis; the beginning of the analysis if not given.

    Raises
    ------
    GlassError, CompositionError, LoadError
        If it is none of these, or the analysis or file cannot be read.
    """
    path = Path(text)
    if names_a_file(path):
        if path.suffix.lower() == ".toml":
            return read_glass(path)
        return Glass(path.stem, parse_composition(page_of_text(path), basis, file=str(path)))
    if not text.strip():
        raise GlassError(
            "No glass was named.",
            field=field,
            remedy="Give an analysis such as 'SiO2 72, Na2O 14, CaO 14', a file, or a name.",
        )
    try:
        return find_glass(text)
    except GlassError:
        if not any(character.isdigit() for character in text):
            raise
    composition = parse_composition(text, basis)
    return Glass(entered or _short(text), composition)


def names_a_file(path: Path) -> bool:
    """Tell a path, there or not, from an analysis or a glass's name."""
    if not path.name:
        return False
    try:
        return path.exists() or path.suffix.lower() in _FILE_ENDINGS
    except (OSError, ValueError):
        return False


def _short(text: str) -> str:
    """An analysis as a name: its beginning, in whole words."""
    line = " ".join(text.split())
    if len(line) <= 32:
        return line
    return f"{line[:30].rsplit(' ', 1)[0].rstrip(' ,')} …"
