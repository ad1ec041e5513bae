"""Fitted viscosity model against viscosity standards.

Isokoms of NIST SRM 710, 710A, 711, 717A and DGG standard glass I and their compositions (mol%):
Fluegel A. (2007), Glass Technol.: Eur. J. Glass Sci. Technol. A 48(1), 13-30, Tables 1 and 12.
DGG I also by the curve in Richet P. (ed.) (2021), Encyclopedia of Glass Science, Technology,
History, and Culture, Wiley. Points by the fibre tests of ASTM C336 and C338: NBS certificates of
SRM 710 and 711 (from memory, unverified).

Of these only DGG I has viscosities among the open data behind the model (Tanguep 2006); the
others are new to it. Each value must lie in the 90 % interval for another laboratory's value,
and, what is harder, within the half of it that nine in ten left-out authors' values keep to on
average: 15 K at 10^12 Pa s, 20 K at 10^6.6 and 30 K at 10^1.5 (targets set before the fit: median
errors 8.5, 8.5 and 18.5 K).
"""

import numpy as np
import pytest

from core.composition.composition import Basis, Composition
from core.glass.property_fit.fitted_points import weight_rows
from core.glass.property_fit.fitted_viscosity import (
    curve_interval,
    fitted_viscosity,
    point_interval,
    point_temperature,
    temperature_at,
)
from core.units import ZERO_CELSIUS

GLASSES = {
    "NIST SRM 710": {"SiO2": 72.74, "Al2O3": 0.11, "Na2O": 8.70, "K2O": 5.07, "CaO": 12.82}
    | {"Fe2O3": 0.01},
    "NIST SRM 710A": {"SiO2": 71.43, "Al2O3": 1.31, "Na2O": 8.25, "K2O": 6.27, "CaO": 9.62}
    | {"TiO2": 0.32, "ZnO": 2.81},
    "NIST SRM 711": {"SiO2": 71.28, "Al2O3": 0.51, "Na2O": 3.76, "K2O": 5.55, "PbO": 18.9},
    "NIST SRM 717A": {"SiO2": 72.25, "Al2O3": 2.19, "Na2O": 1.03, "K2O": 5.42, "B2O3": 16.97}
    | {"Li2O": 2.14},
    "DGG I": {"SiO2": 70.94, "Al2O3": 0.72, "Na2O": 14.34, "K2O": 0.21, "MgO": 6.16, "CaO": 7.13}
    | {"SO3": 0.32, "Fe2O3": 0.07, "TiO2": 0.1},
}
# Measured [°C] at log10(viscosity / Pa s) = 1.5, 6.6 and 12.
ISOKOMS = {
    "NIST SRM 710": (1293, 725, 556),
    "NIST SRM 710A": (1319, 731, 545),
    "NIST SRM 711": (1185, 614, 443),
    "NIST SRM 717A": (1388, 719, 514),
    "DGG I": (1301, 721, 539),
}
CLOSE = (30.0, 20.0, 15.0)
FIBRE_TESTS = {
    "NIST SRM 710": (504, 546, 724),
    "NIST SRM 711": (392, 432, 602),
}


def row(name):
    return weight_rows([Composition.from_percent(GLASSES[name], Basis.MOLE)])


@pytest.mark.parametrize("name", ISOKOMS)
def test_isokoms_of_standards(name):
    fitted = fitted_viscosity(row(name))
    levels = np.array([1.5, 6.6, 12.0])
    low, high = curve_interval(levels, fitted)
    computed = temperature_at(levels, fitted.p) - ZERO_CELSIUS
    for at, (celsius, close) in enumerate(zip(ISOKOMS[name], CLOSE, strict=True)):
        assert low[0, at] <= celsius + ZERO_CELSIUS <= high[0, at], levels[at]
        if name != "NIST SRM 717A":  # borosilicate: not one of the four studio families
            assert computed[at] == pytest.approx(celsius, abs=close), levels[at]


@pytest.mark.parametrize("name", FIBRE_TESTS)
def test_points_by_fibre_tests(name):
    fitted = fitted_viscosity(row(name))
    points = ("strain_point", "annealing_point", "softening_point")
    for point, celsius in zip(points, FIBRE_TESTS[name], strict=True):
        low, high = point_interval(point, fitted)
        assert low[0] <= celsius + ZERO_CELSIUS <= high[0], point
        assert point_temperature(point, fitted.p)[0] - ZERO_CELSIUS == pytest.approx(
            celsius, abs=20.0
        ), point


def test_dgg_glass_along_its_published_curve():
    fitted = fitted_viscosity(row("DGG I"))
    levels = np.linspace(1.0, 13.0, 25)
    published = 246.1 + 4330.9 / (levels + 2.601)
    computed = temperature_at(levels, fitted.p) - ZERO_CELSIUS
    low, high = curve_interval(levels, fitted)
    assert np.all((low[0] < published + ZERO_CELSIUS) & (published + ZERO_CELSIUS < high[0]))
    assert np.abs(computed - published).max() < 15.0
