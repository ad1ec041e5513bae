"""What happens to the glass in a pot: charges, glass taken out, levels read, a new pot.

Times are aware, masses in kg with their standard error.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from core.composition.composition import Composition
from core.errors import FurnaceError
from core.furnace.ledger import Charge

WEIGHED_ERROR = 0.02
"""Relative standard error of a charge when none is stated: a platform scale and what is spilt
(common practice, no source)."""
GATHERED_ERROR = 0.15
"""Of glass taken out, reckoned from the pieces and what is knocked off (no source, ours)."""


class Removal(StrEnum):
    """How glass leaves the pot."""

    GATHERED = "gathered"
    """From the top."""
    SKIMMED = "skimmed"
    """From the top."""
    DRAINED = "drained"
    """From the bottom."""


@dataclass(frozen=True)
class Charged:
    """Glass that a charge makes in the pot.

    Attributes
    ----------
    time : datetime
    glass : Composition
        Of the glass it makes; its standard errors count.
    mass : float
        Glass made: the charge less its loss on ignition [kg].
    error : float
        Standard error of the mass [kg].
    name : str
        What was charged.
    """

    time: datetime
    glass: Composition
    mass: float
    error: float
    name: str = ""

    def __post_init__(self) -> None:
        _check(self.time, self.mass, self.error)


@dataclass(frozen=True)
class Taken:
    """Glass taken out; mass and standard error [kg]."""

    time: datetime
    mass: float
    error: float
    how: Removal = Removal.GATHERED

    def __post_init__(self) -> None:
        _check(self.time, self.mass, self.error)


@dataclass(frozen=True)
class LevelSeen:
    """Glass in the pot as its level shows; mass and standard error [kg].

    What the ledger has above it was gathered without being written down. A higher level than the
    ledger's says that the masses are wrong: it is believed all the same, and warned of.
    """

    time: datetime
    mass: float
    error: float

    def __post_init__(self) -> None:
        _check(self.time, self.mass, self.error)


@dataclass(frozen=True)
class NewPot:
    """An empty pot is set in: nothing of the old glass is left."""

    time: datetime

    def __post_init__(self) -> None:
        _check(self.time, 0.0, 0.0)


PotEvent = Charged | Taken | LevelSeen | NewPot


@dataclass(frozen=True)
class MadeOf:
    """What a material becomes in the pot.

    Attributes
    ----------
    glass : Composition
    glass_yield : float
        Glass from one kg as charged [kg/kg].
    relative_error : float
        Standard error of the glass from a charge, as a share of it.
    """

    glass: Composition
    glass_yield: float = 1.0
    relative_error: float = WEIGHED_ERROR

    def __post_init__(self) -> None:
        if not 0.1 <= self.glass_yield <= 1.0:
            raise FurnaceError(
                f"A glass yield of {self.glass_yield:g} is not possible.",
                field="glass_yield",
                remedy="Use 0.1 to 1: kg of glass from a kg of charge.",
            )
        if not 0.0 <= self.relative_error <= 1.0:
            raise FurnaceError(
                f"A relative error of {self.relative_error:g} is not possible.",
                field="relative_error",
                remedy="Use 0 to 1.",
            )


def charges_as_events(
    charges: Iterable[Charge], materials: Mapping[str, MadeOf]
) -> tuple[Charged, ...]:
    """Logged charges as glass in the pot.

    Parameters
    ----------
    charges : iterable of Charge
        Of one pot.
    materials : Mapping of str to MadeOf
        By the studio's words; capitals and spaces around do not matter.

    Raises
    ------
    FurnaceError
        If a material is not among them.
    """
    known = {plain_name(name): made for name, made in materials.items()}
    events = []
    for charge in charges:
        made = known.get(plain_name(charge.material))
        if made is None:
            raise FurnaceError(
                f"Nothing is known of the glass that “{charge.material}” makes, charged on "
                f"{charge.time:%Y-%m-%d %H:%M}.",
                field="material",
                remedy=f"Give its analysis; known: {', '.join(materials) or 'none'}.",
            )
        mass = charge.mass * made.glass_yield
        events.append(
            Charged(charge.time, made.glass, mass, mass * made.relative_error, charge.material)
        )
    return tuple(events)


def gathered(time: datetime, mass: float, error: float | None = None) -> Taken:
    """Glass gathered [kg]; its error, if not stated, that of counting pieces."""
    return Taken(time, mass, GATHERED_ERROR * mass if error is None else error)


def plain_name(name: str) -> str:
    """A material's name without what does not matter: capitals and spaces."""
    return " ".join(name.lower().split())


def _check(time: datetime, mass: float, error: float) -> None:
    if time.tzinfo is None:
        raise FurnaceError("The entry's time has no time zone.", field="time")
    if not (math.isfinite(mass) and 0.0 <= mass <= 100_000.0):
        raise FurnaceError(
            f"{mass:g} kg are not possible.", field="mass", remedy="Use 0 to 100 000 kg."
        )
    if not (math.isfinite(error) and 0.0 <= error <= 100_000.0):
        raise FurnaceError(
            f"An error of {error:g} kg is not possible.",
            field="error",
            remedy="Use 0 to 100 000 kg.",
        )
