"""Potash-soda-lead glass of code 0120: Corning Glass Works, Properties of Selected Commercial
Glasses (from memory, unverified: analysis SiO2 56, PbO 29, K2O 9, Na2O 4, Al2O3 2 wt%, softening
630 °C, annealing 435 °C, strain 395 °C, expansion 89.1e-7 1/K 0-300 °C, density 3.05, E 59 GPa).
A plausibility band for lead glass, where the viscosity model is known to read high.
"""

from core.composition.composition import Composition
from core.glass.glass import Estimate, Glass
from core.glass.heat import conductivity
from core.glass.properties import properties_of
from core.units import ZERO_CELSIUS, kelvin_from

PROPERTIES = properties_of(
    Glass(
        "lead",
        Composition.from_percent({"SiO2": 56, "PbO": 29, "K2O": 9, "Na2O": 4, "Al2O3": 2}),
    )
)


def within_stated_error(estimate: Estimate | None, measured: float) -> bool:
    assert estimate is not None
    assert estimate.plus_minus is not None
    return abs(estimate.value - measured) <= estimate.plus_minus


def test_points_and_properties() -> None:
    assert within_stated_error(PROPERTIES.annealing_point, 435 + ZERO_CELSIUS)
    assert within_stated_error(PROPERTIES.softening_point, 630 + ZERO_CELSIUS)
    assert within_stated_error(PROPERTIES.expansion, 89.1e-7)
    assert within_stated_error(PROPERTIES.density, 3050.0)
    assert within_stated_error(PROPERTIES.youngs_modulus, 59e9)


def test_conductivity_of_lead_crystal() -> None:
    # 0.75-0.85 W/(m K) at 24-30 % PbO, general glass data, from memory, unverified.
    assert 0.75 <= conductivity(PROPERTIES, kelvin_from(20.0)) <= 0.85
