"""The equations of furnace, pot and glass: rates of change, their Jacobian, one safe step.

The state holds heat contents, not temperatures, and what was bought and lost so far: energy is
then a linear invariant of the equations, which the integrator keeps (:mod:`core.melt.rosenbrock`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from core.melt.chamber import Chamber, Exchange
from core.melt.glass_melt import STEFAN_BOLTZMANN, GlassMelt
from core.melt.heap import Heap
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_vessel import PotVessel
from core.melt.setting import Setting
from core.melt.wall_nodes import WallNodes
from core.units import ZERO_CELSIUS

FloatArray = NDArray[np.float64]

SOURCE, GLASS_MASS, GLASS_HEAT, HEAP_MASS, HEAP_HEAT, INTEGRAL = range(6)
"""Places behind the wall nodes."""
BOUGHT, FLUE, WALLS, OPENING, GAS, REACTION = range(6, 12)
"""Running totals [J] behind those."""
_CONTENTS = 6
_TOTALS = 6
_OUTSIDE_EMISSIVITY = 0.9


class HeatBalance:
    """Rates of change of the whole furnace.

    The state is wall heats (n), then source heat, glass mass and heat, heap mass and heat, the
    controller's integral, then six totals of energy: bought, flue, walls, opening, gas, reaction.
    """

    def __init__(
        self, furnace: MeltingFurnace, pot: PotVessel, melt: GlassMelt, fineness: int = 5
    ) -> None:
        self.furnace, self.pot, self.melt = furnace, pot, melt
        self.chamber = Chamber(furnace, pot, melt)
        self.nodes = WallNodes(furnace.sections, pot, fineness)
        self.n = len(self.nodes)
        self.size = self.n + _CONTENTS + _TOTALS
        self.setting = Setting(0.0, None)
        self.heap: Heap | None = None
        self._outside = [s.outside for s in furnace.sections]
        self._films = [s.outer_film for s in furnace.sections]
        self._faces = [*self.nodes.hot, self.nodes.pot_outer, self.nodes.pot_inner]

    def uniform(self, temperature: float, glass_mass: float) -> FloatArray:
        """State with everything at one temperature [K] and nothing bought yet."""
        state = np.zeros(self.size)
        celsius = temperature - ZERO_CELSIUS
        state[: self.n] = self.nodes.heat(np.full(self.n, celsius))
        state[self.n + SOURCE] = self.chamber.source_heat * celsius
        state[self.n + GLASS_MASS] = glass_mass
        state[self.n + GLASS_HEAT] = glass_mass * self.melt.heat_content(temperature)
        return state

    def room_loss(self, section: int, celsius: float) -> float:
        """Heat from a section's outer face to the room [W].

        Free convection on turbulent vertical faces, 1.31 dT^(4/3) W/m2 (McAdams W.H. 1954, Heat
        Transmission), and radiation at an emissivity of 0.9.
        """
        area, film = self._outside[section], self._films[section]
        ambient = self.furnace.ambient
        excess = celsius + ZERO_CELSIUS - ambient
        if film is not None:
            return area * film * excess
        convection = 1.31 * math.cbrt(abs(excess)) * excess
        radiation = STEFAN_BOLTZMANN * ((celsius + ZERO_CELSIUS) ** 4 - ambient**4)
        return area * (convection + _OUTSIDE_EMISSIVITY * radiation)

    def exchange(self, time: float, state: FloatArray) -> Exchange:
        """The chamber's flows at a state."""
        celsius = self.nodes.celsius(state[: self.n])
        return self._exchange(time, celsius[self._faces].tolist(), state[self.n :].tolist())

    def _exchange(self, time: float, faces: Sequence[float], rest: Sequence[float]) -> Exchange:
        hot = [t + ZERO_CELSIUS for t in faces[:-2]]
        pot = (faces[-2] + ZERO_CELSIUS, faces[-1] + ZERO_CELSIUS)
        contents = (rest[0], rest[1], rest[2], rest[3], rest[4], rest[5])
        return self.chamber.exchange(time, self.setting, self.heap, hot, pot, contents)

    def _flows(self, time: float, faces: Sequence[float], rest: Sequence[float]) -> list[float]:
        """Rates of the hot faces, pot faces, contents and totals, in this order."""
        e = self._exchange(time, faces, rest)
        made = e.melting * self.heap.glass_per_kg if self.heap is not None else 0.0
        return [
            *e.hot,
            e.pot_outer,
            e.pot_inner,
            e.source,
            made,
            e.glass,
            -e.melting,
            e.heap,
            e.integral,
            e.bought,
            e.flue,
            0.0,
            e.opening,
            e.gas,
            e.reaction,
        ]

    def rate(self, time: float, state: FloatArray) -> FloatArray:
        """Rate of change of the state, shape (size,)."""
        n = self.n
        celsius = self.nodes.celsius(state[:n])
        flows = self._flows(time, celsius[self._faces].tolist(), state[n:].tolist())
        result = np.empty(self.size)
        result[:n] = self.nodes.gain(celsius)
        split = len(self._faces)
        result[self._faces] += flows[:split]
        result[n:] = flows[split:]
        for section, node in enumerate(self.nodes.cold):
            loss = self.room_loss(section, float(celsius[node]))
            result[node] -= loss
            result[n + WALLS] += loss
        return result

    def linearised(
        self, time: float, state: FloatArray
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Rate, Jacobian and partial derivative by time at a state.

        Conduction is differentiated by hand, the chamber by forward differences in its few
        variables.
        """
        n = self.n
        celsius = self.nodes.celsius(state[:n])
        faces, rest = celsius[self._faces].tolist(), state[n:].tolist()
        base = np.array(self._flows(time, faces, rest))
        split = len(self._faces)
        rate = np.empty(self.size)
        rate[:n] = self.nodes.gain(celsius)
        rate[self._faces] += base[:split]
        rate[n:] = base[split:]

        jacobian = np.zeros((self.size, self.size))
        hot, cold = self.nodes.gain_slopes(celsius)
        i = np.arange(n - 1)
        jacobian[i, i] -= hot
        jacobian[i + 1, i] += hot
        jacobian[i, i + 1] -= cold
        jacobian[i + 1, i + 1] += cold
        for section, node in enumerate(self.nodes.cold):
            loss = self.room_loss(section, float(celsius[node]))
            slope = (self.room_loss(section, float(celsius[node]) + 1e-3) - loss) / 1e-3
            rate[node] -= loss
            rate[n + WALLS] += loss
            jacobian[node, node] -= slope
            jacobian[n + WALLS, node] += slope

        rows = [*self._faces, *range(n, self.size)]
        for j, node in enumerate(self._faces):
            moved = [*faces]
            moved[j] += 1e-3
            jacobian[rows, node] += (np.array(self._flows(time, moved, rest)) - base) / 1e-3
        jacobian[:, :n] /= self.nodes.heat_capacity(celsius)
        for j in range(_CONTENTS):
            if j in {GLASS_MASS, HEAP_MASS, HEAP_HEAT} and rest[HEAP_MASS] <= 0.0:
                continue  # without a heap no mass changes
            moved = [*rest]
            step = 1e-6 * abs(rest[j]) + (1e-7 if j == INTEGRAL else 1e-12)
            moved[j] += step
            change = (np.array(self._flows(time, faces, moved)) - base) / step
            jacobian[rows, n + j] += change
        by_time = np.zeros(self.size)
        if self.setting.rate:
            by_time[rows] = np.array(self._flows(time + 1.0, faces, rest)) - base
        return rate, jacobian, by_time

    def tolerances(self, state: FloatArray, kelvin: float) -> FloatArray:
        """Error allowed in each part of the state for an error of ``kelvin`` in temperature."""
        n = self.n
        celsius = self.nodes.celsius(state[:n])
        allowed = np.full(self.size, np.inf)
        allowed[:n] = kelvin * self.nodes.heat_capacity(celsius)
        glass, heap = float(state[n + GLASS_MASS]), float(state[n + HEAP_MASS])
        capacity = self.pot.capacity(self.melt.density)
        allowed[n + SOURCE] = 4.0 * kelvin * self.chamber.source_heat
        allowed[n + GLASS_MASS] = allowed[n + HEAP_MASS] = 0.002 * kelvin * capacity
        allowed[n + GLASS_HEAT] = kelvin * 1300.0 * max(glass, 0.01 * capacity)
        allowed[n + HEAP_HEAT] = 2.0 * kelvin * 1300.0 * max(heap, 0.01 * capacity)
        allowed[n + INTEGRAL] = 0.01
        return allowed

    def stored(self, state: FloatArray) -> float:
        """Heat in walls, pot, source, glass and heap [J], from temperatures and masses anew."""
        n = self.n
        walls = float(self.nodes.heat(self.nodes.celsius(state[:n])).sum())
        rest: list[float] = state[n:].tolist()
        glass_mass, heap_mass = rest[GLASS_MASS], rest[HEAP_MASS]
        glass = glass_mass * self.melt.heat_content(
            self.melt.temperature(rest[GLASS_HEAT] / glass_mass)
        )
        heap = 0.0
        if heap_mass > 0.0:
            heap = heap_mass * self.melt.heat_content(
                self.melt.temperature(rest[HEAP_HEAT] / heap_mass)
            )
        return walls + rest[SOURCE] + glass + heap
