"""A furnace run through time: settings, charges, glass taken out, and a record of every step."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from core.errors import FurnaceError
from core.melt.charge_material import ChargeMaterial
from core.melt.furnace_course import FurnaceCourse, course_of
from core.melt.furnace_state import FurnaceState
from core.melt.glass_melt import GlassMelt
from core.melt.heat_balance import (
    BOUGHT,
    GLASS_MASS,
    HEAP_HEAT,
    HEAP_MASS,
    SOURCE,
    HeatBalance,
)
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.melt.power_supply import Regime
from core.melt.rosenbrock import ORDER_OF_ERROR, rosenbrock_step
from core.melt.setting import Setting

FloatArray = NDArray[np.float64]

ERROR = 0.3
"""[K] Error allowed in a step; the tests compare the whole with a far finer reckoning."""
LONGEST_STEP = 1200.0
"""[s] Of a recorded run, so that its curves are smooth."""
_SHORTEST_STEP = 1e-4
_FIRST_STEP = 20.0
"""[s] After a charge or a gather."""
_FROZEN = -60_000.0
"""[J/kg] Heat of a heap at some -90 °C: a step that ends below it has gone astray."""
_STALE = 6.0
"""[K] By which no wall node may have moved for a Jacobian to serve again; four times as much in a
sparing run."""
_RESOLUTION = 30.0
"""[s] To which the moment of something waited for is found."""


class _Kept(NamedTuple):
    """A Jacobian that may serve for more steps, and where it was taken."""

    jacobian: FloatArray
    by_time: FloatArray
    celsius: FloatArray
    source: float
    setting: Setting
    regime: Regime


class FurnaceRun(FurnaceState):
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
        super().__init__(furnace, pot, melt, temperature, glass_mass, fineness)
        self._error = error
        self._sparing = sparing
        self._stale = _STALE * (4.0 if sparing else 1.0)
        self._kept: _Kept | None = None
        self.longest = LONGEST_STEP
        self._step = 30.0
        self.rows: list[list[float]] = []

    def charge(
        self, material: ChargeMaterial, mass: float, temperature: float, *, done: bool = False
    ) -> None:
        """Throw in a charge [kg] at a temperature [K]; see :meth:`FurnaceState.charge`."""
        super().charge(material, mass, temperature, done=done)
        self._step = _FIRST_STEP

    def take(self, mass: float) -> None:
        """Take glass out [kg]; see :meth:`FurnaceState.take`."""
        super().take(mass)
        self._step = _FIRST_STEP

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
                if balance.chamber.supply.regime == kept.regime and kept.regime.control != 2:
                    return rate, kept.jacobian, kept.by_time
        rate, jacobian, by_time = balance.linearised(self.time, self.state)
        balance.exchange(self.time, self.state)
        self._kept = _Kept(
            jacobian,
            by_time,
            celsius,
            self._source(),
            balance.setting,
            balance.chamber.supply.regime,
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

    # The record --------------------------------------------------------------------------

    def _record(self) -> None:
        self.rows.append(self._trace_row() if self._sparing else self._row())

    def trace(self) -> tuple[FloatArray, FloatArray]:
        """Times [s] and thermocouple temperatures [K] recorded, shape (n,) each."""
        table = np.array([row[:2] for row in self.rows]).T
        return table[0], table[1]

    def settle_at(self, temperature: float, opening: float) -> None:
        """Bring walls and contents to rest at a temperature [K], whatever power it takes."""
        supply = self.balance.chamber.supply
        usual, power = self.longest, supply.power
        self.longest = 5 * 86_400.0
        for strength in (1.0, 3.0, 10.0):
            supply.power = strength * power
            self.go(Setting(0.0, temperature, opening=opening), self.time + 40 * 86_400.0)
            if self.chamber_temperature > temperature - 1.0:
                break
        self.longest, supply.power = usual, power
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
