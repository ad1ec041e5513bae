"""What is written down at the furnace: pots, charges and temperatures."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from core.errors import FurnaceError
from core.units import ZERO_CELSIUS


@dataclass(frozen=True)
class Pot:
    """A pot in a furnace; ``capacity`` in kg of glass, ``None`` when not known."""

    name: str
    furnace: str
    capacity: float | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise FurnaceError("The pot has no name.", field="name", remedy="Give it one.")
        if self.capacity is not None and not 0.1 <= self.capacity <= 100_000:
            raise FurnaceError(
                f"A capacity of {self.capacity:g} kg is not possible.",
                field="capacity",
                remedy="Use 0.1 to 100 000 kg.",
            )


@dataclass(frozen=True)
class Charge:
    """Material put into a pot.

    Attributes
    ----------
    time : datetime
        Aware.
    pot : str
    material : str
        Cullet, batch or other, in the studio's words.
    mass : float
        [kg], more than 0.
    note : str
    """

    time: datetime
    pot: str
    material: str
    mass: float
    note: str = ""

    def __post_init__(self) -> None:
        if self.time.tzinfo is None:
            raise FurnaceError("The charge's time has no time zone.", field="time")
        if not self.pot.strip():
            raise FurnaceError("No pot was chosen.", field="pot", remedy="Choose the pot.")
        if not self.material.strip():
            raise FurnaceError(
                "No material was named.", field="material", remedy="Say what was charged."
            )
        if not 0.001 <= self.mass <= 10_000:
            raise FurnaceError(
                f"A charge of {self.mass:g} kg is not possible.",
                field="mass",
                remedy="Use 0.001 to 10 000 kg.",
            )


@dataclass(frozen=True)
class FurnaceReading:
    """One furnace temperature [K], read at an aware time."""

    time: datetime
    furnace: str
    temperature: float
    note: str = ""

    def __post_init__(self) -> None:
        if self.time.tzinfo is None:
            raise FurnaceError("The reading's time has no time zone.", field="time")
        if not ZERO_CELSIUS - 50 <= self.temperature <= ZERO_CELSIUS + 1800:
            raise FurnaceError(
                f"A furnace at {self.temperature - ZERO_CELSIUS:.0f} °C is not possible.",
                field="temperature",
                remedy="Check the number and its unit; a broken thermocouple reads like this.",
            )
