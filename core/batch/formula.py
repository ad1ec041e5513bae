"""What a compound leaves in the glass and gives off, from its formula by stoichiometry.

Standard atomic weights: :mod:`core.composition.oxides`. Each element goes into the glass as the
oxide it is analysed as (iron as Fe2O3, lead as PbO, manganese as MnO, cobalt as CoO ...); carbon
leaves as CO2, hydrogen as water, nitrogen as NO2, sulphur as SO2, and oxygen left over as O2.
In a furnace part of the nitrogen leaves as NO and N2 and a little sulphur stays in the glass: the
gas is the whole that can leave.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from core.composition.oxides import ATOMIC_WEIGHT, MOLAR_MASS
from core.errors import BatchError

_HYDROGEN = 1.008
_CARBON = 12.011
_NITROGEN = 14.007
_OXYGEN = ATOMIC_WEIGHT["O"]
_WEIGHT: Mapping[str, float] = {
    **ATOMIC_WEIGHT,
    "H": _HYDROGEN,
    "C": _CARBON,
    "N": _NITROGEN,
}

GAS_MOLAR_MASS: Mapping[str, float] = MappingProxyType(
    {
        "CO2": _CARBON + 2 * _OXYGEN,
        "H2O": 2 * _HYDROGEN + _OXYGEN,
        "NO2": _NITROGEN + 2 * _OXYGEN,
        "SO2": ATOMIC_WEIGHT["S"] + 2 * _OXYGEN,
        "O2": 2 * _OXYGEN,
    }
)
"""Gases a batch gives off and their molar mass [g/mol] (standard atomic weights)."""

_OXIDE_OF = {
    "Si": "SiO2", "Al": "Al2O3", "B": "B2O3", "Na": "Na2O", "K": "K2O", "Li": "Li2O",
    "Ca": "CaO", "Mg": "MgO", "Sr": "SrO", "Ba": "BaO", "Zn": "ZnO", "Pb": "PbO",
    "Fe": "Fe2O3", "Mn": "MnO", "Cu": "CuO", "Co": "CoO", "Ni": "NiO", "Cr": "Cr2O3",
    "Ti": "TiO2", "Zr": "ZrO2", "P": "P2O5", "Sb": "Sb2O3", "As": "As2O3", "Sn": "SnO2",
    "Ce": "CeO2", "Nd": "Nd2O3", "La": "La2O3", "Bi": "Bi2O3", "V": "V2O5",
}  # fmt: skip
_GAS_OF = {"C": "CO2", "H": "H2O", "N": "NO2", "S": "SO2"}

_TOKEN = re.compile(r"(?P<element>[A-Z][a-z]?)|(?P<open>\()|(?P<close>\))|(?P<count>\d+)")
_PART = r"(\d+(?:\.\d+)?)?([A-Z(][A-Za-z0-9()]*)"
_WHOLE = re.compile(rf"{_PART}(?:[.*]{_PART})*")
_LONGEST = 80


@dataclass(frozen=True)
class Decomposition:
    """What one kilogram of a compound becomes.

    Attributes
    ----------
    oxides : Mapping of str to float
        kg in the glass, by oxide.
    gases : Mapping of str to float
        kg given off, by gas; oxides and gases add up to 1.
    molar_mass : float
        [g/mol]
    """

    oxides: Mapping[str, float]
    gases: Mapping[str, float]
    molar_mass: float


def decompose(formula: str) -> Decomposition:
    """What a compound leaves and gives off (module docstring).

    Parameters
    ----------
    formula : str
        Such as ``"Na2CO3"``, ``"CaMg(CO3)2"`` or, in parts with a point or asterisk between
        them, ``"Na2B4O7.10H2O"``, ``"K2CO3.1.5H2O"`` and ``"Na2O.Al2O3.6SiO2"``.

    Raises
    ------
    BatchError
        If it is not a formula, holds an element that forms no oxide of a glass, or would take
        up oxygen from the air.
    """
    atoms = _atoms_of(formula)
    oxides: dict[str, float] = {}
    gases: dict[str, float] = {}
    oxygen = atoms.pop("O", 0.0)
    for element, count in atoms.items():
        product = _OXIDE_OF.get(element) or _GAS_OF.get(element)
        if product is None:
            raise BatchError(
                f"“{formula}”: {element} forms no oxide of a glass that we can reckon.",
                field="formula",
                remedy="Give the material's oxide analysis instead.",
            )
        of_element, of_oxygen = _ratio(product, element)
        moles = count / of_element
        oxygen -= moles * of_oxygen
        if product in MOLAR_MASS:
            oxides[product] = oxides.get(product, 0.0) + moles * MOLAR_MASS[product]
        else:
            gases[product] = gases.get(product, 0.0) + moles * GAS_MOLAR_MASS[product]
    if oxygen < -1e-9:
        raise BatchError(
            f"“{formula}” would take up oxygen from the air, or an oxygen is missing in it.",
            field="formula",
            remedy="Check the formula, or give the material's oxide analysis instead.",
        )
    if oxygen > 1e-9:
        gases["O2"] = oxygen * _OXYGEN
    if not oxides:
        raise BatchError(
            f"“{formula}” leaves nothing in the glass.",
            field="formula",
            remedy="A raw material brings at least one oxide.",
        )
    total = sum(oxides.values()) + sum(gases.values())
    return Decomposition(
        MappingProxyType({name: mass / total for name, mass in oxides.items()}),
        MappingProxyType({name: mass / total for name, mass in gases.items()}),
        total,
    )


def _ratio(product: str, element: str) -> tuple[int, int]:
    """Atoms of an element and of oxygen in its oxide or gas."""
    counts = {found[1]: int(found[2] or 1) for found in re.finditer(r"([A-Z][a-z]?)(\d*)", product)}
    return counts[element], counts.get("O", 0)


def _atoms_of(formula: str) -> dict[str, float]:
    text = re.sub(r"\s", "", formula).replace("·", "*")
    if len(text) > _LONGEST or not _WHOLE.fullmatch(text):
        raise _not_a_formula(formula)
    total: dict[str, float] = {}
    for times, group in re.findall(rf"(?:^|[.*]){_PART}", text):
        for element, count in _group(group, formula).items():
            total[element] = total.get(element, 0.0) + float(times or 1) * count
    return total


def _group(text: str, formula: str) -> dict[str, float]:
    stack: list[dict[str, float]] = [{}]
    last: dict[str, float] = {}
    place = 0
    while place < len(text):
        token = _TOKEN.match(text, place)
        if token is None:
            raise _not_a_formula(formula)
        place = token.end()
        if token["open"]:
            stack.append({})
            last = {}
            continue
        if token["count"]:
            # A count belongs to what stands just before it.
            if not last or int(token["count"]) == 0:
                raise _not_a_formula(formula)
            for element, count in last.items():
                stack[-1][element] += count * (int(token["count"]) - 1)
            last = {}
            continue
        if token["element"]:
            last = {token["element"]: 1.0}
        elif len(stack) > 1:
            last = stack.pop()
        else:
            raise _not_a_formula(formula)
        for element, count in last.items():
            if element not in _WEIGHT:
                raise BatchError(
                    f"“{formula}”: {element} is not an element of glass.",
                    field="formula",
                    remedy="Check the formula and its capitals, such as CaCO3.",
                )
            stack[-1][element] = stack[-1].get(element, 0.0) + count
    if len(stack) != 1:
        raise _not_a_formula(formula)
    return stack[0]


def _not_a_formula(formula: str) -> BatchError:
    shown = formula if len(formula) <= _LONGEST else f"{formula[:_LONGEST]} …"
    return BatchError(
        f"“{shown}” is not a chemical formula.",
        field="formula",
        remedy="Write it such as Na2CO3, CaMg(CO3)2 or Na2B4O7.10H2O.",
    )
