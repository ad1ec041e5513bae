"""A pot's ledger as it was written down, and what has to be asked before it can be played."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, tzinfo

from core.furnace.charged_glass import ChargedGlass, glass_charged
from core.furnace.ledger import Charge, FurnaceReading, Pot
from core.furnace.pot_contents import contents_through
from core.furnace.pot_entry import PotEntry
from core.furnace.pot_events import Charged, MadeOf, NewPot, PotEvent, plain_name
from core.glass.glass import Glass
from core.melt.pot_vessel import PotVessel

USUAL_DENSITY = 2350.0
"""[kg/m3] Of a soda-lime melt: 2500 at 20 °C, 6 % less when hot (from memory, unverified)."""


@dataclass(frozen=True)
class UnknownMaterial:
    """A material whose glass nobody has told: how often and how much of it was charged [kg]."""

    name: str
    charges: int
    mass: float
    first: datetime


@dataclass(frozen=True)
class LedgerMaterial:
    """A material the pot was charged with.

    Attributes
    ----------
    name : str
        As it was last written.
    charges : int
    mass : float
        [kg].
    answer : ChargedGlass or None
        What holds for its latest charge.
    makes : str
        Name of the glass, “its analysis”, or empty when nobody has told.
    glass_yield : float
        [kg/kg].
    """

    name: str
    charges: int
    mass: float
    answer: ChargedGlass | None
    makes: str
    glass_yield: float


@dataclass(frozen=True)
class PotLedger:
    """Everything written down of one pot.

    Attributes
    ----------
    pot : Pot
    charges : tuple of Charge
        Of this pot, in any order.
    entries : tuple of PotEntry
        Of this pot: taken, skimmed, drained, levels, new pots.
    answers : tuple of ChargedGlass
        Which glass a material makes.
    glasses : Mapping of str to Glass
        By name. A material called like one of them is that glass.
    readings : tuple of FurnaceReading
        Of its furnace, for what volatilises.
    vessel : PotVessel or None
        Its shape, if known.
    zone : tzinfo or None
        Of the times in sentences; ``None``: the machine's own.
    """

    pot: Pot
    charges: tuple[Charge, ...] = ()
    entries: tuple[PotEntry, ...] = ()
    answers: tuple[ChargedGlass, ...] = ()
    glasses: Mapping[str, Glass] = field(default_factory=dict)
    readings: tuple[FurnaceReading, ...] = ()
    vessel: PotVessel | None = None
    zone: tzinfo | None = None

    @property
    def is_empty(self) -> bool:
        """True when nothing was written down."""
        return not self.charges and not self.entries

    @property
    def pot_since(self) -> datetime | None:
        """When the pot that stands there now was set in, or first charged."""
        new = [entry.time for entry in self.entries if isinstance(entry.event, NewPot)]
        if new:
            return max(new)
        return min((charge.time for charge in self.charges), default=None)

    @property
    def capacity(self) -> float | None:
        """Glass it holds [kg]: as entered, or from its shape; ``None`` when not known."""
        if self.pot.capacity is not None or self.vessel is None:
            return self.pot.capacity
        return self.vessel.capacity(USUAL_DENSITY)

    @property
    def surface(self) -> float | None:
        """Area of the glass when full [m2]: of its shape, or of a pot as wide as it is deep."""
        if self.vessel is not None:
            return (
                math.pi / 4.0 * self.vessel.diameter(self.vessel.depth - self.vessel.freeboard) ** 2
            )
        if self.pot.capacity is None:
            return None
        diameter = math.cbrt(4.0 * self.pot.capacity / USUAL_DENSITY / math.pi)
        return math.pi / 4.0 * diameter**2

    def made_of(self, charge: Charge) -> MadeOf | None:
        """What a charge becomes in the pot; ``None`` if nobody has told."""
        answer = glass_charged(charge, self.answers)
        if answer is None:
            glass = self._glass_named(charge.material)
            return None if glass is None or glass.composition is None else MadeOf(glass.composition)
        if not isinstance(answer.glass, str):
            return answer.made_of(answer.glass)
        glass = self._glass_named(answer.glass)
        if glass is None or glass.composition is None:
            return None
        return answer.made_of(glass.composition)

    def materials(self) -> tuple[LedgerMaterial, ...]:
        """Every material of the pot that stands there now, the latest charged first."""
        found: dict[str, list[Charge]] = {}
        for charge in sorted(self._charges_now(), key=lambda charge: charge.time, reverse=True):
            found.setdefault(plain_name(charge.material), []).append(charge)
        return tuple(self._material(those) for those in found.values())

    def _material(self, charges: list[Charge]) -> LedgerMaterial:
        latest = charges[0]
        made, answer = self.made_of(latest), glass_charged(latest, self.answers)
        makes = ""
        if made is not None:
            if answer is None:
                makes = self._glass_named(latest.material).name  # type: ignore[union-attr]
            else:
                makes = answer.glass if isinstance(answer.glass, str) else "its analysis"
        return LedgerMaterial(
            latest.material,
            len(charges),
            math.fsum(charge.mass for charge in charges),
            answer,
            makes,
            1.0 if made is None else made.glass_yield,
        )

    def _charges_now(self) -> list[Charge]:
        since = self.pot_since
        return [charge for charge in self.charges if since is not None and charge.time >= since]

    def _glass_named(self, name: str) -> Glass | None:
        wanted = plain_name(name)
        return next((g for key, g in self.glasses.items() if plain_name(key) == wanted), None)

    def unknown(self) -> tuple[UnknownMaterial, ...]:
        """Materials to ask about, of the pot that stands there now; the most charged first."""
        found: dict[str, list[Charge]] = {}
        for charge in self._charges_now():
            if self.made_of(charge) is None:
                found.setdefault(plain_name(charge.material), []).append(charge)
        return tuple(
            UnknownMaterial(
                those[-1].material,
                len(those),
                math.fsum(charge.mass for charge in those),
                min(charge.time for charge in those),
            )
            for those in sorted(
                found.values(), key=lambda those: -math.fsum(charge.mass for charge in those)
            )
        )

    def held(self, now: datetime) -> float:
        """Glass in the pot at a moment [kg]; 0 where nothing is known."""
        events = tuple(event for event in self.events() if event.time <= now)
        return contents_through(events, [now], ends=False)[-1].mass if events else 0.0

    def events(self) -> tuple[PotEvent, ...]:
        """What happened to the pot that stands there now, in order; unknown materials left out.

        Times are in the ledger's zone, for the sentences they appear in.
        """
        since = self.pot_since
        found: list[PotEvent] = [
            entry.event for entry in self.entries if since is not None and entry.time >= since
        ]
        for charge in self._charges_now():
            made = self.made_of(charge)
            if made is not None:
                mass = charge.mass * made.glass_yield
                error = mass * made.relative_error
                found.append(Charged(charge.time, made.glass, mass, error, charge.material))
        found.sort(key=lambda event: (event.time, not isinstance(event, NewPot)))
        return tuple(replace(event, time=event.time.astimezone(self.zone)) for event in found)
