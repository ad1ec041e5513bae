"""What a furnace can do when left to settle: its ceiling, and what holding a temperature takes."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import FurnaceError
from core.melt.furnace_run import FurnaceRun
from core.melt.glass_melt import GlassMelt
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.melt.setting import Setting
from core.units import ZERO_CELSIUS

_SETTLING = 40 * 86_400.0
"""[s] After which nothing changes in any furnace one person can charge."""
_LONGEST_STEP = 5 * 86_400.0
_MISSED = 2.0
"""[K] A set point missed by more than this is not held."""


@dataclass(frozen=True)
class Holding:
    """A furnace that holds a temperature.

    Attributes
    ----------
    temperature : float
        [K].
    power : float
        Bought [W].
    flue, walls, opening : float
        Where it goes [W].
    shell : tuple of (str, float)
        Outer face of each wall section [K].
    """

    temperature: float
    power: float
    flue: float
    walls: float
    opening: float
    shell: tuple[tuple[str, float], ...]


def ceiling(furnace: MeltingFurnace, pot: PotVessel, melt: GlassMelt, opening: float) -> float:
    """Temperature [K] at which the furnace comes to rest at full power.

    Full power is what the elements give below their own limit of temperature.

    Parameters
    ----------
    opening : float
        Share of the opening that stands open.
    """
    run = FurnaceRun(furnace, pot, melt, 1500.0, error=1.0)
    run.longest = _LONGEST_STEP
    run.go(Setting(0.0, None, opening=opening, power=1.0), _SETTLING)
    return run.chamber_temperature


def settled(
    furnace: MeltingFurnace,
    pot: PotVessel,
    melt: GlassMelt,
    temperature: float,
    glass_mass: float,
    opening: float,
) -> FurnaceRun:
    """A run whose furnace has long held a temperature [K]; its record begins anew.

    Raises
    ------
    FurnaceError
        If the furnace cannot hold it; the message says its ceiling.
    """
    run = FurnaceRun(furnace, pot, melt, temperature, glass_mass)
    usual, run.longest = run.longest, _LONGEST_STEP
    run.go(Setting(0.0, temperature, opening=opening), _SETTLING)
    if temperature > furnace.ambient + 10.0 and run.chamber_temperature < temperature - _MISSED:
        raise cannot_reach(furnace, temperature, run.chamber_temperature, "furnace_temperature")
    run.longest = usual
    run.forget()
    return run


def holding(
    furnace: MeltingFurnace,
    pot: PotVessel,
    melt: GlassMelt,
    temperature: float,
    glass_mass: float,
    opening: float,
) -> Holding:
    """What holding a temperature [K] takes, and where the heat goes.

    Raises
    ------
    FurnaceError
        If the furnace cannot hold it.
    """
    run = settled(furnace, pot, melt, temperature, glass_mass, opening)
    flows = run.balance.exchange(0.0, run.state)
    nodes = run.balance.nodes
    celsius = nodes.celsius(run.state[: run.balance.n])
    walls = [float(celsius[node]) for node in nodes.cold]
    return Holding(
        temperature=temperature,
        power=flows.bought,
        flue=flows.flue,
        walls=sum(run.balance.room_loss(i, t) for i, t in enumerate(walls)),
        opening=flows.opening,
        shell=tuple(
            (section.name, t + ZERO_CELSIUS)
            for section, t in zip(furnace.sections, walls, strict=True)
        ),
    )


def cannot_reach(
    furnace: MeltingFurnace, wanted: float, reached: float, field: str
) -> FurnaceError:
    """The error of a furnace that is too weak, with its ceiling; temperatures in K."""
    return FurnaceError(
        f"“{furnace.name}” cannot hold {wanted - ZERO_CELSIUS:.0f} °C: at full power it comes to "
        f"rest at {reached - ZERO_CELSIUS:.0f} °C.",
        field=field,
        remedy="Ask for less, insulate, close the opening, or give it more power.",
    )
