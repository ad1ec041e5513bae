"""Fitted expansion, density, elasticity and liquidus against published sheets.

- Container and window glass (wt%): Seward T.P., Vascott T. (eds) (2005), High Temperature Glass
  Melt Property Database for Process Modeling. Expansion is 100-300 °C there, see below. Its
  densities (2520 and 2530 kg/m3) are not used: nine measured glasses within 0.8 wt% of
  these two have 2481-2505 (SciGlass open data).
- Clear float (wt%): Pilkington North America (2013), ATS-129, Properties of Soda-Lime-Silica
  Float Glass (density 2530 in the issue of 2008).
- Potash-soda-lead glass of code 0120: Corning Glass Works, Properties of Selected Commercial
  Glasses (from memory, unverified).

No glass within 0.3 wt% of these with such a value is among the open data behind the model, but for
a density of the container glass (Fulton 2010).
"""

import pytest

from core.composition.composition import Composition
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_values import fitted_values
from core.glass.property_fit.fitted_viscosity import (
    fitted_viscosity,
    point_interval,
    point_temperature,
)
from core.units import ZERO_CELSIUS

CONTAINER = {"SiO2": 74, "Na2O": 13, "CaO": 10.5, "Al2O3": 1.3, "K2O": 0.3, "SO3": 0.2} | {
    "MgO": 0.2,
    "Fe2O3": 0.04,
    "TiO2": 0.01,
}
WINDOW = {"SiO2": 73, "Na2O": 14, "CaO": 9, "MgO": 4, "Al2O3": 0.15, "K2O": 0.03} | {
    "TiO2": 0.02,
    "Fe2O3": 0.1,
}
FLOAT = {"SiO2": 72.6, "Na2O": 13.9, "CaO": 8.4, "MgO": 3.9, "Al2O3": 1.1, "K2O": 0.6} | {
    "SO3": 0.2,
    "Fe2O3": 0.11,
}
LEAD = {"SiO2": 56, "PbO": 29, "K2O": 9, "Na2O": 4, "Al2O3": 2}


@pytest.mark.parametrize(
    ("amounts", "name", "published"),
    [
        (CONTAINER, "youngs_modulus", 72e9),
        (CONTAINER, "liquidus", 1040.0 + ZERO_CELSIUS),
        (WINDOW, "youngs_modulus", 74e9),
        (WINDOW, "liquidus", 1000.0 + ZERO_CELSIUS),
        (FLOAT, "expansion", 8.3e-6),
        (FLOAT, "density", 2500.0),
        (FLOAT, "youngs_modulus", 72e9),
        (FLOAT, "poissons_ratio", 0.23),
        (LEAD, "expansion", 8.9e-6),
        (LEAD, "density", 3050.0),
        (LEAD, "youngs_modulus", 59e9),
    ],
)
def test_published_value_lies_in_the_interval(amounts, name, published):
    values = fitted_values(weight_rows([Composition.from_percent(amounts)]))[name]
    assert values.low[0] <= published <= values.high[0]


@pytest.mark.parametrize(("amounts", "published"), [(CONTAINER, 9.0e-6), (WINDOW, 9.5e-6)])
def test_expansion_from_100_to_300(amounts, published):
    values = fitted_values(weight_rows([Composition.from_percent(amounts)]))
    to_300, to_400 = values["expansion"], values["expansion_20_400"]
    # The mean from 20 °C is taken as linear in its upper end.
    slope = to_400.value[0] - to_300.value[0]
    m_100 = to_300.value[0] - 2.0 * slope
    above = (280.0 * to_300.value[0] - 80.0 * m_100) / 200.0 - to_300.value[0]
    assert to_300.low[0] + above <= published <= to_300.high[0] + above


@pytest.mark.parametrize(
    ("amounts", "strain", "annealing", "softening"),
    [(FLOAT, 511.0, 548.0, 715.0), (LEAD, 395.0, 435.0, 630.0)],
)
def test_points_of_float_and_lead_glass(amounts, strain, annealing, softening):
    fitted = fitted_viscosity(weight_rows([Composition.from_percent(amounts)]))
    points = ("strain_point", "annealing_point", "softening_point")
    for point, celsius in zip(points, (strain, annealing, softening), strict=True):
        low, high = point_interval(point, fitted)
        assert low[0] <= celsius + ZERO_CELSIUS <= high[0], point
        # Medians wanted on unseen authors are 7, 11 and 8.5 °C.
        computed = point_temperature(point, fitted.p)[0] - ZERO_CELSIUS
        assert computed == pytest.approx(celsius, abs=15.0), point
