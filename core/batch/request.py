"""What is asked of a batch: target, melt size, cullet, bounds, losses, additions, scale."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from core.batch.material import MaterialList
from core.composition.composition import Composition
from core.composition.oxides import MOLAR_MASS
from core.errors import BatchError

MELT_SIZE = (0.01, 10_000.0)
"""[kg] A crucible test to a week of pots."""
DIVISION = (1e-6, 10.0)
"""[kg] From a balance of a milligram to a platform scale."""
GREATEST_WEIGHT = 100.0
"""More makes no oxide nearer, but all others noise."""
GREATEST_LOSS = 0.5
"""Nothing leaves a melt by half that is still called a glass ingredient."""
COLOURING = ("Fe2O3", "FeO", "MnO", "CuO", "Cu2O", "CoO", "NiO", "Cr2O3", "V2O5")
"""Oxides of which a tenth of a per cent shows."""
MINOR = 0.1
"""[wt%] An oxide of which the target has less, or none, weighs as if it had so much."""
UNIT = 10.0
"""[wt%] An oxide of which the target has so much weighs 1."""


class MeltSize(StrEnum):
    """What the size of the melt is the weight of."""

    GLASS = "glass"
    """Glass in the pot when everything has melted."""
    BATCH = "batch"
    """What is weighed out, cullet included."""


class Prefer(StrEnum):
    """What decides among batches equally near the target."""

    CHEAPEST = "cheapest"
    """By the list's prices; every material that may come in needs one."""
    FEWEST = "fewest"
    """None of its materials can be left out; those first in the list stay."""


class Counted(StrEnum):
    """Whether the oxides of an addition are part of the target."""

    ON_TOP = "on top"
    """The target is the glass without it."""
    IN_TARGET = "in the target"
    """The target holds its oxides already."""


@dataclass(frozen=True)
class Bound:
    """Limits on a material in this melt [kg as weighed]; ``None`` where there is none."""

    at_least: float = 0.0
    at_most: float | None = None

    @classmethod
    def fixed(cls, mass: float) -> Bound:
        """Exactly so much."""
        return cls(mass, mass)

    def __post_init__(self) -> None:
        for name, value in (("at_least", self.at_least), ("at_most", self.at_most)):
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise BatchError(
                    f"A bound of {value:g} kg is not possible.", field=name, remedy="Use 0 or more."
                )
        if self.at_most is not None and self.at_least > self.at_most:
            raise BatchError(
                f"At least {self.at_least:g} kg and at most {self.at_most:g} kg cannot both be.",
                field="at_least",
                remedy="Swap them or leave one out.",
            )


@dataclass(frozen=True)
class Cullet:
    """Broken glass of known analysis; ``share`` of the finished glass, 0 to 1."""

    name: str
    composition: Composition
    share: float
    price: float | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.share) and 0.0 <= self.share <= 1.0):
            raise BatchError(
                f"A cullet share of {100 * self.share:g} % is not possible.",
                field="share",
                remedy="Use 0 to 100 % of the finished glass.",
            )
        if self.price is not None and not (math.isfinite(self.price) and self.price >= 0):
            raise BatchError(
                f"A price of {self.price:g} per kg is not possible.",
                field="price",
                remedy="Use 0 or more.",
            )


@dataclass(frozen=True)
class Addition:
    """A colourant, oxidiser or fining agent asked for by amount.

    Attributes
    ----------
    name : str
        A material of the list, or an oxide: then the material richest in it is taken.
    share : float
        Of the glass before additions, kg per kg: 0.003 is 0.3 wt%, 200e-6 is 200 ppm. Of a
        material the dry material counts, of an oxide the oxide.
    counted : Counted or None
        ``None``: in the target when the target holds every oxide it brings, else on top.
    """

    name: str
    share: float
    counted: Counted | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise BatchError(
                "The addition has no name.", field="material", remedy="Name a material or oxide."
            )
        if not (math.isfinite(self.share) and 0.0 < self.share <= 0.3):
            raise BatchError(
                f"An addition of {100 * self.share:g} wt% on glass is not possible.",
                field="percent",
                remedy="Use more than 0 and at most 30 wt%; 1000 ppm are 0.1 wt%.",
            )


def _no_numbers() -> Mapping[str, float]:
    return MappingProxyType({})


def _no_bounds() -> Mapping[str, Bound]:
    return MappingProxyType({})


