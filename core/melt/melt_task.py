"""A night at the furnace as asked for: furnace, pot, glass, charges, and when to work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

from core.errors import FurnaceError
from core.glass.glass import Glass
from core.melt.charge_material import ChargeMaterial
from core.melt.charging_hours import ClosedHours
from core.melt.fining import Fining
from core.melt.glass_melt import Tint
from core.melt.heating_curve import PotCare
from core.melt.limits import require, require_name, require_temperature
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.melt.standing_pot import StandingPot
from core.units import ZERO_CELSIUS


@dataclass(frozen=True)
class MeltProgramme:
    """What the furnace is set to.

    Attributes
    ----------
    melting : float
        Furnace temperature to melt and fine at [K].
    working : float
        To work at [K].
    within : float
        The glass is conditioned when it is so near the working temperature [K].
    idle : float or None
        Kept overnight or over a weekend when nothing melts [K]; ``None``: as for working.
    """

    melting: float
    working: float
    within: float = 15.0
    idle: float | None = None

    def __post_init__(self) -> None:
        require_temperature(self.melting, 700.0, 1700.0, "melting", "A melting temperature")
        require_temperature(self.working, 600.0, 1600.0, "working", "A working temperature")
        require(self.within, 1.0, 100.0, "within", "A tolerance", "°C")
        if self.idle is not None:
            require_temperature(self.idle, 20.0, 1600.0, "idle", "An idling temperature")
        if self.working > self.melting:
            raise FurnaceError(
                f"Working at {self.working - ZERO_CELSIUS:.0f} °C lies above melting at "
                f"{self.melting - ZERO_CELSIUS:.0f} °C.",
                field="working",
                remedy="Give the temperatures the other way round.",
            )


@dataclass(frozen=True)
class SetCharge:
    """A charge at a set time (aware), of a material by name [kg]."""

    time: datetime
    material: str
    mass: float

    def __post_init__(self) -> None:
        if self.time.tzinfo is None:
            raise FurnaceError("The charge's time has no time zone.", field="time")
        require(self.mass, 0.001, 10_000.0, "mass", "A charge", "kg")


@dataclass(frozen=True)
class Fill:
    """A wish: fill the pot, charges to be planned.

    Attributes
    ----------
    material : str
    to : float or None
        Glass in the pot at the end [kg]; ``None``: to the freeboard.
    largest : float or None
        Most that one charge may be [kg].
    attended_until : datetime or None
        Nobody charges after this (aware).
    closed : tuple of ClosedHours
        Hours of every day in which nobody charges.
    """

    material: str
    to: float | None = None
    largest: float | None = None
    attended_until: datetime | None = None
    closed: tuple[ClosedHours, ...] = ()

    def __post_init__(self) -> None:
        if self.to is not None:
            require(self.to, 0.01, 100_000.0, "to", "A filling", "kg")
        if self.largest is not None:
            require(self.largest, 0.01, 10_000.0, "largest", "A largest charge", "kg")
        if self.attended_until is not None and self.attended_until.tzinfo is None:
            raise FurnaceError("This time has no time zone.", field="attended_until")


@dataclass(frozen=True)
class MeltTask:
    """Everything a night at the furnace is reckoned from.

    Attributes
    ----------
    name : str
    furnace : MeltingFurnace
    pot : PotVessel
    glass : Glass
        What is in the pot, and what the charges make.
    programme : MeltProgramme
    start : datetime
        Aware.
    materials : Mapping of str to ChargeMaterial
        Read-only, by name.
    furnace_temperature : float or None
        Of the furnace at the start, long settled there [K]; ``None``: cold.
    glass_mass : float
        Glass in the pot at the start [kg].
    charges : tuple of SetCharge
        At set times, in order; or none, with ``fill``.
    fill : Fill or None
    workable_by : datetime or None
        When the glass is wanted (aware).
    tint : Tint
    fining : Fining
    pot_care : PotCare
        How the pot is heated from cold.
    timezone : str
    other_pots : tuple of StandingPot
        That stand in the same chamber and are not charged tonight.
    """

    name: str
    furnace: MeltingFurnace
    pot: PotVessel
    glass: Glass
    programme: MeltProgramme
    start: datetime
    materials: Mapping[str, ChargeMaterial] = field(default_factory=dict)
    furnace_temperature: float | None = None
    glass_mass: float = 0.0
    charges: tuple[SetCharge, ...] = ()
    fill: Fill | None = None
    workable_by: datetime | None = None
    tint: Tint = Tint.CLEAR
    fining: Fining = field(default_factory=Fining)
    pot_care: PotCare = PotCare.CLAY_ALUMINA
    timezone: str = ""
    other_pots: tuple[StandingPot, ...] = ()

    def __post_init__(self) -> None:
        require_name(self.name, "The melt")
        object.__setattr__(self, "materials", MappingProxyType(dict(self.materials)))
        if self.start.tzinfo is None:
            raise FurnaceError("The start has no time zone.", field="start")
        if self.workable_by is not None:
            if self.workable_by.tzinfo is None:
                raise FurnaceError("This time has no time zone.", field="workable_by")
            if self.workable_by <= self.start:
                raise FurnaceError(
                    "The glass is wanted before the furnace starts.",
                    field="workable_by",
                    remedy="Give a time after the start.",
                )
        if self.furnace_temperature is not None:
            require_temperature(
                self.furnace_temperature, -30.0, 1700.0, "furnace_temperature", "A furnace"
            )
        require(self.glass_mass, 0.0, 100_000.0, "glass_mass", "Glass in the pot", "kg")
        if self.charges and self.fill is not None:
            raise FurnaceError(
                "Either the charges are given or they are to be planned, not both.",
                field="fill",
                remedy="Leave out the one or the other.",
            )
        for charge in self.charges:
            self.require_known(charge.material)
            if charge.time < self.start:
                raise FurnaceError(
                    "A charge comes before the start.", field="charges", remedy="Check its time."
                )
        times = [charge.time for charge in self.charges]
        if times != sorted(times):
            raise FurnaceError(
                "The charges are not in order of time.",
                field="charges",
                remedy="Put the earlier first.",
            )
        if self.fill is not None:
            self.require_known(self.fill.material)

    def require_known(self, material: str) -> None:
        """Refuse a material that the task does not have."""
        if material not in self.materials:
            raise FurnaceError(
                f"There is no material called “{material}”.",
                field="material",
                remedy=f"Known: {', '.join(self.materials) or 'none'}.",
            )

    @property
    def starts_cold(self) -> bool:
        """True when the furnace is cold at the start."""
        return self.furnace_temperature is None
