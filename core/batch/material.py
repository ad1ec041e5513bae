"""Raw materials: what each leaves in the glass and gives off, its price, stock and hazards."""

from __future__ import annotations

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import TypedDict, Unpack

from core.batch.formula import decompose
from core.batch.material_analysis import read_analysis, require_not_negative
from core.composition.oxides import listing_order
from core.errors import BatchError


class Use(StrEnum):
    """How a material may come into a batch."""

    BASE = "base"
    """Whenever the target needs it."""
    ADDITION = "addition"
    """Only when asked for by name: oxidisers, fining agents."""


class Hazard(StrEnum):
    """Kinds of hazard; the sentences are in :mod:`core.batch.safety`."""

    SILICA = "silica"
    LEAD = "lead"
    TOXIC = "toxic"
    ALKALI = "alkali"
    NITRATE = "nitrate"
    SULPHATE = "sulphate"
    FUME = "fume"
    DUST = "dust"


class About(TypedDict, total=False):
    """What is known of a material beside its chemistry; see :class:`Material`."""

    moisture: float
    use: Use
    price: float | None
    stock: float | None
    hazards: tuple[Hazard, ...]
    hazard: str
    note: str
    source: str


@dataclass(frozen=True)
class Material:
    """A raw material. Make one with :meth:`from_formula` or :meth:`from_analysis`.

    Attributes
    ----------
    name : str
    oxides : Mapping of str to float
        kg of each oxide in the glass from one kg of dry material; none of an addition that burns
        away.
    gases : Mapping of str to float
        kg of each gas given off by one kg of dry material; with the oxides they add up to 1.
    moisture : float
        kg of water in one kg of material as weighed, 0 to below 0.9.
    use : Use
    price : float or None
        Per kg as weighed, in the list's currency; ``None`` when not known.
    stock : float or None
        [kg] as weighed; ``None`` when it does not limit.
    hazards : tuple of Hazard
    hazard : str
        The list's own remark on it.
    formula, note, source : str
    warnings : tuple of str
        On an analysis whose total is off.

    Raises
    ------
    BatchError
        If a number is impossible or the yields do not add up to 1; ``field`` names it.
    """

    name: str
    oxides: Mapping[str, float]
    gases: Mapping[str, float]
    moisture: float = 0.0
    use: Use = Use.BASE
    price: float | None = None
    stock: float | None = None
    hazards: tuple[Hazard, ...] = ()
    hazard: str = ""
    formula: str = ""
    note: str = ""
    source: str = ""
    warnings: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BatchError("The material has no name.", field="name", remedy="Give it one.")
        for name, value in (*self.oxides.items(), *self.gases.items()):
            if not (math.isfinite(value) and value >= 0):
                raise BatchError(
                    f"“{self.name}”: {name} cannot be {100 * value:g} %.",
                    field=name,
                    remedy="Correct it or leave it out.",
                )
        total = math.fsum((*self.oxides.values(), *self.gases.values()))
        if not math.isclose(total, 1.0, abs_tol=1e-9):
            raise BatchError(
                f"“{self.name}”: oxides and loss do not add up to the whole.",
                field="oxides",
                remedy="Give it by formula or by analysis.",
            )
        if not any(self.oxides.values()) and self.use is not Use.ADDITION:
            raise BatchError(
                f"“{self.name}” leaves nothing in the glass.",
                field="oxides",
                remedy="Give its oxides, or make it an addition, as charcoal that only reduces.",
            )
        if not (math.isfinite(self.moisture) and 0.0 <= self.moisture < 0.9):
            raise BatchError(
                f"“{self.name}”: a moisture of {100 * self.moisture:g} % is not possible.",
                field="moisture",
                remedy="Use 0 to below 90 % of the weight as weighed.",
            )
        require_not_negative(self.name, "price", self.price, "per kg")
        require_not_negative(self.name, "stock", self.stock, "kg")
        ordered = dict(sorted(self.oxides.items(), key=lambda pair: listing_order(pair[0])))
        object.__setattr__(self, "oxides", MappingProxyType(ordered))
        object.__setattr__(self, "gases", MappingProxyType(dict(self.gases)))

    @property
    def loss(self) -> float:
        """Loss on ignition, kg per kg of dry material."""
        return math.fsum(self.gases.values())

    def yields(self) -> dict[str, float]:
        """Mass of each oxide [kg] from one kg as weighed, moisture and all."""
        dry = 1.0 - self.moisture
        return {oxide: dry * share for oxide, share in self.oxides.items()}

    @classmethod
    def from_formula(
        cls,
        name: str,
        formula: str,
        **about: Unpack[About],
    ) -> Material:
        """Make a pure compound; yields by stoichiometry (:mod:`core.batch.formula`).

        Raises
        ------
        BatchError
            If the formula cannot be read or a number is impossible.
        """
        parts = decompose(formula)
        return cls(
            name=name,
            oxides=parts.oxides,
            gases=parts.gases,
            formula=formula.strip(),
            **about,
        )

    @classmethod
    def from_analysis(
        cls,
        name: str,
        percent: Mapping[str, float],
        loss_percent: float = 0.0,
        gas_percent: Mapping[str, float] | None = None,
        **about: Unpack[About],
    ) -> Material:
        """Make a material from its chemical analysis on the dry basis, scaled to a whole.

        Parameters
        ----------
        name : str
        percent : Mapping of str to float
            Oxides [wt%] of the dry material; any spelling. Those of another valency are counted as
            :mod:`core.batch.valency` says.
        loss_percent : float
            Loss on ignition [wt%] of the dry material.
        gas_percent : Mapping of str to float, optional
            Which gases the loss is, in percent of the loss; what is left is “not stated”.

        Raises
        ------
        BatchError
            If an oxide is unknown, twice there or negative, or the analysis with its loss adds
            up to less than 90 or more than 110 %.
        """
        read = read_analysis(name, percent, loss_percent, gas_percent or {})
        return cls(name=name, oxides=read.oxides, gases=read.gases, warnings=read.warnings, **about)


