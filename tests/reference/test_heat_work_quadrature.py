"""Heat-work against numerical quadrature of its integral, and the definitions of the two points.

Viscosity 10^12 Pa s at the annealing and 10^13.5 Pa s at the strain point: ASTM C336, C598;
reduced time: Narayanaswamy O.S. 1971, J. Am. Ceram. Soc. 54, 491. Quadrature: scipy.integrate.quad
(QUADPACK).
"""

from itertools import pairwise

import numpy as np
import pytest
from scipy.integrate import quad

from core.plan.plan import Zone
from core.run.heat_work import equivalent_time
from core.units import ZERO_CELSIUS

ZONE = Zone("test", ZERO_CELSIUS + 518.0, ZERO_CELSIUS + 478.0)


def share(kelvin: float) -> float:
    """eta(annealing point)/eta(T), ln eta linear in 1/T, nothing below the strain point."""
    if kelvin < ZONE.strain_point:
        return 0.0
    inverse = (1 / ZONE.annealing_point - 1 / kelvin) / (
        1 / ZONE.strain_point - 1 / ZONE.annealing_point
    )
    return 10.0 ** (1.5 * inverse)


def test_an_hour_at_each_point_by_definition():
    hour = np.array([0.0, 3600.0])
    at = np.repeat(ZONE.annealing_point, 2)
    assert equivalent_time(hour, at, ZONE) == pytest.approx(3600.0, rel=1e-12)
    barely = np.repeat(ZONE.strain_point + 1e-9, 2)
    assert equivalent_time(hour, barely, ZONE) == pytest.approx(3600.0 * 10**-1.5, rel=1e-6)
    assert equivalent_time(hour, at - 41.0, ZONE) == 0.0


@pytest.mark.parametrize("every", [30.0, 1800.0])
def test_a_whole_night_by_quadrature(every):
    corner_time = np.array([0.0, 3600.0, 9000.0, 9000.0 + 57 * 180.0, 40000.0])
    corner = ZERO_CELSIUS + np.array([480.0, 525.0, 525.0, 468.0, 40.0])
    # The same straight lines, read often or seldom: corners are kept.
    time = np.union1d(np.arange(0.0, 40000.0, every), corner_time)
    curve = np.interp(time, corner_time, corner)
    found = equivalent_time(time, curve, ZONE)
    expected = sum(
        quad(lambda t: share(float(np.interp(t, corner_time, corner))), a, b, limit=200)[0]
        for a, b in pairwise(corner_time)
    )
    assert found == pytest.approx(expected, rel=1e-4)
