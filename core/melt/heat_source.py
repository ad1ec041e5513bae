"""What heats the furnace: electric elements, or a gas burner; each behind a controller."""

from __future__ import annotations

from dataclasses import dataclass

from core.errors import FurnaceError
from core.melt.combustion import FuelGas
from core.melt.limits import require, require_temperature
from core.units import ZERO_CELSIUS


@dataclass(frozen=True)
class Control:
    """A proportional-integral controller of the power.

    Attributes
    ----------
    band : float
        Proportional band: the error that alone calls for full power [K].
    integral_time : float
        [s].
    """

    band: float = 25.0
    integral_time: float = 900.0

    def __post_init__(self) -> None:
        require(self.band, 1.0, 300.0, "band", "A proportional band", "°C")
        require(self.integral_time / 60.0, 1.0, 600.0, "integral_time", "An integral time", "min")


@dataclass(frozen=True)
class ElectricElements:
    """Resistance elements that radiate into the chamber.

    Attributes
    ----------
    power : float
        Most they draw [W].
    area : float
        Radiating surface [m2].
    emissivity : float
    heat_capacity : float
        [J/K] of all of them.
    max_temperature : float
        Of their surface [K]; the power falls back before it is passed.
    control : Control
    """

    power: float
    area: float = 0.1
    emissivity: float = 0.8
    heat_capacity: float = 3000.0
    max_temperature: float = ZERO_CELSIUS + 1500.0
    control: Control = Control()

    def __post_init__(self) -> None:
        _require_power(self.power)
        require(self.area, 0.001, 50.0, "area", "An element surface", "m2")
        require(self.emissivity, 0.1, 1.0, "emissivity", "An emissivity")
        require(self.heat_capacity, 50.0, 1e7, "heat_capacity", "A heat capacity", "J/K")
        require_temperature(
            self.max_temperature, 300.0, 1900.0, "max_temperature", "An element temperature"
        )


@dataclass(frozen=True)
class GasBurner:
    """A burner; the chamber is stirred, so that the flue leaves at the gas temperature.

    Attributes
    ----------
    power : float
        Most it burns, net [W].
    fuel : FuelGas
    air_ratio : float
        Air supplied over air needed; 1.05 to 1.2 in a well set burner.
    air_temperature : float
        Of the combustion air [K]: above the room's behind a recuperator.
    gas_emissivity : float
        Of the chamber's gas and flame; 0.1 to 0.3 in a chamber of half a metre.
    film : float
        Convection from gas to walls [W/(m2 K)].
    heat_capacity : float
        Of the gas and the burner tile [J/K].
    control : Control
    """

    power: float
    fuel: FuelGas = FuelGas.NATURAL_GAS
    air_ratio: float = 1.1
    air_temperature: float = ZERO_CELSIUS + 20.0
    gas_emissivity: float = 0.2
    film: float = 15.0
    heat_capacity: float = 1000.0
    control: Control = Control()

    def __post_init__(self) -> None:
        _require_power(self.power)
        if self.air_ratio < 1.0:
            raise FurnaceError(
                f"An air ratio of {self.air_ratio:g} leaves fuel unburnt: carbon monoxide.",
                field="air_ratio",
                remedy="Use 1 to 3; a licensed fitter sets the burner.",
            )
        require(self.air_ratio, 1.0, 3.0, "air_ratio", "An air ratio")
        require_temperature(
            self.air_temperature, -30.0, 900.0, "air_temperature", "An air temperature"
        )
        require(self.gas_emissivity, 0.02, 0.9, "gas_emissivity", "A gas emissivity")
        require(self.film, 0.0, 200.0, "film", "A film coefficient", "W/(m2 K)")
        require(self.heat_capacity, 50.0, 1e7, "heat_capacity", "A heat capacity", "J/K")


HeatSource = ElectricElements | GasBurner


def _require_power(power: float) -> None:
    if power <= 0:
        raise FurnaceError(
            "A furnace with no power heats nothing.",
            field="power",
            remedy="Give its power in kW, as on the plate.",
        )
    require(power / 1000.0, 0.05, 5000.0, "power", "A power", "kW")
