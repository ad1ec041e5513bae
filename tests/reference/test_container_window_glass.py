"""Container and window glass: Seward T.P., Vascott T. (eds) (2005), High Temperature Glass Melt
Property Database for Process Modeling, against what is reckoned from the analysis alone. The
viscosity constants are printed as for dPa s but only make sense as Pa s.
"""

import pytest

from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.glass import Glass
from core.glass.heat import conductivity, heat_capacity
from core.glass.lakatos_1976 import LAKATOS_1976
from core.glass.library import find_glass
from core.glass.properties import properties_of
from core.units import ZERO_CELSIUS, kelvin_from

# a, b, t0 [°C] of log10(viscosity / Pa s); expansion 100-300 °C; density; E; G; molar heat.
SHEETS = {
    "container glass": ((-2.309, 3922.0, 291.0), 9.01e-6, 2520.0, 72e9, 29.8e9),
    "window glass": ((-2.585, 4215.0, 263.0), 9.51e-6, 2530.0, 74e9, 29.8e9),
}


@pytest.fixture(params=SHEETS)
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def test_both_models_follow_the_published_curve(name: str) -> None:
    a, b, t0 = SHEETS[name][0]
    composition = find_glass(name).composition
    assert composition is not None
    for model, levels in ((FLUEGEL_2007, (1.5, 3.0, 6.6, 12.0)), (LAKATOS_1976, (1.0, 3.0, 5.0))):
        evaluation = model.evaluate(composition)
        assert evaluation.outside == ()
        for level in levels:
            published = t0 + b / (level - a)
            ours = evaluation.curve.temperature(level) - ZERO_CELSIUS
            # Lakatos states a standard error: twice that, plus 10 °C between the two sources
            # (SciGlass open data: different authors on one composition differ by 12 °C at 10^3).
            allowed = 17.0 if model is FLUEGEL_2007 else 2 * model.stated_error + 10.0
            assert ours == pytest.approx(published, abs=allowed), (model.name, level)


def test_material_properties(name: str) -> None:
    _, expansion, density, youngs_modulus, shear = SHEETS[name]
    properties = properties_of(Glass(name, find_glass(name).composition))
    assert properties.expansion.value == pytest.approx(expansion, abs=12e-7)
    # The stated error, plus the median difference of two authors on one composition, 14 kg/m3
    # (SciGlass open data).
    assert properties.density.value == pytest.approx(density, abs=40.0 + 14.0)
    assert properties.youngs_modulus.value == pytest.approx(youngs_modulus, abs=11e9)
    poisson = youngs_modulus / (2 * shear) - 1
    assert properties.poissons_ratio.value == pytest.approx(poisson, abs=0.045)


def test_heat_capacity_of_container_glass() -> None:
    # 49 J/(mol K) at 20 °C; 59.7 g per mole of oxides makes it 821 J/(kg K).
    properties = properties_of(Glass("container", find_glass("container glass").composition))
    assert heat_capacity(properties, kelvin_from(20.0)) == pytest.approx(49.0 / 0.0597, rel=0.08)


def test_conductivity_lies_in_the_published_band(name: str) -> None:
    properties = properties_of(find_glass(name))
    assert 0.9 <= conductivity(properties, kelvin_from(20.0)) <= 1.3
