"""Fuel gases: what the flue carries off.

Complete burning with air of 20.95 % oxygen and dry; enthalpies of the flue gases by the Shomate
equations of the NIST Chemistry WebBook (Chase M.W. 1998, NIST-JANAF Thermochemical Tables, J.
Phys. Chem. Ref. Data Monograph 9), constants from memory and checked in the tests against the
tables; heat and CO2 refer to the net heating value (water leaves as steam).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np

from core.units import ZERO_CELSIUS

_NITROGEN_PER_OXYGEN = 79.05 / 20.95

_SHOMATE: Mapping[str, tuple[tuple[float, tuple[float, ...]], ...]] = MappingProxyType(
    {
        "N2": (
            (500.0, (28.98641, 1.853978, -9.647459, 16.63537, 0.000117, -8.671914)),
            (2000.0, (19.50583, 19.88705, -8.598535, 1.369784, 0.527601, -4.935202)),
        ),
        "O2": (
            (700.0, (31.32234, -20.23531, 57.86644, -36.50624, -0.007374, -8.903471)),
            (2000.0, (30.03235, 8.772972, -3.988133, 0.788313, -0.741599, -11.32468)),
        ),
        "CO2": (
            (1200.0, (24.99735, 55.18696, -33.69137, 7.948387, -0.136638, -10.0851)),
            (6000.0, (58.16639, 2.720074, -0.492289, 0.038844, -6.447293, -32.3962)),
        ),
        "H2O": (
            (1700.0, (30.09200, 6.832514, 6.793435, -2.534480, 0.082139, -9.0546)),
            (6000.0, (41.96426, 8.622053, -1.499780, 0.098119, -11.15764, -30.3533)),
        ),
    }
)
"""By gas: (up to [K], (A, B, C, D, E, F - H)); H(T) - H(298 K) in kJ/mol with T/1000."""


class FuelGas(StrEnum):
    """What the burner burns."""

    NATURAL_GAS = "natural gas"
    """Reckoned as methane."""
    PROPANE = "propane"


@dataclass(frozen=True)
class _Fuel:
    carbon: int
    hydrogen: int
    heating_value: float
    """Net [J/mol]."""
    carbon_dioxide: float
    """[kg/J] of net heat."""


_FUELS: Mapping[FuelGas, _Fuel] = MappingProxyType(
    {
        # Net heats of combustion from the standard enthalpies of formation (NIST): -74.87 and
        # -103.85 kJ/mol. CO2: IPCC 2006 guidelines, vol. 2, table 1.4: 56.1 and 63.1 kg/GJ.
        FuelGas.NATURAL_GAS: _Fuel(1, 4, 802.3e3, 56.1e-9),
        FuelGas.PROPANE: _Fuel(3, 8, 2043.1e3, 63.1e-9),
    }
)


def gas_enthalpy(gas: str, temperature: float) -> float:
    """Heat content of a gas above 25 °C [J/mol] at a temperature [K]; 250 to 2000 K."""
    pieces = _SHOMATE[gas]
    terms = next((terms for top, terms in pieces if temperature <= top), pieces[-1][1])
    a, b, c, d, e, f = terms
    t = temperature / 1000.0
    return 1000.0 * (a * t + b * t**2 / 2 + c * t**3 / 3 + d * t**4 / 4 - e / t + f)


def flue_loss_fraction(
    fuel: FuelGas, air_ratio: float, temperature: float, air_temperature: float
) -> float:
    """Share of the net heat that leaves with the flue gas, less what warm air brings in.

    Parameters
    ----------
    air_ratio : float
        Air supplied over the air needed, 1 or more; the excess leaves unburnt.
    temperature : float
        Of the flue gas where it leaves the chamber [K].
    air_temperature : float
        Of the combustion air where it enters the burner [K].
    """
    made_of = _FUELS[fuel]
    oxygen = made_of.carbon + made_of.hydrogen / 4.0
    flue = {
        "CO2": float(made_of.carbon),
        "H2O": made_of.hydrogen / 2.0,
        "O2": (air_ratio - 1.0) * oxygen,
        "N2": air_ratio * oxygen * _NITROGEN_PER_OXYGEN,
    }
    air = {"O2": air_ratio * oxygen, "N2": air_ratio * oxygen * _NITROGEN_PER_OXYGEN}
    out = sum(moles * gas_enthalpy(gas, temperature) for gas, moles in flue.items())
    back = sum(moles * gas_enthalpy(gas, air_temperature) for gas, moles in air.items())
    return (out - back) / made_of.heating_value


def flue_loss_terms(
    fuel: FuelGas, air_ratio: float, air_temperature: float
) -> tuple[float, float, float]:
    """``(f0, f1, f2)``: flue loss fraction = f0 + f1 t + f2 t^2, t in °C, within 0.3 % of it."""
    celsius = np.linspace(20.0, 1600.0, 80)
    loss = [
        flue_loss_fraction(fuel, air_ratio, float(t) + ZERO_CELSIUS, air_temperature)
        for t in celsius
    ]
    f0, f1, f2 = np.polynomial.polynomial.polyfit(celsius, loss, 2)
    return float(f0), float(f1), float(f2)


def carbon_dioxide(fuel: FuelGas) -> float:
    """CO2 of a fuel [kg per J of net heat]; IPCC 2006 guidelines, vol. 2, table 1.4."""
    return _FUELS[fuel].carbon_dioxide