@dataclass(frozen=True)
class BatchRequest:
    """Everything a batch is reckoned from.

    Attributes
    ----------
    name : str
        Of the glass or the melt.
    target : Composition
    materials : MaterialList
    size : float
        [kg]
    size_of : MeltSize
    cullet : Cullet or None
    bounds : Mapping of str to Bound
        By material name.
    weights : Mapping of str to float
        How much more than usual an oxide matters, 1 where not given; see :meth:`weight`.
    volatilises : Mapping of str to float
        Share of each oxide brought by raw materials that leaves the melt, 0 to 0.5. Cullet has
        lost what it loses.
    additions : tuple of Addition
    division, fine_division : float
        [kg] What the scale reads to, and the one for additions and small weights.
    prefer : Prefer or None
        ``None``: cheapest when every material that may come in has a price, else fewest.
    wished_from : Composition or None
        The analysis the target was moved from to give it a wished property.

    Raises
    ------
    BatchError
        If a number is impossible or a bound names a material that is not in the list.
    """

    name: str
    target: Composition
    materials: MaterialList
    size: float
    size_of: MeltSize = MeltSize.GLASS
    cullet: Cullet | None = None
    bounds: Mapping[str, Bound] = field(default_factory=_no_bounds)
    weights: Mapping[str, float] = field(default_factory=_no_numbers)
    volatilises: Mapping[str, float] = field(default_factory=_no_numbers)
    additions: tuple[Addition, ...] = ()
    division: float = 0.01
    fine_division: float = 0.0001
    prefer: Prefer | None = None
    wished_from: Composition | None = None

    def __post_init__(self) -> None:
        _within(self.size, MELT_SIZE, "size", "kg", "A melt")
        _within(self.division, DIVISION, "division", "kg", "A scale division")
        _within(self.fine_division, DIVISION, "fine_division", "kg", "A scale division")
        for name in self.bounds:
            self.materials.find(name)
        _check_oxides(
            self.weights, "weights", 0.0, GREATEST_WEIGHT, "A weight of {value:g} for {oxide}"
        )
        _check_oxides(
            self.volatilises,
            "volatilises",
            0.0,
            GREATEST_LOSS,
            "A loss of {percent:g} % of the {oxide}",
        )
        names = [addition.name.strip().casefold() for addition in self.additions]
        for name in names:
            if names.count(name) > 1:
                raise BatchError(
                    f"“{name}” is added twice.", field="additions", remedy="Add it once."
                )
        if self.cullet is not None and self.cullet.share >= 1.0 and self.additions:
            raise BatchError(
                "A melt of cullet alone has no batch to put the additions into.",
                field="share",
                remedy="Use less than 100 % cullet.",
            )

    def weight(self, oxide: str) -> float:
        """How much a wt% of an oxide matters in the sum of squares.

        The inverse square root of what the target has of it (1 at 10 wt%; all below 0.1 wt% as
        0.1), times ``weights``. So a gap that must be filled is filled in proportion to what is
        there, and little of an oxide is kept as exactly, for its size, as much.
        """
        usual = math.sqrt(UNIT / max(self.target.weight(oxide), MINOR))
        return self.weights.get(oxide, 1.0) * usual

    def kept(self, oxide: str) -> float:
        """Share of an oxide from raw materials that stays in the melt."""
        return 1.0 - self.volatilises.get(oxide, 0.0)


def _within(value: float, limits: tuple[float, float], name: str, unit: str, what: str) -> None:
    low, high = limits
    if not (math.isfinite(value) and low <= value <= high):
        raise BatchError(
            f"{what} of {value:g} {unit} is not possible.",
            field=name,
            remedy=f"Use {low:g} to {high:g} {unit}.",
        )


def _check_oxides(
    amounts: Mapping[str, float], name: str, low: float, high: float, sentence: str
) -> None:
    for oxide, value in amounts.items():
        if oxide not in MOLAR_MASS:
            raise BatchError(
                f"“{oxide}” is not an oxide in the table.",
                field=f"{name}.{oxide}",
                remedy="Spell it as in an analysis, such as Na2O.",
            )
        if not (math.isfinite(value) and low <= value <= high):
            raise BatchError(
                sentence.format(value=value, percent=100 * value, oxide=oxide)
                + " is not possible.",
                field=f"{name}.{oxide}",
                remedy=f"Use {low:g} to {high:g}." if name == "weights" else "Use 0 to 50 %.",
            )
