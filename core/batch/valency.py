"""Analyses name an element's oxide in one valency or another; a batch counts it in one.

The furnace decides the valency, not the bag: iron is counted as Fe2O3, manganese as MnO, copper as
CuO, tin as SnO2, antimony as Sb2O3, arsenic as As2O3, whatever the analysis calls it, atom for
atom.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterable, Mapping

from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS

COUNTED_AS: Mapping[str, str] = {
    "FeO": "Fe2O3",
    "MnO2": "MnO",
    "Cu2O": "CuO",
    "SnO": "SnO2",
    "Sb2O5": "Sb2O3",
    "As2O5": "As2O3",
}


def _atoms(oxide: str) -> int:
    found = re.match(r"[A-Z][a-z]?(\d*)", oxide)
    return int(found[1] or 1) if found else 1


def recast_amounts(amounts: Mapping[str, float]) -> dict[str, float]:
    """Masses by canonical oxide with every element in the one oxide it is counted as."""
    result: dict[str, float] = {}
    for oxide, mass in amounts.items():
        counted = COUNTED_AS.get(oxide, oxide)
        factor = 1.0
        if counted != oxide:
            factor = MOLAR_MASS[counted] / _atoms(counted) / (MOLAR_MASS[oxide] / _atoms(oxide))
        result[counted] = result.get(counted, 0.0) + factor * mass
    return result


def recast_composition(composition: Composition) -> Composition:
    """The analysis with every element in the one oxide it is counted as, adding up to 100."""
    if not COUNTED_AS.keys() & composition.weight_percent.keys():
        return composition
    amounts = recast_amounts(composition.weight_percent)
    total = sum(amounts.values())
    plain = Composition.from_percent({o: 100.0 * mass / total for o, mass in amounts.items()})
    return dataclasses.replace(plain, warnings=composition.warnings)


def recast_words(oxides: Iterable[str]) -> str:
    """How oxides of a target were counted; empty if as they stand."""
    pairs = [f"{oxide} as {COUNTED_AS[oxide]}" for oxide in oxides if oxide in COUNTED_AS]
    return f"Counted atom for atom: {', '.join(pairs)}." if pairs else ""
