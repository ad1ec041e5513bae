"""A batch as reckoned: what to weigh, what it gives, what it costs and what it gives off."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from core.batch.material import Hazard
from core.batch.request import BatchRequest, Counted
from core.composition.composition import Composition
from core.glass.glass import GlassProperties


class Part(StrEnum):
    """What a weighing is for."""

    BASE = "base"
    CULLET = "cullet"
    ADDITION = "addition"


@dataclass(frozen=True)
class Weighing:
    """One line of the weigh-out.

    Attributes
    ----------
    material : str
    part : Part
    mass : float
        [kg] as weighed, in whole divisions of the scale.
    exact : float
        [kg] before rounding.
    division : float
        [kg] What the scale for it reads to.
    cost : float or None
        In the list's currency; ``None`` without a price.
    hazards : tuple of Hazard
    counted : Counted or None
        Of additions: on top of the target or in it.
    """

    material: str
    part: Part
    mass: float
    exact: float
    division: float
    cost: float | None
    hazards: tuple[Hazard, ...] = ()
    counted: Counted | None = None


@dataclass(frozen=True)
class OxideReached:
    """An oxide of the glass before additions on top [wt%]: asked for and reached."""

    oxide: str
    target: float
    reached: float

    @property
    def difference(self) -> float:
        """Reached less target [wt%]."""
        return self.reached - self.target


@dataclass(frozen=True)
class Shortfall:
    """An oxide that cannot be had as asked.

    Attributes
    ----------
    oxide : str
    target, reached : float
        [wt%] The target as far as it can be made: without oxides no material brings.
    cause : str
        A plain sentence.
    helps : tuple of str
        What would bring it at least half way nearer, the best first: a material of the shipped
        list, or more of one that is held down.
    """

    oxide: str
    target: float
    reached: float
    cause: str
    helps: tuple[str, ...] = ()


@dataclass(frozen=True)
class GasReleased:
    """A gas the batch gives off.

    ``volume`` [m3] at 20 °C and 101.325 kPa as an ideal gas; ``None`` if nobody said what it is.
    """

    gas: str
    mass: float
    volume: float | None


@dataclass(frozen=True)
class MassBalance:
    """Where the weight goes [kg]; what is weighed is the sum of the rest."""

    weighed: float
    glass: float
    gas: float
    moisture: float
    volatilised: float

    @property
    def open(self) -> float:
        """What the balance fails to close by [kg]; nothing but rounding of binary fractions."""
        return self.weighed - math.fsum((self.glass, self.gas, self.moisture, self.volatilised))


@dataclass(frozen=True)
class Batch:
    """A batch.

    Attributes
    ----------
    request : BatchRequest
        With its oxides counted as :mod:`core.batch.valency` says.
    weighings : tuple of Weighing
        Heaviest base material first, then cullet, then additions.
    oxides : tuple of OxideReached
        In listing order, of the glass before additions on top.
    base : Composition
        Reached, before additions on top.
    glass : Composition
        What will be in the pot, additions and all.
    target_properties, base_properties, glass_properties : GlassProperties or None
        All computed from the analysis alone, so that they compare; ``None`` where no model has
        an answer.
    shortfalls : tuple of Shortfall
    exact_glass : float
        [kg] Glass before rounding.
    balance : MassBalance
    gases : tuple of GasReleased
        Without the water of moisture.
    volatilised : Mapping of str to float
        [kg] by oxide.
    cost : float
        Of everything with a price.
    unpriced : tuple of str
        What the cost does not hold.
    safety : tuple of str
        One line for each material that needs one, and the general ones.
    warnings, notes : tuple of str
        What must be seen; and the rules by which it was reckoned.
    """

    request: BatchRequest
    weighings: tuple[Weighing, ...]
    oxides: tuple[OxideReached, ...]
    base: Composition
    glass: Composition
    target_properties: GlassProperties | None
    base_properties: GlassProperties | None
    glass_properties: GlassProperties | None
    shortfalls: tuple[Shortfall, ...]
    exact_glass: float
    balance: MassBalance
    gases: tuple[GasReleased, ...]
    volatilised: Mapping[str, float]
    cost: float
    unpriced: tuple[str, ...]
    safety: tuple[str, ...]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def glass_yield(self) -> float:
        """Glass in the pot per kg weighed out."""
        return self.balance.glass / self.balance.weighed

    @property
    def cost_per_kg(self) -> float:
        """Of everything with a price, per kg of glass."""
        return self.cost / self.balance.glass
