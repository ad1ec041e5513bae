"""Viscosity standards against our model and a published one.

Measured isokoms of NIST SRM 710, 710A, 711, 717A and DGG standard glass I as given by Fluegel A.
(2007), Glass Technol. A 48(1), 13-30, Table 12, and of DGG I by the curve in Richet P. (ed.)
(2021), Encyclopedia of Glass Science, Technology, History, and Culture, Wiley
(log10(viscosity / Pa s) = -2.601 + 4330.9/(t - 246.1)).
"""

import numpy as np
import pytest

from core.glass.fitted_curve import FittedCurve
from core.glass.fluegel_2007 import FLUEGEL_2007
from core.glass.glass import Glass, MeasuredPoints, MeasuredViscosity
from core.glass.library import find_glass
from core.glass.properties import properties_of, viscosity_curve_of
from core.units import ZERO_CELSIUS

# Measured [°C] at log10(viscosity / Pa s) = 1.5, 6.6 and 12.
MEASURED = {
    "NIST SRM 710": (1293, 725, 556),
    "NIST SRM 710A": (1319, 731, 545),
    "NIST SRM 711": (1185, 614, 443),
    "NIST SRM 717A": (1388, 719, 514),
    "DGG standard glass I": (1301, 721, 539),
}


LEVELS = np.array([1.5, 6.6, 12.0])


@pytest.mark.parametrize("name", MEASURED)
def test_certified_isokoms_lie_within_our_interval(name: str) -> None:
    curve = viscosity_curve_of(Glass(name, find_glass(name).composition))
    assert isinstance(curve, FittedCurve)
    certified = np.array(MEASURED[name]) + ZERO_CELSIUS
    low, high = curve.interval(LEVELS)
    assert ((low <= certified) & (certified <= high)).all()


@pytest.mark.parametrize("name", MEASURED)
def test_certified_isokoms_lie_within_the_error_fluegel_states(name: str) -> None:
    composition = find_glass(name).composition
    assert composition is not None
    curve = FLUEGEL_2007.evaluate(composition).curve
    away = curve.temperature(LEVELS) - ZERO_CELSIUS - np.array(MEASURED[name])
    assert (abs(away) <= FLUEGEL_2007.stated_error).all()


def test_the_shipped_standard_meets_its_published_curve() -> None:
    properties = properties_of(find_glass("DGG standard glass I"))
    for estimate, log_viscosity in (
        (properties.strain_point, 13.5),
        (properties.annealing_point, 12.0),
        (properties.softening_point, 6.6),
        (properties.working_point, 3.0),
        (properties.melting_point, 1.0),
    ):
        assert estimate is not None
        celsius = 246.1 + 4330.9 / (log_viscosity + 2.601)
        assert estimate.value - ZERO_CELSIUS == pytest.approx(celsius, abs=0.06)


def test_the_whole_curve_of_dgg_glass_lies_within_our_interval() -> None:
    # The curve above is measured (44 points) from 10^1 to 10^14 Pa s.
    curve = viscosity_curve_of(Glass("DGG I", find_glass("DGG standard glass I").composition))
    assert isinstance(curve, FittedCurve)
    level = np.linspace(1.0, 13.5, 26)
    certified = 246.1 + 4330.9 / (level + 2.601) + ZERO_CELSIUS
    low, high = curve.interval(level)
    assert ((low <= certified) & (certified <= high)).all()


def test_two_certified_points_narrow_what_is_known_between_them_in_a_lead_glass() -> None:
    # SRM 711, measured at 10^12 and 10^1.5 only; softening isokom between them left out.
    composition = find_glass("NIST SRM 711").composition
    points = MeasuredPoints(
        annealing_point=443 + ZERO_CELSIUS,
        viscosities=(MeasuredViscosity(1.5, 1185 + ZERO_CELSIUS, 3.0),),
    )
    curve = viscosity_curve_of(Glass("711", composition, points))
    assert isinstance(curve, FittedCurve)
    low, high = curve.interval(np.array([6.6]))
    assert low[0] <= 614 + ZERO_CELSIUS <= high[0]
    alone = viscosity_curve_of(Glass("711", composition))
    assert isinstance(alone, FittedCurve)
    wide_low, wide_high = alone.interval(np.array([6.6]))
    assert high[0] - low[0] < 0.7 * (wide_high[0] - wide_low[0])
