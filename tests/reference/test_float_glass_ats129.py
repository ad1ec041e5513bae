"""Clear float glass: Pilkington North America (2013), ATS-129 Properties of Soda-Lime-Silica Float
Glass, against what is reckoned from its analysis alone.
"""

import pytest

from core.glass.clear_float import COMPOSITION
from core.glass.glass import Estimate, Glass
from core.glass.heat import conductivity, heat_capacity
from core.glass.properties import properties_of
from core.units import ZERO_CELSIUS, kelvin_from

PROPERTIES = properties_of(Glass("clear float, analysis only", COMPOSITION))
ROOM = kelvin_from(24.0)


def within_stated_error(estimate: Estimate, measured: float) -> bool:
    assert estimate.plus_minus is not None
    return abs(estimate.value - measured) <= estimate.plus_minus


def test_fixed_points() -> None:
    assert within_stated_error(PROPERTIES.annealing_point, 548 + ZERO_CELSIUS)
    assert PROPERTIES.softening_point is not None
    assert within_stated_error(PROPERTIES.softening_point, 715 + ZERO_CELSIUS)
    assert within_stated_error(PROPERTIES.strain_point, 511 + ZERO_CELSIUS)


def test_expansion_density_and_elasticity() -> None:
    assert within_stated_error(PROPERTIES.expansion, 8.31e-6)  # 24-302 °C
    assert within_stated_error(PROPERTIES.density, 2500.0)
    # The sheet's 2008 issue has 2530, further from its 2013 issue than our interval reaches.
    assert within_stated_error(PROPERTIES.youngs_modulus, 72e9)
    assert within_stated_error(PROPERTIES.poissons_ratio, 0.23)
    # Shear modulus 30 GPa = E / (2 (1 + nu)), within the error of E alone (11/70).
    shear = PROPERTIES.youngs_modulus.value / (2 * (1 + PROPERTIES.poissons_ratio.value))
    assert shear == pytest.approx(30e9, rel=0.16)


def test_stress_optical_coefficient() -> None:
    # stress [psi] = 2.18 x retardation [nm] / thickness [in]
    psi, inch = 6894.757, 0.0254
    assert PROPERTIES.stress_optical_coefficient.value == pytest.approx(
        1e-9 / (2.18 * psi * inch), rel=0.005
    )


def test_heat_capacity_at_room_temperature() -> None:
    # The sheet's 880 J/(kg K) is the highest of the published values: container glass is given
    # as 821, Richet 1987 makes float 806. Ours, 786, must lie within 12 % of the sheet.
    assert heat_capacity(PROPERTIES, ROOM) == pytest.approx(880.0, rel=0.12)


def test_conductivity_at_room_temperature() -> None:
    # 0.937 in the sheet; the line of Carre and Daudeville 1999 reads 0.996 there.
    assert conductivity(PROPERTIES, ROOM) == pytest.approx(0.937, rel=0.07)
