"""What the surfaces in the chamber exchange at a moment: radiation, gas, opening, glass, heap.

Radiation: every surface is taken to be lit alike, as inside a sphere, where the view factor to a
surface is its share of the whole (Siegel R., Howell J.R., Thermal Radiation Heat Transfer, on
spherical enclosures). The irradiation is then the mean of the emissions weighted by area times
emissivity, and no equations need solving; the balance of the exchange closes by construction. The
thermocouple is taken to read the temperature of this irradiation, as a small black body would.

The glass is stirred, of one temperature. What it takes through its surface and from the pot is
limited by its effective conductivity: mean against face, 3 k/depth through a slab heated from one
side and 8 k/diameter through a cylinder (steady parabolic profiles).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from core.melt.draught import Draught
from core.melt.glass_melt import STEFAN_BOLTZMANN, GlassMelt
from core.melt.heap import (
    FILM,
    LEAST_MELTING_HEAT,
    SURFACE_EMISSIVITY,
    THINNEST,
    Heap,
    irradiated_face,
    touched_face,
)
from core.melt.heat_source import ElectricElements
from core.melt.melting_furnace import MeltingFurnace
from core.melt.pot_state import NOTHING, IntoHeap, Lying, Pool
from core.melt.pot_vessel import PotVessel
from core.melt.power_supply import PowerSupply
from core.melt.setting import Setting
from core.units import ZERO_CELSIUS

POT_EMISSIVITY = 0.85
_CONTACT = 50.0
"""[W/(m2 K)] Pot wall to heap, besides radiation; our choice."""
_SHALLOWEST = 0.02
"""[m] Glass counts as at least so deep where heat is led through it."""


class Exchange(NamedTuple):
    """Heat flows of the chamber at a moment [W], masses [kg/s].

    ``hot`` into each section's hot face; ``pot_outer`` and ``pot_inner`` into the pot's faces;
    ``source``, ``glass``, ``heap`` into their heat contents, heat that comes with melted glass
    included; ``charged``: energy bought; ``flue``, ``opening``, ``gas``, ``reaction``: where heat
    goes for good. ``chamber`` is the thermocouple's temperature [K], ``melting`` the heap's loss.
    """

    hot: list[float]
    pot_outer: float
    pot_inner: float
    source: float
    glass: float
    heap: float
    integral: float
    melting: float
    bought: float
    flue: float
    opening: float
    gas: float
    reaction: float
    chamber: float


class Chamber:
    """Computes the exchange of one furnace, pot and glass.

    Parameters
    ----------
    furnace : MeltingFurnace
    pot : PotVessel
    melt : GlassMelt
    """

    def __init__(self, furnace: MeltingFurnace, pot: PotVessel, melt: GlassMelt) -> None:
        self.furnace, self.pot, self.melt = furnace, pot, melt
        self.areas = [section.area for section in furnace.sections]
        self.black = [section.area * section.emissivity for section in furnace.sections]
        total = math.fsum(self.areas)
        self._pot_outer = pot.outer_side
        self._pot_black = POT_EMISSIVITY * pot.outer_side
        self._hole = furnace.opening.radiating_area
        self._draught = Draught(furnace.opening, furnace.ambient, self.areas)
        source = furnace.source
        self.supply = PowerSupply(source)
        self._film = 0.0
        self._room_shine = STEFAN_BOLTZMANN * furnace.ambient**4
        if isinstance(source, ElectricElements):
            self._source_black = source.area * source.emissivity
        else:
            self._source_black = source.gas_emissivity * total
            self._film = source.film
        self._films = [self._film * area for area in self.areas]
        self.source_heat = source.heat_capacity
        self._fixed_black = math.fsum(self.black) + self._pot_black + self._source_black

    def exchange(
        self,
        time: float,
        setting: Setting,
        heap: Heap | None,
        hot: Sequence[float],
        pot: tuple[float, float],
        contents: tuple[float, float, float, float, float, float],
    ) -> Exchange:
        """Heat flows at a moment.

        Parameters
        ----------
        hot : sequence of float
            Temperatures of the sections' hot faces [K].
        pot : tuple of float
            Of the pot's outer and inner face [K].
        contents : tuple of float
            Source heat above 0 °C [J], glass [kg], glass heat [J], heap [kg], heap heat [J],
            controller's integral [-].
        """
        source_heat, glass_mass, glass_heat, heap_mass, heap_heat, integral = contents
        (outer, inner), source = pot, ZERO_CELSIUS + source_heat / self.source_heat
        pool = self._pool(glass_mass, glass_heat)
        glass = pool.temperature
        lying = self._lying(heap, heap_mass, heap_heat, pool)
        bare = pool.surface if lying is None else pool.surface - lying.area

        # Who shines with how much: black area [m2] and emission [W/m2].
        reference = 4.0 * SURFACE_EMISSIVITY * STEFAN_BOLTZMANN * hot[0] ** 3
        glass_black = bare * SURFACE_EMISSIVITY * pool.inside / (pool.inside + reference)
        hole = self._hole * setting.opening
        emission = [STEFAN_BOLTZMANN * t**4 for t in hot]
        outer_shine, inner_shine = STEFAN_BOLTZMANN * outer**4, STEFAN_BOLTZMANN * inner**4
        source_shine, glass_shine = STEFAN_BOLTZMANN * source**4, STEFAN_BOLTZMANN * glass**4
        weight = self._fixed_black + glass_black + pool.empty + hole
        light = (
            self._pot_black * outer_shine
            + pool.empty * inner_shine
            + self._source_black * source_shine
            + glass_black * glass_shine
            + hole * self._room_shine
        )
        for black, shine in zip(self.black, emission, strict=True):
            light += black * shine
        into_heap = NOTHING
        if lying is not None:
            weight, light, into_heap = self._heap_faces(lying, weight, light, pool, inner)
        radiosity = light / weight
        chamber = math.sqrt(math.sqrt(radiosity / STEFAN_BOLTZMANN))

        through_pot = (inner - glass) * pool.wetted
        hot_gain = [b * (radiosity - e) for b, e in zip(self.black, emission, strict=True)]
        outer_gain = self._pot_black * (radiosity - outer_shine)
        inner_gain = pool.empty * (radiosity - inner_shine) - through_pot - into_heap.from_pot
        glass_gain = glass_black * (radiosity - glass_shine) + through_pot - into_heap.from_glass
        source_gain = self._source_black * (radiosity - source_shine)
        opening = hole * (radiosity - self._room_shine)
        if self._film:
            gas_flows = [f * (source - t) for f, t in zip(self._films, hot, strict=True)]
            onto_pot = self._film * self._pot_outer * (source - outer)
            hot_gain = [gain + flow for gain, flow in zip(hot_gain, gas_flows, strict=True)]
            outer_gain += onto_pot
            source_gain -= sum(gas_flows) + onto_pot
        if setting.opening > 0.0:
            cooled = self._draught.cooling(hot, setting.opening)
            opening += sum(cooled)
            hot_gain = [gain - loss for gain, loss in zip(hot_gain, cooled, strict=True)]
        share, integral_rate = self.supply.asked(time, setting, chamber, integral)
        bought, flue = self.supply.bought(share, source)

        heap_gain, melting, gas, reaction = into_heap.warming, 0.0, 0.0, 0.0
        if into_heap.melting > 0.0 and heap is not None:
            already = heap_heat / heap_mass
            missing = heap.total - already
            needed = max(missing, LEAST_MELTING_HEAT)
            melting = into_heap.melting / needed
            glass_gain += melting * (heap.glass + needed - missing)
            heap_gain -= melting * already
            gas, reaction = melting * heap.gas, melting * heap.reaction
        return Exchange(
            hot_gain,
            outer_gain,
            inner_gain,
            source_gain + bought - flue,
            glass_gain,
            heap_gain,
            integral_rate,
            melting,
            bought,
            flue,
            opening,
            gas,
            reaction,
            chamber,
        )

    def _pool(self, mass: float, heat: float) -> Pool:
        """How the glass stands in the pot, from its mass [kg] and heat [J]."""
        vessel = self.pot
        temperature = self.melt.temperature(heat / mass)
        level = vessel.level(mass / self.melt.density)
        diameter = vessel.diameter(level)
        conductivity = self.melt.effective_conductivity(temperature)
        surface = 0.25 * math.pi * diameter * diameter
        deep = max(level, _SHALLOWEST)
        inside = 3.0 * conductivity / deep
        sideways = 8.0 * conductivity / diameter
        return Pool(
            temperature,
            diameter,
            surface,
            deep,
            inside,
            wetted=sideways * vessel.side_area(level) + inside * vessel.floor_area,
            empty=POT_EMISSIVITY * surface * (1.0 - level / vessel.depth),
        )

    def _lying(self, heap: Heap | None, mass: float, heat: float, pool: Pool) -> Lying | None:
        """How the heap lies on the glass, from its mass [kg] and heat [J]."""
        if heap is None or mass <= 0.0:
            return None
        core = self.melt.temperature(heat / mass)
        thickness = mass / (heap.density * pool.surface)
        return Lying(
            heap,
            core,
            area=min(1.0, thickness / THINNEST) * pool.surface,
            side=math.pi * pool.diameter * min(thickness, self.pot.depth),
            conductivity=heap.conductivity(0.5 * (core + heap.flows_at)),
            thickness=max(thickness, THINNEST),
        )

    def _heap_faces(
        self, lying: Lying, weight: float, light: float, pool: Pool, inner: float
    ) -> tuple[float, float, IntoHeap]:
        """Weight and light of the enclosure with the heap's top in it, and the heap's heat."""
        heap, core, area = lying.heap, lying.core, lying.area
        inward = 6.0 * lying.conductivity / lying.thickness * area
        lit = SURFACE_EMISSIVITY * area
        black = lit * weight / (weight + lit)
        film, flows_at = FILM * area, heap.flows_at
        face = irradiated_face(black, light / weight, inward, core, film, flows_at)
        warming = inward * (face - core)
        melting = film * max(0.0, face - flows_at)
        between = self.melt.effective_conductivity(0.5 * (pool.temperature + flows_at))
        below = touched_face(
            3.0 * between / pool.deep * area, pool.temperature, inward, core, film, flows_at
        )
        contact = _CONTACT + 4.0 * POT_EMISSIVITY * STEFAN_BOLTZMANN * inner**3
        sideways = 8.0 * lying.conductivity / pool.diameter
        around = touched_face(
            contact * lying.side,
            inner,
            sideways * lying.side,
            core,
            FILM * lying.side,
            flows_at,
        )
        heat = IntoHeap(
            warming + below[0] + around[0], melting + below[1] + around[1], sum(below), sum(around)
        )
        return weight + lit, light + lit * STEFAN_BOLTZMANN * face**4, heat
