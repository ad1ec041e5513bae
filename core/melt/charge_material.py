"""What is charged: cullet or batch, as a heap and as heat to melt it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from core.melt.combustion import gas_enthalpy
from core.melt.glass_melt import GlassMelt
from core.melt.limits import require, require_name, require_temperature
from core.units import ZERO_CELSIUS

REACTION_HEAT_OF_GLASS = 461_800.0
"""[J per kg of glass] Chemical heat of a typical soda-lime batch: Conradt R., in Richet P. (ed.)
2021, Encyclopedia of Glass Science, Technology, History and Culture, Wiley."""

_WATER_EVAPORATION = 2.50e6
"""[J/kg] From water at 0 °C to steam at 0 °C (steam tables, from memory, unverified)."""
_FLOWING = {"cullet": 4.0, "batch": 3.0}
"""log10(viscosity / Pa s) at which a charge runs together: a piece of 10 mm fuses by eta r/gamma
in some five minutes at 10^4 Pa s (Frenkel 1945); of batch, whose sand must go into solution,
the working point (common practice, no source)."""
_CARBON_DIOXIDE_MASS = 0.044009
_STEAM_MASS = 0.018015


class ChargeKind(StrEnum):
    """What a charge is."""

    CULLET = "cullet"
    BATCH = "batch"


@dataclass(frozen=True)
class ChargeMaterial:
    """A material as it is shovelled into the pot.

    Attributes
    ----------
    name : str
    kind : ChargeKind
    heap_density : float
        As it lies in the pot [kg/m3]; cullet heaps at about half the density of glass.
    glass_yield : float
        Glass from one kg, dry [kg/kg]; the rest leaves as gas, reckoned as carbon dioxide.
    reaction_heat : float
        Chemical heat [J per kg of dry charge]; 0 of cullet.
    moisture : float
        Water in one kg as charged [kg/kg].
    piece_size : float
        [m]; large pieces let radiation through the heap.
    flows_at : float or None
        Temperature at which it runs together [K]; ``None``: where the melt has 10^4 Pa s (cullet)
        or 10^3 (batch).
    """

    name: str
    kind: ChargeKind
    heap_density: float
    glass_yield: float = 1.0
    reaction_heat: float = 0.0
    moisture: float = 0.0
    piece_size: float = 0.02
    flows_at: float | None = None

    def __post_init__(self) -> None:
        require_name(self.name, "The material")
        require(self.heap_density, 100.0, 5000.0, "heap_density", "A heap density", "kg/m3")
        require(self.glass_yield, 0.3, 1.0, "glass_yield", "A glass yield")
        require(
            self.reaction_heat / 1000.0, 0.0, 3000.0, "reaction_heat", "A reaction heat", "kJ/kg"
        )
        require(self.moisture, 0.0, 0.3, "moisture", "A moisture")
        require(self.piece_size * 1000.0, 0.01, 300.0, "piece_size", "A piece size", "mm")
        if self.flows_at is not None:
            require_temperature(self.flows_at, 400.0, 1700.0, "flows_at", "A melting temperature")

    @property
    def glass_per_kg(self) -> float:
        """Glass from one kg as charged, wet [kg/kg]."""
        return (1.0 - self.moisture) * self.glass_yield


def cullet(name: str = "cullet", heap_density: float = 1200.0) -> ChargeMaterial:
    """Crushed glass of walnut size, heaping at half the density of glass (common practice)."""
    return ChargeMaterial(name, ChargeKind.CULLET, heap_density)


def batch(
    name: str = "batch",
    glass_yield: float = 0.83,
    reaction_heat_of_glass: float = REACTION_HEAT_OF_GLASS,
    moisture: float = 0.0,
) -> ChargeMaterial:
    """Raw materials; ``reaction_heat_of_glass`` in J per kg of the glass they make."""
    return ChargeMaterial(
        name,
        ChargeKind.BATCH,
        heap_density=1150.0,
        glass_yield=glass_yield,
        reaction_heat=reaction_heat_of_glass * glass_yield,
        moisture=moisture,
        piece_size=0.0005,
    )


@dataclass(frozen=True)
class MeltingHeat:
    """Heat to melt one kg as charged, part by part [J/kg].

    Attributes
    ----------
    glass : float
        Sensible heat of the glass at the temperature it runs off.
    reaction : float
        Chemical.
    gas : float
        Carried off by gas and steam, with the evaporation.
    flows_at : float
        [K].
    glass_per_kg : float
        [kg/kg].
    """

    glass: float
    reaction: float
    gas: float
    flows_at: float
    glass_per_kg: float

    @property
    def total(self) -> float:
        """Above 0 °C, of one kg as charged [J/kg]."""
        return self.glass + self.reaction + self.gas


def flowing_temperature(material: ChargeMaterial, melt: GlassMelt) -> float:
    """Temperature [K] at which a charge runs together."""
    if material.flows_at is not None:
        return material.flows_at
    return float(melt.curve.temperature(_FLOWING[material.kind.value]))


def melting_heat(material: ChargeMaterial, melt: GlassMelt) -> MeltingHeat:
    """Heat to bring one kg of a charge from 0 °C to where it runs off as glass [J/kg]."""
    flows_at = flowing_temperature(material, melt)
    dry = 1.0 - material.moisture
    gas = dry * (1.0 - material.glass_yield)
    celsius_zero = ZERO_CELSIUS
    carbon_dioxide = (
        gas_enthalpy("CO2", flows_at) - gas_enthalpy("CO2", celsius_zero)
    ) / _CARBON_DIOXIDE_MASS
    steam = (gas_enthalpy("H2O", flows_at) - gas_enthalpy("H2O", celsius_zero)) / _STEAM_MASS
    return MeltingHeat(
        glass=material.glass_per_kg * melt.heat_content(flows_at),
        reaction=dry * material.reaction_heat,
        gas=gas * carbon_dioxide + material.moisture * (_WATER_EVAPORATION + steam),
        flows_at=flows_at,
        glass_per_kg=material.glass_per_kg,
    )
