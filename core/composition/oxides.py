"""Molar masses of the oxides (and fluorine, chlorine) an analysis may list.

Masses are added up from the IUPAC abridged standard atomic weights: Prohaska T. et al. (2022),
Standard atomic weights of the elements 2021 (IUPAC Technical Report), Pure Appl. Chem. 94,
573-600. They are in g/mol, the unit of every table in the trade; only ratios of them are used.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping
from types import MappingProxyType

from core.errors import CompositionError

ATOMIC_WEIGHT: Mapping[str, float] = MappingProxyType(
    {
        "Li": 6.94,
        "B": 10.81,
        "O": 15.999,
        "F": 18.998,
        "Na": 22.990,
        "Mg": 24.305,
        "Al": 26.982,
        "Si": 28.085,
        "P": 30.974,
        "S": 32.06,
        "Cl": 35.45,
        "K": 39.098,
        "Ca": 40.078,
        "Ti": 47.867,
        "V": 50.942,
        "Cr": 51.996,
        "Mn": 54.938,
        "Fe": 55.845,
        "Co": 58.933,
        "Ni": 58.693,
        "Cu": 63.546,
        "Zn": 65.38,
        "Ge": 72.630,
        "As": 74.922,
        "Se": 78.971,
        "Rb": 85.468,
        "Sr": 87.62,
        "Y": 88.906,
        "Zr": 91.224,
        "Ag": 107.87,
        "Cd": 112.41,
        "Sn": 118.71,
        "Sb": 121.76,
        "Cs": 132.91,
        "Ba": 137.33,
        "La": 138.91,
        "Ce": 140.12,
        "Pr": 140.91,
        "Nd": 144.24,
        "Er": 167.26,
        "Pb": 207.2,
        "Bi": 208.98,
        "Th": 232.04,
        "U": 238.03,
    }
)
"""Standard atomic weights, abridged [g/mol]."""

_FORMULAS = re.findall(
    r"\S+",
    "SiO2 Al2O3 B2O3 Na2O K2O Li2O CaO MgO SrO BaO ZnO PbO Fe2O3 FeO MnO MnO2 CuO Cu2O CoO NiO "
    "Cr2O3 TiO2 ZrO2 P2O5 Sb2O3 Sb2O5 As2O3 As2O5 SnO2 SnO CeO2 Nd2O3 La2O3 Bi2O3 V2O5 SO3 F Cl "
    "Rb2O Cs2O GeO2 Y2O3 ThO2 UO2 Er2O3 Pr2O3 CdO SeO2 Ag2O",
)

_ELEMENT = re.compile(r"([A-Z][a-z]?)(\d*)")


def formula_of(formula: str) -> dict[str, int]:
    """Atoms of each element in a formula without brackets: ``"Na2O"`` -> Na 2, O 1."""
    return {element: int(number or 1) for element, number in _ELEMENT.findall(formula)}


def formula_mass(formula: str) -> float:
    """Molar mass [g/mol] of any formula of elements in :data:`ATOMIC_WEIGHT`."""
    return sum(ATOMIC_WEIGHT[element] * n for element, n in formula_of(formula).items())


MOLAR_MASS: Mapping[str, float] = MappingProxyType({f: formula_mass(f) for f in _FORMULAS})
"""Molar mass [g/mol] by canonical spelling, in the order analyses are listed."""

GLASS_FORMERS = ("SiO2", "B2O3", "P2O5", "GeO2")
"""Oxides that form a glass by themselves; an analysis without any is not a glass."""

_BY_LOWER_CASE = {formula.lower(): formula for formula in _FORMULAS}
_ORDER = {formula: index for index, formula in enumerate(_FORMULAS)}


def find_oxide(text: str) -> str | None:
    """Canonical spelling of an oxide, or ``None`` if it is not one we know.

    Case does not matter and subscripts are read as digits: ``"SIO2"``, ``"SiO₂"`` -> ``"SiO2"``.
    """
    return _BY_LOWER_CASE.get(unicodedata.normalize("NFKC", text).strip().lower())


def canonical_oxide(text: str) -> str:
    """Canonical spelling of an oxide.

    Raises
    ------
    CompositionError
        If the oxide is unknown; ``field`` is the text as given.
    """
    oxide = find_oxide(text)
    if oxide is None:
        raise CompositionError(
            f"“{text.strip()}” is not an oxide in the table.",
            field=text.strip(),
            remedy="Check the spelling (SiO2, Na2O, CaO ...), or leave it out.",
        )
    return oxide


def molar_mass(oxide: str) -> float:
    """Molar mass [g/mol] of an oxide in any spelling (source: module docstring).

    Raises
    ------
    CompositionError
        If the oxide is unknown.
    """
    return MOLAR_MASS[canonical_oxide(oxide)]


def listing_order(oxide: str) -> int:
    """Where a canonical oxide stands in a listed analysis (silica first)."""
    return _ORDER[oxide]
