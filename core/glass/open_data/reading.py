"""Reading the open measurements: one row a glass, see NOTICE.md for source, licence and changes."""

from __future__ import annotations

import csv
import lzma
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from core.errors import GlassError, Place

FloatArray = NDArray[np.float64]

FILE = Path(__file__).with_name("sciglass_open.csv.xz")

OXIDES: tuple[str, ...] = (
    *("SiO2", "Al2O3", "B2O3", "Na2O", "K2O", "Li2O", "CaO", "MgO", "SrO", "BaO", "ZnO", "PbO"),
    *("Fe2O3", "FeO", "MnO", "CuO", "CoO", "NiO", "Cr2O3", "TiO2", "ZrO2", "P2O5", "Sb2O3"),
    *("As2O3", "SnO2", "CeO2", "SO3", "F", "Cl"),
)
"""Components of the table, in its order."""

_TEXT = ("id", "source", "author", "group", "family", "suspect")


@dataclass(frozen=True, eq=False)
class OpenData:
    """The table as arrays; n rows.

    Attributes
    ----------
    weight_percent : ndarray, shape (n, 29)
        Of :data:`OXIDES`, blank read as 0.
    year : ndarray, shape (n,)
    group : ndarray of str, shape (n,)
        Authors who share values; split by this.
    family : ndarray of str, shape (n,)
    identity : ndarray of str, shape (n,)
    values : dict of str to ndarray, shape (n,)
        Every measured column in its own unit, NaN where blank.
    suspect : dict of str to ndarray of bool, shape (n,)
        True where the value lies far from everything else.
    """

    weight_percent: FloatArray
    year: NDArray[np.int64]
    group: NDArray[np.str_]
    family: NDArray[np.str_]
    identity: NDArray[np.str_]
    values: dict[str, FloatArray]
    suspect: dict[str, NDArray[np.bool_]]


def read_open_data(path: Path = FILE) -> OpenData:
    """Read the table.

    Raises
    ------
    GlassError
        If the file cannot be read, lacks a column, or a cell is not a number (row and column
        named).
    """
    try:
        with lzma.open(path, "rt", encoding="utf-8", newline="") as handle:
            reader = csv.reader(handle)
            header = next(reader)
            rows = list(reader)
    except (OSError, lzma.LZMAError, UnicodeDecodeError, StopIteration) as error:
        raise GlassError(
            f"The open data cannot be read: {error}.", place=Place(path.name)
        ) from error
    at = {name: index for index, name in enumerate(header)}
    missing = [name for name in (*_TEXT, *OXIDES, "year") if name not in at]
    if missing:
        raise GlassError(f"There is no column {missing[0]}.", place=Place(path.name))
    numeric = [n for n in header if n not in {*_TEXT, *OXIDES, "year", "analysed", "n_merged"}]
    values = {name: _numbers(rows, at[name], name, path, np.nan) for name in numeric}
    flagged = [set(row[at["suspect"]].split()) for row in rows]
    return OpenData(
        weight_percent=np.stack(
            [_numbers(rows, at[name], name, path, 0.0) for name in OXIDES], axis=1
        ),
        year=_numbers(rows, at["year"], "year", path, 0.0).astype(np.int64),
        group=np.array([row[at["group"]] for row in rows]),
        family=np.array([row[at["family"]] for row in rows]),
        identity=np.array([row[at["id"]] for row in rows]),
        values=values,
        suspect={name: np.array([name in names for names in flagged]) for name in numeric},
    )


def _numbers(rows: list[list[str]], index: int, name: str, path: Path, blank: float) -> FloatArray:
    column = np.empty(len(rows))
    for line, row in enumerate(rows, start=2):
        try:
            column[line - 2] = float(row[index]) if row[index] else blank
        except (ValueError, IndexError) as error:
            raise GlassError(
                "This cell is not a number.", field=name, place=Place(path.name, line, name)
            ) from error
    return column
