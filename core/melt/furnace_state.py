"""A furnace at a moment: what its state says, charges thrown in, glass taken out."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from core.errors import FurnaceError
from core.melt.charge_material import ChargeMaterial
from core.melt.glass_melt import GlassMelt
from core.melt.heap import heap_of, mixed
from core.melt.heat_balance import (
    BOUGHT,
    FLUE,
    GAS,
    GLASS_HEAT,
    GLASS_MASS,
    HEAP_HEAT,
    HEAP_MASS,
    OPENING,
    REACTION,
    SOURCE,
    WALLS,
    HeatBalance,
)
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

SEED = 0.002
"""Glass that coats an empty pot, as a share of its capacity."""
_MELTED_AWAY = 2e-3
"""Share of the last charge at which what is left goes into the glass at once."""


class FurnaceState:
    """Furnace, pot and glass at a moment; :class:`core.melt.furnace_run.FurnaceRun` moves it on.

    Parameters
    ----------
    furnace : MeltingFurnace
    pot : PotVessel
    melt : GlassMelt
    temperature : float
        All of it at the start [K].
    glass_mass : float
        Glass in the pot [kg]; an empty pot counts as coated with a little.
    fineness : int
        Nodes, see :class:`core.melt.wall_nodes.WallNodes`.

    Attributes
    ----------
    time : float
        [s].
    state : ndarray
        See :class:`core.melt.heat_balance.HeatBalance`.

    Raises
    ------
    FurnaceError
        If the glass does not go into the pot.
    """

    def __init__(
        self,
        furnace: MeltingFurnace,
        pot: PotVessel,
        melt: GlassMelt,
        temperature: float,
        glass_mass: float,
        fineness: int,
    ) -> None:
        self.balance = HeatBalance(furnace, pot, melt, fineness)
        self.capacity = pot.capacity(melt.density)
        least = SEED * self.capacity
        if glass_mass > pot.brimful * melt.density:
            raise FurnaceError(
                f"{glass_mass:.4g} kg of glass do not go into a pot of "
                f"{pot.brimful * melt.density:.4g} kg to the rim.",
                field="glass_mass",
                remedy="Give less, or a larger pot.",
            )
        self.state = self.balance.uniform(temperature, max(glass_mass, least))
        self.time = 0.0
        self._last_charge = 0.0
        self._brought = 0.0
        self._began = self.balance.stored(self.state)

    @property
    def glass_mass(self) -> float:
        """[kg]."""
        return float(self.state[self.balance.n + GLASS_MASS])

    @property
    def heap_mass(self) -> float:
        """Unmelted [kg]."""
        return float(self.state[self.balance.n + HEAP_MASS])

    @property
    def glass_temperature(self) -> float:
        """[K]."""
        rest = self.state[self.balance.n :]
        return self.balance.melt.temperature(float(rest[GLASS_HEAT] / rest[GLASS_MASS]))

    @property
    def chamber_temperature(self) -> float:
        """What the thermocouple reads [K]."""
        return self.balance.exchange(self.time, self.state).chamber

    @property
    def glass_to_come(self) -> float:
        """Glass in the pot when all has melted [kg]."""
        heap = self.balance.heap
        return self.glass_mass + (self.heap_mass * heap.glass_per_kg if heap else 0.0)

    def room(self, material: ChargeMaterial) -> float:
        """Most of a material that can be charged now without heaping above the freeboard [kg]."""
        balance = self.balance
        filled = self.glass_mass / balance.melt.density
        if balance.heap is not None:
            filled += self.heap_mass / balance.heap.density
        heaped = max(0.0, balance.pot.usable_volume - filled) * material.heap_density
        melted = max(0.0, self.capacity - self.glass_to_come) / material.glass_per_kg
        return min(heaped, melted)

    def room_when_melted(self, material: ChargeMaterial) -> float:
        """Room for a material [kg], as :meth:`room`, when all that lies in the pot has melted."""
        left = max(0.0, self.capacity - self.glass_to_come) / self.balance.melt.density
        heaped = left * material.heap_density
        return min(heaped, left * self.balance.melt.density / material.glass_per_kg)

    def charge(
        self, material: ChargeMaterial, mass: float, temperature: float, *, done: bool = False
    ) -> None:
        """Throw in a charge [kg] at a temperature [K].

        Parameters
        ----------
        done : bool
            It was made, whatever the reckoning says of the room for it.

        Raises
        ------
        FurnaceError
            If it would stand above the rim, and was not made already.
        """
        balance = self.balance
        room = self.room(material)
        if not done and mass > 1.001 * room + 1e-9:
            raise FurnaceError(
                f"{mass:.4g} kg of {material.name} overfill the pot: it has room for "
                f"{room:.3g} kg now, heaped.",
                field="mass",
                remedy="Charge less, or wait until what is in it has melted down.",
            )
        heap = heap_of(material, balance.melt)
        n = balance.n
        old = self.heap_mass
        balance.heap = heap if balance.heap is None else mixed(balance.heap, old, heap, mass)
        heat = mass * balance.melt.heat_content(temperature)
        self.state = self.state.copy()
        self.state[n + HEAP_MASS] += mass
        self.state[n + HEAP_HEAT] += heat
        self._brought += heat
        self._last_charge = old + mass

    def take(self, mass: float) -> None:
        """Take glass out [kg]: gathered or ladled.

        Raises
        ------
        FurnaceError
            If there is not so much.
        """
        n = self.balance.n
        left = self.glass_mass - mass
        if mass < 0.0 or left < SEED * self.capacity * 0.5:
            raise FurnaceError(
                f"{mass:.4g} kg cannot be taken from {self.glass_mass:.4g} kg of glass.",
                field="mass",
                remedy="Check the amounts.",
            )
        self.state = self.state.copy()
        heat = float(self.state[n + GLASS_HEAT]) * mass / self.glass_mass
        self.state[n + GLASS_MASS] = left
        self.state[n + GLASS_HEAT] -= heat
        self._brought -= heat

    def _clear_rest(self) -> None:
        """Let the last crumbs of a heap go into the glass: mass, heat, reaction and gas."""
        balance, n = self.balance, self.balance.n
        heap, mass = balance.heap, self.heap_mass
        if heap is None or mass > _MELTED_AWAY * self._last_charge:
            return
        state = self.state
        reaction, gas = mass * heap.reaction, mass * heap.gas
        state[n + GLASS_MASS] += mass * heap.glass_per_kg
        state[n + GLASS_HEAT] += state[n + HEAP_HEAT] - reaction - gas
        state[n + REACTION] += reaction
        state[n + GAS] += gas
        state[n + HEAP_MASS] = state[n + HEAP_HEAT] = 0.0
        balance.heap = None

    def _row(self) -> list[float]:
        """One row of the record, as :func:`core.melt.furnace_course.course_of` takes them."""
        balance, n = self.balance, self.balance.n
        state = self.state
        flows = balance.exchange(self.time, state)
        celsius = balance.nodes.celsius(state[:n])
        rest: list[float] = state[n:].tolist()
        set_point = (
            None if balance.setting.power is not None else balance.setting.set_point(self.time)
        )
        melt = balance.melt
        heap = rest[HEAP_MASS] > 0.0
        losses = [rest[i] for i in (FLUE, WALLS, OPENING, GAS, REACTION)]
        stored = balance.stored(state)
        gone = math.fsum(losses)
        missing = rest[BOUGHT] + self._brought + self._began - stored - gone
        moved = rest[BOUGHT] + abs(self._brought) + abs(stored - self._began) + gone
        return [
            self.time,
            flows.chamber,
            ZERO_CELSIUS + rest[SOURCE] / balance.chamber.source_heat,
            melt.temperature(rest[GLASS_HEAT] / rest[GLASS_MASS]),
            math.nan if set_point is None else set_point,
            melt.temperature(rest[HEAP_HEAT] / rest[HEAP_MASS]) if heap else math.nan,
            rest[GLASS_MASS],
            rest[HEAP_MASS],
            flows.bought,
            rest[BOUGHT],
            missing / moved if moved > 0.0 else 0.0,
            *losses,
            *(celsius[balance.nodes.hot] + ZERO_CELSIUS).tolist(),
            *(celsius[balance.nodes.cold] + ZERO_CELSIUS).tolist(),
            float(celsius[balance.nodes.pot_outer]) + ZERO_CELSIUS,
            float(celsius[balance.nodes.pot_inner]) + ZERO_CELSIUS,
        ]

    def _trace_row(self) -> list[float]:
        """Time [s] and thermocouple temperature [K]."""
        return [self.time, self.balance.exchange(self.time, self.state).chamber]
