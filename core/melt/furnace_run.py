"""A furnace run through time: settings, charges, glass taken out, and a record of every step."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from core.errors import FurnaceError
from core.melt.chamber import Regime
from core.melt.charge_material import ChargeMaterial
from core.melt.furnace_course import FurnaceCourse, course_of
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
from core.melt.rosenbrock import ORDER_OF_ERROR, rosenbrock_step
from core.melt.setting import Setting
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

ERROR = 0.3
"""[K] Error allowed in a step; the tests compare the whole with a far finer reckoning."""
LONGEST_STEP = 1200.0
"""[s] Of a recorded run, so that its curves are smooth."""
_SHORTEST_STEP = 1e-4
_FROZEN = -60_000.0
"""[J/kg] Heat of a heap at some -90 °C: a step that ends below it has gone astray."""
_STALE = 6.0
"""[K] By which no wall node may have moved for a Jacobian to serve again; four times as much in a
sparing run."""
_RESOLUTION = 30.0
"""[s] To which the moment of something waited for is found."""
_MELTED_AWAY = 2e-3
"""Share of the last charge at which what is left goes into the glass at once."""
SEED = 0.002
"""Glass that coats an empty pot, as a share of its capacity."""


class _Kept(NamedTuple):
    """A Jacobian that may serve for more steps, and where it was taken."""

    jacobian: FloatArray
    by_time: FloatArray
    celsius: FloatArray
    source: float
    setting: Setting
    regime: Regime


class FurnaceRun:
    """Runs a furnace; each call goes on where the last one ended.

    Parameters
    ----------
    furnace : MeltingFurnace
    pot : PotVessel
    melt : GlassMelt
    temperature : float
        All of it at the start [K].
    glass_mass : float
        Glass in the pot [kg]; an empty pot counts as coated with a little.
    error : float
        Allowed in a step [K].
    fineness : int
        Nodes, see :class:`core.melt.wall_nodes.WallNodes`.
    sparing : bool
        For fits: a Jacobian serves longer, and only the thermocouple is recorded, see
        :meth:`trace`.
    """

    def __init__(
        self,
        furnace: MeltingFurnace,
        pot: PotVessel,
        melt: GlassMelt,
        temperature: float,
        glass_mass: float = 0.0,
        *,
        error: float = ERROR,
        fineness: int = 5,
        sparing: bool = False,
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
        self._error = error
        self._sparing = sparing
        self._stale = _STALE * (4.0 if sparing else 1.0)
        self._kept: _Kept | None = None
        self.state = self.balance.uniform(temperature, max(glass_mass, least))
        self.time = 0.0
        self.longest = LONGEST_STEP
        self._step = 30.0
        self._last_charge = 0.0
        self._brought = 0.0
        self._began = self.balance.stored(self.state)
        self.rows: list[list[float]] = []

    # What is in the pot ------------------------------------------------------------------

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

    def charge(self, material: ChargeMaterial, mass: float, temperature: float) -> None:
        """Throw in a charge [kg] at a temperature [K].

        Raises
        ------
        FurnaceError
            If it would stand above the rim.
        """
        balance = self.balance
        room = self.room(material)
        if mass > 1.001 * room + 1e-9:
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
        self._step = 20.0

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
        self._step = 20.0

    # Time --------------------------------------------------------------------------------

    def go(
        self, setting: Setting, until: float, stop: Callable[[FurnaceRun], float] | None = None
    ) -> bool:
        """Go on under a setting until a time [s], or until ``stop`` turns positive.

        Parameters
        ----------
        stop : callable, optional
            From the run to a number below 0 before what is waited for, and 0 or more after it;
            the moment is found to half a minute.

        Returns
        -------
        bool
            True if ``stop`` ended it.

        Raises
        ------
        FurnaceError
            If the equations cannot be followed.
        """
        balance = self.balance
        balance.setting = setting
        if not self.rows:
            self._record()
        margin = -1.0 if stop is None else stop(self)
        if margin >= 0.0:
            return True
        while self.time < until - 1e-6:
            before = (self.time, self.state, balance.heap, len(self.rows))
            length = self._step_on(until)
            if stop is None:
                continue
            after = stop(self)
            if after < 0.0:
                margin = after
                continue
            if length <= _RESOLUTION:
                return True
            self.time, self.state, balance.heap, rows = before
            del self.rows[rows:]
            share = margin / (margin - after) if math.isfinite(after) else 0.5
            self._step = max(0.5 * _RESOLUTION, length * min(0.8, max(0.1, share)))
        return False

    def _step_on(self, until: float) -> float:
        """Take one step that is accurate enough; returns its length [s]."""
        balance = self.balance
        rate, jacobian, by_time = self._linearised()
        allowed = balance.tolerances(self.state, self._error)
        while True:
            left = until - self.time
            step = min(self._step, self.longest)
            if step > 0.999 * left:
                step = left
            elif step > 0.6 * left:  # two even steps rather than a long one and a stub
                step = 0.6 * left
            found = rosenbrock_step(
                balance.rate, self.time, self.state, step, rate, jacobian, by_time
            )
            worst = self._worst(found, allowed)
            if worst <= 1.0 and found is not None:
                break
            if step < _SHORTEST_STEP:
                raise FurnaceError(
                    f"The furnace cannot be followed beyond {self.time / 3600:.1f} h.",
                    remedy="Check its sizes and powers: something in it is far too small.",
                )
            self._step = step * max(0.1, 0.9 * worst ** (-1.0 / ORDER_OF_ERROR))
        self.state = found[0]
        self.time += step
        self._step = step * min(4.0, 0.9 * max(worst, 1e-3) ** (-1.0 / ORDER_OF_ERROR))
        self._clear_rest()
        self._record()
        return step

    def _linearised(self) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Rate, Jacobian and derivative by time; a kept Jacobian while little has changed.

        Kept are those without a heap, while the controller stays off, at full power or between,
        and the walls near where they were: the error estimate of every step judges the rest.
        """
        balance = self.balance
        if balance.heap is not None:
            self._kept = None
            return balance.linearised(self.time, self.state)
        celsius = balance.nodes.celsius(self.state[: balance.n])
        if self._kept is not None:
            kept = self._kept
            near = float(np.abs(celsius - kept.celsius).max()) < self._stale
            near = near and abs(self._source() - kept.source) < 4.0 * self._stale
            by_hand = balance.setting.power is not None and kept.setting.power is not None
            if near and (by_hand or balance.setting is kept.setting):
                rate = balance.rate(self.time, self.state)
                if balance.chamber.regime == kept.regime and kept.regime.control != 2:
                    return rate, kept.jacobian, kept.by_time
        rate, jacobian, by_time = balance.linearised(self.time, self.state)
        balance.exchange(self.time, self.state)
        self._kept = _Kept(
            jacobian, by_time, celsius, self._source(), balance.setting, balance.chamber.regime
        )
        return rate, jacobian, by_time

    def _source(self) -> float:
        """Temperature of the source [°C]."""
        return float(self.state[self.balance.n + SOURCE]) / self.balance.chamber.source_heat

    def _worst(self, found: tuple[FloatArray, FloatArray] | None, allowed: FloatArray) -> float:
        n = self.balance.n
        if found is None:
            return 1e6
        state, error = found
        if not np.isfinite(state).all() or state[n + GLASS_MASS] <= 0.0:
            return 1e6
        heap, heat = float(state[n + HEAP_MASS]), float(state[n + HEAP_HEAT])
        if heap < 0.0 or heat < -1.0 + _FROZEN * heap:
            return 50.0
        return float(np.abs(error / allowed).max())

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

    # The record --------------------------------------------------------------------------

    def _record(self) -> None:
        balance, n = self.balance, self.balance.n
        state = self.state
        flows = balance.exchange(self.time, state)
        if self._sparing:
            self.rows.append([self.time, flows.chamber])
            return
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
        self.rows.append(
            [
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
        )

    def trace(self) -> tuple[FloatArray, FloatArray]:
        """Times [s] and thermocouple temperatures [K] recorded, shape (n,) each."""
        table = np.array([row[:2] for row in self.rows]).T
        return table[0], table[1]

    def settle_at(self, temperature: float, opening: float) -> None:
        """Bring walls and contents to rest at a temperature [K], whatever power it takes."""
        chamber = self.balance.chamber
        usual, power = self.longest, chamber.power
        self.longest = 5 * 86_400.0
        for strength in (1.0, 3.0, 10.0):
            chamber.power = strength * power
            self.go(Setting(0.0, temperature, opening=opening), self.time + 40 * 86_400.0)
            if self.chamber_temperature > temperature - 1.0:
                break
        self.longest, chamber.power = usual, power
        self._kept = None
        self.forget()

    def forget(self) -> None:
        """Begin the record anew: time, energy and losses from nothing."""
        self.time = 0.0
        self.state = self.state.copy()
        self.state[self.balance.n + BOUGHT :] = 0.0
        self._brought = 0.0
        self._began = self.balance.stored(self.state)
        self.rows = []

    def copy(self, error: float | None = None) -> FurnaceRun:
        """Another run that goes on from here by itself, with another error [K] if given."""
        other = object.__new__(FurnaceRun)
        other.__dict__.update(self.__dict__)
        other.rows = [*self.rows]
        other.balance = object.__new__(HeatBalance)
        other.balance.__dict__.update(self.balance.__dict__)
        other.state = self.state.copy()
        if error is not None:
            other._error = error
        return other

    def course(self) -> FurnaceCourse:
        """The record so far."""
        return course_of(self.rows, len(self.balance.furnace.sections))