@dataclass(frozen=True)
class MaterialList:
    """A studio's list of materials, or the shipped one.

    Raises
    ------
    BatchError
        If two materials share a name (capitals do not matter) or there are none.
    """

    materials: tuple[Material, ...]
    currency: str = ""
    name: str = "materials"

    def __post_init__(self) -> None:
        if not self.materials:
            raise BatchError(
                "There are no materials in the list.",
                field="material",
                remedy="Write a [[material]] table for each.",
            )
        seen: set[str] = set()
        for material in self.materials:
            folded = material.name.strip().casefold()
            if folded in seen:
                raise BatchError(
                    f"“{material.name}” is in the list twice.",
                    field="name",
                    remedy="Give each its own name.",
                )
            seen.add(folded)

    def __iter__(self) -> Iterator[Material]:
        return iter(self.materials)

    def find(self, name: str) -> Material:
        """Find a material by name; capitals and surrounding spaces do not matter.

        Raises
        ------
        BatchError
            If there is none; the remedy names near ones.
        """
        wanted = name.strip().casefold()
        by_name = {material.name.strip().casefold(): material for material in self.materials}
        if wanted in by_name:
            return by_name[wanted]
        near = difflib.get_close_matches(wanted, by_name, n=3)
        near += [known for known in by_name if wanted and wanted in known]
        names = list(dict.fromkeys(by_name[key].name for key in near))[:6]
        listed = ", ".join(names or [material.name for material in self.materials])
        raise BatchError(
            f"There is no material called “{name.strip()}” in the list.",
            field="material",
            remedy=f"{'Near it' if names else 'There'} are: {listed}.",
        )

    def bringing(self, oxide: str) -> tuple[Material, ...]:
        """Materials that hold an oxide, richest first."""
        having = [material for material in self.materials if material.oxides.get(oxide, 0.0) > 0]
        return tuple(sorted(having, key=lambda material: -material.oxides[oxide]))


def oxides_of(materials: Iterable[Material]) -> tuple[str, ...]:
    """Every oxide the materials bring, in listing order."""
    found = {oxide for material in materials for oxide in material.oxides}
    return tuple(sorted(found, key=listing_order))
